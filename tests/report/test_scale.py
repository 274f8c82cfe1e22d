import datetime as dt

import pytest

from spadework.report.scale import DayScale

FIRST, LAST = dt.date(2026, 5, 1), dt.date(2026, 8, 9)  # 100 days, so a margin of 4 days on both sides


@pytest.mark.parametrize(
    ("day", "place"),
    [(FIRST - dt.timedelta(4), 0), (FIRST, 4 / 108), (dt.date(2026, 6, 20), 0.5), (LAST, 104 / 108)],
)
def test_place_of_a_day(day, place):
    assert DayScale(FIRST, LAST).place(day) == pytest.approx(place, abs=5e-6)


def test_one_day_alone_stands_in_the_middle():
    assert DayScale(FIRST, FIRST).place(FIRST) == 0.5


def test_a_day_beyond_is_not_held_back():
    assert DayScale(FIRST, LAST).place(LAST + dt.timedelta(20)) > 1
