"""The crop's day: the stage clock, what it asks for, what its nodules can give, and who gives what."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.season.chunk import Chunk, DayValue, hold

__all__ = ["EMERGED", "FIRST_FLOWER", "MATURE", "Clock", "Crop", "advance", "feed"]

Floats = NDArray[np.float64]

EMERGED, FIRST_FLOWER, MATURE = 0.0, 1.0, 2.0
"""Stages of the clock; it starts at -1 on the day of sowing."""

ROUNDING = 1e-9
"""By how much a sum of floats may fall short of the stage that it equals on paper."""

ROOTED_AT_EMERGENCE = 0.2
"""Share of the root zone in reach at emergence; all of it at first flower. Judgement."""

DRY_FOR_UPTAKE = 0.3
"""Water fraction under which roots take up mineral N in proportion to water. Judgement."""


@dataclass(slots=True)
class Clock:
    """Stage of each row, changed in place; ``lowest`` and ``highest`` of all rows."""

    stage: Floats
    lowest: float = -1.0
    highest: float = -1.0

    @classmethod
    def at_sowing(cls, rows: int) -> Self:
        """Start the clock."""
        return cls(stage=np.full(rows, -1.0))

    @property
    def grows(self) -> bool:
        """Whether any row has emerged and any is not mature yet."""
        return self.highest >= EMERGED and self.lowest < MATURE

    def settle(self) -> None:
        """Find the range anew after the stages were changed."""
        self.lowest, self.highest = float(self.stage.min()), float(self.stage.max())


def advance(clock: Clock, part: Chunk, *, degree_days: DayValue, long_day: DayValue) -> None:
    """Move the clock on by one day; what is left over on the day of emergence does not count after it."""
    stage, step = clock.stage, part.one
    flower = FIRST_FLOWER - ROUNDING
    if clock.highest < EMERGED:
        np.multiply(part.to_emergence, degree_days, out=step)
    elif clock.lowest >= flower:
        np.multiply(part.to_maturity, degree_days, out=step)
    else:
        np.multiply(part.to_flower, long_day, out=step)
        if clock.highest >= flower:
            np.copyto(step, part.to_maturity, where=stage >= flower)
        if clock.lowest < EMERGED:
            np.copyto(step, part.to_emergence, where=stage < EMERGED)
        step *= degree_days
    if clock.lowest < EMERGED:
        below = stage < EMERGED
        stage += step
        stage[below & (stage >= -ROUNDING)] = EMERGED
    else:
        stage += step
    if clock.highest > FIRST_FLOWER:
        stage[stage >= MATURE - ROUNDING] = MATURE
    clock.settle()


@dataclass(slots=True)
class Crop:
    """Nitrogen of the crop [kg/ha], shares [1] and full-warmth days of its nodules [d], changed in place."""

    grown: Floats
    """Share of the season's uptake that is due by now."""
    demand: Floats
    """What the crop should hold by now."""
    nitrogen: Floats
    fixed: Floats
    taken: Floats
    nodule_days: Floats

    @classmethod
    def at_sowing(cls, rows: int) -> Self:
        """Start with nothing."""
        return cls(*(np.zeros(rows) for _ in range(6)))


def feed(
    crop: Crop,
    clock: Clock,
    part: Chunk,
    *,
    mineral_n: Floats,
    water_fraction: Floats,
    unlogged: Floats,
    growth: Floats | None,
    nodulation_warmth: DayValue,
    fixation_warmth: DayValue,
) -> None:
    """Give the crop its nitrogen of one day; takes the soil's share out of ``mineral_n``.

    A fixing crop leaves part of the soil's N alone, the more of it the less there is; one without nodules takes all
    that it can reach. ``growth`` is the share of the day's growth that water allows, None where the yield already
    reflects it.

    References
    ----------
    yin2003 (uptake curve); usda1990_form (smaller of the factors for water and nitrate)
    """
    asked, fixable, reach, spared = part.one, part.four, part.five, part.two
    _ask(asked, crop, clock, part, growth)
    _hinder(
        fixable,
        crop,
        clock,
        part,
        mineral_n=mineral_n,
        water_fraction=water_fraction,
        nodulation_warmth=nodulation_warmth,
    )
    fixable *= fixation_warmth
    fixable *= unlogged
    fixable *= part.capacity
    np.minimum(fixable, 1.0, out=fixable)
    fixable *= asked
    np.minimum(fixable, part.highest_fixation, out=fixable)

    _reach(reach, mineral_n, water_fraction, part, clock)
    np.add(mineral_n, part.half_sparing, out=spared)
    np.divide(part.half_sparing, spared, out=spared)
    spared *= fixable
    np.subtract(asked, spared, out=spared)
    np.minimum(reach, spared, out=reach)
    mineral_n -= reach
    crop.taken += reach
    crop.nitrogen += reach
    asked -= reach
    np.minimum(fixable, asked, out=fixable)
    crop.fixed += fixable
    crop.nitrogen += fixable


def _ask(asked: Floats, crop: Crop, clock: Clock, part: Chunk, growth: Floats | None) -> None:
    """Demand of the day: the beta curve of growth, and arrears, which fade between fastest and full uptake."""
    work, left, due = part.two, part.three, part.four
    np.maximum(clock.stage, EMERGED, out=work)
    np.minimum(work, part.full_stage, out=work)
    np.subtract(part.full_stage, work, out=left)
    left *= part.per_span
    np.divide(work, part.full_stage, out=work)
    np.power(work, part.curve, out=work)
    np.multiply(work, left, out=due)
    due += work
    np.maximum(due, crop.grown, out=due)

    np.subtract(crop.demand, crop.nitrogen, out=asked)
    np.maximum(asked, 0.0, out=asked)
    asked *= part.catch_up
    np.minimum(left, 1.0, out=left)
    asked *= left

    np.subtract(due, crop.grown, out=work)
    work *= part.full_uptake
    if growth is not None:
        work *= growth
    crop.grown[:] = due
    crop.demand += work
    asked += work


def _hinder(
    able: Floats,
    crop: Crop,
    clock: Clock,
    part: Chunk,
    *,
    mineral_n: Floats,
    water_fraction: Floats,
    nodulation_warmth: DayValue,
) -> None:
    """Share of fixation that nitrate, water and the nodules' age leave; counts the nodules' days."""
    factor = part.three
    np.subtract(part.nitrate_stops, mineral_n, out=able)
    able *= part.per_nitrate
    hold(able, 0.0, 1.0)
    np.multiply(able, nodulation_warmth, out=factor)
    if clock.lowest < EMERGED:
        factor[clock.stage < EMERGED] = 0.0
    crop.nodule_days += factor
    np.subtract(water_fraction, part.fixation_stops_water, out=factor)
    factor *= part.per_fixation_water
    hold(factor, 0.0, 1.0)
    np.minimum(able, factor, out=able)
    np.subtract(crop.nodule_days, part.nodule_lag, out=factor)
    factor *= part.per_rise
    hold(factor, 0.0, 1.0)
    able *= factor
    np.subtract(part.decline_ends, clock.stage, out=factor)
    factor *= part.per_decline
    hold(factor, 0.0, 1.0)
    able *= factor


def _reach(reach: Floats, mineral_n: Floats, water_fraction: Floats, part: Chunk, clock: Clock) -> None:
    """Mineral N that roots can take up in the day."""
    work = part.three
    np.multiply(clock.stage, 1.0 - ROOTED_AT_EMERGENCE, out=reach)
    reach += ROOTED_AT_EMERGENCE
    hold(reach, ROOTED_AT_EMERGENCE, 1.0)
    reach *= part.uptake_rate
    np.subtract(mineral_n, part.unreachable_n, out=work)
    np.maximum(work, 0.0, out=work)
    reach *= work
    np.multiply(water_fraction, 1.0 / DRY_FOR_UPTAKE, out=work)
    np.minimum(work, 1.0, out=work)
    reach *= work
