import dataclasses
import datetime as dt
import json

import numpy as np
import pytest
from tests.advice.nitrogen.fields import FIELDS, SOYBEAN, a_balance_field, applied, past, sky, soil_test, usual
from tests.factories import DUG, GOOD, NONE, SOWN, a_dig, a_plant, a_visit, advice_on, records

from spadework.advice.nitrogen.balance import balance_of, nitrogen_of
from spadework.advice.nitrogen.dig import DigSeen
from spadework.advice.schema import to_json
from spadework.agronomy.scoring.share import field_share
from spadework.agronomy.season.nodulation import Calibration, DigReading
from spadework.knowledge.load import load
from spadework.quantity import Quantity
from spadework.records.types import NitrogenProduct


def dug(plants=GOOD, **parts):
    return advice_on(a_balance_field(plants, **parts)).nitrogen


FOUND = {name: advice_on(held).nitrogen for name, held in FIELDS.items()}

# What an agronomist would expect of each field: the state, and bounds of the chance of a gap that matters.
EXPECTED = {
    "failed pea": ("short", 0.9, 1.0),
    "failed pea that was given nitrogen": ("cannot_tell", 0.1, 0.8),
    "poor pea": ("cannot_tell", 0.3, 0.8),
    "good pea": ("enough", 0.0, 0.1),
    "good soybean": ("enough", 0.0, 0.2),
    "high nitrate": ("enough", 0.0, 0.1),
    "not dug": ("cannot_tell", 0.15, 0.6),
    "too early": ("cannot_tell", 0.0, 0.4),
    "too late": ("cannot_tell", 0.0, 0.4),
    "failed chickpea on rich soil": ("enough", 0.0, 0.05),
}


@pytest.mark.parametrize("name", FIELDS)
def test_ten_fields_are_answered_as_an_agronomist_would(name):
    state, least, most = EXPECTED[name]
    assert FOUND[name].state == state
    assert least <= FOUND[name].chance_of_gap <= most


def test_readings_of_the_dig_are_told():
    assert {name: found.nodulation_from for name, found in FOUND.items() if found.nodulation_from != "as_dug"} == {
        "high nitrate": "high_nitrate",
        "not dug": "none_dug",
        "too early": "too_early",
        "too late": "too_late",
    }


def test_a_failed_crop_lives_on_the_soil_and_a_good_one_on_the_air():
    failed, good = FOUND["failed pea"], FOUND["good pea"]
    assert failed.fixed.value < 20
    assert good.fixed.value > 70
    assert failed.fixed_share.value < 0.25
    assert good.fixed_share.value > 0.5
    assert failed.yield_loss.value > 0.8
    assert good.yield_loss.value < 0.1
    # Nitrogen that was applied closes part of the gap.
    assert FOUND["failed pea that was given nitrogen"].gap_at_maturity.value < failed.gap_at_maturity.value - 30


def test_high_nitrate_gives_nitrogen_and_holds_fixation_back():
    assert FOUND["high nitrate"].from_soil.value > 100
    assert FOUND["high nitrate"].fixed.value < 30
    assert FOUND["high nitrate"].nodulation.low >= 0.4


@pytest.mark.parametrize("name", FIELDS)
def test_every_figure_carries_its_interval(name):
    found = FOUND[name]
    given = ("expected_yield", "applied", "gap_that_matters")
    figures = {
        field.name: value
        for field in dataclasses.fields(found)
        if isinstance(value := getattr(found, field.name), Quantity) and field.name not in given
    }
    assert len(figures) >= 9
    for figure in figures.values():
        assert figure.low <= figure.value <= figure.high
        assert figure.level == 0.9
    assert found.nodulation.high - found.nodulation.low > 0.15
    assert found.fixed.high > found.fixed.low
    assert 0 < found.chance_of_gap < 1


@pytest.mark.parametrize("name", FIELDS)
def test_the_course_ends_where_the_totals_are(name):
    found = FOUND[name]
    course = found.course
    lengths = {len(getattr(course, field.name)) for field in dataclasses.fields(course)}
    assert len(lengths) == 1
    assert course.days[0] == SOWN or name == "too late"
    assert list(course.days) == sorted(set(course.days))
    assert course.days[-1] >= found.ripens[1]
    for kind in ("need", "supply", "soil", "fixed"):
        low, mid, high = (np.array(getattr(course, f"{kind}_{end}")) for end in ("low", "mid", "high"))
        assert np.all(low <= mid)
        assert np.all(mid <= high)
        assert np.all(np.diff(mid) >= 0)
    assert course.fixed_mid[-1] == pytest.approx(found.fixed.value, abs=2.0)
    assert course.soil_mid[-1] == pytest.approx(found.from_soil.value, abs=2.0)
    assert course.need_mid[-1] == pytest.approx(found.required.value, abs=2.0)
    # Soil and nodules make up for each other: what both give is surer than the sum of their intervals.
    supply, soil, fixed = (
        getattr(course, f"{kind}_high")[-1] - getattr(course, f"{kind}_low")[-1] for kind in ("supply", "soil", "fixed")
    )
    assert supply < soil + fixed


def test_more_adequate_plants_never_lower_the_nitrogen_fixed():
    fixed = [
        dug(a_visit(*[[80] * many + [6] * (10 - many)] * 3)).fixed.value for many in (0, 2, 4, 6, 8, 10)
    ]  # fmt: skip
    assert fixed == sorted(fixed)
    assert fixed[-1] > 1.3 * fixed[0]


def test_more_nodules_on_plants_short_of_the_target_never_lower_it_either():
    fixed = [dug(a_visit(*[[nodules] * 10] * 3)).fixed.value for nodules in (0, 2, 20, 48, 60)]
    assert fixed == sorted(fixed)


def test_a_soil_test_and_an_observed_season_narrow_the_answer():
    def width(found):
        return found.from_soil.high - found.from_soil.low

    assert width(dug(soil_tests=soil_test(40, organic_matter=3.0))) < width(dug())
    over = dt.date(2026, 10, 15)
    seen = advice_on(a_balance_field(GOOD, weather=sky(last=over)), today=over).nitrogen
    assert seen.weather_from == "known"
    assert "weather" not in {driver.name for driver in seen.drivers}
    assert seen.gap_today.value == pytest.approx(seen.gap_at_maturity.value, abs=1.5)


def test_a_look_at_a_field_long_ripe_changes_nothing():
    over = dt.date(2026, 10, 15)
    held = {"field": {"emerged_on": None}, "weather": sky(last=over), "soil_tests": soil_test(40)}
    plain, looked = (
        advice_on(a_balance_field(digs=digs, **held), today=over).nitrogen
        for digs in ((), (a_dig(date=dt.date(2026, 10, 1), stage_bbch=92),))
    )
    assert plain.ripens[1] < dt.date(2026, 8, 1)
    assert (looked.fixed, looked.ripens, looked.flowers) == (plain.fixed, plain.ripens, plain.flowers)


def test_what_is_lost_of_nitrogen_applied_is_a_doubt():
    manure = applied(150, dt.date(2026, 6, 10), NitrogenProduct.MANURE)
    found = dug(NONE, soil_tests=soil_test(30, organic_matter=2.5), applied=manure)
    assert "applied" in {driver.name for driver in found.drivers}
    assert "applied" not in {driver.name for driver in dug(NONE).drivers}


def test_past_years_stand_for_the_days_ahead():
    found = dug(weather=past() + sky(dt.date(2026, 1, 1), DUG))
    assert found.weather_from == "years"


def test_unknown_stays_unknown():
    for changes in ({"expected_yield": None}, {"latitude": None}):
        advice = advice_on(a_balance_field(GOOD, field=changes))
        assert advice.nitrogen is None
        assert {gap.record for gap in advice.missing} & {"expected_yield", "latitude"} == set(changes)
    assert advice_on(records(GOOD)).nitrogen is None


def test_a_place_where_the_crop_does_not_ripen_gives_no_figures():
    cold = {"mean": -2.0, "swing": 6.0}
    assert dug(weather=sky(**cold), digs=(a_dig(stage_bbch=None),), field={"emerged_on": None}) is not None
    assert dug(weather=sky(**cold), normals=usual(**cold), field={"emerged_on": None}) is None


def test_before_sowing_nothing_has_happened_yet():
    found = advice_on(
        a_balance_field(weather=sky(dt.date(2026, 4, 1), dt.date(2026, 4, 20))), today=dt.date(2026, 4, 20)
    )
    assert (found.nitrogen.fixed_so_far, found.nitrogen.gap_today) == (None, None)
    assert found.nitrogen.fixed.value > 0


def test_the_same_records_give_the_same_advice_to_the_byte():
    held = FIELDS["poor pea"]
    mixed = dataclasses.replace(held, plants=held.plants[::-1], weather=held.weather[::-1], normals=held.normals[::-1])
    one, other = (json.dumps(to_json(advice_on(item))) for item in (held, mixed))
    assert one == other
    assert json.dumps(to_json(advice_on(held, seed=2))) != one


def test_measured_fixation_narrows_it():
    share = field_share(stop=np.repeat([0, 1, 2], 10), chance=[1.0] * 15 + [0.0] * 15, prior_correlation=0.1)
    dig = DigSeen(share=share, reading=DigReading.AS_DUG, poor_with_nodules=1.0, colour_seen=True)

    def fixed(calibration):
        held = a_balance_field()
        balance = balance_of(held, dig, knowledge=load(), seed=1, today=DUG, calibration=calibration)
        found = nitrogen_of(balance, held, knowledge=load(), seed=1, settle_at=0.9, today=DUG)
        return found.nodulation.high - found.nodulation.low

    assert fixed(Calibration(logs=(0.0,) * 6, error=0.25)) < 0.85 * fixed(None)


def test_bare_roots_are_bare_without_a_target_too():
    chickpea = dug(NONE, field={"crop": "chickpea", "expected_yield": 1.8})
    assert chickpea.nodulation_from == "as_dug"
    assert chickpea.nodulation.value < 0.05
    some = (*NONE, a_plant(stop="3", plant="11"))
    assert dug(some, field={"crop": "chickpea", "expected_yield": 1.8}).nodulation_from == "none_dug"


def test_the_basis_names_the_rows():
    advice = advice_on(FIELDS["good soybean"])
    rows = {row.row for row in advice.basis.rows}
    assert {
        "season.soybean.n_per_tonne",
        "nodulation.spread",
        "gap.that_matters",
        "season.soybean.group_0.flower_to_maturity",
    } <= rows
    assert set(advice.nitrogen.rows) <= rows
    assert SOYBEAN["maturity_group"] == "0"


def test_nitrogen_that_the_soil_test_holds_is_not_counted_again():
    before, after = SOWN - dt.timedelta(days=30), SOWN + dt.timedelta(days=3)
    tested = dug(NONE, soil_tests=soil_test(60))
    held = dug(NONE, soil_tests=soil_test(60), applied=applied(60, day=before))
    assert (held.from_soil, held.gap_at_maturity, held.applied) == (tested.from_soil, tested.gap_at_maturity, None)
    assert "nitrogen.reason.applied_in_test" in {reason.id for reason in held.reasons}
    later = dug(NONE, soil_tests=soil_test(60), applied=applied(60, day=after))
    assert later.from_soil.value > tested.from_soil.value + 15
    assert later.applied.value == 60


def test_nitrogen_of_years_ago_is_not_counted():
    old = dug(NONE, applied=applied(60, day=SOWN - dt.timedelta(days=700)))
    assert (old.from_soil, old.applied) == (dug(NONE).from_soil, None)


@pytest.mark.parametrize("days", [30, 100, 200, 400])
def test_a_crop_not_sown_for_long_is_answered(days):
    found = advice_on(a_balance_field(), today=SOWN - dt.timedelta(days=days)).nitrogen
    assert found is None or (found.gap_today is None and found.fixed.value > 0)


def test_applied_nitrogen_is_told():
    found = dug(NONE, applied=applied(20))
    assert found.applied.value == 20
    assert "nitrogen.reason.applied" in {reason.id for reason in found.reasons}
    assert dug(NONE).applied is None
