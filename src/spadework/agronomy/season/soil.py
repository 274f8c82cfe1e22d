"""The soil's day: water in one bucket over the root zone, and mineral nitrogen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.season.chunk import Chunk, DayValue, hold
from spadework.agronomy.season.crop import Clock

__all__ = ["Nitrogen", "Water", "free", "leach", "moisten", "release"]

Floats = NDArray[np.float64]

INITIAL_UNTIL, MIDDLE_FROM, MIDDLE_UNTIL, END_AT = 0.25, 0.9, 1.5, 2.0
"""Stages between which the crop coefficient goes from its initial to its middle and to its end value. Judgement."""

DRIEST_RELEASE = 0.1
"""Share of the moist rate at which soil at wilting point still mineralises. Judgement."""


@dataclass(slots=True)
class Water:
    """Water of the root zone and how much has passed [mm], changed in place."""

    held: Floats
    """Above wilting point, at most to field capacity."""
    above: Floats
    """Above field capacity; it drains, or refills what the crop takes."""
    fraction: Floats
    """``held`` as a share of what field capacity holds. [1]"""
    supplied: Floats
    """Share of the crop's water demand that was met today. [1]"""
    unlogged: Floats
    """Share of fixation that waterlogging leaves. [1]"""
    drained_today: Floats
    evaporated: Floats
    drained: Floats
    drains: bool = False
    """Whether any row drained today."""
    stands: bool = False
    """Whether any row still has water above field capacity."""
    was_logged: bool = False

    @classmethod
    def at_sowing(cls, part: Chunk, rows: int) -> Self:
        """Start with the water at sowing, none above field capacity."""
        return cls(
            held=np.zeros(rows) + part.water_at_sowing * part.water_capacity,
            above=np.zeros(rows),
            fraction=np.zeros(rows),
            supplied=np.ones(rows),
            unlogged=np.ones(rows),
            drained_today=np.zeros(rows),
            evaporated=np.zeros(rows),
            drained=np.zeros(rows),
        )


def moisten(water: Water, clock: Clock, part: Chunk, *, rain: DayValue, reference_et: DayValue) -> None:
    """Rain, evapotranspiration with stress, drainage and waterlogging of one day.

    Fixation is held down while water stands, and recovers by equal steps after it.

    References
    ----------
    fao56 (crop coefficients, share of water before stress, stress); thomas2005 (waterlogging and recovery)
    """
    use, share, ramp = part.one, part.two, part.three

    # What the crop would use with water enough.
    np.subtract(clock.stage, INITIAL_UNTIL, out=ramp)
    ramp *= 1.0 / (MIDDLE_FROM - INITIAL_UNTIL)
    hold(ramp, 0.0, 1.0)
    np.multiply(ramp, part.coefficient_rise, out=use)
    use += part.coefficient_initial
    if clock.highest > MIDDLE_UNTIL:
        np.subtract(clock.stage, MIDDLE_UNTIL, out=ramp)
        ramp *= 1.0 / (END_AT - MIDDLE_UNTIL)
        np.maximum(ramp, 0.0, out=ramp)
        ramp *= part.coefficient_fall
        use += ramp
    use *= reference_et

    # What it gets: under stress as soon as more than a share of the water is gone.
    np.multiply(use, -0.04, out=share)
    share += part.depletion_at_none
    hold(share, 0.1, 0.8)
    np.subtract(1.0, share, out=share)
    share *= part.water_capacity
    np.divide(water.held, share, out=water.supplied)
    np.minimum(water.supplied, 1.0, out=water.supplied)
    use *= water.supplied
    np.minimum(use, water.held, out=use)
    water.evaporated += use
    water.held -= use
    water.held += rain

    # What the soil cannot hold drains, or comes back as room is made.
    np.subtract(water.held, part.water_capacity, out=share)
    np.maximum(share, 0.0, out=share)
    water.drains = water.stands or bool(share.any())
    if water.drains:
        water.held -= share
        water.above += share
        np.multiply(water.above, part.drainage_rate, out=water.drained_today)
        water.above -= water.drained_today
        water.drained += water.drained_today
        np.subtract(part.water_capacity, water.held, out=share)
        np.maximum(share, 0.0, out=share)
        np.minimum(share, water.above, out=share)
        water.held += share
        water.above -= share
        water.stands = bool(water.above.any())
    if water.drains or water.was_logged:
        water.unlogged += part.recovery_step
        np.minimum(water.unlogged, 1.0, out=water.unlogged)
        np.copyto(water.unlogged, part.waterlogged_share, where=water.above > part.waterlogging_excess)
        water.was_logged = float(water.unlogged.min()) < 1.0
    np.divide(water.held, part.water_capacity, out=water.fraction)
    hold(water.fraction, 0.0, 1.0)


@dataclass(slots=True)
class Nitrogen:
    """Nitrogen of the soil and how much has passed [kg/ha], changed in place."""

    mineral: Floats
    organic: Floats
    """Organic N that can still be mineralised; not used up where a rule of thumb stands in."""
    mineralised: Floats
    freed: Floats
    leached: Floats

    @classmethod
    def at_sowing(cls, part: Chunk, rows: int) -> Self:
        """Start with the mineral N at sowing."""
        return cls(
            np.zeros(rows) + part.mineral_n_at_sowing,
            np.zeros(rows) + part.mineralisable_n,
            *(np.zeros(rows) for _ in range(3)),
        )


def release(soil: Nitrogen, water: Water, part: Chunk, *, rate: DayValue, rule: Floats | None) -> None:
    """Mineralise for one day: first order in what is left, or by ``rule`` (N for each unit of rate and moisture).

    References
    ----------
    cassman_munns1980 (linear in water)
    """
    freed = part.one
    np.multiply(water.fraction, 1.0 - DRIEST_RELEASE, out=freed)
    freed += DRIEST_RELEASE
    freed *= rate
    if rule is None:
        freed *= part.field_factor
        freed *= soil.organic
        soil.organic -= freed
    else:
        freed *= rule
    soil.mineral += freed
    soil.mineralised += freed


def free(soil: Nitrogen, amount: Floats) -> None:
    """Add applied N that reaches the mineral pool today."""
    soil.mineral += amount
    soil.freed += amount


def leach(soil: Nitrogen, water: Water, part: Chunk) -> None:
    """Wash out mineral N with the water that drained, as if mixed through the root zone. Judgement."""
    if not water.drains:
        return
    lost = part.one
    np.multiply(water.drained_today, part.per_mixing_water, out=lost)
    np.expm1(lost, out=lost)
    lost *= soil.mineral
    soil.mineral += lost
    soil.leached -= lost
