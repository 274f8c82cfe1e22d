"""Counts and count classes in cells: 12, 11-20, >50, 50+, <5."""

from __future__ import annotations

import re

from spadework.records.columns import ColumnPlan
from spadework.records.refusal import Refused, quoted
from spadework.records.types import MAX_COUNT, CountRange

__all__ = ["COUNT_PATTERN", "read_count"]

COUNT_PATTERN = r"^([0-9]+|[0-9]+-[0-9]+|>[0-9]+|[0-9]+\+)$"
"""How counts are written by ``write_book``, for the Table Schema."""

_EXACT = re.compile(r"([0-9]{1,9})(?:[.,]0*)?")
_CLASS = re.compile(r"([0-9]{1,9})\s*(?:-|–|—|−|\.\.|to)\s*([0-9]{1,9})", re.IGNORECASE)
_OVER = re.compile(r"(?:>|over|more than)\s*([0-9]{1,9})", re.IGNORECASE)
_AT_LEAST = re.compile(r"(?:≥|>=|at least)\s*([0-9]{1,9})|([0-9]{1,9})\s*\+", re.IGNORECASE)
_UNDER = re.compile(r"(?:<|under|less than)\s*([0-9]{1,9})", re.IGNORECASE)
_AT_MOST = re.compile(r"(?:≤|<=|up to|at most)\s*([0-9]{1,9})", re.IGNORECASE)
_NEGATIVE = re.compile(r"[-−–]\s*[0-9]+(?:[.,][0-9]+)?")
_DECIMALS = re.compile(r"[0-9]*[.,][0-9]+")
_ALLOWED = "Write a count (12), a class (11-20), or an open class (>50, 50+ or <5)."

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_MONTH_AND_NUMBER = re.compile(r"([a-z]{3,9})[-/. ]{0,2}([0-9]{1,4})", re.IGNORECASE)
_NUMBER_AND_MONTH = re.compile(r"([0-9]{1,2})[-/. ]{0,2}([a-z]{3,9})[-/. ]{0,2}(?:[0-9]{2}|[0-9]{4})?", re.IGNORECASE)
_YEAR_MONTH_DAY = re.compile(r"[0-9]{2}([0-9]{2})-([0-9]{1,2})-([0-9]{1,2})(?:[T ].*)?")
_NUMERIC_DATE = re.compile(r"[0-9]{1,2}([/.-])[0-9]{1,2}\1[0-9]{2,4}")
_DAY_NUMBERS = range(36526, 55153)
"""Days from 2000 to 2050 as spreadsheets number them."""


def read_count(text: str, plan: ColumnPlan) -> CountRange:
    """Read a count or a class; ``<5`` is 0 to 4 and ``>50`` is 51 or more."""
    low, high = _limits(text, plan)
    if high is not None and high < low:
        raise Refused(
            "count.reversed",
            f"{quoted(text)} runs from the larger number to the smaller.",
            f"Write {high}-{low} if that is what was meant.",
        )
    largest = low if high is None else high
    if largest > MAX_COUNT:
        hint = " (a spreadsheet's number for a day?)" if largest in _DAY_NUMBERS else ""
        raise Refused(
            "count.too_large",
            f"{plan.name} must be from 0 to {MAX_COUNT}, but the cell says {quoted(text)}{hint}.",
            "Correct it, or leave the cell empty if nobody counted.",
        )
    return CountRange(low, high)


def _limits(text: str, plan: ColumnPlan) -> tuple[int, int | None]:
    if match := _EXACT.fullmatch(text):
        return int(match[1]), int(match[1])
    if match := _CLASS.fullmatch(text):
        return int(match[1]), int(match[2])
    if match := _OVER.fullmatch(text):
        return int(match[1]) + 1, None
    if match := _AT_LEAST.fullmatch(text):
        return int(match[1] or match[2]), None
    if match := _AT_MOST.fullmatch(text):
        return 0, int(match[1])
    if (match := _UNDER.fullmatch(text)) and int(match[1]) > 0:
        return 0, int(match[1]) - 1
    raise _no_count(text, plan)


def _no_count(text: str, plan: ColumnPlan) -> Refused:
    if _NEGATIVE.fullmatch(text):
        return Refused(
            "count.negative",
            f"{plan.name} must be 0 or more, but the cell says {quoted(text)}.",
            "Correct it, or leave the cell empty if nobody counted.",
        )
    if _DECIMALS.fullmatch(text):
        return Refused(
            "count.decimals",
            f"{plan.name} must be a whole count or a class, but the cell says {quoted(text)}.",
            f"{_ALLOWED} Enter each plant, not an average.",
        )
    if text.endswith("%"):
        return Refused("count.share", f"{quoted(text)} is a share, but {plan.name} is a count.", _ALLOWED)
    if (was := _class_before_spreadsheet(text)) is not None:
        return Refused(
            "count.spreadsheet_date",
            f"{quoted(text)} is a date: a spreadsheet has turned a count class into it"
            + (f" (perhaps {was})." if was else "."),
            "Format the column as text in the spreadsheet and type the class again, such as 11-20.",
        )
    return Refused("count.unreadable", f"{quoted(text)} is not a count.", _ALLOWED)


def _class_before_spreadsheet(text: str) -> str | None:
    """Return the class that a spreadsheet may have made this date from; empty where only a date is clear."""
    if (match := _MONTH_AND_NUMBER.fullmatch(text)) and match[1][:3].lower() in _MONTHS:
        return _class_of(_MONTHS.index(match[1][:3].lower()) + 1, int(match[2]) % 100)
    if (match := _NUMBER_AND_MONTH.fullmatch(text)) and match[2][:3].lower() in _MONTHS:
        return _class_of(_MONTHS.index(match[2][:3].lower()) + 1, int(match[1]))
    if match := _YEAR_MONTH_DAY.fullmatch(text):
        year, month, day = (int(part) for part in match.groups())
        return _class_of(month, day) if day > 1 else f"{_class_of(1, month)} or {_class_of(month, year)}"
    return "" if _NUMERIC_DATE.fullmatch(text) else None


def _class_of(one: int, other: int) -> str:
    return f"{min(one, other)}-{max(one, other)}"
