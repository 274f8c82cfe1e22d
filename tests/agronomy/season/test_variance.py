import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.agronomy.season import variance_shares
from spadework.errors import DomainError

CHANCE = np.random.default_rng(7)
ONE, TWO, IDLE = CHANCE.normal(size=(3, 20_000))


def test_parts_of_a_sum_share_by_their_variances():
    """By hand: 3a + b with a and b of one variance gives 9/10 and 1/10."""
    found = variance_shares({"b": TWO, "a": ONE, "idle": IDLE}, 3 * ONE + TWO)

    assert list(found) == ["a", "b", "idle"]
    assert found["a"] == pytest.approx(0.9, abs=0.02)
    assert found["b"] == pytest.approx(0.1, abs=0.02)
    assert found["idle"] < 0.005


def test_a_share_needs_no_straight_line_and_a_product_has_none():
    even = CHANCE.random(ONE.size)

    assert variance_shares({"a": even}, (even - 0.5) ** 2)["a"] > 0.95
    assert variance_shares({"a": ONE, "b": TWO}, ONE * TWO)["a"] < 0.02


def test_years_are_told_apart_by_their_number():
    years = CHANCE.integers(0, 5, ONE.size)
    effect = np.array([0.0, 5.0, 1.0, 4.0, 2.0])[years]

    found = variance_shares({"year": years, "a": ONE}, effect + ONE)

    assert found["year"] == pytest.approx(effect.var() / (effect.var() + 1), abs=0.02)


def test_draws_without_an_outcome_are_left_out():
    outcome = np.where(TWO > 0, ONE, np.nan)

    assert variance_shares({"a": ONE}, outcome)["a"] > 0.98


def test_an_outcome_that_does_not_vary_has_no_cause():
    assert variance_shares({"a": ONE}, np.ones(ONE.size)) == {"a": 0}
    assert variance_shares({"a": ONE}, np.full(ONE.size, np.nan)) == {"a": 0}
    assert variance_shares({"a": ONE[:5]}, ONE[:5]) == {"a": 0}


@given(st.integers(0, 2**32 - 1), st.integers(20, 400))
def test_shares_lie_between_none_and_all(seed, draws):
    chance = np.random.default_rng(seed)
    a, b = chance.random((2, draws))

    found = variance_shares({"a": a, "b": b}, np.maximum(a - b, 0))

    assert all(0 <= share <= 1 for share in found.values())


@pytest.mark.parametrize(
    ("inputs", "bins", "message"),
    [({"a": ONE[:9]}, None, "inputs"), ({"a": ONE}, 1, "bins must be from 2"), ({"a": ONE}, 10_001, "bins")],
)
def test_what_cannot_be_cut_is_refused(inputs, bins, message):
    with pytest.raises(DomainError, match=message):
        variance_shares(inputs, ONE, bins=bins)


def test_weights_count_draws_as_if_they_came_more_often():
    rng = np.random.default_rng(7)
    one, other = rng.random(4000), rng.random(4000)
    outcome = np.where(one < 0.5, 1.0, 3.0) * (one + other)
    # Weights of 0 leave out the draws below one half; the rest is a sum of two even inputs, one of half the range:
    # variances 1/48 and 1/12, so that shares are 0.2 and 0.8.
    shares = variance_shares({"one": one, "other": other}, outcome, weights=np.where(one < 0.5, 0.0, 2.5))
    assert shares["one"] == pytest.approx(0.2, abs=0.03)
    assert shares["other"] == pytest.approx(0.8, abs=0.03)


def test_even_weights_change_nothing():
    rng = np.random.default_rng(8)
    inputs = {"a": rng.random(500), "b": rng.random(500)}
    outcome = inputs["a"] + 0.3 * inputs["b"]
    plain, weighed = variance_shares(inputs, outcome), variance_shares(inputs, outcome, weights=np.full(500, 0.2))
    assert weighed == pytest.approx(plain)
