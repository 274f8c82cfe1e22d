"""What to do next, by when, and which field first."""

import datetime as dt
from dataclasses import replace

import pytest
from tests.report.decisions import DIG_AGAIN, a_decision

from spadework.advice.field import advise
from spadework.advice.messages import render
from spadework.advice.next_step import attention_order, next_step_of
from spadework.advice.value import DateRange
from spadework.demo.season import demo_book
from spadework.knowledge.load import load

TODAY = dt.date(2026, 6, 24)
OPENS = DateRange(dt.date(2026, 6, 16), dt.date(2026, 6, 20))
CLOSES = DateRange(dt.date(2026, 6, 30), dt.date(2026, 7, 4))


@pytest.fixture(scope="module")
def season():
    book = demo_book()
    return {
        name: advise(records, book.settings, load(), book.settings.today) for name, records in book.by_field().items()
    }


@pytest.fixture(scope="module")
def good(season):
    """A field of the demo season that is settled and well nodulated, with its window set to known days."""
    found = next(a for a in season.values() if a.verdict and a.verdict.leading == "adequate" and a.sampling.settled)
    return replace(found, timing=replace(found.timing, state="in_window", opens=OPENS, closes=CLOSES))


def step(advice, today=TODAY, *, has_plants=True):
    return next_step_of(
        timing=advice.timing,
        verdict=advice.verdict,
        sampling=advice.sampling,
        diagnosis=advice.diagnosis,
        has_plants=has_plants,
        today=today,
    )


def ids(advice, today=TODAY, **more):
    return [message.id for message in step(advice, today, **more).messages]


def leading(advice, name):
    return replace(advice, verdict=replace(advice.verdict, leading=name))


def unsettled(advice, plants=20):
    message = replace(advice.sampling.message, id="sampling.dig_more")
    return replace(
        advice,
        sampling=replace(advice.sampling, settled=False, more_plants=plants, more_stops=2, message=message),
    )


def undug(advice, state):
    return replace(advice, timing=replace(advice.timing, dug_on=None, state=state), verdict=None, sampling=None)


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("poor", "next.look_for_cause"),
        ("borderline", "next.look_at_weak_plants"),
        ("adequate", "next.nothing_to_mend"),
    ],
)
def test_a_settled_verdict_calls_for_its_own_step_and_no_spade(good, name, expected):
    advice = leading(good, name)
    assert ids(advice) == [expected]
    assert not step(advice).dig_again


def test_an_open_verdict_asks_for_plants_until_the_last_safe_day(good):
    advice = unsettled(good)
    assert ids(advice) == ["sampling.dig_more", "next.dig_until"]
    assert step(advice).dig_again
    assert "30 June 2026" in render(step(advice).messages[-1])


def test_no_day_is_named_while_the_window_may_be_closing(good):
    assert ids(unsettled(good), CLOSES.high) == ["sampling.dig_more"]


def test_nobody_is_sent_to_dig_where_no_number_of_plants_would_help(good):
    assert not step(unsettled(good, plants=None)).dig_again


def test_a_closed_window_ends_the_digging(good):
    late = CLOSES.high + dt.timedelta(days=1)
    assert ids(unsettled(good), late) == ["sampling.dig_more", "next.closed"]
    assert not step(unsettled(good), late).dig_again
    assert ids(good, late) == ["next.nothing_to_mend"]


def test_a_field_that_waits_is_sent_to_the_window(good):
    before = OPENS.low - dt.timedelta(days=3)
    advice = undug(good, "too_early")
    assert ids(advice, before, has_plants=False) == ["next.dig_from"]
    assert "20 June 2026" in render(step(advice, before, has_plants=False).messages[0])
    assert ids(undug(good, "in_window"), OPENS.high, has_plants=False) == ["next.dig_until"]
    assert ids(undug(good, "in_window"), CLOSES.high + dt.timedelta(days=1), has_plants=False) == ["next.closed"]


def test_an_early_dig_is_told_when_to_come_back(good):
    early = replace(good, timing=replace(good.timing, state="first_look"))
    assert ids(early, OPENS.low) == ["next.dig_from"]
    assert step(early, OPENS.low).dig_again


def test_a_dig_too_late_is_left_at_that(good):
    message = replace(good.sampling.message, id="sampling.too_late")
    late = replace(
        good, timing=replace(good.timing, state="too_late"), sampling=replace(good.sampling, message=message)
    )
    assert ids(late) == ["sampling.too_late"]
    assert not step(late).dig_again


def test_without_a_verdict_records_are_asked_for(good):
    assert ids(replace(good, verdict=None, sampling=None)) == ["next.add_records"]


def test_patches_are_dug_apart_while_they_can_be_dug(season):
    advice = next(a for a in season.values() if a.verdict and a.verdict.patch and a.timing.in_time)
    advice = replace(advice, timing=replace(advice.timing, opens=OPENS, closes=CLOSES))
    assert ids(advice)[0] == "sampling.patchy"
    assert ids(advice, CLOSES.high + dt.timedelta(days=1))[0] == "next.look_at_weak_plants"


def undecided(season):
    """The fields by class alone, the first to look at first."""
    return sorted((replace(advice, decision=None) for advice in season.values()), key=attention_order)


def test_the_worst_come_first_and_the_good_last(season):
    ordered = undecided(season)
    kinds = [
        "patch" if a.verdict and a.verdict.patch and a.verdict.leading != "poor" else
        a.verdict.leading if a.verdict and a.timing.in_time else "not judged"
        for a in ordered
    ]  # fmt: skip
    order = {"poor": 0, "borderline": 1, "patch": 1, "not judged": 2, "adequate": 3}
    places = [order[kind] for kind in kinds]
    assert places == sorted(places)
    assert set(kinds) == set(order)


def test_within_a_class_what_is_open_comes_before_what_is_settled(season):
    poor = [a for a in undecided(season) if a.verdict and a.verdict.leading == "poor"]
    settled = [a.sampling.settled for a in poor if a.timing.in_time]
    assert settled == sorted(settled)


@pytest.mark.parametrize(
    ("days", "first"),
    [(0, True), (3, True), (14, True), (15, False), (-1, False), (None, False)],
)
def test_a_decision_to_act_on_within_two_weeks_comes_before_any_class(season, good, days, first):
    act_by = None if days is None else good.advised_on + dt.timedelta(days=days)
    waiting = replace(good, decision=a_decision(act_by=act_by))
    ordered = sorted([*undecided(season), waiting], key=attention_order)
    assert (ordered[0] is waiting) is first


def test_the_nearest_day_comes_first(good):
    decided = [
        replace(good, field=f"in-{days}", decision=a_decision(act_by=good.advised_on + dt.timedelta(days=days)))
        for days in (9, 2, 5)
    ]
    assert [advice.field for advice in sorted(decided, key=attention_order)] == ["in-2", "in-5", "in-9"]


def caused(advice, state):
    found = advice.diagnosis
    return replace(leading(advice, "poor"), diagnosis=replace(found, state=state))


def test_a_poor_field_is_sent_to_its_cause_as_far_as_that_is_known(season, good):
    known = next(a for a in season.values() if a.diagnosis.state == "very_likely")
    poor = replace(good, diagnosis=known.diagnosis)
    first = known.diagnosis.checks[0].check
    for state, step_id in (("very_likely", "cause_likely"), ("likely", "cause_likely"), ("suppressed", "suppressed"),
                           ("cannot_tell", "look_for_cause")):  # fmt: skip
        messages = step(caused(poor, state)).messages
        assert messages[0].id == f"next.{step_id}"
        assert (messages[1].id, messages[1].values["check"]) == ("next.first_check", first)


def test_no_check_is_named_where_nothing_is_wrong_or_the_field_is_adequate(good):
    assert "next.first_check" not in ids(caused(good, "nothing_wrong"))
    assert "next.first_check" not in ids(good)


@pytest.mark.parametrize(("kind", "digs"), [("apply", False), ("dig_again", True), ("dig_first", True)])
def test_a_decision_on_nitrogen_is_the_one_day_told(good, kind, digs):
    advice = unsettled(leading(good, "poor"))
    found = next_step_of(
        timing=advice.timing,
        verdict=advice.verdict,
        sampling=advice.sampling,
        diagnosis=advice.diagnosis,
        has_plants=True,
        today=TODAY,
        decision=a_decision(kind=kind, act_by=dt.date(2026, 6, 29)),
    )
    assert found.messages[0].id == f"next.nitrogen.{kind}"
    assert "29 June 2026" in render(found.messages[0])
    assert found.dig_again is digs
    assert not [one for one in found.messages[1:] if one.id != "next.first_check"]


def test_more_plants_to_be_dug_at_once_are_asked_for_now(good):
    advice = unsettled(leading(good, "poor"))
    now = replace(DIG_AGAIN, at_once=True)
    found = next_step_of(
        timing=advice.timing,
        verdict=advice.verdict,
        sampling=advice.sampling,
        diagnosis=advice.diagnosis,
        has_plants=True,
        today=TODAY,
        decision=a_decision(kind="dig_again", act_by=TODAY, dig_again=now),
    )
    assert render(found.messages[0]).startswith("Dig more plants now, as decided above")
    assert found.dig_again


def test_a_decision_to_leave_it_leaves_the_step_as_it_is(good):
    advice = unsettled(leading(good, "poor"))
    asked = {
        "timing": advice.timing,
        "verdict": advice.verdict,
        "sampling": advice.sampling,
        "diagnosis": advice.diagnosis,
        "has_plants": True,
        "today": TODAY,
    }
    left = a_decision(kind="leave", act_by=None)
    assert next_step_of(**asked, decision=left) == next_step_of(**asked)
