"""The stage clock of the balance, and stages seen in the field."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from spadework.agronomy.season.parameters import Values
from spadework.errors import DomainError

__all__ = ["EMERGED", "FIRST_FLOWER", "MATURE", "ROUNDING", "ObservedStage"]

EMERGED, FIRST_FLOWER, MATURE = 0.0, 1.0, 2.0
"""Stages of the clock; it starts at -1 on the day of sowing."""

ROUNDING = 1e-9
"""By how much a sum of floats may fall short of the stage that it equals on paper.

Like the stages it is built into compiled code, which is kept until ``day.py`` changes.
"""


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
