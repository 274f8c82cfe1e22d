"""Findings written down as such: words, days, stops and groups; and what no rule reads."""

import datetime as dt

import pytest
from tests.advice.evidence.looking import found, look_at, on, sight, soil_test, sure_of
from tests.factories import DUG

from spadework.advice.evidence import unread_of
from spadework.advice.evidence.observed import SEEN
from spadework.advice.messages import render
from spadework.knowledge.load import load
from spadework.knowledge.rows import Finding
from spadework.records.types import Texture

BEFORE, AFTER = DUG - dt.timedelta(days=1), DUG + dt.timedelta(days=1)
PATTERN = {row.name for row in load().of(Finding) if row.group == "pattern"}


def seen(*sights, **changes):
    return found(on("pea", observations=sights), **changes)


def sure(name, *sights, **changes):
    return sure_of(name, on("pea", observations=sights), **changes)


@pytest.mark.parametrize("subject", ["host new", "host_new", "Host New", "HOST-NEW", "host  new"])
@pytest.mark.parametrize(
    ("value", "expected"),
    [
        ("yes", 1), ("Yes", 1), ("y", 1), ("seen", 1), ("no", 0), ("N", 0), ("not seen", 0),
        ("unknown", None), ("?", None), ("perhaps", None), ("yes on the knoll", None),
    ],
)  # fmt: skip
def test_words_for_a_finding_and_its_answer(subject, value, expected):
    assert sure("host_new", sight(subject, value)) == expected


def test_it_is_called_seen_and_told_in_the_words_of_the_finding():
    one = seen(sight("host new", "yes"), sight("strips", "no"))
    assert one["host_new"].rule == one["strips"].rule == SEEN
    assert one["host_new"].message.id == "finding.host_new.yes"
    assert one["strips"].message.id == "finding.strips.no"


def test_every_finding_can_be_written_down():
    for row in load().of(Finding):
        assert sure(row.name, sight(row.name.replace("_", " "), "yes")) == 1
        assert sure(row.name, sight(row.name, "no")) == 0


@pytest.mark.parametrize("value", ["strips", "Strips", "low places", "low_places", "even over field"])
def test_a_pattern_that_was_seen_shuts_the_others_out(value):
    name = value.lower().replace(" ", "_")
    for one in (seen(sight("pattern", value)), seen(sight(name, "yes"))):
        assert {finding: evidence.sure for finding, evidence in one.items()} == {
            finding: float(finding == name) for finding in PATTERN
        }


def test_a_pattern_that_was_not_seen_shuts_nothing_out():
    assert set(seen(sight("strips", "no"))) == {"strips"}


@pytest.mark.parametrize("value", ["none", "no", "None"])
def test_none_of_the_patterns_is_a_no_to_each(value):
    assert {name: one.sure for name, one in seen(sight("pattern", value)).items()} == dict.fromkeys(PATTERN, 0.0)


def test_two_patterns_leave_a_doubt_of_each_and_none_of_the_rest():
    one = seen(sight("strips", "yes"), sight("low places", "yes"))
    assert (one["strips"].sure, one["low_places"].sure) == (0.9, 0.9)
    assert {evidence.sure for name, evidence in one.items() if name not in ("strips", "low_places")} == {0.0}


def test_the_latest_day_wins_and_what_is_after_today_is_not_known_yet():
    rows = (sight("host new", "yes", date=BEFORE), sight("host new", "no"), sight("host new", "yes", date=AFTER))
    assert sure("host_new", *rows) == 0
    assert sure("host_new", *rows, today=BEFORE) == 1
    assert sure("host_new", *rows, today=AFTER) == 1
    assert sure("host_new", sight("host new", "yes", date=BEFORE), sight("host new", "unknown")) is None
    assert sure("strips", sight("pattern", "strips", date=BEFORE), sight("pattern", "low places")) == 0
    assert sure("strips", sight("pattern", "strips", date=BEFORE), sight("pattern", "unknown")) is None


def test_stops_that_differ_are_a_doubt_and_the_whole_field_goes_first():
    at_stops = (sight("sick roots", "yes", stop="1"), sight("sick roots", "no", stop="2"),
                sight("sick roots", "no", stop="3"), sight("sick roots", "?", stop="4"))  # fmt: skip
    assert sure("sick_roots", *at_stops) == pytest.approx(1 / 3)
    assert sure("sick_roots", *at_stops, sight("sick roots", "yes")) == 1


def test_what_was_written_overrides_what_records_say():
    field = {"soil_texture": Texture.SAND}
    tests = (soil_test(depth_bottom=30, nitrate_n=90),)
    held = on(
        "pea", field=field, soil_tests=tests, observations=(sight("sandy soil", "no"), sight("high nitrate", "?"))
    )
    assert sure_of("sandy_soil", held) == 0
    assert sure_of("high_nitrate", held) == 1


@pytest.mark.parametrize(
    ("subject", "value", "kind"),
    [
        ("weather vane", "points north", "subject"), ("yes", "yes", "subject"), ("strips", "mostly", "answer"),
        ("pattern", "checkered", "answer"), ("pattern", "yes", "answer"),
    ],
)  # fmt: skip
def test_what_no_rule_reads_is_kept_and_named(subject, value, kind):
    held = on("pea", observations=(sight(subject, value),))
    assert found(held) == {}
    (message,) = unread_of(look_at(held))
    assert message.id == f"evidence.unread.{kind}"
    assert render(message).startswith("Of 22 June 2026, not used in the diagnosis")
    assert f"{subject}: {value}." in render(message)


def test_what_is_read_is_not_unread():
    held = on("pea", observations=(sight("host new", "unknown"), sight("pattern", "strips"), sight("strips", "no")))
    assert unread_of(look_at(held)) == ()
    later = on("pea", observations=(sight("weather vane", "north", date=AFTER),))
    assert unread_of(look_at(later)) == ()


def test_the_order_of_rows_does_not_matter():
    rows = (
        sight("strips", "yes"),
        sight("Strips", "no"),
        sight("vane", "b"),
        sight("vane", "a"),
        sight("pattern", "?"),
    )
    one, other = on("pea", observations=rows), on("pea", observations=rows[::-1])
    assert found(one) == found(other)
    assert unread_of(look_at(one)) == unread_of(look_at(other))
