import math

import numpy as np
import pytest
from tests.agronomy.season.seasons import cell, day

from spadework.agronomy.season.cells import Applied, Seen
from spadework.agronomy.season.day import (
    Crop,
    Soil,
    Water,
    add,
    advance,
    feed,
    freed,
    hold,
    leach,
    met,
    moisten,
    release,
    soil_at_sowing,
    stage_seen,
    water_at_sowing,
    yield_allowed,
)

NO_RULE = math.nan


@pytest.mark.parametrize(("value", "held"), [(-1.0, 0.0), (0.5, 0.5), (2.0, 1.0)])
def test_values_are_held_between_limits(value, held):
    assert hold(value, 0.0, 1.0) == held


# ---- Stage


def test_the_clock_of_a_crop_worked_by_hand():
    """10 degC d a day: 12 days to emergence (120), 4 days to flower (40), 5 to maturity (50)."""
    pea = cell(sowing_to_emergence=120.0, emergence_to_flower=40.0, flower_to_maturity=50.0)
    stage, seen = -1.0, []
    for _ in range(25):
        stage = advance(stage, pea, day(degree_days=10.0))
        seen.append(stage)

    assert seen[10] == pytest.approx(-1 / 12)
    assert seen[11] == 0
    assert seen[12:16] == pytest.approx([0.25, 0.5, 0.75, 1.0])
    assert seen[16:21] == pytest.approx([1.2, 1.4, 1.6, 1.8, 2.0])
    assert seen[21:] == [2, 2, 2, 2]


def test_what_is_left_over_at_emergence_does_not_count():
    pea = cell(sowing_to_emergence=15.0)
    today = day(degree_days=14.0)

    assert advance(advance(-1.0, pea, today), pea, today) == 0


@pytest.mark.parametrize(("stage", "later"), [(-0.5, -0.4), (0.5, 0.55), (1.5, 1.6)])
def test_day_length_counts_only_from_emergence_to_flower(stage, later):
    pea = cell(sowing_to_emergence=100.0, emergence_to_flower=100.0, flower_to_maturity=100.0)

    assert advance(stage, pea, day(degree_days=10.0, long_day=0.5)) == pytest.approx(later)


def test_what_was_seen_today_replaces_the_clock():
    seen = Seen(np.array([4, 7]), np.array([[0.3, 1.0], [np.nan, np.nan]]))

    assert [stage_seen(seen, 0, on, 0.5) for on in (3, 4, 7)] == [0.5, 0.3, 1.0]
    assert stage_seen(seen, 1, 4, 0.5) == 0.5


# ---- Water

BUCKET = {
    "available_water": 100.0,
    "root_depth": 1.0,
    "water_at_sowing": 0.6,
    "drainage_rate": 0.5,
    "depletion_share": 0.5,
    "crop_coefficient_initial": 1.0,
}


def bucket(**changed):
    soil = cell(**BUCKET | changed)
    return soil, water_at_sowing(soil)


def test_four_days_of_a_bucket_worked_by_hand():
    soil, water = bucket()
    seen = []
    for rain, use in ((0.0, 5.0), (55.0, 4.0), (10.0, 5.0), (0.0, 6.0)):
        water = moisten(water, soil, -1.0, day(rain=rain, reference_et=use))
        seen.append((water.held, water.above, water.drained_today, water.supplied))

    assert seen == [(55, 0, 0, 1), (100, 3, 3, 1), (100, 4, 4, 1), (96, 0, 2, 1)]
    assert (water.evaporated, water.drained) == (20, 9)


def test_a_dry_root_zone_gives_less_and_never_more_than_it_has():
    """fao56, chapter 8: with 120 mm available and 40 % free to use, 70 mm gone leave a stress of (120-70)/72 = 0.69."""
    soil, water = bucket(available_water=120.0, water_at_sowing=50 / 120, depletion_share=0.4)
    water = moisten(water, soil, -1.0, day(reference_et=5.0))

    assert water.supplied == pytest.approx(0.694444, abs=1e-6)
    assert water.evaporated == pytest.approx(5 * 0.694444, abs=1e-5)
    for _ in range(400):
        water = moisten(water, soil, -1.0, day(reference_et=12.0))
    assert 0 <= water.held < 1e-3


@pytest.mark.parametrize(("use", "share"), [(7.0, 0.42), (5.0, 0.5), (0.0, 0.7)])
def test_stress_comes_earlier_on_days_of_high_demand(use, share):
    """fao56: p = p of the table + 0.04 (5 - use)."""
    soil, water = bucket(water_at_sowing=0.2)

    assert moisten(water, soil, -1.0, day(reference_et=use)).supplied == pytest.approx(0.2 / (1 - share))


@pytest.mark.parametrize(
    ("stage", "coefficient"),
    [(-1.0, 0.5), (0.25, 0.5), (0.575, 0.825), (0.9, 1.15), (1.5, 1.15), (1.75, 0.725), (2.0, 0.3)],
)
def test_the_crop_coefficient_follows_the_stage(stage, coefficient):
    pea = cell(water_at_sowing=1.0)
    water = moisten(water_at_sowing(pea), pea, stage, day(reference_et=2.0))

    assert water.evaporated == pytest.approx(2 * coefficient)


def test_nodules_recover_by_equal_steps_after_waterlogging():
    """By hand: down to 0.2 while water stands, then 0.8/8 a day."""
    soil, water = bucket(
        water_at_sowing=1.0,
        waterlogged_share=0.2,
        waterlogging_recovery=8.0,
        waterlogging_excess=20.0,
        drainage_rate=0.5,
    )
    seen = []
    for rain in (60.0, 40.0, 0.0, 0.0, 0.0, 0.0):
        water = moisten(water, soil, -1.0, day(rain=rain))
        seen.append(water.unlogged)

    assert seen == pytest.approx([0.2, 0.2, 0.3, 0.4, 0.5, 0.6])
    for _ in range(10):
        water = moisten(water, soil, -1.0, day())
    assert water.unlogged == 1


# ---- Soil nitrogen


def test_mineralisation_of_a_day_worked_by_hand():
    """494 kg x 0.7 x the rate at 15 degC (10^(6.14 - 2285/288.15)/7) x (0.1 + 0.9 x 0.6)."""
    field = cell(
        organic_matter=3.0, bulk_density=1.3, carbon_to_nitrogen=11.0, mineralisable_share=0.12, field_factor=0.7
    )
    before = soil_at_sowing(field)
    soil = release(before, field, 0.6, day(mineralisation=10 ** (6.14 - 2285 / 288.15) / 7), NO_RULE)

    assert soil.mineralised == pytest.approx(0.512423, abs=1e-6)
    assert soil.organic == pytest.approx(493.566758 - 0.512423, abs=1e-5)
    assert soil.mineral == before.mineral + soil.mineralised


def test_a_rule_of_thumb_uses_up_no_organic_n():
    before = soil_at_sowing(cell())
    soil = release(before, cell(), 1.0, day(mineralisation=0.01), 100.0)

    assert soil.mineralised == pytest.approx(1.0)
    assert soil.organic == before.organic


def test_leaching_mixes_mineral_n_through_the_water_of_the_root_zone():
    """By hand: 60 kg x (1 - exp(-20/(2 x 112)))."""
    field = cell(available_water=112.0, root_depth=1.0, mineral_n_at_sowing=60.0)
    before = soil_at_sowing(field)
    soil = leach(before, field, 20.0)

    assert leach(before, field, 0.0) == before
    assert soil.leached == pytest.approx(5.124946, abs=1e-6)
    assert soil.mineral == pytest.approx(60 - 5.124946, abs=1e-6)


def test_applied_n_joins_the_mineral_pool():
    assert add(Soil(5.0, 0.0, 0.0, 1.0, 0.0), 3.0) == Soil(8.0, 0.0, 0.0, 4.0, 0.0)


def test_rain_frees_applied_n_worked_by_hand():
    """34.58 kg freed by 0, 5, 9 and 17 of 12.7 mm."""
    applied = Applied(np.array([2]), np.array([12.7]), np.array([[34.58]]))
    fallen, gone, seen = np.zeros(1), 0.0, []
    assert freed(applied, 0, 0, fallen, 1, 30.0) == 0
    for on, rain in ((2, 0.0), (3, 5.0), (4, 4.0), (5, 8.0)):
        gone += freed(applied, 0, 0, fallen, on, rain)
        seen.append(gone)

    assert seen == pytest.approx([0, 13.614173, 24.505512, 34.58], abs=1e-6)
    assert freed(applied, 0, 0, fallen, 6, 20.0) == 0


def test_n_in_the_soil_waits_for_no_rain():
    applied = Applied(np.array([0]), np.array([0.0]), np.array([[8.0], [16.0]]))

    assert [freed(applied, 0, row, np.zeros(1), 0, 0.0) for row in (0, 1)] == [8, 16]
    assert freed(applied, 0, 0, np.zeros(1), 1, 5.0) == 0


# ---- Crop

UNBORN = Crop(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)


def fed(stage, plant, crop=UNBORN, *, mineral=60.0, fraction=0.6, growth=1.0, warmth=1.0, unlogged=1.0):
    water = Water(0.0, 0.0, unlogged, fraction, 1.0, 0.0, 0.0, 0.0)
    return feed(crop, plant, stage, water, mineral, day(fixation_warmth=warmth), growth)


@pytest.mark.parametrize(
    ("middle_stage", "full", "stage", "grown"),
    [
        (1.4, 1.9, 0.5, 0.023802),
        (1.4, 1.9, 1.06, 0.291765),
        (1.4, 1.9, 1.4, 0.62669),
        (1.4, 1.9, 1.9, 1.0),
        (1.4, 1.9, 2.0, 1.0),
        (1.0, 1.6, 0.5, 0.127418),
        (1.0, 1.6, 1.0, 0.571097),
        (1.0, 1.6, 1.3, 0.862224),
    ],
)
def test_demand_follows_the_beta_curve(middle_stage, full, stage, grown):
    """yin2003: w/wmax = (1 + (e - t)/(e - m)) (t/e)^(e/(e - m)), worked by hand to six digits."""
    plant = cell(fastest_uptake_stage=middle_stage, full_uptake_stage=full, expected_yield=2.0)

    assert fed(stage, plant).demand / plant["full_uptake"] == pytest.approx(grown, abs=1e-6)


PARTITION = {
    "nodulation": 1.0,
    "spare_capacity": 0.8,
    "half_sparing_n": 100.0,
    "uptake_rate": 0.04,
    "unreachable_n": 8.0,
    "highest_fixation": 8.0,
    "catch_up_rate": 0.0,
    "nodule_lag": 0.0,
    "nodule_rise": 0.5,
}
ACTIVE = UNBORN._replace(nodule_days=100.0)


def at_first_flower(asked, **changed):
    """A pea at first flower that asks for so much today."""
    plant = cell(**PARTITION | changed)
    plant["full_uptake"] = asked / 0.5710970  # the beta curve of pea at stage 1, from nothing
    return plant


def test_soil_and_nodules_share_the_day_worked_by_hand():
    """Ask 4: nodules could give 3.2; soil reaches 0.04 x 52 = 2.08 but gives 4 - 3.2 x (1 - 60/160) = 2."""
    crop = fed(1.0, at_first_flower(4.0), ACTIVE)

    assert crop.taken_today == crop.taken == pytest.approx(2.0, abs=1e-5)
    assert crop.fixed == pytest.approx(2.0, abs=1e-5)
    assert crop.nitrogen == pytest.approx(4.0, abs=1e-5)


def test_without_nodules_a_crop_takes_all_that_it_reaches():
    crop = fed(1.0, at_first_flower(4.0, nodulation=0.0), ACTIVE)

    assert (crop.taken, crop.fixed) == (pytest.approx(2.08), 0)


@pytest.mark.parametrize(
    ("hindrance", "left"),
    [
        ({"warmth": 0.5}, 0.5),
        ({"unlogged": 0.2}, 0.2),
        ({"fraction": 0.2}, 0.5),  # fixation of pea falls under 0.4
        ({"fraction": 0.0}, 0.0),
        ({"mineral": 200.0}, 0.5),  # free to 100 kg/ha, none from 300 on
        ({"mineral": 320.0}, 0.0),
        ({"mineral": 200.0, "fraction": 0.1}, 0.25),  # the smaller of the two, not their product
    ],
)
def test_each_hindrance_takes_its_share_of_fixation(hindrance, left):
    plant = at_first_flower(0.4, uptake_rate=0.0, highest_fixation=99.0)
    full = fed(1.0, plant, ACTIVE).fixed

    assert full == pytest.approx(0.32, abs=1e-6)
    assert fed(1.0, plant, ACTIVE, **hindrance).fixed == pytest.approx(left * full, abs=1e-9)


def test_a_day_of_fixation_has_a_most():
    # Nodules of 0.8 capacity give 0.8 of the most.
    assert fed(1.0, at_first_flower(100.0), ACTIVE).fixed == pytest.approx(8 * 0.8)


def test_nodules_come_late_and_go_early():
    changed = {**PARTITION, "nodule_lag": 12.0, "nodule_rise": 14.0, "uptake_rate": 0.0, "highest_fixation": 99.0}
    plant = cell(**changed)
    young, grown = (fed(0.5, plant, UNBORN._replace(nodule_days=before)) for before in (5.0, 18.0))
    old = fed(1.95, plant, ACTIVE)

    assert young.fixed == old.fixed == 0
    assert grown.nodule_days == 19
    assert grown.fixed == pytest.approx(0.8 * 7 / 14 * grown.demand)


@pytest.mark.parametrize(("stage", "left"), [(1.0, 1.0), (1.3, (1.6 - 1.3) / 0.6)])
def test_arrears_are_asked_for_again_until_they_fade(stage, left):
    plant = at_first_flower(0.0, catch_up_rate=0.03, nodulation=0.0, half_sparing_n=1.0)
    behind = ACTIVE._replace(demand=30.0, nitrogen=10.0, grown=1.0)

    assert fed(stage, plant, behind).taken == pytest.approx(0.03 * 20 * left)


def test_water_that_limits_growth_limits_demand():
    assert fed(1.0, cell(), growth=0.5).demand == pytest.approx(0.5 * fed(1.0, cell()).demand)


# ---- The season


def test_what_is_met_is_a_share_of_what_is_asked():
    assert (met(3.0, 4.0), met(5.0, 4.0)) == (0.75, 1)
    assert math.isnan(met(1.0, 0.0))


def test_the_yield_that_nitrogen_allows_worked_by_hand():
    """Met 0.8 at maturity and 0.6 at seed set, weights 0.75 and 0.25: 0.75; diluted by 0.4: 0.75 (1 + 0.4 x 0.25)."""
    plant = cell(final_status_weight=0.75, dilution=0.4)

    assert yield_allowed(0.8, 0.6, plant) == pytest.approx(0.825)
    assert yield_allowed(0.8, 0.9, plant) == pytest.approx(0.8 * (1 + 0.4 * 0.2))
    assert math.isnan(yield_allowed(0.8, math.nan, plant))
