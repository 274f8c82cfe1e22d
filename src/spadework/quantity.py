"""A figure with its interval, unit, sources and grade of evidence."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from spadework.errors import DomainError

__all__ = ["Grade", "Quantity", "worst_grade"]


class Grade(StrEnum):
    """How well a figure is founded."""

    READ = "A"
    SECOND_HAND = "B"
    JUDGEMENT = "C"


def worst_grade(*grades: Grade) -> Grade:
    """Return the weakest of the grades given: a figure is no better than its worst part."""
    return max(grades)


@dataclass(frozen=True)
class Quantity:
    """A value that never travels alone.

    ``unit`` is one of the unit names of the knowledge tables (``"1"`` for a share). ``low`` and
    ``high`` bound the interval at ``level`` (a share such as 0.90), or are both ``None`` where no
    interval is known. ``sources`` holds ids of knowledge rows, in the order they were used.
    """

    value: float
    unit: str
    low: float | None = None
    high: float | None = None
    level: float | None = None
    sources: tuple[str, ...] = ()
    grade: Grade | None = None

    def __post_init__(self) -> None:
        if (self.low is None) != (self.high is None):
            raise DomainError("low and high", (self.low, self.high), "given together or not at all")
        if self.low is not None and self.high is not None and self.low > self.high:
            raise DomainError("low", self.low, f"at most high ({self.high})")
        if not math.isfinite(self.value):
            raise DomainError("value", self.value, "a finite number")
