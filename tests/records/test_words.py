import pytest
from hypothesis import given
from tests.records.strategies import counts

from spadework.errors import DomainError
from spadework.records.words import MAX_COUNT, CountRange


@pytest.mark.parametrize(
    ("count", "text"),
    [
        (CountRange(12, 12), "12"),
        (CountRange(0, 0), "0"),
        (CountRange(11, 20), "11-20"),
        (CountRange(0, 4), "0-4"),
        (CountRange(51, None), ">50"),
        (CountRange(1, None), ">0"),
        (CountRange(0, None), "0+"),
    ],
)
def test_a_count_prints_as_people_write_it(count, text):
    assert str(count) == text


@given(counts())
def test_only_a_single_number_is_exact(count):
    assert count.is_exact == str(count).isdigit()


@pytest.mark.parametrize(("low", "high"), [(-1, 3), (5, 4), (MAX_COUNT + 1, None), (0, MAX_COUNT + 1)])
def test_a_count_that_cannot_be_is_refused(low, high):
    with pytest.raises(DomainError, match="must be from"):
        CountRange(low, high)
