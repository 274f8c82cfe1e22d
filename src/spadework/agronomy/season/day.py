"""The season of one cell, day by day: stage, water, soil nitrogen, demand, nodules, who gives what.

A cell is one draw of a field, or one place of many. Each step is a function of plain numbers, compiled by Numba; the
state of the cell stays in the processor from sowing to the last day.

All that is compiled stands in this one file: Numba keeps compiled code on disk until the file changes, and looks at
no other. Importing Numba takes a while, so only what runs a balance imports this module.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple, TypeVar, cast

import numpy as np
from numba import njit
from numpy.typing import NDArray

from spadework.agronomy.season.cells import Applied, Cell, Chunk, Seen
from spadework.agronomy.season.drivers import Day
from spadework.agronomy.season.result import Totals
from spadework.agronomy.season.stages import EMERGED, FIRST_FLOWER, MATURE, ROUNDING

__all__ = ["Crop", "Soil", "Water", "advance", "feed", "grow", "leach", "moisten", "release"]

Floats = NDArray[np.float64]
Step = TypeVar("Step", bound=Callable[..., object])

SEED_SET = 1.3
"""Stage at which the N status of the crop decides on seeds. Judgement."""

INITIAL_UNTIL, MIDDLE_FROM, MIDDLE_UNTIL, END_AT = 0.25, 0.9, 1.5, 2.0
"""Stages between which the crop coefficient goes from its initial to its middle and to its end value. Judgement."""

DRIEST_RELEASE = 0.1
"""Share of the moist rate at which soil at wilting point still mineralises. Judgement."""

ROOTED_AT_EMERGENCE = 0.2
"""Share of the root zone in reach at emergence; all of it at first flower. Judgement."""

DRY_FOR_UPTAKE = 0.3
"""Water fraction under which roots take up mineral N in proportion to water. Judgement."""


def compiled(step: Step) -> Step:
    """Compile a step as a part of what calls it."""
    return cast(Step, njit(nogil=True, error_model="numpy", forceinline=True)(step))


def kept_on_disk(whole: Step) -> Step:
    """Compile what calls the steps, and keep it: beside this file or, where that may not be, in the user's cache."""
    try:
        return cast(Step, njit(nogil=True, error_model="numpy", cache=True)(whole))
    except RuntimeError:  # no place on this machine to keep it: each process compiles anew
        return cast(Step, njit(nogil=True, error_model="numpy")(whole))


@compiled
def hold(value: float, lowest: float, highest: float) -> float:
    """Hold a value between two limits."""
    return min(max(value, lowest), highest)


# ---- Stage


@compiled
def advance(stage: float, cell: Cell, today: Day) -> float:
    """Move the clock on by one day; what is left over on the day of emergence does not count after it."""
    if stage < EMERGED:
        stage += today.degree_days * cell.to_emergence
        return EMERGED if stage >= EMERGED - ROUNDING else stage
    if stage < FIRST_FLOWER - ROUNDING:
        stage += today.degree_days * today.long_day * cell.to_flower
    else:
        stage += today.degree_days * cell.to_maturity
    return MATURE if stage >= MATURE - ROUNDING else stage


# ---- Water


class Water(NamedTuple):
    """Water of the root zone and how much has passed [mm]."""

    held: float
    """Above wilting point, at most to field capacity."""
    above: float
    """Above field capacity; it drains, or refills what the crop takes."""
    unlogged: float
    """Share of fixation that waterlogging leaves. [1]"""
    fraction: float
    """``held`` as a share of what field capacity holds. [1]"""
    supplied: float
    """Share of the crop's water demand that was met today. [1]"""
    drained_today: float
    evaporated: float
    drained: float


@compiled
def water_at_sowing(cell: Cell) -> Water:
    """Start with the water at sowing, none above field capacity."""
    return Water(cell.water_at_sowing * cell.water_capacity, 0.0, 1.0, 0.0, 1.0, 0.0, 0.0, 0.0)


@compiled
def moisten(water: Water, cell: Cell, stage: float, today: Day) -> Water:
    """Rain, evapotranspiration with stress, drainage and waterlogging of one day.

    Fixation is held down while water stands, and recovers by equal steps after it.

    References
    ----------
    fao56 (crop coefficients, share of water before stress, stress); thomas2005 (waterlogging and recovery)
    """
    coefficient = cell.coefficient_initial
    coefficient += cell.coefficient_rise * hold(
        (stage - INITIAL_UNTIL) * (1.0 / (MIDDLE_FROM - INITIAL_UNTIL)), 0.0, 1.0
    )
    coefficient += cell.coefficient_fall * max((stage - MIDDLE_UNTIL) * (1.0 / (END_AT - MIDDLE_UNTIL)), 0.0)
    use = coefficient * today.reference_et

    # Under stress as soon as more than a share of the water is gone.
    depletion = hold(cell.depletion_at_none - 0.04 * use, 0.1, 0.8)
    supplied = min(water.held / ((1.0 - depletion) * cell.water_capacity), 1.0)
    use = min(use * supplied, water.held)
    held = water.held - use + today.rain

    # What the soil cannot hold drains, or comes back as room is made.
    above, drained = water.above, 0.0
    if held > cell.water_capacity:
        above += held - cell.water_capacity
        held = cell.water_capacity
    if above > 0.0:
        drained = cell.drainage_rate * above
        above -= drained
        back = min(cell.water_capacity - held, above)
        held += back
        above -= back
    if above > cell.waterlogging_excess:
        unlogged = cell.waterlogged_share
    else:
        unlogged = min(water.unlogged + cell.recovery_step, 1.0)
    return Water(
        held,
        above,
        unlogged,
        hold(held * cell.per_capacity, 0.0, 1.0),
        supplied,
        drained,
        water.evaporated + use,
        water.drained + drained,
    )


# ---- Soil nitrogen


class Soil(NamedTuple):
    """Nitrogen of the soil and how much has passed [kg/ha]."""

    mineral: float
    organic: float
    """Organic N that can still be mineralised; not used up where a rule of thumb stands in."""
    mineralised: float
    freed: float
    """Applied N that reached the mineral pool."""
    leached: float


@compiled
def soil_at_sowing(cell: Cell) -> Soil:
    """Start with the mineral N at sowing."""
    return Soil(cell.mineral_n_at_sowing, cell.mineralisable_n, 0.0, 0.0, 0.0)


@compiled
def release(soil: Soil, cell: Cell, fraction: float, today: Day, rule: float) -> Soil:
    """Mineralise for one day: first order in what is left, or by ``rule`` (N for each unit of rate and moisture).

    ``rule`` is NaN where there is none.

    References
    ----------
    cassman_munns1980 (linear in water)
    """
    rate = today.mineralisation * moisture_share(fraction)
    organic = soil.organic
    if np.isnan(rule):
        released = rate * cell.field_factor * organic
        organic -= released
    else:
        released = rate * rule
    return Soil(soil.mineral + released, organic, soil.mineralised + released, soil.freed, soil.leached)


@compiled
def moisture_share(fraction: float) -> float:
    """Share of its moist rate at which soil mineralises, by its water fraction."""
    return DRIEST_RELEASE + (1.0 - DRIEST_RELEASE) * fraction


@compiled
def add(soil: Soil, amount: float) -> Soil:
    """Add applied N that reaches the mineral pool today."""
    return Soil(soil.mineral + amount, soil.organic, soil.mineralised, soil.freed + amount, soil.leached)


@compiled
def freed(  # noqa: PLR0917 - Numba has no keyword-only arguments
    applied: Applied, place: int, row: int, fallen: Floats, day: int, rain: float
) -> float:
    """Applied N that reaches the mineral pool today: at once, or in proportion to the rain fallen on it so far."""
    if day < applied.day[place]:
        return 0.0
    pool, needed = applied.pool[row, place], applied.rain_to_free[place]
    if needed == 0.0:
        return float(pool) if day == applied.day[place] else 0.0
    before = min(fallen[place] / needed, 1.0)
    fallen[place] += rain
    return float(pool * (min(fallen[place] / needed, 1.0) - before))


@compiled
def leach(soil: Soil, cell: Cell, drained: float) -> Soil:
    """Wash out mineral N with the water that drained today, as if mixed through the root zone. Judgement."""
    if not drained > 0.0:
        return soil
    lost = -np.expm1(-drained * cell.per_mixing_water) * soil.mineral
    return Soil(soil.mineral - lost, soil.organic, soil.mineralised, soil.freed, soil.leached + lost)


@compiled
def give(soil: Soil, amount: float) -> Soil:
    """Take out what the crop took up today."""
    return Soil(soil.mineral - amount, soil.organic, soil.mineralised, soil.freed, soil.leached)


# ---- Crop


class Crop(NamedTuple):
    """Nitrogen of the crop [kg/ha], shares [1] and full-warmth days of its nodules [d]."""

    grown: float
    """Share of the season's uptake that is due by now."""
    demand: float
    """What the crop should hold by now."""
    nitrogen: float
    fixed: float
    taken: float
    nodule_days: float
    taken_today: float


@compiled
def feed(  # noqa: PLR0917 - Numba has no keyword-only arguments
    crop: Crop, cell: Cell, stage: float, water: Water, mineral: float, today: Day, growth: float
) -> Crop:
    """Give the crop its nitrogen of one day, of which ``taken_today`` is to come out of the ``mineral`` N.

    A fixing crop leaves part of the soil's N alone, the more of it the less there is; one without nodules takes all
    that it can reach. ``growth`` is the share of the day's growth that water allows, 1 where the yield already
    reflects it.

    References
    ----------
    yin2003 (uptake curve); usda1990_form (smaller of the factors for water and nitrate)
    """
    left = hold((cell.full_stage - stage) * cell.per_span, 0.0, 1.0)
    grown = max(due(stage, cell), crop.grown)
    demanded = (grown - crop.grown) * cell.full_uptake * growth
    asked = demanded + max(crop.demand - crop.nitrogen, 0.0) * cell.catch_up * left

    nitrate = hold((cell.nitrate_stops - mineral) * cell.per_nitrate, 0.0, 1.0)
    nodule_days = crop.nodule_days + nitrate * today.nodulation_warmth
    able = cell.capacity * today.fixation_warmth * water.unlogged
    able *= min(nitrate, hold((water.fraction - cell.fixation_stops_water) * cell.per_fixation_water, 0.0, 1.0))
    able *= nodules_at_work(nodule_days, stage, cell)
    fixable = min(min(able, 1.0) * asked, cell.highest_fixation)

    spared = fixable * (cell.half_sparing / (mineral + cell.half_sparing))
    taken = min(reach(mineral, stage, water.fraction, cell), asked - spared)
    fixed = min(fixable, asked - taken)
    return Crop(
        grown,
        crop.demand + demanded,
        crop.nitrogen + taken + fixed,
        crop.fixed + fixed,
        crop.taken + taken,
        nodule_days,
        taken,
    )


@compiled
def due(stage: float, cell: Cell) -> float:
    """Share of the season's uptake that is due at a stage: the beta curve of growth.

    References
    ----------
    yin2003
    """
    if stage >= cell.full_stage:
        return 1.0
    begun = np.exp(cell.curve * np.log(stage * cell.per_full_stage))  # a power, in less time
    return float(begun * (1.0 + (cell.full_stage - stage) * cell.per_span))


@compiled
def nodules_at_work(nodule_days: float, stage: float, cell: Cell) -> float:
    """Share of the nodules that is active: they come with warm days, and go as the crop ages."""
    young = hold((nodule_days - cell.nodule_lag) * cell.per_rise, 0.0, 1.0)
    old = hold((cell.decline_ends - stage) * cell.per_decline, 0.0, 1.0)
    return young * old


@compiled
def reach(mineral: float, stage: float, fraction: float, cell: Cell) -> float:
    """Mineral N that roots can take up in the day."""
    rooted = min(ROOTED_AT_EMERGENCE + (1.0 - ROOTED_AT_EMERGENCE) * stage, 1.0)
    wet = min(fraction * (1.0 / DRY_FOR_UPTAKE), 1.0)
    return cell.uptake_rate * rooted * wet * max(mineral - cell.unreachable_n, 0.0)


# ---- The season


@compiled
def stage_seen(seen: Seen, row: int, day: int, stage: float) -> float:
    """Stage seen in the field today, in place of what the clock says."""
    for place in range(seen.day.size):
        if seen.day[place] == day and not np.isnan(seen.stage[row, place]):
            stage = seen.stage[row, place]
    return stage


@compiled
def rule_for_each(cell: Cell, sky: NDArray[np.void], row: int, seen: Seen) -> float:
    """N that a rule of thumb gives for each unit of warmth times moisture from sowing to maturity; NaN without one.

    In soil that stays frozen nothing is released, however much the rule gives.
    """
    if np.isnan(cell.rule_of_thumb):
        return np.nan
    stage, water, weight = -1.0, water_at_sowing(cell), 0.0
    for day in range(sky.size):
        growing = stage < MATURE
        stage = stage_seen(seen, row, day, advance(stage, cell, sky[day]))
        water = moisten(water, cell, stage, sky[day])
        if growing:
            weight += sky[day].mineralisation * moisture_share(water.fraction)
    return cell.rule_of_thumb / weight if weight > 0.0 else 0.0


@compiled
def met(held: float, asked: float) -> float:
    """Share of what is asked that is there, at most 1; NaN where nothing is asked."""
    return min(held / asked, 1.0) if asked > 0.0 else np.nan


@compiled
def yield_allowed(at_maturity: float, at_seed_set: float, cell: Cell) -> float:
    """Relative yield that N allows: the first shortage is diluted, one at seed set is never all made good."""
    lesser = float(np.minimum(at_maturity, at_seed_set))  # unlike min, NaN where one is NaN
    status = cell.final_weight * at_maturity + (1.0 - cell.final_weight) * lesser
    return status * (1.0 + cell.dilution * (1.0 - status))


@compiled
def season(row: int, chunk: Chunk, fallen: Floats, kept: NDArray[np.intp], series: Floats) -> Totals:
    """Run one cell of a chunk from sowing to the last day.

    ``fallen`` is room for the rain on each application; ``series[n, day]`` gets the ``kept[n]``-th of ``DAILY``.
    """
    cell, sky, seen, applied = chunk.cells[row], chunk.sky[chunk.sky_of[row]], chunk.seen, chunk.applied
    stage, water, soil = -1.0, water_at_sowing(cell), soil_at_sowing(cell)
    crop = Crop(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    emerged_on = flowered_on = set_on = matured_on = -1
    at_seed_set = mineral_at_maturity = used_before = used_after = np.nan
    rained = 0.0
    rule = rule_for_each(cell, sky, row, seen)
    fallen[:] = 0.0

    for day in range(sky.size):
        today = sky[day]
        rained += today.rain
        was_mature = stage >= MATURE
        stage = stage_seen(seen, row, day, advance(stage, cell, today))
        if emerged_on < 0 and stage >= EMERGED:
            emerged_on, used_before = day, water.evaporated
            crop = Crop(crop.grown, crop.demand, cell.seed_n, crop.fixed, crop.taken, crop.nodule_days, 0.0)
        water = moisten(water, cell, stage, today)
        soil = release(soil, cell, water.fraction, today, rule)
        for place in range(applied.day.size):
            soil = add(soil, freed(applied, place, row, fallen, day, today.rain))
        soil = leach(soil, cell, water.drained_today)
        if stage >= EMERGED and not (was_mature and stage >= MATURE):
            growth = water.supplied if chunk.water_limits_yield else 1.0
            crop = feed(crop, cell, stage, water, soil.mineral, today, growth)
            soil = give(soil, crop.taken_today)
        if flowered_on < 0 and stage >= FIRST_FLOWER - ROUNDING:
            flowered_on = day
        if set_on < 0 and stage >= SEED_SET - ROUNDING:
            set_on, at_seed_set = day, met(crop.nitrogen * cell.luxury, crop.demand)
        if matured_on < 0 and stage >= MATURE:
            matured_on, mineral_at_maturity, used_after = day, soil.mineral, water.evaporated
        if kept.size:
            state = (
                stage,
                water.held + water.above,
                water.fraction,
                water.evaporated,
                water.drained,
                soil.mineral,
                soil.mineralised,
                soil.freed,
                soil.leached,
                crop.demand,
                crop.nitrogen,
                crop.fixed,
                crop.taken,
            )
            for place in range(kept.size):
                series[place, day] = state[kept[place]]

    seed_n = cell.seed_n if emerged_on >= 0 else 0.0
    fixed_share = crop.fixed / crop.nitrogen if crop.nitrogen > 0.0 else np.nan
    required, relative_yield, gap_at_maturity = cell.required, np.nan, np.nan
    if chunk.water_limits_yield:
        # What the crop should hold, as a share of full uptake, falls under 1 where water held growth back.
        required *= crop.demand / cell.full_uptake
    if matured_on >= 0:
        gap_at_maturity = max(required - crop.nitrogen, 0.0)
        relative_yield = yield_allowed(met(crop.nitrogen, required), at_seed_set, cell)
    return Totals(
        emerged_on=float(emerged_on),
        flowered_on=float(flowered_on),
        matured_on=float(matured_on),
        demand=crop.demand,
        required=required,
        crop_n=crop.nitrogen,
        seed_n=seed_n,
        taken=crop.taken,
        fixed=crop.fixed,
        fixed_share=fixed_share,
        gap=max(crop.demand - crop.nitrogen, 0.0),
        gap_at_maturity=gap_at_maturity,
        relative_yield=relative_yield,
        mineral_n_before=cell.mineral_n_at_sowing,
        mineralised=soil.mineralised,
        freed=soil.freed,
        leached=soil.leached,
        mineral_n=soil.mineral,
        mineral_n_at_maturity=mineral_at_maturity,
        water_before=cell.water_at_sowing * cell.water_capacity,
        rain=rained,
        evaporated=water.evaporated,
        drained=water.drained,
        water=water.held + water.above,
        crop_water_use=used_after - used_before,
    )


@kept_on_disk
def grow(chunk: Chunk, totals: Floats, kept: NDArray[np.intp], series: Floats) -> None:
    """Run the cells of a chunk; fills their part of ``totals`` and ``series``.

    ``totals`` is of shape (figures, draws), in the order of ``Totals``; ``series`` of shape (series, draws, days), the
    n-th of them the ``kept[n]``-th of ``DAILY``.
    """
    fallen = np.empty(chunk.applied.day.size)
    for row in range(chunk.cells.size):
        found = season(row, chunk, fallen, kept, series[:, chunk.first + row])
        for place in range(len(found)):
            totals[place, chunk.first + row] = found[place]
