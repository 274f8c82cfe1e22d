from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spadework.agronomy.rescue.losses import (
    LOSS_CHANCES,
    Surface,
    ammonia_loss,
    leaf_burn,
    soaking_delay,
    surface_on,
    wheel_loss,
)
from spadework.agronomy.rescue.products import offered_products, placements_of, products_known
from spadework.agronomy.season import daily_weather
from spadework.errors import DomainError
from spadework.knowledge.load import load
from spadework.knowledge.rows import Spreading

KNOWN = load()
DRAWS = 2000
CHANCES = np.random.default_rng(1).random((LOSS_CHANCES, DRAWS, 1))
SPREADS = {row.name: row for row in KNOWN.of(Spreading)}
LOSING = st.sampled_from([row.name for row in products_known(KNOWN) if row.form != "gas"])
ANSWERS = st.sampled_from([True, False, None])


def ground(delay, warmth=25.0, residue=False, alkaline=False):
    return Surface(delay=np.array([[delay]]), warmth=np.array([[warmth]]), residue=residue, alkaline=alkaline)


def lost(product, *args, chances=CHANCES, **kwargs):
    return ammonia_loss(product, ground(*args, **kwargs), chances=chances, knowledge=KNOWN).share


# ---- The wait for rain


def test_the_wait_for_a_soaking_rain_worked_by_hand():
    rain = np.array([[0, 13.0, 5.0, 5.0, 5.0, 12.7, 40.0], [0, 0, 6.0, 6.0, 6.0, 6.0, 6.0]])

    assert soaking_delay(rain, day=0, at_least=12.7).tolist() == [[1.0], [np.inf]]
    assert soaking_delay(rain, day=1, at_least=12.7).tolist() == [[0.0], [np.inf]]
    # Showers that add up to more do not count.
    assert soaking_delay(rain, day=2, at_least=12.7).tolist() == [[3.0], [np.inf]]


def test_a_day_outside_the_weather_is_refused():
    for day in (-1, 3):
        with pytest.raises(DomainError, match="day must be from 0 to 2"):
            soaking_delay(np.zeros((1, 3)), day=day, at_least=12.7)


def test_each_draw_meets_its_own_row():
    rain = np.zeros((2, 30))
    rain[1, 14] = 20.0
    rain[0, 3] = 20.0
    mean = np.array([[10.0], [24.0]]) + np.zeros((2, 30))
    mean[:, 20:] = -5.0
    weather = daily_weather(latitude=50.0, day_of_year=np.arange(120, 150), tmin=mean - 5, tmax=mean + 5, rain=rain)
    found = surface_on(10, weather=weather, weather_of=np.array([1, 0, 1]), knowledge=KNOWN)

    assert found.delay.ravel().tolist() == [4.0, np.inf, 4.0]
    assert found.warmth.ravel().tolist() == [24.0, 10.0, 24.0]  # days 10 to 19
    assert surface_on(10, weather=weather, weather_of=None, knowledge=KNOWN).delay.shape == (2, 1)


@pytest.mark.parametrize(("delay", "warmth"), [(-1.0, 20.0), (np.nan, 20.0), (3.0, np.nan)])
def test_a_surface_that_cannot_be_is_refused(delay, warmth):
    with pytest.raises(DomainError):
        ground(delay, warmth)


@pytest.mark.parametrize(
    ("residue", "alkaline", "hastened"),
    [(True, None, True), (None, True, True), (False, False, False), (False, None, None), (None, False, None)],
)
def test_what_hastens_the_loss_is_not_known_unless_both_are(residue, alkaline, hastened):
    assert ground(3.0, residue=residue, alkaline=alkaline).hastened is hastened


# ---- Ammonia


@pytest.mark.parametrize(
    ("delay", "low", "middle", "high"),
    [(0.0, 0.0, 0.03, 0.08), (2.0, 0.0, 0.03, 0.08), (5.0, 0.03, 0.10, 0.20), (10.0, 0.10, 0.25, 0.40)],
)
def test_urea_loses_what_the_tables_say(delay, low, middle, high):
    found = lost("urea", delay)
    mean = (low + middle + high) / 3  # of a triangle

    assert low <= found.min()
    assert found.max() <= high
    assert found.mean() == pytest.approx(mean, abs=0.004)


def test_between_the_days_it_runs_straight_and_after_the_last_it_stays():
    np.testing.assert_allclose(lost("urea", 7.5), (lost("urea", 5.0) + lost("urea", 10.0)) / 2)
    np.testing.assert_array_equal(lost("urea", 10.0), lost("urea", np.inf))


def test_cool_weather_loses_less_in_proportion():
    cool, mild, warm = (lost("urea", 8.0, warmth) for warmth in (10.0, 15.0, 20.0))

    np.testing.assert_allclose(mild, (cool + warm) / 2)
    assert (cool / warm).min() >= 0.5
    assert np.mean(cool / warm) == pytest.approx((0.5 + 0.7 + 1.0) / 3, abs=0.01)
    np.testing.assert_array_equal(lost("urea", 8.0, 2.0), cool)


def test_residue_or_alkaline_soil_hastens_once_and_unknown_lies_between():
    bare, covered = lost("urea", 8.0), lost("urea", 8.0, residue=True)
    unknown = lost("urea", 8.0, residue=None)

    np.testing.assert_array_equal(covered, lost("urea", 8.0, residue=True, alkaline=True))
    assert np.all(bare <= unknown)
    assert np.all(unknown <= covered)
    assert bare.mean() < unknown.mean() < covered.mean()
    assert (covered / bare).max() <= 1.6 + 1e-12


def test_half_of_a_solution_is_urea():
    share = lost("uan_28", 8.0) / lost("urea", 8.0)

    assert share.min() >= 0.4
    assert share.max() <= 0.6
    np.testing.assert_array_equal(lost("uan_32", 8.0), lost("uan_28", 8.0))


def test_ammonium_is_lost_on_alkaline_soil_alone():
    plain, limed, unknown = (lost("ammonium_sulphate", 10.0, alkaline=answer) for answer in (False, True, None))

    assert plain.max() < 0.05
    assert np.all(plain < limed)
    assert np.all((plain <= unknown) & (unknown <= limed))
    # Nitrates do not care, but for what hastens all of it.
    assert lost("ammonium_nitrate", 10.0, alkaline=True).max() < 0.07


@pytest.mark.parametrize("product", ["manure", "other", "anhydrous_ammonia"])
def test_of_some_products_nothing_is_known(product):
    assert ammonia_loss(product, ground(3.0), chances=CHANCES, knowledge=KNOWN) is None


@given(LOSING, st.floats(0, 40), st.floats(-10, 45), ANSWERS, ANSWERS)
def test_a_loss_is_a_share(product, delay, warmth, residue, alkaline):
    found = lost(product, delay, warmth, residue, alkaline)

    assert np.all((found >= 0) & (found <= 1))
    assert found.shape == (DRAWS, 1)


@given(st.floats(0, 40), st.floats(-10, 45), ANSWERS, ANSWERS)
def test_an_inhibitor_never_raises_the_loss(delay, warmth, residue, alkaline):
    surface = (delay, warmth, residue, alkaline)
    assert np.all(lost("urea_inhibited", *surface) <= lost("urea", *surface))


@given(LOSING, st.floats(0, 40), st.floats(0, 40), ANSWERS)
def test_a_later_rain_never_lowers_the_loss(product, delay, more, residue):
    sooner, later = (lost(product, wait, 18.0, residue) for wait in (delay, delay + more))
    assert np.all(later >= sooner - 1e-12)


@given(LOSING, st.floats(0, 40), st.floats(-10, 45), st.floats(0, 30))
def test_warmth_never_lowers_the_loss(product, delay, warmth, more):
    assert np.all(lost(product, delay, warmth + more) >= lost(product, delay, warmth) - 1e-12)


def test_the_rows_of_a_loss_are_there():
    for row in products_known(KNOWN):
        found = ammonia_loss(row.name, ground(3.0, alkaline=None), chances=CHANCES, knowledge=KNOWN)
        assert found is None or all(name in KNOWN.rows for name in found.rows)


# ---- Leaves and wheels


def test_leaf_burn_is_told_for_the_common_rate_and_grows_with_it():
    chance = CHANCES[0]
    common = leaf_burn(SPREADS["streams"], rate=56.04, chance=chance, knowledge=KNOWN).share
    twice = leaf_burn(SPREADS["streams"], rate=112.08, chance=chance, knowledge=KNOWN).share

    assert (common.min(), common.max()) == (pytest.approx(0, abs=0.002), pytest.approx(0.08, abs=0.002))
    np.testing.assert_allclose(twice, 2 * common)
    assert np.all(leaf_burn(SPREADS["streams"], rate=0.0, chance=chance, knowledge=KNOWN).share == 0)
    assert leaf_burn(SPREADS["flat_fan"], rate=1e6, chance=chance, knowledge=KNOWN).share.max() == 1


def test_a_gentler_way_never_burns_more():
    for row in offered_products(KNOWN):
        ways = [
            leaf_burn(way, rate=56.04, chance=CHANCES[0], knowledge=KNOWN).share
            for way in placements_of(row.name, KNOWN)
        ]
        for gentle, rough in pairwise(ways):
            assert np.all(gentle <= rough)


def test_wheels_worked_by_hand():
    middle = np.full((2, 1, 1), 0.5)
    narrow = wheel_loss(implement_width=12.0, chances=middle, knowledge=KNOWN)
    wide = wheel_loss(implement_width=36.0, chances=middle, knowledge=KNOWN)
    guessed = wheel_loss(implement_width=None, chances=middle, knowledge=KNOWN)

    # The middle of the first triangle is 0.9 m; that of 0.2, 0.5, 0.9 is 0.9 - sqrt(0.5 x 0.7 x 0.4).
    assert narrow.share[0, 0] == pytest.approx(0.9 * (0.9 - 0.14**0.5) / 12)
    np.testing.assert_allclose(narrow.share, 3 * wide.share)
    assert wide.share < guessed.share < narrow.share
    assert set(guessed.rows) - set(wide.rows) == {"rescue.wheels.implement_width"}


@settings(max_examples=30)
@given(st.floats(0.5, 60))
def test_wheels_take_a_share(width):
    share = wheel_loss(implement_width=width, chances=CHANCES[:2], knowledge=KNOWN).share
    assert np.all((share >= 0) & (share <= 1))


def test_a_width_of_nothing_is_refused():
    with pytest.raises(DomainError, match="implement_width must be above 0"):
        wheel_loss(implement_width=0.0, chances=CHANCES[:2], knowledge=KNOWN)
