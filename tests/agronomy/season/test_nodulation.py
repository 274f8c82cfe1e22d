import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.agronomy.scoring.share import SHARES, SharePosterior, field_share
from spadework.agronomy.season.nodulation import (
    Calibration,
    DigReading,
    calibrated,
    draw_nodulation,
    drawn_share,
    nodulation_factor,
)
from spadework.errors import DomainError
from spadework.knowledge.load import load, with_overrides

KNOWN = load()
shares = st.floats(0, 1)


def a_share(adequate, plants=30, stops=3):
    """Posterior where so many of the plants are adequate, spread over the stops alike."""
    chance = np.tile((np.arange(plants // stops) < adequate / stops).astype(float), stops)
    return field_share(stop=np.repeat(np.arange(stops), plants // stops), chance=chance, prior_correlation=0.1)


def drawn(share, *, reading=DigReading.AS_DUG, poor=1.0, colour=True, knowledge=KNOWN, draws=2000, calibration=None):
    return draw_nodulation(
        share,
        reading=reading,
        poor_with_nodules=poor,
        colour_seen=colour,
        knowledge=knowledge,
        draws=draws,
        generator=np.random.default_rng(4),
        calibration=calibration,
    )


@pytest.mark.parametrize(
    ("share", "expected"),
    [
        # z = 0.25 + 0.75 * 0.15 = 0.3625; 2 * 0.3625 / 1.3625 = 0.5321
        (0.25, 0.5321),
        # z = 0.5 + 0.5 * 0.15 = 0.575; 1.15 / 1.575 = 0.7302
        (0.5, 0.7302),
        # z = 0.9 + 0.1 * 0.15 = 0.915; 1.83 / 1.915 = 0.9556
        (0.9, 0.9556),
        (1.0, 1.0),
    ],
)
def test_factor_by_hand(share, expected):
    found = nodulation_factor(share=share, curvature=1.0, poor_activity=0.15)
    assert found == pytest.approx(expected, abs=5e-5)


def test_factor_of_nothing_is_nothing_and_unknown_stays_unknown():
    assert nodulation_factor(share=0.0, curvature=1.0, poor_activity=0.0) == 0
    found = nodulation_factor(share=[np.nan, 1.0], curvature=[[0.3], [5.0]], poor_activity=0.2)
    assert found.shape == (2, 2)
    assert np.isnan(found[:, 0]).all()


@given(shares, shares, st.floats(0.01, 10), st.floats(0, 1))
def test_factor_never_falls_with_the_share(one, other, curvature, poor):
    low, high = (
        float(nodulation_factor(share=share, curvature=curvature, poor_activity=poor)) for share in sorted((one, other))
    )
    assert 0 <= low <= high + 1e-12 <= 1 + 1e-9


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"share": 1.2}, "share must be from 0 to 1"),
        ({"curvature": 0.0}, "curvature must be above 0"),
        ({"poor_activity": [0.1, -0.1]}, "poor_activity must be from 0 to 1"),
    ],
)
def test_factor_refuses_what_cannot_be(changes, message):
    with pytest.raises(DomainError, match=message):
        nodulation_factor(**{"share": 0.5, "curvature": 1.0, "poor_activity": 0.1, **changes})


def test_fields_measured_narrow_the_spread_and_shift_the_middle():
    # 1/0.35^2 = 8.163; 3/0.25^2 = 48; (56.163)^-0.5 = 0.1334; 0.3 / 0.0625 / 56.163 = 0.0855
    shift, spread = calibrated(spread=0.35, calibration=Calibration(logs=(0.1, 0.3, -0.1), error=0.25))
    assert shift == pytest.approx(0.0855, abs=5e-5)
    assert spread == pytest.approx(0.1334, abs=5e-5)
    assert calibrated(spread=0.35, calibration=Calibration()) == (0.0, 0.35)


@pytest.mark.parametrize(
    ("made", "message"),
    [({"logs": (np.nan,), "error": 0.2}, "logs must be finite"), ({"logs": (0.1,)}, "error must be above 0")],
)
def test_calibration_refuses_what_cannot_be(made, message):
    with pytest.raises(DomainError, match=message):
        Calibration(**made)


def test_calibration_narrows_the_draws():
    share = a_share(15)
    plain = drawn(share)
    told = drawn(share, calibration=Calibration(logs=(0.0,) * 8, error=0.25))
    assert np.log(told).std() < 0.75 * np.log(plain).std()


def test_draws_have_the_shape_of_a_parameter_and_their_bounds():
    found = drawn(a_share(30))
    assert found.shape == (2000, 1)
    assert found.min() >= 0
    assert found.max() == KNOWN.figure("nodulation.highest").central


@pytest.mark.parametrize("fewer", range(0, 30, 3))
def test_more_adequate_plants_never_lower_a_draw(fewer):
    assert np.all(drawn(a_share(fewer)) <= drawn(a_share(fewer + 3)) + 1e-9)


def test_a_share_never_becomes_one_figure():
    for adequate in (0, 15, 30):
        low, high = np.quantile(drawn(a_share(adequate)), (0.05, 0.95))
        assert high - low > 0.15


def test_bare_roots_fix_next_to_nothing():
    found = drawn(a_share(0), poor=0.0)
    assert np.median(found) < 0.05
    assert np.median(drawn(a_share(0), poor=1.0)) > 2 * np.median(found)


def test_nodules_that_nobody_cut_leave_more_open_and_lower():
    assert np.median(drawn(a_share(27), colour=False)) < np.median(drawn(a_share(27)))


def test_a_dig_too_early_says_nothing():
    for share in (a_share(0), a_share(30)):
        found = drawn(share, reading=DigReading.TOO_EARLY)
        assert 0.3 <= found.min() < 0.32
        assert 0.98 < found.max() <= 1.0
    np.testing.assert_array_equal(
        drawn(a_share(0), reading=DigReading.TOO_EARLY), drawn(a_share(30), reading=DigReading.TOO_EARLY)
    )


@pytest.mark.parametrize(("reading", "least"), [(DigReading.TOO_LATE, 0.3), (DigReading.HIGH_NITRATE, 0.4)])
def test_late_digs_and_nitrate_raise_and_never_lower(reading, least):
    assert drawn(a_share(0), reading=reading).min() >= least
    assert np.all(drawn(a_share(24), reading=reading) >= drawn(a_share(24)))


def test_without_a_dig_all_is_possible():
    for found in (drawn(None), drawn(a_share(30), reading=DigReading.NONE_DUG)):
        low, high = np.quantile(found, (0.05, 0.95))
        assert low < 0.07
        assert high > 1.03


def test_an_own_figure_is_used():
    own = with_overrides(KNOWN, {"nodulation.not_dug": {"low": 0.8, "high": 0.9}})
    assert drawn(None, knowledge=own).min() >= 0.8


def test_the_generator_is_advanced_alike_whatever_is_known():
    states = []
    for share, reading in ((None, DigReading.NONE_DUG), (a_share(9), DigReading.AS_DUG)):
        generator = np.random.default_rng(1)
        draw_nodulation(
            share, reading=reading, poor_with_nodules=1.0, colour_seen=True, knowledge=KNOWN, draws=7,
            generator=generator,
        )  # fmt: skip
        states.append(generator.bit_generator.state)
    assert states[0] == states[1]


@pytest.mark.parametrize(
    ("changes", "message"), [({"draws": 0}, "draws must be at least 1"), ({"poor": 1.2}, "poor_with_nodules must be")]
)
def test_draws_refuse_what_cannot_be(changes, message):
    with pytest.raises(DomainError, match=message):
        drawn(a_share(3), **changes)


def test_a_posterior_at_one_point_gives_the_factor_there():
    weights = np.zeros((11, SHARES.size))
    weights[0, np.argmin(abs(SHARES - 0.5))] = 1.0
    sure = with_overrides(
        KNOWN,
        {
            "nodulation.curvature": {"value": 1.0},
            "nodulation.poor_activity": {"value": 0.15},
            "nodulation.spread": {"value": 1e-9},
        },
    )
    assert drawn(SharePosterior(weights), knowledge=sure) == pytest.approx(0.7302, abs=0.01)


def test_the_share_behind_each_draw_is_the_one_that_made_it():
    sharp = {"nodulation.spread": {"value": 1e-9, "low": 1e-9, "high": 1e-9}}
    sharp["nodulation.curvature"] = {"value": 1.0, "low": 1.0, "high": 1.0}
    factor = drawn(a_share(15), poor=0.0, knowledge=with_overrides(KNOWN, sharp))[:, 0]
    share = drawn_share(a_share(15), draws=2000, generator=np.random.default_rng(4))
    # With curvature 1 and nothing fixed by poor plants, by hand: 2 share / (share + 1).
    assert factor == pytest.approx(2 * share / (share + 1), rel=1e-6)
