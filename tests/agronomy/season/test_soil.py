import numpy as np
import pytest
from tests.agronomy.season.seasons import middle

from spadework.agronomy.season.chunk import chunk_of
from spadework.agronomy.season.crop import Clock
from spadework.agronomy.season.soil import Nitrogen, Water, free, leach, moisten, release

BUCKET = {
    "available_water": 100.0,
    "root_depth": 1.0,
    "water_at_sowing": 0.6,
    "drainage_rate": 0.5,
    "depletion_share": 0.5,
    "crop_coefficient_initial": 1.0,
}


def bucket(**changed):
    part = chunk_of(middle(**BUCKET | changed), 0, 1)
    return part, Water.at_sowing(part, 1), Clock.at_sowing(1)


def test_four_days_of_a_bucket_worked_by_hand():
    part, water, clock = bucket()
    seen = []
    for rain, use in ((0.0, 5.0), (55.0, 4.0), (10.0, 5.0), (0.0, 6.0)):
        before = water.drained[0]
        moisten(water, clock, part, rain=rain, reference_et=use)
        seen.append((water.held[0], water.above[0], water.drained[0] - before, water.supplied[0]))

    assert seen == [(55, 0, 0, 1), (100, 3, 3, 1), (100, 4, 4, 1), (96, 0, 2, 1)]
    assert water.evaporated[0] == 20


def test_a_dry_root_zone_gives_less_and_never_more_than_it_has():
    """fao56, chapter 8: with 120 mm available and 40 % free to use, 70 mm gone leave a stress of (120-70)/72 = 0.69."""
    part, water, clock = bucket(available_water=120.0, water_at_sowing=50 / 120, depletion_share=0.4)
    moisten(water, clock, part, rain=0.0, reference_et=5.0)

    assert water.supplied[0] == pytest.approx(0.694444, abs=1e-6)
    assert water.evaporated[0] == pytest.approx(5 * 0.694444, abs=1e-5)
    for _ in range(400):
        moisten(water, clock, part, rain=0.0, reference_et=12.0)
    assert 0 <= water.held[0] < 1e-3


@pytest.mark.parametrize(("use", "share"), [(7.0, 0.42), (5.0, 0.5), (0.0, 0.7)])
def test_stress_comes_earlier_on_days_of_high_demand(use, share):
    """fao56: p = p of the table + 0.04 (5 - use)."""
    part, water, clock = bucket(water_at_sowing=0.2)
    moisten(water, clock, part, rain=0.0, reference_et=use)

    assert water.supplied[0] == pytest.approx(0.2 / (1 - share))


@pytest.mark.parametrize(
    ("stage", "coefficient"),
    [(-1, 0.5), (0.25, 0.5), (0.575, 0.825), (0.9, 1.15), (1.5, 1.15), (1.75, 0.725), (2, 0.3)],
)
def test_the_crop_coefficient_follows_the_stage(stage, coefficient):
    part = chunk_of(middle(water_at_sowing=1.0), 0, 1)
    water, clock = Water.at_sowing(part, 1), Clock(stage=np.array([float(stage)]))
    clock.settle()
    moisten(water, clock, part, rain=0.0, reference_et=2.0)

    assert water.evaporated[0] == pytest.approx(2 * coefficient)


def test_nodules_recover_by_equal_steps_after_waterlogging():
    """By hand: down to 0.2 while water stands, then 0.8/8 a day."""
    part, water, clock = bucket(
        water_at_sowing=1.0,
        waterlogged_share=0.2,
        waterlogging_recovery=8.0,
        waterlogging_excess=20.0,
        drainage_rate=0.5,
    )
    seen = []
    for rain in (60.0, 40.0, 0.0, 0.0, 0.0, 0.0):
        moisten(water, clock, part, rain=rain, reference_et=0.0)
        seen.append(water.unlogged[0])

    assert seen == pytest.approx([0.2, 0.2, 0.3, 0.4, 0.5, 0.6])
    for _ in range(10):
        moisten(water, clock, part, rain=0.0, reference_et=0.0)
    assert water.unlogged[0] == 1


def mineral(**changed):
    part, water, clock = bucket(**changed)
    return part, water, clock, Nitrogen.at_sowing(part, 1)


def test_mineralisation_of_a_day_worked_by_hand():
    """494 kg x 0.7 x the rate at 15 degC (10^(6.14 - 2285/288.15)/7) x (0.1 + 0.9 x 0.6)."""
    part, water, _, soil = mineral(
        organic_matter=3.0, bulk_density=1.3, carbon_to_nitrogen=11.0, mineralisable_share=0.12, field_factor=0.7
    )
    water.fraction[:] = 0.6
    release(soil, water, part, rate=10 ** (6.14 - 2285 / 288.15) / 7, rule=None)

    assert soil.mineralised[0] == pytest.approx(0.512423, abs=1e-6)
    assert soil.organic[0] == pytest.approx(493.566758 - 0.512423, abs=1e-5)


def test_a_rule_of_thumb_uses_up_no_organic_n():
    part, water, _, soil = mineral()
    water.fraction[:] = 1.0
    before = soil.organic.copy()
    release(soil, water, part, rate=0.01, rule=np.array([100.0]))

    assert soil.mineralised[0] == pytest.approx(1.0)
    np.testing.assert_array_equal(soil.organic, before)


def test_leaching_mixes_mineral_n_through_the_water_of_the_root_zone():
    """By hand: 60 kg x (1 - exp(-20/(2 x 112)))."""
    part, water, _, soil = mineral(available_water=112.0, mineral_n_at_sowing=60.0)
    leach(soil, water, part)
    assert soil.leached[0] == 0

    water.drained_today[:], water.drains = 20.0, True
    leach(soil, water, part)

    assert soil.leached[0] == pytest.approx(5.124946, abs=1e-6)
    assert soil.mineral[0] == pytest.approx(60 - 5.124946, abs=1e-6)


def test_applied_n_joins_the_mineral_pool():
    _, _, _, soil = mineral(mineral_n_at_sowing=10.0)
    free(soil, np.array([4.0]))

    assert (soil.mineral[0], soil.freed[0]) == (14, 4)
