import numpy as np
import pytest
from tests.agronomy.season.seasons import middle

from spadework.agronomy.season.chunk import chunk_of
from spadework.agronomy.season.crop import Clock, Crop, advance, feed


def clock_at(*stages):
    clock = Clock(stage=np.array(stages, dtype=float))
    clock.settle()
    return clock


def test_the_clock_of_a_crop_worked_by_hand():
    """10 degC d a day: 12 days to emergence (120), 4 days to flower (40), 5 to maturity (50)."""
    part = chunk_of(middle(sowing_to_emergence=120.0, emergence_to_flower=40.0, flower_to_maturity=50.0), 0, 1)
    clock, seen = Clock.at_sowing(1), []
    for _ in range(25):
        advance(clock, part, degree_days=10.0, long_day=1.0)
        seen.append(clock.stage[0])

    assert seen[10] == pytest.approx(-1 / 12)
    assert seen[11] == 0
    assert seen[12:16] == pytest.approx([0.25, 0.5, 0.75, 1.0])
    assert seen[16:21] == pytest.approx([1.2, 1.4, 1.6, 1.8, 2.0])
    assert seen[21:] == [2, 2, 2, 2]


def test_what_is_left_over_at_emergence_does_not_count():
    part = chunk_of(middle(sowing_to_emergence=15.0), 0, 1)
    clock = Clock.at_sowing(1)
    for _ in range(2):
        advance(clock, part, degree_days=14.0, long_day=1.0)

    assert clock.stage[0] == 0


def test_day_length_counts_only_from_emergence_to_flower():
    part = chunk_of(middle(sowing_to_emergence=100.0, emergence_to_flower=100.0, flower_to_maturity=100.0), 0, 3)
    clock = clock_at(-0.5, 0.5, 1.5)
    advance(clock, part, degree_days=10.0, long_day=0.5)

    assert clock.stage == pytest.approx([-0.4, 0.55, 1.6])
    assert (clock.lowest, clock.highest) == (clock.stage[0], clock.stage[2])


def fed(clock, part, crop=None, *, mineral=60.0, fraction=0.6, growth=None, warmth=1.0, unlogged=1.0):
    rows = clock.stage.size
    crop = crop or Crop.at_sowing(rows)
    pool = np.full(rows, mineral)
    feed(
        crop,
        clock,
        part,
        mineral_n=pool,
        water_fraction=np.full(rows, fraction),
        unlogged=np.full(rows, unlogged),
        growth=growth,
        nodulation_warmth=1.0,
        fixation_warmth=warmth,
    )
    return crop, pool


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
    part = chunk_of(middle(fastest_uptake_stage=middle_stage, full_uptake_stage=full, expected_yield=2.0), 0, 1)
    crop, _ = fed(clock_at(stage), part)

    assert crop.demand[0] / part.full_uptake == pytest.approx(grown, abs=1e-6)


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


def at_first_flower(asked, **changed):
    """A pea at first flower that asks for so much today, with nodules in full activity."""
    part = chunk_of(middle(**PARTITION | changed), 0, 1)
    part.full_uptake = asked / 0.5710970  # the beta curve of pea at stage 1, from nothing
    crop = Crop.at_sowing(1)
    crop.nodule_days[:] = 100.0
    return part, crop


def test_soil_and_nodules_share_the_day_worked_by_hand():
    """Ask 4: nodules could give 3.2; soil reaches 0.04 x 52 = 2.08 but gives 4 - 3.2 x (1 - 60/160) = 2."""
    part, crop = at_first_flower(4.0)
    crop, pool = fed(clock_at(1.0), part, crop)

    assert crop.taken[0] == pytest.approx(2.0, abs=1e-5)
    assert crop.fixed[0] == pytest.approx(2.0, abs=1e-5)
    assert pool[0] == pytest.approx(58, abs=1e-5)


def test_without_nodules_a_crop_takes_all_that_it_reaches():
    part, crop = at_first_flower(4.0, nodulation=0.0)
    crop, _ = fed(clock_at(1.0), part, crop)

    assert (crop.taken[0], crop.fixed[0]) == (pytest.approx(2.08), 0)


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
    part, crop = at_first_flower(0.4, uptake_rate=0.0, highest_fixation=99.0)
    free_crop, _ = fed(clock_at(1.0), part, crop)
    full = free_crop.fixed[0]
    part, crop = at_first_flower(0.4, uptake_rate=0.0, highest_fixation=99.0)
    hindered, _ = fed(clock_at(1.0), part, crop, **hindrance)

    assert full == pytest.approx(0.32, abs=1e-6)
    assert hindered.fixed[0] == pytest.approx(left * full, abs=1e-9)


def test_a_day_of_fixation_has_a_most():
    part, crop = at_first_flower(100.0)
    crop, _ = fed(clock_at(1.0), part, crop)

    assert crop.fixed[0] == pytest.approx(8 * 0.8)  # nodules of 0.8 capacity give 0.8 of the most


def test_nodules_come_late_and_go_early():
    changed = {**PARTITION, "nodule_lag": 12.0, "nodule_rise": 14.0, "uptake_rate": 0.0, "highest_fixation": 99.0}
    part = chunk_of(middle(**changed), 0, 1)
    young, grown = Crop.at_sowing(1), Crop.at_sowing(1)
    young.nodule_days[:], grown.nodule_days[:] = 5.0, 18.0
    fed(clock_at(0.5), part, young)
    fed(clock_at(0.5), part, grown)
    old, _ = fed(clock_at(1.95), part, Crop.at_sowing(1))

    assert young.fixed[0] == old.fixed[0] == 0
    assert grown.nodule_days[0] == 19
    assert grown.fixed[0] == pytest.approx(0.8 * 7 / 14 * grown.demand[0])


def test_arrears_are_asked_for_again_until_they_fade():
    part, crop = at_first_flower(0.0, catch_up_rate=0.03, nodulation=0.0, half_sparing_n=1.0)
    crop.demand[:], crop.nitrogen[:], crop.grown[:] = 30.0, 10.0, 1.0
    fed(clock_at(1.0), part, crop)
    assert crop.taken[0] == pytest.approx(0.03 * 20)

    part, late = at_first_flower(0.0, catch_up_rate=0.03, nodulation=0.0, half_sparing_n=1.0)
    late.demand[:], late.nitrogen[:], late.grown[:] = 30.0, 10.0, 1.0
    fed(clock_at(1.3), part, late)
    assert late.taken[0] == pytest.approx(0.03 * 20 * (1.6 - 1.3) / 0.6)


def test_water_that_limits_growth_limits_demand():
    part = chunk_of(middle(), 0, 1)
    whole, _ = fed(clock_at(1.0), part)
    half, _ = fed(clock_at(1.0), part, growth=np.array([0.5]))

    assert half.demand[0] == pytest.approx(0.5 * whole.demand[0])


def test_a_crop_grows_from_emergence_to_maturity():
    assert [clock_at(*stages).grows for stages in ((-1, -0.1), (-1, 0), (0.5, 2), (2, 2))] == [False, True, True, False]


def test_before_emergence_nothing_is_asked():
    part = chunk_of(middle(), 0, 2)
    crop, pool = fed(clock_at(-0.5, 0.5), part)

    assert (crop.demand[0], crop.taken[0], crop.fixed[0], crop.nodule_days[0]) == (0, 0, 0, 0)
    assert pool[0] == 60
    assert crop.demand[1] > 0
    assert crop.nodule_days[1] == 1
