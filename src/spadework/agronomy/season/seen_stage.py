"""A growth stage seen in the field on the clock of the season balance."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.season.crop import EMERGED, FIRST_FLOWER, MATURE

__all__ = ["draw_stage", "stage_of_code"]

Floats = NDArray[np.float64]

_FIRST_BUD, _BUD_STAGE = 51, 0.85
_FLOWERING, _RIPE = 60, 89
_UP, _FIRST_LEAF = 9, 10


def stage_of_code(bbch: int) -> float | None:
    """Stage on the clock (0 emergence, 1 first flower, 2 maturity) of a BBCH code.

    None between first leaf and first bud, where the number of leaves says little of the way to flowering, and before
    emergence. From bud to flower, and from flower to ripeness, codes are taken to pass evenly. Judgement.
    """
    if bbch in (_UP, _FIRST_LEAF):
        return EMERGED
    if bbch < _FIRST_BUD:
        return None
    if bbch < _FLOWERING:
        return _BUD_STAGE + (FIRST_FLOWER - _BUD_STAGE) * (bbch - _FIRST_BUD) / (_FLOWERING - _FIRST_BUD)
    return min(FIRST_FLOWER + (MATURE - FIRST_FLOWER) * (bbch - _FLOWERING) / (_RIPE - _FLOWERING), MATURE)


def draw_stage(*, stage: float, spread: float, draws: int, generator: np.random.Generator) -> Floats:
    """Draw the stage of a whole field about the one seen, held to the clock, shape (draws, 1) [1]."""
    return np.clip(stage + spread * generator.standard_normal((draws, 1)), EMERGED, MATURE)
