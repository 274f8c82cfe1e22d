"""The share between two ends: by hand, by simulation, and what must always hold."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.agronomy.fixation.two_pools import (
    effective_degrees,
    interval_multiplier,
    share_from_air,
    share_interval,
    share_standard_error,
)
from spadework.errors import DomainError

FIELD = {"legume": 1.0, "reference": 6.0, "air": -1.0, "legume_se": 0.3, "reference_se": 0.5, "air_se": 0.4}


def test_share_by_hand():
    # (6 - 1) / (6 + 1)
    assert share_from_air(legume=1.0, reference=6.0, air=-1.0) == pytest.approx(5 / 7)


def test_shapes_broadcast_and_nothing_known_stays_unknown():
    found = share_from_air(legume=[1.0, np.nan, -1.0], reference=[[6.0], [3.0]], air=-1.0)
    assert found.shape == (2, 3)
    assert np.isnan(found[:, 1]).all()
    assert found[:, 2].tolist() == [1.0, 1.0]


def test_equal_ends_give_no_share():
    assert np.isnan(share_from_air(legume=1.0, reference=2.0, air=2.0))


def test_standard_error_by_hand():
    # Share 5/7: (0.3^2 + (2/7)^2 0.5^2 + (5/7)^2 0.4^2) / 7^2
    expected = np.sqrt(0.3**2 + (2 / 7 * 0.5) ** 2 + (5 / 7 * 0.4) ** 2) / 7
    assert share_standard_error(**FIELD) == pytest.approx(expected)
    # A covariance of 0.1 takes 2 x 2/7 x 0.1 off the upper sum.
    less = np.sqrt((expected * 7) ** 2 - 2 * 2 / 7 * 0.1) / 7
    assert share_standard_error(**FIELD, covariance=0.1) == pytest.approx(less)


def test_pairs_that_move_together_are_told_so_by_simulation():
    rng = np.random.default_rng(7)
    legume, reference = rng.multivariate_normal([1.0, 6.0], [[0.09, 0.1], [0.1, 0.25]], size=200_000).T
    air = rng.normal(-1.0, 0.4, legume.size)
    simulated = share_from_air(legume=legume, reference=reference, air=air).std()
    # First-order propagation against draws: half a point is what the curvature leaves.
    assert share_standard_error(**FIELD, covariance=0.1) == pytest.approx(simulated, abs=0.005)


@pytest.mark.parametrize("reference", [1.5, 2.0, 4.0, 8.0])
def test_interval_holds_the_true_share_as_often_as_it_says(reference):
    rng = np.random.default_rng(11)
    truth = 0.7
    ends = {"reference": rng.normal(reference, 0.5, 40_000), "air": rng.normal(-1.0, 0.4, 40_000)}
    mean = reference - truth * (reference + 1.0)
    errors = {"legume_se": 0.3, "reference_se": 0.5, "air_se": 0.4}
    low, high = share_interval(legume=rng.normal(mean, 0.3, 40_000), **ends, **errors, multiplier=1.6449)
    # Three standard errors of 40,000 draws at 90 % are 0.0045; no bias however close the ends are.
    assert np.mean((low <= truth) & (truth <= high)) == pytest.approx(0.90, abs=0.005)


def test_interval_of_ends_that_cannot_be_told_apart_is_everything():
    low, high = share_interval(**{**FIELD, "reference": 0.0}, multiplier=1.96)
    assert (low, high) == (-np.inf, np.inf)


figures = st.floats(-3, 8)
errors = st.floats(0.01, 2)


@given(figures, st.floats(2, 12), st.floats(-4, 0), st.tuples(errors, errors, errors))
def test_interval_encloses_the_share(legume, reference, air, spreads):
    parts = {"legume": legume, "reference": reference, "air": air}
    spread = dict(zip(("legume_se", "reference_se", "air_se"), spreads, strict=True))
    low, high = share_interval(**parts, **spread, multiplier=1.6449)
    assert low <= share_from_air(**parts) + 1e-9
    assert high >= share_from_air(**parts) - 1e-9


@given(figures, figures, st.floats(2, 12), st.floats(-4, 0))
def test_a_lighter_legume_never_has_the_smaller_share(one, other, reference, air):
    lighter, heavier = sorted((one, other))
    ends = {"reference": reference, "air": air}
    assert share_from_air(legume=lighter, **ends) >= share_from_air(legume=heavier, **ends)


def test_interval_is_unknown_where_an_error_is():
    low, high = share_interval(**{**FIELD, "reference_se": np.nan}, multiplier=1.96)
    assert np.isnan(low)
    assert np.isnan(high)
    assert np.isnan(share_standard_error(**{**FIELD, "legume_se": np.nan}))


def test_degrees_of_freedom_by_hand():
    # Equal variances with 3 and 3 degrees: (1 + 1)^2 / (1/3 + 1/3) = 6.
    assert effective_degrees(variances=[1.0, 1.0], degrees=[3, 3]) == pytest.approx(6)
    # A part taken as known adds variance and no doubt about it: (1 + 1)^2 / (1/3) = 12.
    assert effective_degrees(variances=[1.0, 1.0], degrees=[3, np.inf]) == pytest.approx(12)
    assert effective_degrees(variances=[[1.0, 0.0], [0.0, 0.0]], degrees=[3, 5]).tolist() == [3.0, np.inf]


def test_multipliers_of_printed_tables():
    # Common practice, no source: tables of t print 2.353 (3 degrees) and 1.645 (normal) for 90 % on both sides.
    assert interval_multiplier(level=0.90, degrees=3) == pytest.approx(2.353, abs=0.0005)
    assert interval_multiplier(level=0.90, degrees=np.inf) == pytest.approx(1.645, abs=0.0005)


@pytest.mark.parametrize(
    ("changed", "message"),
    [({"level": 1.0}, "level must be between 0 and 1"), ({"degrees": 0.0}, "degrees must be above 0")],
)
def test_a_multiplier_needs_a_level_and_degrees(changed, message):
    with pytest.raises(DomainError, match=message):
        interval_multiplier(**{"level": 0.9, "degrees": 3.0, **changed})
