"""Values that options may take."""

from __future__ import annotations

import datetime as dt
from enum import StrEnum

import typer

__all__ = ["Format", "PaperSize", "UnitSystem", "day"]


class Format(StrEnum):
    """How results are printed."""

    TABLE = "table"
    JSON = "json"
    CSV = "csv"


class UnitSystem(StrEnum):
    """Units of what people read."""

    METRIC = "metric"
    US = "us"
    CANADA = "canada"


class PaperSize(StrEnum):
    """Size of the report pages."""

    A4 = "a4"
    LETTER = "letter"


def day(text: str) -> dt.date:
    """Read a day given on the command line; only the form that cannot be misread is taken."""
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise typer.BadParameter(f"{text!r} is no date. Write year-month-day, such as 2026-06-24.") from None
