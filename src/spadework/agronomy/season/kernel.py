"""The daily balance of nitrogen and water of a grain legume, for many draws or cells at once.

Each day runs in one order: stage, water, soil nitrogen, demand, nodules, who gives what. Draws are cut into chunks
whose state stays in the processor's cache; what a chunk gives does not depend on the others, to the bit.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.season.applied import Application, Waiting
from spadework.agronomy.season.chunk import Chunk, DayValue, chunk_of, own
from spadework.agronomy.season.crop import EMERGED, FIRST_FLOWER, MATURE, Clock, Crop, advance, feed
from spadework.agronomy.season.drivers import CLOCK_PARAMETERS, Drivers, DriversByDay, drivers
from spadework.agronomy.season.parameters import Parameters, Values
from spadework.agronomy.season.result import DAILY, SeasonResult
from spadework.agronomy.season.soil import DRIEST_RELEASE, Nitrogen, Water, free, leach, moisten, release
from spadework.agronomy.season.stages import Marks, ObservedStage
from spadework.agronomy.season.weather import DailyWeather
from spadework.errors import DomainError

__all__ = ["CHUNK", "SEED_SET", "season_balance"]

Floats = NDArray[np.float64]
Seen = Mapping[int, Sequence[DayValue]]

CHUNK = 8192
"""Draws at a time: a hundred arrays of them, their state and parameters, take some 6 MiB of the processor's cache."""

SEED_SET = 1.3
"""Stage at which the N status of the crop decides on seeds. Judgement."""


@dataclass(frozen=True, kw_only=True)
class _Course:
    """What is the same for all chunks of a run."""

    weather: DailyWeather
    parameters: Parameters
    weather_of: NDArray[np.intp] | None
    shared: Drivers | None
    applications: Sequence[Application]
    observed: Sequence[ObservedStage]
    water_limits_yield: bool
    rule_of_thumb: Values | None


def season_balance(
    weather: DailyWeather,
    parameters: Parameters,
    *,
    weather_of: NDArray[np.intp] | None = None,
    applications: Sequence[Application] = (),
    observed: Sequence[ObservedStage] = (),
    water_limits_yield: bool = False,
    rule_of_thumb: Values | None = None,
    daily: Sequence[str] = (),
    chunk: int = CHUNK,
) -> SeasonResult:
    """Run a season from sowing on, day by day.

    Parameters
    ----------
    weather : DailyWeather
        One row for all draws, one for each, or any number with ``weather_of``.
    parameters : Parameters
        Numbers, or arrays of shape (draws, 1).
    weather_of : ndarray of int, shape (draws,), optional
        Row of the weather that each draw meets.
    applications, observed
        Nitrogen applied, and stages seen in the field.
    water_limits_yield : bool
        False: the expected yield already reflects the water. True: it is a potential, and demand falls with the
        share of the crop's water demand that is met.
    rule_of_thumb : float or ndarray of shape (draws, 1), optional
        N mineralised from sowing to maturity, in place of the first-order form; never both. [kg/ha]
    daily : sequence of str
        Series to keep, of ``DAILY``; each takes draws x days numbers of memory.
    chunk : int
        Draws worked on at a time.

    Returns
    -------
    SeasonResult

    Raises
    ------
    DomainError
        Shapes that do not fit, or a series that is not known.

    References
    ----------
    yin2003 (uptake curve); usda1990_form (smaller of the factors for water and nitrate); fao56 (water)
    """
    draws = _draws(weather, parameters, weather_of)
    if chunk < 1:
        raise DomainError("chunk", chunk, "at least 1")
    if unknown := set(daily) - set(DAILY):
        raise DomainError("daily", sorted(unknown), f"of {', '.join(DAILY)}")
    clock_varies = any(
        np.size(value) > 1 for name, value in parameters.flat().items() if name.partition(".")[0] in CLOCK_PARAMETERS
    )
    by_row = weather.rows > 1 and weather_of is None
    course = _Course(
        weather=weather,
        parameters=parameters,
        weather_of=weather_of,
        shared=None if clock_varies or by_row else drivers(weather, parameters, slice(None)),
        applications=applications,
        observed=observed,
        water_limits_yield=water_limits_yield,
        rule_of_thumb=rule_of_thumb,
    )
    totals: dict[str, NDArray[Any]] = {}
    series = {name: np.empty((weather.days, draws)) for name in daily}
    for start in range(0, draws, chunk):
        stop = min(start + chunk, draws)
        for name, values in _run(course, start, stop, series).items():
            whole = totals.setdefault(name, np.empty(draws, dtype=values.dtype))
            whole[start:stop] = values
    return SeasonResult(
        **totals,
        daily=MappingProxyType({name: values.T for name, values in series.items()}),
    )


def _draws(weather: DailyWeather, parameters: Parameters, weather_of: NDArray[np.intp] | None) -> int:
    draws = parameters.draws
    if weather_of is not None:
        if weather_of.ndim != 1 or draws not in (1, weather_of.size):
            raise DomainError("weather_of", weather_of.shape, f"of shape ({draws},)")
        if weather_of.size and not 0 <= weather_of.min() <= weather_of.max() < weather.rows:
            raise DomainError("weather_of", int(weather_of.max()), f"from 0 to {weather.rows - 1}")
        return max(draws, weather_of.size)
    if weather.rows > 1 and draws not in (1, weather.rows):
        raise DomainError("weather", weather.rows, f"of one row or of {draws}; or say with weather_of who meets which")
    return max(draws, weather.rows)


def _run(course: _Course, start: int, stop: int, series: Mapping[str, Floats]) -> dict[str, NDArray[Any]]:
    """Run one chunk; fills its columns of ``series`` and returns the totals."""
    rows, days = stop - start, course.weather.days
    part, sky = chunk_of(course.parameters, start, stop), _sky(course, start, stop)
    seen: dict[int, list[DayValue]] = {}
    for look in course.observed:
        seen.setdefault(look.day, []).append(own(look.stage, start, stop))
    waiting = [Waiting(application, start, stop) for application in course.applications]
    rule = None
    if course.rule_of_thumb is not None:
        rule = np.asarray(own(course.rule_of_thumb, start, stop) / _season_weight(part, sky, seen, rows, days))

    clock, water = Clock.at_sowing(rows), Water.at_sowing(part, rows)
    soil, crop = Nitrogen.at_sowing(part, rows), Crop.at_sowing(rows)
    begun = {"water_before": water.held + water.above, "mineral_n_before": soil.mineral.copy()}
    emerged, flowered, setting, matured = (Marks(rows, stage) for stage in (EMERGED, FIRST_FLOWER, SEED_SET, MATURE))
    at_seed_set, mineral_at_maturity = np.full(rows, np.nan), np.full(rows, np.nan)
    used_before, used_after = np.full(rows, np.nan), np.full(rows, np.nan)
    rained = np.zeros(rows)

    for day in range(days):
        rain = sky.on(day, "rain")
        rained += rain
        _pass_day(clock, part, sky, seen, day)
        if (new := emerged.new(clock, day)) is not None:
            np.copyto(crop.nitrogen, part.seed_n, where=new)
            np.copyto(used_before, water.evaporated, where=new)
        moisten(water, clock, part, rain=rain, reference_et=sky.on(day, "reference_et"))
        release(soil, water, part, rate=sky.on(day, "mineralisation"), rule=rule)
        for application in waiting:
            if (amount := application.freed(day, rain)) is not None:
                free(soil, amount)
        leach(soil, water, part)
        if clock.grows:
            feed(
                crop,
                clock,
                part,
                mineral_n=soil.mineral,
                water_fraction=water.fraction,
                unlogged=water.unlogged,
                growth=water.supplied if course.water_limits_yield else None,
                nodulation_warmth=sky.on(day, "nodulation_warmth"),
                fixation_warmth=sky.on(day, "fixation_warmth"),
            )
        flowered.new(clock, day)
        if (new := setting.new(clock, day)) is not None:
            np.copyto(at_seed_set, _met(crop.nitrogen * part.luxury, crop.demand), where=new)
        if (new := matured.new(clock, day)) is not None:
            np.copyto(mineral_at_maturity, soil.mineral, where=new)
            np.copyto(used_after, water.evaporated, where=new)
        if series:
            today = {name: kept[day, start:stop] for name, kept in series.items()}
            _keep(today, clock=clock, water=water, soil=soil, crop=crop)

    # What the crop should hold, as a share of full uptake, falls under 1 where water held growth back.
    required = part.required * (crop.demand / part.full_uptake) if course.water_limits_yield else part.required
    ripe, up = matured.day >= 0, emerged.day >= 0
    applied = sum((np.zeros(rows) + own(item.rate, start, stop) for item in course.applications), np.zeros(rows))
    return begun | {
        "emerged_on": emerged.day,
        "flowered_on": flowered.day,
        "matured_on": matured.day,
        "demand": crop.demand,
        "required": np.zeros(rows) + required,
        "crop_n": crop.nitrogen,
        "seed_n": np.where(up, part.seed_n, 0.0),
        "taken": crop.taken,
        "fixed": crop.fixed,
        "fixed_share": np.divide(crop.fixed, crop.nitrogen, out=np.full(rows, np.nan), where=crop.nitrogen > 0),
        "gap": np.maximum(crop.demand - crop.nitrogen, 0.0),
        "gap_at_maturity": np.where(ripe, np.maximum(required - crop.nitrogen, 0.0), np.nan),
        "relative_yield": np.where(ripe, _relative_yield(_met(crop.nitrogen, required), at_seed_set, part), np.nan),
        "mineralised": soil.mineralised,
        "applied": applied,
        "freed": soil.freed,
        "leached": soil.leached,
        "mineral_n": soil.mineral,
        "mineral_n_at_maturity": mineral_at_maturity,
        "rain": rained,
        "evaporated": water.evaporated,
        "drained": water.drained,
        "water": water.held + water.above,
        "crop_water_use": used_after - used_before,
    }


def _sky(course: _Course, start: int, stop: int) -> DriversByDay:
    if course.shared is not None:
        row_of = None if course.weather_of is None else course.weather_of[start:stop]
        return DriversByDay(course.shared, stop - start, row_of)
    weather = course.weather
    if course.weather_of is not None:
        weather = weather.chosen(course.weather_of[start:stop])
    elif weather.rows > 1:
        weather = weather.chosen(slice(start, stop))
    return DriversByDay(drivers(weather, course.parameters, slice(start, stop)), stop - start)


def _pass_day(clock: Clock, part: Chunk, sky: DriversByDay, seen: Seen, day: int) -> None:
    """Move the clock on; what was seen in the field replaces what it says."""
    if clock.lowest < MATURE:
        advance(clock, part, degree_days=sky.on(day, "degree_days"), long_day=sky.on(day, "long_day"))
    for stage in seen.get(day, ()):
        np.copyto(clock.stage, stage, where=~np.isnan(stage))
        clock.settle()


def _season_weight(part: Chunk, sky: DriversByDay, seen: Seen, rows: int, days: int) -> Floats:
    """Sum of warmth times moisture from sowing to maturity, over which a rule of thumb spreads its total."""
    clock, water, weight = Clock.at_sowing(rows), Water.at_sowing(part, rows), np.zeros(rows)
    for day in range(days):
        growing = clock.stage < MATURE
        _pass_day(clock, part, sky, seen, day)
        moisten(water, clock, part, rain=sky.on(day, "rain"), reference_et=sky.on(day, "reference_et"))
        moist = DRIEST_RELEASE + (1.0 - DRIEST_RELEASE) * water.fraction
        weight += np.where(growing, sky.on(day, "mineralisation") * moist, 0.0)
    # In soil that stays frozen nothing is released, however much the rule gives.
    return np.where(weight > 0, weight, np.inf)


def _met(held: DayValue, asked: DayValue) -> Floats:
    """Return the share of what is asked that is there, at most 1; NaN where nothing is asked."""
    asked = np.asarray(asked) + np.zeros_like(held)
    return np.asarray(np.minimum(np.divide(held, asked, out=np.full_like(asked, np.nan), where=asked > 0), 1.0))


def _relative_yield(at_maturity: Floats, at_seed_set: Floats, part: Chunk) -> Floats:
    """Yield that N allows: the first shortage is diluted, and what is short at seed set is never all made good."""
    weight = part.final_weight
    met = weight * at_maturity + (1.0 - weight) * np.minimum(at_maturity, at_seed_set)
    return np.asarray(met * (1.0 + part.dilution * (1.0 - met)))


def _keep(today: Mapping[str, Floats], *, clock: Clock, water: Water, soil: Nitrogen, crop: Crop) -> None:
    """Write the state of the day into the series asked for."""
    values = {
        "stage": clock.stage,
        "water_fraction": water.fraction,
        "evaporated": water.evaporated,
        "drained": water.drained,
        "mineral_n": soil.mineral,
        "mineralised": soil.mineralised,
        "freed": soil.freed,
        "leached": soil.leached,
        "demand": crop.demand,
        "crop_n": crop.nitrogen,
        "fixed": crop.fixed,
        "taken": crop.taken,
    }
    for name, kept in today.items():
        if name == "water":
            np.add(water.held, water.above, out=kept)
        else:
            kept[:] = values[name]
