import datetime as dt

import numpy as np
import pytest
from tests.advice.nitrogen.fields import a_balance_field, applied, sky, soil_test
from tests.factories import DUG, EMERGED, GOOD, SOWN, a_dig

from spadework.advice.nitrogen.inputs import DRAWS, balance_inputs, streams
from spadework.knowledge.load import load
from spadework.knowledge.rows import Crop
from spadework.records.types import NitrogenProduct, SoilTestRow

NODULATION = np.full((DRAWS, 1), 0.8)


def inputs(held, *, today=DUG, seed=1):
    return balance_inputs(held, nodulation=NODULATION, knowledge=load(), seed=seed, today=today)


@pytest.mark.parametrize(
    "parts",
    [
        {"field": {"expected_yield": None}},
        {"field": {"sown_on": None, "emerged_on": None}},
        {"field": {"latitude": None}},
        {"weather": (), "normals": ()},
    ],
)
def test_without_yield_sowing_place_or_weather_there_is_no_balance(parts):
    assert inputs(a_balance_field(**parts)) is None


def test_what_is_known_is_taken_and_the_rest_is_drawn():
    got = inputs(a_balance_field())
    assert got.parameters.expected_yield == 3.0
    assert got.parameters.nodulation is NODULATION
    assert np.ptp(got.parameters.mineral_n_at_sowing) > 50
    # Loam: 120 to 170 mm/m.
    assert 120 <= np.min(got.parameters.available_water) < np.max(got.parameters.available_water) <= 170
    assert (got.soil_n_from, got.organic_matter_tested, got.applied) == ("not_tested", False, 0)
    assert got.today == (DUG - SOWN).days
    assert "available_water.loam" in got.rows
    assert "season.any.available_water" not in got.rows
    assert len(set(got.rows)) == len(got.rows)


def test_texture_unknown_leaves_the_water_wide():
    got = inputs(a_balance_field(field={"soil_texture": None}))
    assert "season.any.available_water" in got.rows
    assert np.max(got.parameters.available_water) > 175


@pytest.mark.parametrize(
    ("tests", "source"),
    [
        (soil_test(40), "tested"),
        (soil_test(40, bottom=30), "tested_shallow"),
        # Sampled two weeks after sowing at the latest, and not in the year before.
        (soil_test(40, day=SOWN + dt.timedelta(days=14)), "tested"),
        (soil_test(40, day=SOWN + dt.timedelta(days=15)), "not_tested"),
        (soil_test(40, day=SOWN - dt.timedelta(days=241)), "not_tested"),
        (soil_test(None), "not_tested"),
        ((), "not_tested"),
    ],
)
def test_where_mineral_nitrogen_at_sowing_comes_from(tests, source):
    got = inputs(a_balance_field(soil_tests=tests))
    assert got.soil_n_from == source
    assert ("season.any.mineral_n_at_sowing" in got.rows) is (source == "not_tested")


def test_a_soil_test_narrows_more_the_deeper_it_reaches():
    spread = [
        np.log(np.asarray(inputs(a_balance_field(soil_tests=tests)).parameters.mineral_n_at_sowing)).std()
        for tests in (soil_test(40), soil_test(15, bottom=15), ())
    ]
    assert spread[0] < spread[1] < spread[2]


def test_a_test_below_the_roots_does_not_count_there():
    # Pea roots to 0.8 m: 80 of 100 cm of an even layer.
    got = inputs(a_balance_field(soil_tests=soil_test(100)))
    assert np.median(got.parameters.mineral_n_at_sowing) == pytest.approx(80, rel=0.05)


def test_a_layer_without_the_soil_above_it_stands_for_more_than_itself():
    def median(top, bottom):
        test = SoilTestRow(field="west", date=SOWN, depth_top=top, depth_bottom=bottom, nitrate_n=30)
        return np.median(inputs(a_balance_field(soil_tests=(test,))).parameters.mineral_n_at_sowing)

    # Nitrate falls with depth: what is found in 30 to 60 cm is a smaller part of the whole than in 0 to 30 cm.
    assert median(30, 60) > 1.4 * median(0, 30)


def test_soil_tests_after_today_are_not_known_yet():
    today = SOWN + dt.timedelta(days=3)
    later = soil_test(200, day=SOWN + dt.timedelta(days=5), organic_matter=9.0)
    plain, told = (inputs(a_balance_field(soil_tests=tests), today=today) for tests in ((), later))
    assert (told.soil_n_from, told.organic_matter_tested) == ("not_tested", False)
    np.testing.assert_array_equal(told.parameters.organic_matter, plain.parameters.organic_matter)
    assert inputs(a_balance_field(soil_tests=later), today=DUG).soil_n_from == "tested"


def test_organic_matter_is_the_mean_of_the_top_layers():
    layers = [
        SoilTestRow(field="west", date=SOWN, depth_top=top, depth_bottom=bottom, organic_matter=share)
        for top, bottom, share in ((0, 10, 4.0), (10, 30, 2.0), (30, 60, 1.0))
    ]
    got = inputs(a_balance_field(soil_tests=tuple(layers)))
    # 10 cm of 4 % and 10 cm of 2 %.
    assert np.median(got.parameters.organic_matter) == pytest.approx(3.0, rel=0.02)
    assert got.organic_matter_tested


def test_nitrogen_at_sowing_is_in_the_soil_and_later_waits_for_rain():
    later = dt.date(2026, 6, 10)
    held = a_balance_field(applied=applied(10) + applied(40, later) + applied(99, dt.date(2026, 7, 1)))
    got = inputs(held)
    assert got.applied == 50
    first, second = got.applications
    assert (first.day, first.rain_to_free, np.max(first.volatilised)) == (0, 0, 0)
    assert (second.day, second.rain_to_free) == ((later - SOWN).days, 12.7)


SPREAD = dt.date(2026, 6, 10)
LOSSES = "rescue.loss.", "rescue.ammonia_loss.", "rescue.product.", "rescue.soaking_rain"


def spread(product=NitrogenProduct.UREA, *, rain=0.0, **parts):
    """What was spread on one day of a dry season, with rain on the next; and the rows."""
    weather = tuple(
        row.model_copy(update={"RAIN": rain if SPREAD + dt.timedelta(days=1) == row.W_DATE else 0.0}) for row in sky()
    )
    got = inputs(a_balance_field(applied=applied(40, SPREAD, product), weather=weather, **parts))
    return got.applications[0].volatilised, got.rows


def test_ammonia_follows_product_and_rain():
    dry, rows = spread()
    assert {"applied_n.volatilised"} & set(rows) == set()
    assert {"rescue.product.urea", "rescue.soaking_rain", "rescue.ammonia_loss.ten_days"} <= set(rows)
    soaked, held = spread(rain=13.0)[0], spread(NitrogenProduct.UREA_INHIBITED)[0]
    assert np.mean(dry) > 3 * np.mean(soaked)
    assert np.all(held <= dry)
    assert np.mean(spread(NitrogenProduct.UAN_28)[0]) < 0.6 * np.mean(dry)
    # Showers do not end the loss.
    np.testing.assert_array_equal(spread(rain=12.0)[0], dry)


@pytest.mark.parametrize("product", [NitrogenProduct.MANURE, NitrogenProduct.OTHER, NitrogenProduct.ANHYDROUS_AMMONIA])
def test_of_manure_and_others_the_situation_is_unknown(product):
    lost, rows = spread(product, rain=13.0)
    assert np.mean(lost) == pytest.approx((0 + 0.1 + 0.4) / 3, abs=0.01)
    assert "applied_n.volatilised" in rows
    assert not any(row.startswith(LOSSES) for row in rows)


def test_alkaline_soil_is_known_from_a_test_of_the_surface_alone():
    def of(ph, top=0.0):
        test = SoilTestRow(field="west", date=SOWN, depth_top=top, depth_bottom=top + 15, ph=ph, ph_method="water")
        return spread(NitrogenProduct.AMMONIUM_SULPHATE, soil_tests=(test,))

    below, above, deep = of(7.5), of(7.51), of(8.2, top=15)
    assert np.mean(below[0]) < np.mean(deep[0]) < np.mean(above[0])
    np.testing.assert_array_equal(deep[0], spread(NitrogenProduct.AMMONIUM_SULPHATE)[0])
    assert "rescue.loss.alkaline_from" in above[1]
    assert "rescue.loss.alkaline_from" not in deep[1]


def test_stages_seen_set_the_clock_up_to_today():
    held = a_balance_field(GOOD, digs=(a_dig(stage_bbch=61), a_dig(date=dt.date(2026, 6, 10), stage_bbch=14)))
    got = inputs(held)
    assert [look.day for look in got.observed] == [(EMERGED - SOWN).days, (DUG - SOWN).days]
    assert [look.day for look in inputs(held, today=DUG - dt.timedelta(days=1)).observed] == [(EMERGED - SOWN).days]


def looks(*digs, **field):
    """Day of each look and its stage where all draws share it."""
    held = a_balance_field(digs=tuple(a_dig(date=day, stage_bbch=code) for day, code in digs), field=field)
    got = inputs(held, today=dt.date(2026, 9, 30))
    return [(look.day, look.stage if np.ndim(look.stage) == 0 else None) for look in got.observed]


def test_seedlings_seen_say_nothing_where_emergence_is_written_down():
    week = dt.timedelta(days=7)
    up = ((EMERGED - SOWN).days, 0.0)
    assert looks((EMERGED - week, 9), (EMERGED + week, 10)) == [up]
    # Nobody wrote it down: the first look counts, and none after flower buds.
    assert looks((EMERGED + week, 10), (EMERGED + 2 * week, 10), emerged_on=None) == [(up[0] + 7, 0.0)]
    assert looks((EMERGED, 55), (EMERGED + week, 10), emerged_on=None) == [(up[0], None)]


def test_ripe_is_one_bound_for_all_draws():
    assert looks((dt.date(2026, 9, 1), 89), (dt.date(2026, 9, 20), 97), emerged_on=None) == [
        ((dt.date(2026, 9, 1) - SOWN).days, 2.0)
    ]


@pytest.mark.parametrize(
    ("said", "row", "passed_over"),
    [
        (" 0 ", "group_0", None),
        ("00", "group_00", None),
        ("II", "group_2", None),
        ("2.3", "group_2", None),
        # The tables have no sums for early and late groups.
        ("VII", None, "VII"),
        ("000", None, "000"),
        ("early", None, "early"),
        (None, None, None),
    ],
)
def test_maturity_groups_that_the_tables_know_are_used(said, row, passed_over):
    got = inputs(a_balance_field(field={"crop": Crop.SOYBEAN, "maturity_group": said}))
    name = "season.soybean." + (f"{row}." if row else "") + "flower_to_maturity"
    assert name in got.rows
    assert got.group_passed_over == passed_over
    assert inputs(a_balance_field(field={"maturity_group": said})).group_passed_over is None


def test_what_becomes_known_leaves_the_other_draws_alone():
    plain, told = inputs(a_balance_field()), inputs(a_balance_field(soil_tests=soil_test(40), applied=applied(30)))
    for name in ("n_per_tonne", "spare_capacity", "available_water", "root_depth"):
        np.testing.assert_array_equal(getattr(plain.parameters, name), getattr(told.parameters, name))
    np.testing.assert_array_equal(plain.sky.weather.rain, told.sky.weather.rain)


def test_streams_differ_from_each_other_and_by_seed():
    first = [float(stream.random()) for seed in (1, 2) for stream in streams(seed)]
    assert len(set(first)) == len(first)
