import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from spadework.agronomy.season.signs import chance_of_pale, effective_draws, fit_of_share, fit_of_sign, resampled
from spadework.errors import DomainError

LIMITS = {"shows_from": 0.1, "shows_by": 0.3, "without_shortage": 0.1, "with_shortage": 0.9}
WEIGHTS = arrays(np.float64, st.integers(1, 60), elements=st.floats(0, 10)).filter(lambda held: held.any())
CHANCES = arrays(np.float64, st.integers(2, 60), elements=st.floats(0.01, 0.99))


def test_leaves_pale_between_two_limits():
    chance = chance_of_pale([0.0, 0.1, 0.2, 0.3, 1.0, np.nan], **LIMITS)
    np.testing.assert_allclose(chance, [0.1, 0.1, 0.5, 0.9, 0.9, np.nan])


@pytest.mark.parametrize(
    "wrong", [{"shows_by": 0.1}, {"shows_from": -0.1}, {"without_shortage": 0.0}, {"with_shortage": 1.0},
              {"with_shortage": 0.05}]
)  # fmt: skip
def test_limits_and_chances_that_make_no_sense_are_refused(wrong):
    with pytest.raises(DomainError):
        chance_of_pale(0.2, **(LIMITS | wrong))


def test_a_sure_sign_is_the_rule_of_bayes():
    # One draw of four is short; leaves are pale in 0.9 of short crops and 0.1 of others:
    # 0.25 x 0.9 / (0.25 x 0.9 + 0.75 x 0.1) = 0.75.
    weights = fit_of_sign(np.array([0.9, 0.1, 0.1, 0.1]), sure=1.0)
    assert weights[0] / weights.sum() == pytest.approx(0.75)
    # Half sure: half way from 0.25 to 0.75.
    weights = fit_of_sign(np.array([0.9, 0.1, 0.1, 0.1]), sure=0.5)
    assert weights[0] / weights.sum() == pytest.approx(0.5)


@given(CHANCES, st.floats(0, 1), st.floats(0, 1))
def test_a_surer_sign_never_takes_weight_from_the_draws_that_fit_best(chance, one, other):
    less, more = sorted((one, other))
    before, after = (fit_of_sign(chance, sure=sure) for sure in (less, more))
    order = np.argsort(chance)
    assert np.all(np.cumsum(after[order]) <= np.cumsum(before[order]) + 1e-9 * chance.size)
    assert after.mean() == pytest.approx(1.0)


@pytest.mark.parametrize("sure", [-0.1, 1.1])
def test_sureness_beyond_one_is_refused(sure):
    with pytest.raises(DomainError, match="sure"):
        fit_of_sign(np.array([0.5]), sure=sure)


def test_a_measured_share_weighs_by_the_normal_curve():
    weights = fit_of_share(np.array([0.5, 0.6, 0.3, np.nan]), measured=0.5, error=0.1)
    np.testing.assert_allclose(weights, [1.0, np.exp(-0.5), np.exp(-2.0), 0.0])
    with pytest.raises(DomainError, match="error"):
        fit_of_share(np.array([0.5]), measured=0.5, error=0.0)


def test_draws_that_weighted_ones_are_worth():
    assert effective_draws(np.ones(40)) == pytest.approx(40)
    assert effective_draws(np.array([1.0, 0.0, 0.0])) == pytest.approx(1)
    assert effective_draws(np.array([2.0, 1.0, 1.0])) == pytest.approx(16 / 6)
    assert effective_draws(np.zeros(3)) == 0


@given(WEIGHTS)
def test_each_draw_comes_as_often_as_its_weight_asks_for(weights):
    often = np.bincount(resampled(weights), minlength=weights.size)
    assert often.sum() == weights.size
    assert np.all(np.abs(often - weights / weights.sum() * weights.size) <= 1 + 1e-6)
    assert not often[weights == 0].any()


def test_even_weights_keep_every_draw_once():
    assert sorted(resampled(np.full(500, 0.3))) == list(range(500))


@pytest.mark.parametrize("weights", [[0.0, 0.0], [1.0, -0.1], [1.0, np.nan]])
def test_weights_that_are_none_are_refused(weights):
    with pytest.raises(DomainError, match="weights"):
        resampled(np.array(weights))
