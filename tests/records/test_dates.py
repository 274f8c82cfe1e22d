import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.records.columns import columns_of
from spadework.records.dates import read_date
from spadework.records.refusal import Refused
from spadework.records.types import DigRow

DAY = next(plan for plan in columns_of(DigRow) if plan.name == "date")
MAY_4 = dt.date(2026, 5, 4)


@pytest.mark.parametrize(
    "text",
    [
        "2026-05-04",
        "2026-5-4",
        "2026/05/04",
        "2026.05.04",
        "20260504",
        "2026-05-04T00:00:00",
        "2026-05-04 00:00",
        "2026-05-04 00:00:00.000",
        "2026-05-04T00:00Z",
    ],
)
@pytest.mark.parametrize("order", ["iso", "dmy", "mdy"])
def test_year_first_is_read_one_way_whatever_the_order(text, order):
    assert read_date(text, DAY, order) == MAY_4


@pytest.mark.parametrize("text", ["04/05/2026", "4.5.2026", "04-05-2026", "4/5/2026 00:00"])
def test_year_last_follows_the_order_declared(text):
    assert read_date(text, DAY, "dmy") == MAY_4
    assert read_date(text, DAY, "mdy") == dt.date(2026, 4, 5)
    with pytest.raises(Refused, match="could be 2026-05-04 or 2026-04-05"):
        read_date(text, DAY, "iso")


@pytest.mark.parametrize("text", ["25/06/2026", "06/25/2026", "25.6.2026"])
def test_a_day_above_twelve_leaves_one_reading(text):
    assert read_date(text, DAY, "iso") == dt.date(2026, 6, 25)


def test_a_day_equal_to_the_month_leaves_one_reading():
    assert read_date("05/05/2026", DAY, "iso") == dt.date(2026, 5, 5)


@pytest.mark.parametrize("order", ["dmy", "mdy"])
def test_a_declared_order_is_kept_even_where_the_other_would_do(order):
    text = {"dmy": "06/25/2026", "mdy": "25/06/2026"}[order]

    with pytest.raises(Refused, match="month 25"):
        read_date(text, DAY, order)


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("2026-02-29", "date.not_in_calendar"),
        ("2026-13-01", "date.not_in_calendar"),
        ("31/04/2026", "date.not_in_calendar"),
        ("0000-05-04", "date.not_in_calendar"),
        ("1899-12-31", "date.out_of_bounds"),
        ("4/5/26", "date.year_of_two_digits"),
        ("26-05-04", "date.year_of_two_digits"),
        ("2026-05-04 08:15", "date.with_time"),
        ("46146", "date.day_number"),
        ("4 May 2026", "date.unreadable"),
        ("2026-05/04", "date.unreadable"),
        ("2026-05", "date.unreadable"),
        ("\u0662026-05-04", "date.unreadable"),  # an Arabic-Indic 2
        ("2026-W19-1", "date.unreadable"),
    ],
)
def test_what_is_no_day_is_refused(text, kind):
    with pytest.raises(Refused) as caught:
        read_date(text, DAY, "iso")

    assert caught.value.kind == kind


@given(st.dates(dt.date(1900, 1, 1), dt.date(2100, 12, 31)))
def test_each_way_to_write_a_day_gives_that_day_or_a_refusal(day):
    assert read_date(day.isoformat(), DAY, "mdy") == day
    assert read_date(day.strftime("%d/%m/%Y"), DAY, "dmy") == day
    assert read_date(day.strftime("%m/%d/%Y"), DAY, "mdy") == day
    dotted = day.strftime("%d.%m.%Y")
    if day.day <= 12 and day.day != day.month:
        with pytest.raises(Refused, match="could be"):
            read_date(dotted, DAY, "iso")
    else:
        assert read_date(dotted, DAY, "iso") == day
