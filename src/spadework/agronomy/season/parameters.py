"""Everything that the season balance needs to know of crop, soil and nodules."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from spadework.errors import DomainError

__all__ = ["LEAST_UPTAKE_SPAN", "LONG_DAY_OFF", "Parameters", "Values"]

Values = float | NDArray[np.float64]
"""One number for all draws, or an array of shape (draws, 1)."""

LEAST_UPTAKE_SPAN = 0.2
"""Least distance on the stage clock from fastest to full uptake: nearer than that the curve is a step. Judgement."""

LONG_DAY_OFF = 0.0
"""Slope of a crop whose sums hold in any day length."""


@dataclass(frozen=True, kw_only=True)
class Parameters:
    """Numbers or arrays of shape (draws, 1).

    Stages are on the clock of the balance: 0 emergence, 1 first flower, 2 physiological maturity. Water fractions
    are of the water between field capacity and wilting point. Nitrogen is above ground.
    """

    # What is asked about this field
    expected_yield: Values
    """Grain that the season is thought to give, N apart. [t/ha]"""
    nodulation: Values
    """Nodulation factor: what the nodules can fix as a share of a well nodulated crop's. [1]"""
    mineral_n_at_sowing: Values
    """In the root zone. [kg/ha]"""
    water_at_sowing: Values
    """Share of the available water that is there. [1]"""
    available_water: Values
    """[mm/m]"""
    organic_matter: Values
    """Of the top 20 cm. [%]"""

    # Clock
    base_temperature: Values
    cap_temperature: Values
    """Of the day's mean. [degC]"""
    sowing_to_emergence: Values
    emergence_to_flower: Values
    flower_to_maturity: Values
    """Sums above the base. [degC d]"""
    long_day_critical: Values = 12.0
    """Day length under which flowering is held back. [h]"""
    long_day_slope: Values = LONG_DAY_OFF
    """Share of the rate lost for an hour under it. [1/h]"""

    # Water
    root_depth: Values
    """[m]"""
    crop_coefficient_initial: Values
    crop_coefficient_middle: Values
    crop_coefficient_end: Values
    depletion_share: Values
    """Share of the available water that is gone before the crop uses less, at 5 mm/d. [1]"""
    drainage_rate: Values
    """Share of the water above field capacity that drains in a day. [1/d]"""

    # Soil nitrogen
    mineralisable_share: Values
    """Of total N. [1]"""
    field_factor: Values
    """Of soil in place against sieved soil. [1]"""
    carbon_to_nitrogen: Values
    bulk_density: Values
    """[t/m3]"""
    uptake_rate: Values
    """Largest share of the mineral N in reach that is taken up in a day, at full rooting. [1/d]"""
    unreachable_n: Values
    """Mineral N that stays behind. [kg/ha]"""
    half_sparing_n: Values
    """Mineral N at which a fixing crop spares half of what its nodules can replace. [kg/ha]"""

    # Demand
    n_per_tonne: Values
    """[kg/t]"""
    luxury: Values
    """Largest uptake as a multiple of what the yield requires. [1]"""
    fastest_uptake_stage: Values
    full_uptake_stage: Values
    catch_up_rate: Values
    """Share of the arrears that is asked for in a day. [1/d]"""
    seed_n: Values
    """In the crop on the day of emergence. [kg/ha]"""
    dilution: Values
    """How far a crop short of N gives grain with less N in it, instead of less grain; under 1. [1]"""
    final_status_weight: Values
    """Weight of N at maturity against N at seed set. [1]"""

    # Nodules
    nodule_lag: Values
    nodule_rise: Values
    """Full-warmth days from emergence to first active nodules, and from then to all of them. [d]"""
    decline_begins_stage: Values
    decline_ends_stage: Values
    spare_capacity: Values
    """What good nodules can fix against what the day asks. [1]"""
    highest_fixation: Values
    """[kg/ha/d]"""
    nitrate_harmless: Values
    nitrate_stops: Values
    """Mineral N in the root zone from which fixation is hindered, and at which it ends. [kg/ha]"""
    fixation_stops_water: Values
    fixation_falls_water: Values
    """Water fraction at which fixation ends, and under which it falls. [1]"""
    waterlogging_excess: Values
    """Water above field capacity that counts as waterlogging. [mm]"""
    waterlogged_share: Values
    """Fixation while waterlogged. [1]"""
    waterlogging_recovery: Values
    """Days to full fixation after it. [d]"""
    fixation_temperature: tuple[Values, Values, Values, Values]
    nodulation_temperature: tuple[Values, Values, Values, Values]
    """Soil temperature: none at and under the first, full from second to third, none from the fourth. [degC]"""

    def __post_init__(self) -> None:
        for name, value in self.flat().items():
            array = np.asarray(value)
            if array.ndim not in (0, 2) or (array.ndim == 2 and array.shape[1] != 1):
                raise DomainError(name, array.shape, "one number or an array of shape (draws, 1)")
            if not np.all(np.isfinite(array)):
                raise DomainError(name, float(array[~np.isfinite(array)].flat[0]), "finite")
        sizes = {np.size(value) for value in self.flat().values()} - {1}
        if len(sizes) > 1:
            raise DomainError("parameters", sorted(sizes), "of one number of draws")
        for name, (lowest, highest) in _LIMITS.items():
            array = np.asarray(getattr(self, name))
            if np.any((array < lowest) | (array > highest)):
                seen = array[(array < lowest) | (array > highest)].flat[0]
                raise DomainError(name, float(seen), f"from {lowest:g} to {highest:g}")
        for lower, upper in _RISING:
            if np.any(np.asarray(getattr(self, upper)) <= np.asarray(getattr(self, lower))):
                raise DomainError(upper, getattr(self, upper), f"above {lower}")
        for name in _FOUR:
            first, second, third, fourth = getattr(self, name)
            if np.any(first >= second) or np.any(second > third) or np.any(third >= fourth):
                raise DomainError(name, getattr(self, name), "four temperatures that rise")
        if np.any(np.asarray(self.full_uptake_stage) - self.fastest_uptake_stage < LEAST_UPTAKE_SPAN - 1e-9):
            raise DomainError(
                "full_uptake_stage",
                self.full_uptake_stage,
                f"at least {LEAST_UPTAKE_SPAN} above fastest_uptake_stage",
            )

    @property
    def draws(self) -> int:
        """Number of draws or cells; 1 where all are single numbers."""
        return max(np.size(value) for value in self.flat().values())

    def flat(self) -> Mapping[str, Values]:
        """Return every parameter by name; the four temperatures of a response one by one (``name.0``)."""
        found: dict[str, Values] = {}
        for field in fields(self):
            value = getattr(self, field.name)
            if isinstance(value, tuple):
                found |= {f"{field.name}.{place}": item for place, item in enumerate(value)}
            else:
                found[field.name] = value
        return found

    def varying(self) -> Mapping[str, NDArray[np.float64]]:
        """Return the parameters that differ between draws, each of shape (draws,)."""
        arrays = {name: np.asarray(value) for name, value in self.flat().items()}
        return {name: array[:, 0] for name, array in arrays.items() if array.size > 1 and np.ptp(array) > 0}


_RISING = (
    ("base_temperature", "cap_temperature"),
    ("decline_begins_stage", "decline_ends_stage"),
    ("nitrate_harmless", "nitrate_stops"),
    ("fixation_stops_water", "fixation_falls_water"),
)
_FOUR = ("fixation_temperature", "nodulation_temperature")

_SOME, _MANY = 1e-6, 1e6
_LIMITS: Mapping[str, tuple[float, float]] = {
    "expected_yield": (_SOME, 50.0),
    "nodulation": (0.0, 5.0),
    "mineral_n_at_sowing": (0.0, _MANY),
    "water_at_sowing": (0.0, 1.0),
    "available_water": (_SOME, 1000.0),
    "organic_matter": (0.0, 100.0),
    "sowing_to_emergence": (_SOME, _MANY),
    "emergence_to_flower": (_SOME, _MANY),
    "flower_to_maturity": (_SOME, _MANY),
    "long_day_slope": (0.0, 1.0),
    "root_depth": (_SOME, 10.0),
    "crop_coefficient_initial": (0.0, 3.0),
    "crop_coefficient_middle": (0.0, 3.0),
    "crop_coefficient_end": (0.0, 3.0),
    "depletion_share": (0.0, 1.0),
    "drainage_rate": (0.0, 1.0),
    "mineralisable_share": (0.0, 1.0),
    "field_factor": (0.0, 1.0),
    "carbon_to_nitrogen": (1.0, 100.0),
    "bulk_density": (_SOME, 3.0),
    "uptake_rate": (0.0, 1.0),
    "unreachable_n": (0.0, _MANY),
    "half_sparing_n": (_SOME, _MANY),
    "n_per_tonne": (_SOME, 1000.0),
    "luxury": (1.0, 10.0),
    "fastest_uptake_stage": (0.0, 2.0),
    "full_uptake_stage": (_SOME, 2.0),
    "catch_up_rate": (0.0, 1.0),
    "seed_n": (0.0, 100.0),
    "dilution": (0.0, 1.0 - _SOME),
    "final_status_weight": (0.0, 1.0),
    "nodule_lag": (0.0, _MANY),
    "nodule_rise": (_SOME, _MANY),
    "decline_begins_stage": (0.0, 3.0),
    "spare_capacity": (0.0, 10.0),
    "highest_fixation": (0.0, _MANY),
    "nitrate_harmless": (0.0, _MANY),
    "fixation_stops_water": (0.0, 1.0),
    "waterlogging_excess": (0.0, _MANY),
    "waterlogged_share": (0.0, 1.0),
    "waterlogging_recovery": (_SOME, _MANY),
}
"""Least and most that a formula takes; far wider than what is likely."""
