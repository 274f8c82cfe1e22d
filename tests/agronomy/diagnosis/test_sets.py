"""The sets of causes: which there are, in which order, and products over them."""

from itertools import combinations
from math import comb, prod

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.agronomy.diagnosis.sets import cause_sets, sets_of_some, sum_over_sets
from spadework.errors import DomainError


def members(sets):
    return [tuple(np.flatnonzero(row).tolist()) for row in sets.present]


def test_sets_of_three_causes_two_at_once():
    assert members(cause_sets(3, 2)) == [(), (0,), (1,), (2,), (0, 1), (0, 2), (1, 2)]


def test_number_of_sets_by_hand():
    # 1 + 20 + 190 + 1140 + 4845
    assert len(cause_sets(20, 4)) == 6196
    assert len(cause_sets(6, 6)) == len(cause_sets(6, 99)) == 2**6


def test_without_causes_there_is_the_empty_set():
    assert members(cause_sets(0, 4)) == [()]


@pytest.mark.parametrize("most_together", [0, -1])
def test_a_limit_below_one_is_refused(most_together):
    with pytest.raises(DomainError, match=f"most_together must be 1 or more, but is {most_together}"):
        cause_sets(3, most_together)


@given(st.integers(0, 7), st.integers(1, 8))
def test_sets_are_all_combinations_by_size(causes, most_together):
    sets = cause_sets(causes, most_together)
    expected = [one for size in range(min(causes, most_together) + 1) for one in combinations(range(causes), size)]
    assert members(sets) == expected
    assert [run.stop - run.start for run in sets.sizes] == [
        comb(causes, size) for size in range(1, min(causes, most_together) + 1)
    ]
    np.testing.assert_array_equal(sets.members, sets.present.T)


@given(st.integers(1, 6), st.integers(1, 6), st.integers(0, 9))
def test_products_are_those_of_each_set(causes, most_together, seed):
    factors = np.random.default_rng(seed).uniform(0, 2, (causes, 3))
    sets = cause_sets(causes, most_together)
    for column in range(3):
        expected = [prod(factors[list(one), column]) for one in members(sets)]
        np.testing.assert_allclose(sets.products(factors)[:, column], expected, rtol=1e-14)
        np.testing.assert_array_equal(sets.products(factors[:, column]), sets.products(factors)[:, column])


@given(st.data())
def test_each_set_is_found_among_the_sets_of_some_causes(data):
    causes, most_together = data.draw(st.integers(1, 7)), data.draw(st.integers(1, 7))
    some = tuple(sorted(data.draw(st.sets(st.integers(0, causes - 1)))))
    fewer = members(cause_sets(len(some), most_together))
    found = [fewer[place] for place in sets_of_some(causes, most_together, some)]
    for here, there in zip(members(cause_sets(causes, most_together)), found, strict=True):
        assert [some[number] for number in there] == [cause for cause in here if cause in some]


@pytest.mark.parametrize("sets", [1, 255, 256, 257, 600])
def test_sum_over_sets_is_the_matrix_product_whatever_the_run(sets):
    rng = np.random.default_rng(sets)
    first, second = rng.random((3, sets)), rng.random((sets, 2))
    expected = [[sum(row[place] * column[place] for place in range(sets)) for column in second.T] for row in first]
    np.testing.assert_allclose(sum_over_sets(first, second), expected, rtol=1e-13)
    np.testing.assert_allclose(sum_over_sets(first, second[:, 0]), np.array(expected)[:, 0], rtol=1e-13)


def test_causes_from_sets_by_hand():
    # Sets of two causes: none, first, second, both.
    sets = cause_sets(2, 2)
    assert sets.causes(np.array([0.1, 0.2, 0.3, 0.4])) == pytest.approx([0.6, 0.7])
    # What rounding carries beyond 1 is cut off.
    assert sets.causes(np.array([0, 0.5, 0, 0.5 + 1e-15])).max() == 1
