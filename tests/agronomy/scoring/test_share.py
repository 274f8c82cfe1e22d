"""The share of plants adequate: hand-worked values, limits and edges."""

import math

import numpy as np
import pytest
from scipy.stats import beta, betabinom

from spadework.agronomy.scoring.share import (
    CORRELATIONS,
    SHARES,
    correlation_prior,
    field_share,
    log_likelihood_of,
    stop_log_likelihood,
)
from spadework.errors import DomainError

NO_CLUSTERING = 1e-6


def posterior(stops, prior_correlation=0.15):
    """Posterior from (adequate, plants) of each stop."""
    stop = np.repeat(np.arange(len(stops)), [plants for _, plants in stops])
    adequate = np.concatenate([[1.0] * yes + [0.0] * (plants - yes) for yes, plants in stops])
    return field_share(stop=stop, chance=adequate, prior_correlation=prior_correlation)


def test_one_adequate_plant_gives_the_jeffreys_mean():
    # Prior even on the arcsine scale = Beta(1/2, 1/2); one adequate plant makes it Beta(3/2, 1/2), mean 3/4.
    # One plant says nothing of likeness, so the correlation keeps its prior.
    result = posterior([(1, 1)])
    assert result.mean == pytest.approx(0.75, abs=1e-4)
    assert result.correlation == pytest.approx(float(correlation_prior(0.15) @ CORRELATIONS), abs=1e-9)


@pytest.mark.parametrize("plants", [1, 4, 10])
def test_stop_likelihood_is_the_beta_binomial(plants):
    table = stop_log_likelihood(plants)
    row, column = 5, 70  # correlation 0.2
    strength = (1 - CORRELATIONS[row]) / CORRELATIONS[row]
    a, b = SHARES[column] * strength, (1 - SHARES[column]) * strength
    for y in range(plants + 1):
        expected = betabinom.logpmf(y, plants, a, b) - math.log(math.comb(plants, y))
        assert table[y, row, column] == pytest.approx(expected, abs=1e-9)


def test_without_correlation_the_stop_likelihood_is_binomial():
    table = stop_log_likelihood(7)
    assert table[3, 0, 50] == pytest.approx(3 * math.log(SHARES[50]) + 4 * math.log1p(-SHARES[50]))


@pytest.mark.parametrize(("yes", "plants"), [(3, 10), (9, 10), (15, 30)])
def test_without_clustering_the_posterior_is_the_jeffreys_beta(yes, plants):
    result = posterior([(yes, plants)], prior_correlation=NO_CLUSTERING)
    exact = beta(yes + 0.5, plants - yes + 0.5)
    assert result.interval(0.90) == pytest.approx(exact.interval(0.90), abs=5e-4)
    assert result.class_probabilities([0.5, 0.7])[2] == pytest.approx(exact.sf(0.7), abs=1e-3)


def test_a_doubtful_plant_is_the_mean_of_what_it_may_be():
    # One plant, adequate with chance 0.8: Beta(3/2, 1/2) with mean 3/4 in 0.8 of the draws, Beta(1/2, 3/2) with mean
    # 1/4 in the others, together 0.65. 61 draws hold 0.8 as 49/61.
    result = field_share(stop=[0], chance=[0.8], prior_correlation=0.15)
    assert result.mean == pytest.approx((49 * 0.75 + 12 * 0.25) / 61, abs=1e-4)


def test_stops_that_differ_widen_the_interval_and_raise_the_correlation():
    alike, unlike = posterior([(5, 10), (5, 10), (5, 10)]), posterior([(10, 10), (5, 10), (0, 10)])
    assert np.ptp(unlike.interval(0.90)) > np.ptp(alike.interval(0.90))
    assert unlike.correlation > alike.correlation


@pytest.mark.parametrize("plants", [400, 2000])
def test_any_number_of_doubtful_plants_at_one_stop_leaves_the_field_unknown(plants):
    # One stop tells its own share ever better, and of the likeness of stops nothing: the interval of the field stays
    # that of a hundred plants, whose own uncertainty (standard deviation 0.05) is little beside it.
    chance = np.tile([0.2, 0.4, 0.6, 0.8], plants // 4)
    few, many = (field_share(stop=[0] * n, chance=chance[:n], prior_correlation=0.2) for n in (100, plants))
    assert many.interval(0.90) == pytest.approx(few.interval(0.90), abs=0.05)
    assert many.correlation == pytest.approx(few.correlation, abs=0.01)


def test_doubtful_plants_are_averaged_over_all_that_they_may_be():
    # Two plants of one stop, adequate with chances 0.7 and 0.4: both, one or none of them with 0.28, 0.54 and 0.18.
    # 61 draws keep each of these within 1/61, and the posterior means of the three cases are far apart.
    cases = [posterior([(number, 2)], prior_correlation=0.2).mean for number in (0, 1, 2)]
    result = field_share(stop=[0, 0], chance=[0.7, 0.4], prior_correlation=0.2)
    assert result.mean == pytest.approx(float(np.dot(cases, [0.18, 0.54, 0.28])), abs=0.02)


def test_what_is_not_known_of_the_whole_visit_widens_the_field():
    # Thirty plants, all adequate if the visit's nodules are red, all poor if they are not: one point each.
    stop = np.repeat([0, 1, 2], 10)
    both = field_share(stop=stop, chance=[[1.0] * 30, [0.0] * 30], prior_correlation=0.2)
    half = field_share(stop=stop, chance=[0.5] * 30, prior_correlation=0.2)
    assert np.ptp(both.interval(0.90)) > 0.9
    assert np.ptp(half.interval(0.90)) < 0.6


def test_interval_reaches_the_end_when_nothing_or_everything_is_adequate():
    assert posterior([(0, 10), (0, 10)]).interval(0.90)[0] == 0.0
    assert posterior([(10, 10), (10, 10)]).interval(0.90)[1] == 1.0


def test_class_probabilities_sum_to_one_and_follow_the_quantiles():
    result = posterior([(6, 10), (7, 10)])
    assert result.class_probabilities([0.5, 0.7]).sum() == pytest.approx(1.0)
    assert result.below(result.quantile([0.2, 0.9])) == pytest.approx([0.2, 0.9], abs=1e-9)


def test_correlation_interval_lies_on_the_grid_and_holds_the_mean():
    result = posterior([(10, 10), (5, 10), (0, 10)])
    low, high = result.correlation_interval(0.90)
    assert low < result.correlation < high


@pytest.mark.parametrize("mean", [0.0, 1.0, -0.2])
def test_prior_mean_of_the_correlation_must_be_a_proper_share(mean):
    with pytest.raises(DomainError, match="mean must be between 0 and 1"):
        correlation_prior(mean)


@pytest.mark.parametrize("chance", [-0.1, 1.1])
def test_a_chance_outside_its_scale_is_refused_by_position(chance):
    with pytest.raises(DomainError, match=r"chance must be from 0 to 1, but is .* at position 1"):
        field_share(stop=[0, 0], chance=[1.0, chance], prior_correlation=0.15)


def test_even_doubt_leaves_the_field_in_the_middle():
    doubtful = field_share(stop=[0, 0, 1, 1], chance=[0.5] * 4, prior_correlation=0.2)
    assert doubtful.mean == pytest.approx(0.5, abs=0.02)


def test_unknown_plants_are_left_out_and_never_count_as_poor():
    seen = field_share(stop=[0, 0, 1], chance=[1.0, 0.0, 0.6], prior_correlation=0.2)
    among = field_share(stop=[0, 2, 0, 1], chance=[1.0, math.nan, 0.0, 0.6], prior_correlation=0.2)
    assert among.weights == pytest.approx(seen.weights, abs=1e-12)
    assert field_share(stop=[0, 1], chance=[math.nan, math.nan], prior_correlation=0.2) is None


@pytest.mark.parametrize("adequate", [0, 1, 40, 70, 71])
def test_many_plants_are_reckoned_as_few_are(adequate):
    # 71 plants are beyond what is tabled: the closed form must give what the running products of the table give.
    # Logs of 1e-4 come out of differences of logs of hundreds, so ten digits of those are seven here.
    np.testing.assert_allclose(log_likelihood_of(71, adequate), stop_log_likelihood(71)[adequate], rtol=1e-9, atol=1e-7)
    np.testing.assert_array_equal(log_likelihood_of(7, min(adequate, 7)), stop_log_likelihood(7)[min(adequate, 7)])
