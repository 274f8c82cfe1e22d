"""Stages seen in the field, and the days on which the clock reached a stage."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.season.crop import EMERGED, MATURE, ROUNDING, Clock
from spadework.agronomy.season.parameters import Values
from spadework.errors import DomainError

__all__ = ["Marks", "ObservedStage"]


@dataclass(frozen=True, kw_only=True)
class ObservedStage:
    """Stage seen on a day, in place of the clock's: 0 emergence, 1 first flower, 2 maturity.

    ``stage`` is a number or of shape (draws, 1), NaN where nothing was seen. Growth that the clock had run ahead of
    is not taken back: it waits until the clock comes by again.
    """

    day: int
    stage: Values

    def __post_init__(self) -> None:
        seen = np.asarray(self.stage)
        if self.day < 0 or np.any((seen < EMERGED) | (seen > MATURE)):
            raise DomainError("stage", self.stage, f"from {EMERGED:g} to {MATURE:g}, on a day from sowing on")


class Marks:
    """The day on which each row first reached a stage."""

    def __init__(self, rows: int, stage: float) -> None:
        self.day = np.full(rows, -1, dtype=np.int64)
        self._stage = stage - ROUNDING
        self._waiting = rows

    def new(self, clock: Clock, day: int) -> NDArray[np.bool_] | None:
        """Mark the rows that reached the stage today; None where none did."""
        if not self._waiting or clock.highest < self._stage:
            return None
        reached = (clock.stage >= self._stage) & (self.day < 0)
        count = int(np.count_nonzero(reached))
        self._waiting -= count
        self.day[reached] = day
        return reached if count else None
