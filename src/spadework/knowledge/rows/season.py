"""Rows of the season balance that are more than one figure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from spadework.knowledge.rows.base import Row

__all__ = ["TemperatureResponse"]


@dataclass(frozen=True, kw_only=True)
class TemperatureResponse(Row):
    """Share of a full rate against temperature [degC]: straight lines between four points.

    Nothing at and under ``none_below``, all from ``full_from`` to ``full_to``, nothing from ``none_above`` on.
    """

    table: ClassVar[str] = "temperature_response"

    none_below: float
    full_from: float
    full_to: float
    none_above: float

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.unit != "degC":
            raise self.fault(f"unit is {self.unit!r}; temperatures are in degC")
        if not self.none_below < self.full_from <= self.full_to < self.none_above:
            raise self.fault("the four temperatures must rise")

    @property
    def points(self) -> tuple[float, float, float, float]:
        """The four temperatures, from cold to hot [degC]."""
        return self.none_below, self.full_from, self.full_to, self.none_above
