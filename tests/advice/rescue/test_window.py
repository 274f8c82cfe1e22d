import datetime as dt

from tests.advice.rescue.fields import HELD, KNOWN, looked_at
from tests.factories import SOWN, a_dig, records

from spadework.advice.messages import render
from spadework.advice.rescue.window import too_late_by_record, window_of
from spadework.agronomy.rescue.window import limits_of
from spadework.knowledge.rows import Crop

PEA, SOYBEAN = (limits_of(crop, KNOWN) for crop in (Crop.PEA, Crop.SOYBEAN))


def window_on(day):
    balance, _ = looked_at()
    return window_of(balance, SOYBEAN, day=day, level=0.9)


def test_the_window_narrows_and_closes_in_this_order():
    window, last = window_on(52)
    assert window.best_until[0] <= window.best_until[1] <= window.closes[1]
    assert window.best_until[0] < window.closes[0] <= last + dt.timedelta(days=1) <= window.closes[1]
    assert window.state == "open"
    assert "R1 to R2" in render(window.limit)


def test_its_state_follows_the_day_on_which_nitrogen_could_be_there():
    _, last = window_on(52)
    closing = (last - HELD["failed"].field.sown_on).days
    assert [window_on(day)[0].state for day in (52, closing, closing + 1)] == ["open", "closing", "closed"]


def test_a_stage_written_down_is_enough_to_be_too_late_weeks_alone_are_not():
    held = records(digs=(a_dig(stage_bbch=55),))
    assert too_late_by_record(held, PEA, on=SOWN + dt.timedelta(days=200)) is None
    podded = records(field={"sown_on": None, "emerged_on": None}, digs=(a_dig(stage_bbch=71),))
    assert too_late_by_record(podded, PEA, on=dt.date(2026, 6, 25)) == "rescue.limit.pea.stage"
    assert too_late_by_record(podded, PEA, on=dt.date(2026, 6, 1)) is None
    assert too_late_by_record(records(digs=()), SOYBEAN, on=dt.date(2026, 9, 1)) is None
