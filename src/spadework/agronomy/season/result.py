"""What a season came to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

__all__ = ["DAILY", "SeasonResult", "Totals"]

Floats = NDArray[np.float64]

DAILY = (
    "stage",
    "water",
    "water_fraction",
    "evaporated",
    "drained",
    "mineral_n",
    "mineralised",
    "freed",
    "leached",
    "demand",
    "crop_n",
    "fixed",
    "taken",
)
"""Series that can be kept day by day; amounts that pass are added up from sowing on."""


class Totals(NamedTuple):
    """What the season of one draw came to; a field of ``SeasonResult`` each."""

    emerged_on: float
    flowered_on: float
    matured_on: float
    demand: float
    required: float
    crop_n: float
    seed_n: float
    taken: float
    fixed: float
    fixed_share: float
    gap: float
    gap_at_maturity: float
    relative_yield: float
    mineral_n_before: float
    mineralised: float
    freed: float
    leached: float
    mineral_n: float
    mineral_n_at_maturity: float
    water_before: float
    rain: float
    evaporated: float
    drained: float
    water: float
    crop_water_use: float


@dataclass(frozen=True, kw_only=True)
class SeasonResult:
    """Arrays of shape (draws,), at the end of the days given; nothing moves in the crop after maturity.

    Days are counted from the day of sowing, which is 0; -1 where a stage was not reached. A figure that only a
    season come to maturity has is NaN where it did not. Above-ground N [kg/ha], water [mm], shares [1].
    """

    emerged_on: NDArray[np.int64]
    flowered_on: NDArray[np.int64]
    matured_on: NDArray[np.int64]

    demand: Floats
    """What the crop should hold by the last day, luxury included."""
    required: Floats
    """What the expected yield requires at maturity."""
    crop_n: Floats
    seed_n: Floats
    taken: Floats
    """From soil and applied N."""
    fixed: Floats
    fixed_share: Floats
    """Of the crop's N; NaN where no crop emerged."""
    gap: Floats
    """Demand less crop N on the last day, at least 0."""
    gap_at_maturity: Floats
    """Required less crop N, at least 0."""
    relative_yield: Floats
    """Yield that this N allows, as a share of the expected one."""

    mineral_n_before: Floats
    mineralised: Floats
    applied: Floats
    freed: Floats
    """Applied N that reached the mineral pool."""
    leached: Floats
    mineral_n: Floats
    mineral_n_at_maturity: Floats

    water_before: Floats
    rain: Floats
    evaporated: Floats
    drained: Floats
    water: Floats
    crop_water_use: Floats
    """Evapotranspiration from the day of emergence to maturity."""

    daily: Mapping[str, Floats]
    """Series asked for, by name, each of shape (draws, days)."""
