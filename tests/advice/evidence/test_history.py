"""History of the field and day of the dig."""

import dataclasses
import datetime as dt

import pytest
from tests.advice.evidence.looking import found, look_at, on, sure_of, told
from tests.factories import DUG, GOOD, a_dig

from spadework.advice.evidence.history import history


@pytest.mark.parametrize(
    ("before", "year", "sure"),
    [
        (False, None, 1), (None, None, None), (True, None, 0.2), (True, 2026, 0), (True, 2022, 0), (None, 2022, 0),
        (True, 2021, 0.7), (None, 1990, 0.7), (True, 2027, None), (False, 2022, None),
    ],
)  # fmt: skip
def test_host_new(before, year, sure):
    field = {"host_grown_before": before, "host_last_year": year}
    assert sure_of("host_new", on("pea", field=field)) == sure


def test_years_are_counted_from_the_year_of_sowing():
    field = {"sown_on": dt.date(2025, 12, 1), "emerged_on": None, "host_last_year": 2021}
    assert sure_of("host_new", on("mung_bean", field=field)) == 0
    assert sure_of("host_new", on("mung_bean", field={**field, "sown_on": None})) == 0.7


def test_years_are_told():
    assert "in 2020, 6 years ago" in told("host_new", on("pea", field={"host_last_year": 2020}))


@pytest.mark.parametrize(("stage", "early", "late"), [(7, 1, 0), (13, 1, 0), (55, 0, 0), (61, 0, 0), (79, 0, 1)])
def test_the_stage_seen_tells_the_time(stage, early, late):
    held = on("pea", plants=GOOD, digs=(a_dig(stage_bbch=stage),))
    assert (sure_of("dug_early", held), sure_of("dug_late", held)) == (early, late)


def timed(**changes):
    seen = look_at(on("pea", digs=(a_dig(),)))
    changed = dataclasses.replace(seen, timing=dataclasses.replace(seen.timing, **changes))
    return {one.finding: pytest.approx(one.sure) for one in history(changed)}


@pytest.mark.parametrize(
    ("state", "sure", "expected"),
    [
        ("too_early", True, {"dug_early": 1, "dug_late": 0}),
        ("first_look", False, {"dug_early": 0.7, "dug_late": 0}),
        ("in_window", True, {"dug_early": 0, "dug_late": 0}),
        ("in_window", False, {"dug_early": 0.15, "dug_late": 0.15}),
        ("too_late", False, {"dug_early": 0, "dug_late": 0.7}),
        ("unknown", False, {}),
    ],
)
def test_a_time_that_is_not_sure_leaves_a_doubt(state, sure, expected):
    assert timed(state=state, sure=sure) == expected


def test_what_was_not_dug_was_dug_neither_early_nor_late():
    assert timed(dug_on=None, state="too_early", sure=True) == {}
    assert not {"dug_early", "dug_late"} & set(found(on("pea"), today=DUG))
