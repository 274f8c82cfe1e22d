"""The mean of plants in stops: hand-worked values, the general formula in matrices, edges, and how honest it is."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from spadework.agronomy.clustered_mean import CORRELATIONS, clustered_mean, correlation_weights
from spadework.errors import DomainError

PRIOR = 0.2
WITHIN = 1 - PRIOR  # part of the planned variance that lies within stops


def fit(values, stop, planning_sd=1.0):
    return clustered_mean(values=values, stop=stop, prior_correlation=PRIOR, planning_sd=planning_sd)


def row(correlation):
    return CORRELATIONS.tolist().index(correlation)


def test_independent_plants_by_hand():
    # Mean 4, sum of squares 8. With two planning plants of variance 0.8: (8 + 1.6) / (3 - 1 + 2) = 2.4; 2.4 / 3 for
    # the mean.
    result = fit([2, 4, 6], [0, 1, 2])
    assert result.degrees == 4
    assert result.mean == pytest.approx(4)
    assert result.centre == pytest.approx(np.full(len(CORRELATIONS), 4.0))
    assert result.scale[row(0.0)] == pytest.approx(np.sqrt(2.4 / 3))


def test_equal_stops_follow_the_textbook_formula():
    # kish1965: the variance of a mean of equal clusters is s^2 / n (1 + (m - 1) rho), with s^2 between all plants.
    # By analysis of variance: plants within stops vary by s^2 (1 - rho), stop means by s^2 / m (1 + (m - 1) rho).
    values, stop, rho, planning_sd = np.array([3.0, 5, 4, 8, 9, 7, 1, 2, 6]), np.repeat([0, 1, 2], 3), 0.3, 1.5
    means = values.reshape(3, 3).mean(axis=1)
    within = ((values - np.repeat(means, 3)) ** 2).sum() + 2 * WITHIN * planning_sd**2
    between = 3 * ((means - values.mean()) ** 2).sum()
    effect = 1 + (3 - 1) * rho
    variance = (within / (1 - rho) + between / effect) / (9 - 1 + 2)
    result = fit(values, stop, planning_sd)
    assert result.centre[row(rho)] == pytest.approx(values.mean())
    assert result.scale[row(rho)] ** 2 == pytest.approx(variance / 9 * effect)


def test_many_equal_stops_find_the_cluster_estimate():
    # With many stops the usual estimate holds: variance between stop means over the number of stops. The grid of the
    # correlation, 0.1 wide here, may be off by half of that: 0.05 x (5 - 1) of 1.8, 11 % of the variance.
    rng = np.random.default_rng(3)
    stop = np.repeat(np.arange(400), 5)
    values = 7 + rng.normal(0, 1, 400)[stop] + rng.normal(0, 2, 2000)
    means = values.reshape(400, 5).mean(axis=1)
    low, high = fit(values, stop).interval(0.90)
    assert (high - low) / 2 == pytest.approx(1.645 * means.std(ddof=1) / np.sqrt(400), rel=0.055)
    assert (high + low) / 2 == pytest.approx(values.mean(), abs=0.005)


@st.composite
def visits(draw):
    plants = draw(st.integers(1, 15))
    stop = draw(st.lists(st.integers(0, 3), min_size=plants, max_size=plants))
    values = draw(st.lists(st.integers(0, 50), min_size=plants, max_size=plants))
    return np.array(values) / 10, np.array(stop)


@given(visits(), st.floats(0.1, 3))
def test_uneven_stops_follow_the_formula_in_matrices(visit, planning_sd):
    values, stop = visit
    result = fit(values, stop, planning_sd)
    log_weights = []
    for at, (rho, weight) in enumerate(zip(CORRELATIONS, correlation_weights(PRIOR), strict=True)):
        likeness = np.where(stop[:, None] == stop, rho, 0.0)
        np.fill_diagonal(likeness, 1.0)
        inverse = np.linalg.inv(likeness)
        precision = inverse.sum()
        centre = (inverse @ values).sum() / precision
        planned = 2 * planning_sd**2 * WITHIN / (1 - rho)
        spread = (values - centre) @ inverse @ (values - centre) + planned
        degrees = len(values) - 1 + 2
        assert result.centre[at] == pytest.approx(centre, abs=1e-9)
        assert result.scale[at] == pytest.approx(np.sqrt(spread / degrees / precision), rel=1e-6)
        log_weights.append(
            np.log(weight * planned)
            - (np.linalg.slogdet(likeness)[1] + np.log(precision) + degrees * np.log(spread / degrees)) / 2
        )
    expected = np.exp(np.array(log_weights) - max(log_weights))
    assert result.weights == pytest.approx(expected / expected.sum(), abs=1e-9)


def test_mean_and_variance_are_integrated_out():
    """Two correlations and a chance against the plain posterior, added up over a fine grid of mean and variance."""
    values, stop, planning_sd = np.array([1.0, 2.0, 4.0, 4.5]), np.array([0, 0, 1, 1]), 1.2
    mean = np.linspace(-60, 66, 4000)[:, None]  # 3 lies half-way between two of them
    within = np.exp(np.linspace(-7, 8, 601))
    prior = stats.invgamma(1.0, scale=WITHIN * planning_sd**2).pdf(within) * within  # d log variance
    result = fit(values, stop, planning_sd)
    added_up = []
    for rho in (0.1, 0.65):
        likeness = np.kron(np.eye(2), [[1, rho], [rho, 1]]) / (1 - rho)
        about = values - mean
        squares = np.einsum("ai,ij,aj->a", about, np.linalg.inv(likeness), about)[:, None]
        density = prior * within**-2.0 * np.linalg.det(likeness) ** -0.5 * np.exp(-squares / (2 * within))
        added_up.append(density.sum())
        below = density[mean[:, 0] < 3].sum() / density.sum()
        standard = (3 - result.centre[row(rho)]) / result.scale[row(rho)]
        assert stats.t(result.degrees).cdf(standard) == pytest.approx(below, abs=1e-3)
    likelihood = result.weights / correlation_weights(PRIOR)
    assert likelihood[row(0.1)] / likelihood[row(0.65)] == pytest.approx(added_up[0] / added_up[1], rel=1e-3)


def test_quantiles_and_chances_of_a_mixture_agree():
    result = fit([1, 2, 2, 7, 8, 9], [0, 0, 0, 1, 1, 1])
    chances = np.array([0.01, 0.05, 0.5, 0.95, 0.99])
    assert result.below(result.quantile(chances)) == pytest.approx(chances, abs=1e-6)
    mixture = sum(
        weight * stats.t(result.degrees, centre, scale).cdf(4.0)
        for weight, centre, scale in zip(result.weights, result.centre, result.scale, strict=True)
    )
    assert result.below(4.0)[0] == pytest.approx(mixture)


@given(visits(), st.lists(st.floats(0.001, 0.999), min_size=1, max_size=4))
def test_quantiles_of_any_visit(visit, chances):
    result = fit(*visit)
    assert result.below(result.quantile(chances)) == pytest.approx(np.array(chances), abs=1e-5)


@pytest.mark.parametrize("chance", [0.0, 1.0])
def test_there_is_no_end_to_a_mean(chance):
    with pytest.raises(DomainError, match="probabilities must be between 0 and 1"):
        fit([1, 2], [0, 1]).quantile(chance)


def test_class_probabilities_sum_to_one_and_follow_the_limits():
    classes = fit([4, 6, 5, 7, 6, 8], [0, 0, 1, 1, 2, 2]).class_probabilities([5, 10])
    assert classes.sum() == pytest.approx(1.0)
    assert classes.argmax() == 1


def test_one_plant_is_no_surer_than_planned_for():
    # Of one plant, two degrees of freedom: 2.920 standard deviations hold 90 %; plants of other stops vary more.
    result = fit([3.0], [0], planning_sd=0.8)
    assert result.scale == pytest.approx(0.8 * np.sqrt(WITHIN / (1 - CORRELATIONS)))
    low, high = result.interval(0.90)
    assert (low + high) / 2 == pytest.approx(3.0)
    assert 2 * 2.920 * 0.8 < high - low < 4 * 2.920 * 0.8


def test_equal_plants_never_look_certain():
    for stop in ([0] * 10, np.repeat([0, 1], 5), np.arange(10)):
        low, high = fit([2.0] * 10, stop).interval(0.90)
        assert high - low > 0.3
        assert (low + high) / 2 == pytest.approx(2.0)


def test_one_stop_tells_less_than_many():
    values = np.array([1.0, 3, 2, 4, 3, 2, 5, 1])
    one, many = np.ptp(fit(values, [0] * 8).interval(0.90)), np.ptp(fit(values, np.arange(8)).interval(0.90))
    assert one > 1.3 * many


@pytest.mark.parametrize("within", [0.0, 0.3, 1.0])
def test_stops_that_are_even_and_far_apart_count_as_stops(within):
    # Three stops of ten plants with means 1, 5 and 9: three numbers with standard deviation 4, not thirty.
    stop, wobble = np.repeat([0, 1, 2], 10), within * np.tile([-1, 1], 15)
    apart = fit(np.array([1.0, 5.0, 9.0])[stop] + wobble, stop)
    mixed = fit(np.array([1.0, 5.0, 9.0])[np.arange(30) % 3] + wobble, stop)
    assert np.ptp(apart.interval(0.90)) > 2 * 4 / np.sqrt(3)
    assert np.ptp(apart.interval(0.90)) > 2 * np.ptp(mixed.interval(0.90))
    assert apart.weights @ CORRELATIONS > 0.8 > mixed.weights @ CORRELATIONS


@given(visits(), st.randoms(use_true_random=False))
def test_order_of_plants_and_names_of_stops_never_matter(visit, random):
    values, stop = visit
    order = list(range(len(values)))
    random.shuffle(order)
    first, second = fit(values, stop), fit(values[order], (7 - stop)[order])
    assert second.mean == pytest.approx(first.mean, abs=1e-9)
    assert second.interval(0.90) == pytest.approx(first.interval(0.90), abs=1e-6)


@given(visits(), st.floats(0.1, 20), st.floats(-30, 30))
def test_the_unit_of_the_values_does_not_matter(visit, factor, shift):
    values, stop = visit
    low, high = fit(values, stop, planning_sd=0.7).interval(0.90)
    other = fit(values * factor + shift, stop, planning_sd=0.7 * factor).interval(0.90)
    assert other == pytest.approx((low * factor + shift, high * factor + shift), abs=1e-5)


@given(visits())
def test_a_higher_level_holds_the_lower_one(visit):
    result = fit(*visit)
    (low, high), (lowest, highest) = result.interval(0.80), result.interval(0.95)
    assert lowest < low < high < highest


def dig(rng, truth, rho, stop, sd=1.2):
    stops = int(stop.max()) + 1
    return truth + sd * (
        np.sqrt(rho) * rng.standard_normal(stops)[stop] + np.sqrt(1 - rho) * rng.standard_normal(len(stop))
    )


def share_held(rng, stops, plants, rhos, fields=600):
    stop = np.repeat(np.arange(stops), plants)
    held = []
    for _ in range(fields):
        truth = rng.uniform(0, 13)
        low, high = fit(dig(rng, truth, rng.choice(rhos), stop), stop).interval(0.90)
        held.append(low <= truth <= high)
    return np.mean(held)


# Plants vary by 1.2 where 1.0 was planned for. The standard deviation of the share of 600 fields is 1.2 points.
@pytest.mark.parametrize(("stops", "plants"), [(1, 10), (3, 10), (6, 4)])
def test_intervals_hold_as_often_as_they_say(stops, plants):
    rng = np.random.default_rng(stops)
    rhos = rng.beta(0.3, 0.3 * (1 / PRIOR - 1), 600)  # the prior itself
    assert share_held(rng, stops, plants, rhos) == pytest.approx(0.90, abs=0.04)


@pytest.mark.parametrize(("stops", "plants", "rho", "least"), [
    (3, 10, 0.0, 0.90), (3, 10, 0.2, 0.85), (3, 10, 0.5, 0.78), (6, 10, 0.5, 0.80), (6, 10, 0.8, 0.80),
])  # fmt: skip
def test_intervals_hold_at_any_degree_of_clustering(stops, plants, rho, least):
    """Less often than on average where clustering is stronger than planned for; three stops cannot show it all."""
    assert share_held(np.random.default_rng(7), stops, plants, [rho], fields=400) >= least


def test_adding_plants_and_stops_narrows_the_interval_on_average():
    rng = np.random.default_rng(9)
    stop = np.repeat(np.arange(6), 10)
    widths = []
    for _ in range(60):
        values = dig(rng, 5.0, 0.2, stop)
        parts = (stop < 3) & (np.arange(60) % 10 < 5), stop < 3, stop < 6
        widths.append([np.ptp(fit(values[part], stop[part]).interval(0.90)) for part in parts])
    few, more, most = np.mean(widths, axis=0)
    assert few > more > most


@pytest.mark.parametrize("values", [[], [1.0, np.nan], [1.0, np.inf]])
def test_missing_values_are_refused(values):
    with pytest.raises(DomainError, match="values must be finite numbers, at least one"):
        fit(values, [0] * len(values))


@pytest.mark.parametrize("planning_sd", [0.0, -1.0, np.nan])
def test_the_planning_figure_must_be_above_zero(planning_sd):
    with pytest.raises(DomainError, match="planning_sd must be above 0"):
        fit([1.0, 2.0], [0, 1], planning_sd=planning_sd)


@pytest.mark.parametrize("mean", [0.0, 1.0, -0.1])
def test_the_planned_correlation_must_be_a_proper_share(mean):
    with pytest.raises(DomainError, match="mean must be between 0 and 1"):
        correlation_weights(mean)


def test_prior_of_the_correlation_has_the_planned_mean():
    weights = correlation_weights(0.22)
    assert weights.sum() == pytest.approx(1.0)
    # Cells up to 0.15 wide stand for their middles: a part of that may be lost.
    assert weights @ CORRELATIONS == pytest.approx(0.22, abs=0.01)
