import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.agronomy.clock import fill_gaps
from spadework.errors import DomainError

GAP = np.nan


def test_one_day_is_the_mean_of_its_neighbours():
    found = fill_gaps([4.0, GAP, 10.0])
    assert found.values.tolist() == [4, 7, 10]
    assert found.filled.tolist() == [False, True, False]


def test_two_and_three_days_lie_on_the_line():
    # From 0 to 9 in three steps of 3, then from 9 to 1 in four steps of -2.
    found = fill_gaps([0.0, GAP, GAP, 9.0, GAP, GAP, GAP, 1.0])
    assert found.values.tolist() == [0, 3, 6, 9, 7, 5, 3, 1]


def test_longer_gaps_and_ends_stay_open():
    found = fill_gaps([GAP, 2.0, GAP, GAP, GAP, GAP, 7.0, GAP, 9.0, GAP])
    np.testing.assert_array_equal(found.values, [GAP, 2, GAP, GAP, GAP, GAP, 7, 8, 9, GAP])
    assert found.filled.tolist() == [False] * 7 + [True] + [False] * 2


def test_length_may_be_chosen():
    assert fill_gaps([0.0, GAP, GAP, 3.0], longest=2).values.tolist() == [0, 1, 2, 3]
    assert np.isnan(fill_gaps([0.0, GAP, GAP, 3.0], longest=1).values[1:3]).all()
    assert not fill_gaps([0.0, GAP, 3.0], longest=0).filled.any()


def test_nothing_known_and_nothing_missing():
    assert np.isnan(fill_gaps([GAP, GAP]).values).all()
    assert fill_gaps([]).values.size == 0
    assert fill_gaps([1.0, 2.0]).values.tolist() == [1, 2]


def test_input_is_not_changed():
    values = np.array([0.0, GAP, 2.0])
    fill_gaps(values)
    assert np.isnan(values[1])


def test_outside():
    with pytest.raises(DomainError, match=r"values must be one value a day, shape \(days,\), but is \(1, 2\)"):
        fill_gaps([[1.0, 2.0]])
    with pytest.raises(DomainError, match="longest must be 0 or more days, but is -1"):
        fill_gaps([1.0], longest=-1)


@given(
    st.lists(st.one_of(st.just(GAP), st.floats(-40, 45)), max_size=60),
    st.integers(0, 6),
)
def test_filling_invents_nothing_beyond_the_neighbours(values, longest):
    before = np.array(values, dtype=float)
    found = fill_gaps(before, longest)
    known = np.flatnonzero(~np.isnan(before))
    np.testing.assert_array_equal(found.values[known], before[known])
    assert not found.filled[known].any()
    for at in np.flatnonzero(np.isnan(before)):
        left, right = known[known < at], known[known > at]
        short = left.size and right.size and right[0] - left[-1] - 1 <= longest
        assert bool(found.filled[at]) == bool(short)
        if short:
            ends = before[left[-1]], before[right[0]]
            assert min(ends) - 1e-9 <= found.values[at] <= max(ends) + 1e-9
        else:
            assert np.isnan(found.values[at])
