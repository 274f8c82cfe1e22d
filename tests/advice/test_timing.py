"""When: the state of a dig and what it means, both clocks beside it, and what the weather could not tell."""

import datetime as dt

import pytest
from tests.factories import (
    DUG,
    EMERGED,
    SOWN,
    a_dig,
    a_plant,
    a_season,
    a_visit,
    advice_on,
    days,
    normals,
    records,
)

from spadework.advice.messages import render
from spadework.advice.timing import DEFAULT_METHOD
from spadework.agronomy.clock import METHODS
from spadework.errors import KnowledgeError
from spadework.knowledge.rows import Crop
from spadework.quantity import Grade

D = dt.date
TWELVE_WEEKS = "window.any.ten_to_twelve_weeks_from_sowing"


def timing(*, on=DUG, stage=None, today=None, weather=(), usual=(), chosen=None, **field):
    """The timing of a dig on one day, with the stage that was seen then; ``on=None`` for a field not dug."""
    plants = () if on is None else (a_plant(date=on),)
    digs = () if on is None else (a_dig(date=on, stage_bbch=stage),)
    held = records(plants, digs=digs, weather=weather, normals=usual, field=field)
    return advice_on(held, today=today or on or DUG, **(chosen or {})).timing


def ids(messages):
    return [message.id for message in messages]


def after_emergence(number):
    return EMERGED + dt.timedelta(days=number)


# Common practice, no source: infection in the first two weeks, something to judge four to six weeks on.
@pytest.mark.parametrize(
    ("number", "state"),
    [(7, "too_early"), (20, "first_look"), (28, "in_window"), (42, "in_window"), (100, "too_late")],
)
def test_weeks_after_emergence_tell_the_state_where_no_stage_was_seen(number, state):
    found = timing(on=after_emergence(number))
    assert (found.state, found.decided_by) == (state, "calendar")


# By the window of pea, BBCH 16 to 65, and the stage from which pods fill, 75 (see the rows window.pea.stage, late.pea).
@pytest.mark.parametrize(
    ("stage", "state"),
    [(7, "too_early"), (14, "first_look"), (16, "in_window"), (65, "in_window"), (75, "too_late"), (79, "too_late")],
)
def test_a_stage_seen_tells_the_state_whatever_the_calendar_says(stage, state):
    # 10 and 60 days after emergence, which the calendar would call too early and past.
    for number in (10, 60):
        found = timing(on=after_emergence(number), stage=stage)
        assert (found.state, found.decided_by) == (state, "stage_seen")
        assert "timing.by_stage" in ids(found.notes)
        assert (found.stage.low_bbch, found.stage.high_bbch, found.stage.seen) == (stage, stage, stage)


def test_without_sowing_emergence_or_stage_the_time_is_unknown_and_never_guessed():
    found = timing(sown_on=None, emerged_on=None)
    assert (found.state, found.sure, found.decided_by) == ("unknown", False, "none")
    assert ids(found.notes) == ["timing.why_unknown.no_anchor"]
    assert (found.opens, found.closes, found.days_since_anchor, found.degree_days) == (None, None, None, None)


def test_each_state_has_its_headline_and_says_what_a_poor_reading_means():
    stages = {"too_early": 7, "first_look": 14, "in_window": 55, "too_late": 79}
    said = {state: timing(stage=stage) for state, stage in stages.items()}
    said["unknown"] = timing(sown_on=None, emerged_on=None)
    for state, found in said.items():
        assert found.headline.id == f"timing.{state}.headline"
        assert found.a_poor_reading_means.id == f"timing.{state}.means"
        assert found.a_poor_reading_does_not_mean.id == f"timing.{state}.not_means"
        assert "22 June 2026" in render(found.headline)
    texts = {render(found.a_poor_reading_means) for found in said.values()}
    assert len(texts) == len(said)


def test_what_a_poor_reading_means_rests_on_statements():
    assert timing(stage=7).a_poor_reading_means.sources == (
        "statement.timing.infection",
        "statement.timing.something_to_judge",
    )
    assert timing(stage=79).a_poor_reading_means.sources == ("statement.timing.after_pods_fill",)


@pytest.mark.parametrize(
    ("number", "state"), [(7, "too_early"), (20, "first_look"), (35, "in_window"), (100, "too_late")]
)
def test_a_field_not_dug_is_told_how_today_stands_to_the_window(number, state):
    found = timing(on=None, today=after_emergence(number))
    assert found.dug_on is None
    assert found.headline.id == f"timing.undug.{state}.headline"
    assert render(found.headline).startswith("Not dug")


def test_a_field_not_dug_and_not_dated_says_so():
    assert timing(on=None, sown_on=None, emerged_on=None).headline.id == "timing.undug.unknown.headline"


def test_who_is_too_early_is_told_when_to_go():
    # Emergence known to the day: the window opens 28 days after 15 May.
    (note,) = (note for note in timing(on=None, today=after_emergence(20)).notes if "window" in note.id)
    assert render(note) == "The window opens on 12 June 2026."
    (note,) = (note for note in timing(on=after_emergence(20)).notes if "window" in note.id)
    assert render(note) == "The window opens on 12 June 2026."


def test_a_day_that_is_only_estimated_is_told_as_a_range():
    found = timing(on=None, today=D(2026, 6, 5), emerged_on=None, weather=a_season(), usual=normals())
    (note,) = (note for note in found.notes if "window" in note.id)
    assert note.id == "timing.window.opens_between"
    assert (note.values["low"], note.values["high"]) == (found.opens.low, found.opens.high)
    assert found.opens.low < found.opens.high
    assert not found.opens.observed


def test_whose_window_is_open_is_told_until_when():
    assert "timing.window.closes" in ids(timing(on=None, today=after_emergence(35)).notes)
    # Who has dug in the window needs no more days.
    assert not [note for note in timing(on=after_emergence(35)).notes if "window" in note.id]


def test_before_sowing_it_is_too_early_or_not_known_and_no_error():
    found = timing(on=None, today=SOWN - dt.timedelta(days=10), weather=(), usual=normals(), emerged_on=None)
    assert found.state == "too_early"
    assert render(found.headline) == "Not dug yet. On 24 April 2026 it is too early for a verdict."
    assert timing(on=None, today=SOWN - dt.timedelta(days=10), emerged_on=None).state == "unknown"
    assert timing(on=None, today=EMERGED - dt.timedelta(days=20), sown_on=None).state == "too_early"


def test_both_clocks_are_shown():
    # 38 days of (16 + 4) / 2 = 10 degC above 0, from the day after emergence to the day of the dig.
    found = timing(weather=a_season(mean=10, swing=0))
    assert (found.anchor, found.anchor_date.low, found.anchor_date.high) == ("emergence", EMERGED, EMERGED)
    assert (found.days_since_anchor.value, found.days_since_anchor.unit) == (38, "d")
    assert found.degree_days.total.value == pytest.approx(380)
    assert found.degree_days.total.unit == "degC d"
    assert (found.degree_days.from_date, found.degree_days.to_date) == (EMERGED, DUG)


def test_a_total_names_its_rule_base_and_cap():
    found = timing(weather=a_season()).degree_days
    assert (found.method, found.method_name) == (DEFAULT_METHOD, METHODS[DEFAULT_METHOD])
    assert (found.base_c, found.cap_c) == (0, 25)
    assert "cardinal.pea" in found.total.sources


@pytest.mark.parametrize("method", sorted(METHODS))
def test_the_book_chooses_the_rule_of_the_total(method):
    found = timing(weather=a_season(), chosen={"degree_day_method": method}).degree_days
    assert (found.method, found.method_name) == (method, METHODS[method])
    assert found.cap_c == (None if method == "quarter" else 25)


def test_a_rule_that_needs_a_cap_which_nobody_knows_gives_no_total_and_says_so():
    found = timing(crop=Crop.LENTIL, weather=a_season(), chosen={"degree_day_method": "capped_mean"})
    assert found.degree_days is None
    (note,) = (note for note in found.notes if note.id == "timing.no_cap")
    assert METHODS["capped_mean"] in render(note)


def test_without_weather_the_calendar_stands_alone():
    found = timing(on=after_emergence(35))
    assert (found.state, found.decided_by) == ("in_window", "calendar")
    assert (found.degree_days, found.stage, found.first_flower) == (None, None, None)


def test_without_emergence_it_is_estimated_from_sowing_as_a_range():
    found = timing(emerged_on=None, weather=a_season())
    assert SOWN < found.emergence.low < found.emergence.high < DUG
    assert not found.emergence.observed
    assert found.days_since_anchor.low < found.days_since_anchor.value < found.days_since_anchor.high
    assert found.degree_days.total.low < found.degree_days.total.value < found.degree_days.total.high
    assert "thermal.pea.sowing_emergence" in found.degree_days.total.sources
    assert found.degree_days.total.grade is Grade.JUDGEMENT


def test_an_emergence_seen_is_no_range():
    found = timing(weather=a_season())
    assert (found.emergence.low, found.emergence.high, found.emergence.observed) == (EMERGED, EMERGED, True)


def test_days_filled_from_normals_and_missing_are_told_apart():
    gap = tuple(days(D(2026, 6, 1), D(2026, 6, 2)))
    found = timing(weather=a_season(without=gap), usual=normals())
    assert (found.degree_days.filled_days, found.degree_days.normal_days, found.degree_days.missing_days) == (2, 0, 0)
    assert "timing.days.filled" in ids(found.notes)
    assert "weather.fill_days" in found.sources

    gap = tuple(days(D(2026, 6, 1), D(2026, 6, 10)))
    found = timing(weather=a_season(without=gap), usual=normals())
    assert (found.degree_days.filled_days, found.degree_days.normal_days, found.degree_days.missing_days) == (0, 10, 0)
    assert "timing.days.normal" in ids(found.notes)

    found = timing(weather=a_season(without=gap))
    assert (found.degree_days.filled_days, found.degree_days.normal_days, found.degree_days.missing_days) == (0, 0, 10)
    (note,) = (note for note in found.notes if note.id == "timing.days.missing")
    assert render(note) == "10 days of weather are missing and not in the total: the true total is higher."


def test_complete_weather_needs_no_note():
    assert not [note for note in timing(weather=a_season()).notes if note.id.startswith("timing.days")]


def test_a_missing_day_adds_nothing_rather_than_zero_degrees_being_assumed():
    whole = timing(weather=a_season(mean=10, swing=0)).degree_days.total.value
    gap = tuple(days(D(2026, 6, 1), D(2026, 6, 10)))
    lacking = timing(weather=a_season(without=gap, mean=10, swing=0)).degree_days.total.value
    assert whole - lacking == pytest.approx(100)


def test_a_southern_season_runs_on_over_the_new_year():
    # 36 days from 11 December to 16 January at a mean of 22 above a base of 10.
    field = {"crop": Crop.MUNG_BEAN, "sown_on": D(2025, 12, 5), "emerged_on": D(2025, 12, 11), "latitude": -19.0}
    weather = a_season(D(2025, 12, 5), D(2026, 1, 16), mean=22, swing=0)
    found = timing(on=D(2026, 1, 16), weather=weather, **field)
    assert found.degree_days.total.value == pytest.approx(36 * (22 - 10))
    assert (found.degree_days.from_date, found.degree_days.to_date) == (D(2025, 12, 11), D(2026, 1, 16))
    assert found.degree_days.missing_days == 0
    assert (found.state, found.days_since_anchor.value) == ("in_window", 36)


def test_southern_days_are_long_in_december():
    december, june = (timing(on=day, latitude=-35.0, sown_on=None, emerged_on=None).day_length
                      for day in (D(2026, 12, 21), D(2026, 6, 21)))  # fmt: skip
    # Around 14.5 and 9.8 hours at 35 degrees: the formulas are checked against published tables elsewhere.
    assert december.value > 14
    assert june.value < 10.5
    assert timing(latitude=None).day_length is None


def test_a_window_counted_from_sowing_says_so():
    found = timing(crop=Crop.FABA_BEAN, chosen={"window_scheme": {Crop.FABA_BEAN: TWELVE_WEEKS}})
    assert (found.anchor, found.anchor_date.low) == ("sowing", SOWN)
    assert found.opens.low == SOWN + dt.timedelta(weeks=10)
    assert found.closes.high == SOWN + dt.timedelta(weeks=12)
    assert found.window_scheme == f"{TWELVE_WEEKS} + window.faba_bean.stage"


def test_the_window_s_rows_are_named():
    found = timing()
    assert found.window_scheme == "window.any.four_to_six_weeks + window.pea.stage"
    assert found.days_since_anchor.sources == ("window.any.four_to_six_weeks", "window.pea.stage")


def test_a_window_from_sowing_is_not_dated_by_emergence_alone():
    found = timing(
        crop=Crop.FABA_BEAN, sown_on=None, chosen={"window_scheme": {Crop.FABA_BEAN: TWELVE_WEEKS}}
    )  # fmt: skip
    assert found.state == "unknown"
    # Emergence is recorded: the sentence may not say that neither day is.
    (note,) = (note for note in found.notes if "why_unknown" in note.id)
    assert render(note) == "The day that the window is counted from, sowing or emergence, is not recorded."


def test_cold_days_while_bacteria_enter_are_counted_and_named():
    # Mean 8 degC on every day from sowing to two weeks after emergence: 25 days, all under 10.
    found = timing(weather=a_season(mean=8, swing=0))
    assert found.cold_days == 25
    (note,) = (note for note in found.notes if note.id == "timing.cold")
    assert render(note).startswith("25 days averaged below 10 °C")
    assert note.sources == ("cold.any", "infection.any")
    assert timing(weather=a_season(mean=12, swing=0)).cold_days == 0


def test_one_cold_day_is_told():
    weather = a_season(mean=12, swing=0)
    cold = (*weather[:5], weather[5].model_copy(update={"TMIN": 0.0, "TMAX": 8.0}), *weather[6:])
    assert "1 day averaged below 10 °C" in {render(note)[:26] for note in timing(weather=cold).notes}


def test_first_flower_is_as_wide_as_day_length_and_variety_make_it():
    # 684 degree-days from emergence (thermal.pea.emergence_first_flower), 30 % either way (range.first_flower):
    # 478.8 to 889.2, at 10 a day reached on the 48th and the 89th day.
    flower = timing(weather=a_season(last=D(2026, 9, 30), mean=10, swing=0)).first_flower
    assert (flower.low, flower.high) == (after_emergence(48), after_emergence(89))


def test_cold_moves_the_late_opening_and_leaves_the_early_one():
    cold, warm = (timing(weather=a_season(mean=mean, swing=0)).opens for mean in (8, 12))
    assert cold.low == warm.low
    assert cold.high - warm.high == dt.timedelta(days=14)


def test_soybean_has_a_limit_of_cold_of_its_own():
    found = timing(crop=Crop.SOYBEAN, weather=a_season(mean=8, swing=0))
    assert {"cold.soybean"} == {row for note in found.notes for row in note.sources if row.startswith("cold.")}
    assert "cold.soybean" in found.sources


def test_not_sure_is_said_with_its_reason():
    # 40 days after emergence and in full flower, but long past six weeks: the stage holds it in the window.
    found = timing(stage=70)
    assert (found.state, found.sure) == ("in_window", False)
    assert "timing.doubt.late_edge" in ids(found.notes)
    assert timing(stage=55).sure


def test_an_estimate_from_leaves_to_ripening_says_nothing_and_is_left_out():
    # No sum leads lupin to its flower: by degree-days it may be anywhere.
    assert timing(crop=Crop.LUPIN, weather=a_season(), usual=normals()).stage is None
    estimated = timing(weather=a_season(), usual=normals()).stage
    assert estimated.seen is None
    assert 10 <= estimated.low_bbch < estimated.high_bbch < 80
    assert estimated.name_low == "leaves unfolding on the main stem"


def test_rows_behind_dates_and_limits_are_named():
    found = timing(emerged_on=None, weather=a_season(), usual=normals())
    for row in ("thermal.pea.sowing_emergence", "thermal.pea.emergence_first_flower", "late.pea", "range.thermal_time"):
        assert row in found.sources
    assert {"first_look.any", "first_look.bbch"} <= set(timing(stage=14).sources)


def test_an_own_first_look_changes_the_state():
    day = after_emergence(12)
    assert timing(on=day).state == "too_early"
    assert timing(on=day, chosen={"overrides": {"first_look.any": {"low": 10}}}).state == "first_look"


def test_a_window_of_another_crop_is_refused():
    with pytest.raises(KnowledgeError, match="is not a dig window for pea"):
        timing(chosen={"window_scheme": {Crop.PEA: "window.soybean.stage"}})


def test_a_visit_without_a_dig_row_is_dated_by_its_plants():
    found = advice_on(records(a_visit([60] * 5), digs=())).timing
    assert (found.dug_on, found.state, found.decided_by) == (DUG, "in_window", "calendar")
