"""Values that options may take."""

from __future__ import annotations

import datetime as dt
import math
import re
from enum import StrEnum
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from spadework.knowledge.rows import Crop

__all__ = ["Format", "PaperSize", "UnitSystem", "crop_named", "day", "number"]

_NUMBER = re.compile(r"-?\d+(\.\d+)?")


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


def number(text: str) -> float:
    """Read a number given on the command line, with a decimal point."""
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if math.isfinite(value):
        return value
    point = text.replace(",", ".")
    how = f"Write it with a decimal point: {point}." if _NUMBER.fullmatch(point) else "Write it so: 310.5."
    raise typer.BadParameter(f"{text!r} is no number. {how}")


def crop_named(name: str) -> Crop:
    """Read a crop given on the command line, in any case and with spaces or hyphens."""
    from spadework.knowledge.rows import Crop

    try:
        return Crop(name.strip().lower().replace(" ", "_").replace("-", "_"))
    except ValueError:
        raise typer.BadParameter(
            f"{name!r} is not a crop that Spadework knows. It knows {', '.join(Crop)}.", param_hint="--crop"
        ) from None
