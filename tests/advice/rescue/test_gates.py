import datetime as dt

import pytest
from tests.advice.rescue.fields import HELD, decided, prices
from tests.factories import advice_on

from spadework.advice.messages import render
from spadework.records.types import RescuePlan

SETTLED = {
    "good": ("leave", "working"),
    "good pea": ("leave", "working"),
    "late pea": ("leave", "too_late"),
    "late by weeks": ("leave", "too_late"),
    "not dug": ("dig_first", "not_dug"),
    "too early": ("dig_first", "wrong_time"),
    "no yield": ("cannot_tell", "no_balance"),
}


@pytest.mark.parametrize("name", SETTLED)
def test_a_gate_settles_it_with_nothing_reckoned(name):
    found = decided(name)
    assert (found.kind, found.why) == SETTLED[name]
    assert found.options == ()
    assert found.chosen is None
    assert found.sure is None


def test_nitrate_in_a_green_crop_is_left_alone():
    found = decided("green on nitrate")
    assert found.kind == "leave"
    assert found.why in ("nitrate", "cause_not_nitrogen")
    assert found.options == ()


@pytest.mark.parametrize("name", [*SETTLED, "green on nitrate"])
def test_no_price_opens_a_gate(name):
    nearly_free = prices(1e6, {"urea": 1e-6}, per_pass=0.0)
    found = advice_on(HELD[name], prices=nearly_free).decision
    assert (found.kind, found.why) == (decided(name).kind, decided(name).why)


@pytest.mark.parametrize("name", [*SETTLED, "green on nitrate"])
def test_the_sentence_names_what_would_change_it(name):
    text = render(decided(name).headline)
    assert "would" in text
    assert "None" not in text


def test_a_dig_to_come_first_has_its_day():
    found = decided("not dug")
    assert found.act_by is not None
    assert found.window is not None
    assert found.act_by < found.window.closes[1]


def test_a_crop_nobody_can_dig_any_more_cannot_be_told():
    # The nitrogen could still come in time, but the crop was dug too early and its own window is over.
    later = advice_on(HELD["too early"], today=dt.date(2026, 6, 27), rescue=RescuePlan(lead_days=1)).decision
    assert (later.kind, later.why) == ("cannot_tell", "wrong_time")
    assert "None" not in render(later.headline)
