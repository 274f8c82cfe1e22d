"""What a comparison at harvest shows; the figures themselves are checked against a library in tests/reference."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.agronomy.ground.comparison import least_difference_paired
from spadework.errors import DomainError

SHARES = {"confidence": 0.95, "power": 0.8}


def test_many_pairs_come_near_the_normal_formula():
    # (1.95996 + 0.84162) x 1 / sqrt(400) = 0.14008.
    assert least_difference_paired(pairs=400, sd=1, **SHARES) == pytest.approx(0.1404, abs=0.0005)


def test_without_scatter_any_difference_shows():
    assert least_difference_paired(pairs=3, sd=0, **SHARES) == 0


@given(pairs=st.integers(2, 40), confidence=st.floats(0.6, 0.99), power=st.floats(0.5, 0.98))
def test_more_pairs_show_less_and_more_scatter_hides_more(pairs, confidence, power):
    least = least_difference_paired(pairs=pairs, sd=1, confidence=confidence, power=power)

    assert least > 0
    assert least_difference_paired(pairs=pairs + 1, sd=1, confidence=confidence, power=power) < least
    assert least_difference_paired(pairs=pairs, sd=2, confidence=confidence, power=power) == pytest.approx(2 * least)
    assert least_difference_paired(pairs=pairs, sd=1, confidence=confidence, power=power + 0.01) > least


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"pairs": 1}, "2 or more"),
        ({"sd": -1.0}, "0 or more"),
        ({"sd": float("nan")}, "0 or more"),
        ({"power": 1.0}, "between 0 and 1"),
        ({"confidence": 0.0}, "between 0 and 1"),
        ({"power": 0.04}, "above the chance of a false alarm"),
    ],
)
def test_what_cannot_be_answered_is_refused(wrong, message):
    with pytest.raises(DomainError, match=message):
        least_difference_paired(**({"pairs": 4, "sd": 1.0} | SHARES | wrong))
