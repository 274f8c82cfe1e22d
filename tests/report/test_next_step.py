import datetime as dt
from dataclasses import replace

import pytest

from spadework.report.labels import labels
from spadework.report.next_step import is_in_time, next_lines, step_lines, wants_digging

TEXTS = labels()
ADD = "Add the missing records listed on page 2."
CLOSED = "The dig window has closed for this season: more digging cannot mend the reading."


def lines(advice):
    return next_lines(advice, TEXTS, "en")


def test_settled_is_the_sentence_of_the_advice_and_no_more(situation):
    advice = situation("good")
    assert lines(advice) == [advice.sampling.message.values["text"]]
    assert not wants_digging(advice)


def test_more_plants_come_with_the_last_safe_day(situation):
    advice = situation("unsettled")
    assert lines(advice) == [
        "48 more plants in 5 more stops settle it with a chance of 81 %.",
        "Dig by 1 July 2026: until then the window is open for certain.",
    ]
    assert wants_digging(advice)


def test_too_early_waits_for_the_window(situation):
    advice = situation("too_early")
    assert lines(advice) == ["Dig from 19 June 2026: by then the window is open for certain.", ADD]
    assert step_lines(advice, TEXTS, "en") == lines(advice)[:1]
    assert wants_digging(advice)


def test_field_never_dug_is_sent_to_the_window(situation):
    advice = situation("too_early")
    advice = replace(advice, timing=replace(advice.timing, dug_on=None, state="in_window"), missing=())
    assert lines(advice) == ["Dig from 19 June 2026: by then the window is open for certain."]
    open_now = replace(advice, advised_on=advice.timing.opens.high)
    assert lines(open_now) == ["Dig by 1 July 2026: until then the window is open for certain."]


def test_no_day_is_named_while_the_window_may_be_closing(situation):
    advice = situation("unsettled")
    assert lines(replace(advice, advised_on=advice.timing.closes.high)) == lines(advice)[:1]


@pytest.mark.parametrize("name", ["unsettled", "patchy", "too_early"])
def test_a_window_that_has_passed_ends_the_digging(situation, name):
    advice = situation(name)
    late = replace(advice, advised_on=advice.timing.closes.high + dt.timedelta(days=1))
    assert CLOSED in lines(late)
    assert not wants_digging(late)


def test_closing_is_told_only_where_a_dig_would_have_helped(situation):
    """A settled verdict, and one that waits for a target, lack no plants."""
    for name in ("good", "no_target"):
        advice = situation(name)
        closes = situation("good").timing.closes
        late = replace(
            advice,
            timing=replace(advice.timing, closes=closes),
            advised_on=closes.high + dt.timedelta(days=1),
        )
        assert lines(late) == lines(advice)


def test_dug_too_late(situation):
    advice = situation("number_only")
    assert not wants_digging(replace(advice, sampling=replace(advice.sampling, settled=False)))
    assert lines(advice) == [advice.sampling.message.values["text"]]
    assert lines(replace(advice, verdict=None, sampling=None)) == [CLOSED, ADD]


@pytest.mark.parametrize(
    ("name", "in_time"), [("good", True), ("no_target", True), ("too_early", False), ("number_only", False)]
)
def test_is_in_time(situation, name, in_time):
    assert is_in_time(situation(name)) is in_time


def test_no_plants_no_promise(situation):
    """Where no number of plants would settle it, and there is no patch to tell apart, nobody is sent to dig."""
    advice = situation("unsettled")
    assert not wants_digging(replace(advice, sampling=replace(advice.sampling, more_plants=None, more_stops=None)))
    assert wants_digging(situation("patchy"))


def test_missing_target_asks_for_records(situation):
    assert lines(situation("no_target")) == [ADD]
