"""Dates in cells. The day is read only where it can be read one way."""

from __future__ import annotations

import datetime as dt
import re

from spadework.records.columns import ColumnPlan
from spadework.records.refusal import Refused, quoted

__all__ = ["read_date"]

_YEAR_FIRST = re.compile(r"([0-9]{4})([-/.])([0-9]{1,2})\2([0-9]{1,2})(.*)", re.DOTALL)
_BASIC = re.compile(r"([0-9]{4})([0-9]{2})([0-9]{2})")
_YEAR_LAST = re.compile(r"([0-9]{1,2})([-/.])([0-9]{1,2})\2([0-9]{4}|[0-9]{2})(.*)", re.DOTALL)
_MIDNIGHT = re.compile(r"(?:[T ]+00:00(?::00(?:\.0+)?)?Z?)?")
_DAY_NUMBER = re.compile(r"[0-9]{5}(?:[.,]0+)?")
_FIRST_DAY_OF_SPREADSHEETS = dt.date(1899, 12, 30)
_WRITE_ISO = "Write year-month-day, such as 2026-06-25."


def read_date(text: str, plan: ColumnPlan, order: str) -> dt.date:
    """Read a date.

    Year first is always read as year, month, day. Year last is read by ``order`` (dmy or mdy); with
    ``order`` iso only where the day is above 12 or equal to the month, so that there is one reading.
    A time of day other than midnight, a year of two digits and a month in words are refused.
    """
    if match := _YEAR_FIRST.fullmatch(text):
        year, _, month, day, rest = match.groups()
    elif match := _BASIC.fullmatch(text):
        (year, month, day), rest = match.groups(), ""
    elif match := _YEAR_LAST.fullmatch(text):
        first, _, second, year, rest = match.groups()
        if len(year) == 2:
            raise Refused(
                "date.year_of_two_digits",
                f"{quoted(text)} has a year of two digits, which could be read in several ways.",
                _WRITE_ISO,
            )
        day, month = _day_and_month(text, first, second, year, order)
    else:
        raise _unreadable(text)
    if not _MIDNIGHT.fullmatch(rest):
        raise Refused(
            "date.with_time",
            f"{quoted(text)} has more in it than the day.",
            f"Write the day alone: {year}-{int(month):02}-{int(day):02}.",
        )
    try:
        date = dt.date(int(year), int(month), int(day))
    except ValueError:
        raise Refused(
            "date.not_in_calendar",
            f"{quoted(text)} is no day of the calendar (year {year}, month {month}, day {day}).",
            _WRITE_ISO,
        ) from None
    if not plan.low <= date <= plan.high:
        raise Refused(
            "date.out_of_bounds",
            f"{quoted(text)} lies outside {plan.low} to {plan.high}.",
            "Correct the year.",
        )
    return date


def _day_and_month(text: str, first: str, second: str, year: str, order: str) -> tuple[str, str]:
    if order == "dmy":
        return first, second
    if order == "mdy":
        return second, first
    if int(first) > 12 or first == second:
        return first, second
    if int(second) > 12:
        return second, first
    dmy, mdy = f"{year}-{int(second):02}-{int(first):02}", f"{year}-{int(first):02}-{int(second):02}"
    raise Refused(
        "date.two_ways",
        f"{quoted(text)} could be {dmy} or {mdy}.",
        f'Write {dmy} or {mdy}, or declare the order in book.toml: [dates] order = "dmy" (or "mdy").',
    )


def _unreadable(text: str) -> Refused:
    if _DAY_NUMBER.fullmatch(text):
        date = _FIRST_DAY_OF_SPREADSHEETS + dt.timedelta(days=int(text[:5]))
        return Refused(
            "date.day_number",
            f"{quoted(text)} looks like a spreadsheet's day number ({date} if its days start in 1900).",
            "Format the column as year-month-day in the spreadsheet before saving.",
        )
    return Refused("date.unreadable", f"{quoted(text)} is not a date.", _WRITE_ISO)
