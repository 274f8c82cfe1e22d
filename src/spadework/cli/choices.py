"""Values that options may take."""

from __future__ import annotations

import datetime as dt
from enum import StrEnum
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from spadework.knowledge.rows import Crop

__all__ = ["Format", "PaperSize", "UnitSystem", "crop_named", "day"]


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


def crop_named(name: str) -> Crop:
    """Read a crop given on the command line, in any case and with spaces or hyphens."""
    from spadework.knowledge.rows import Crop

    try:
        return Crop(name.strip().lower().replace(" ", "_").replace("-", "_"))
    except ValueError:
        raise typer.BadParameter(
            f"{name!r} is not a crop that Spadework knows. It knows {', '.join(Crop)}.", param_hint="--crop"
        ) from None
