"""The daily balance of nitrogen and water of a grain legume, for many draws or cells at once.

Each day runs in one order: stage, water, soil nitrogen, demand, nodules, who gives what. Draws are cut into chunks,
so that what is worked out beside them takes little memory; what a draw gives does not depend on the others, to the
bit.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.season.applied import Application
from spadework.agronomy.season.cells import Chunk, applied_to, cells_of, seen_in
from spadework.agronomy.season.drivers import CLOCK_PARAMETERS, drivers
from spadework.agronomy.season.parameters import Parameters, Values
from spadework.agronomy.season.result import DAILY, SeasonResult, Totals
from spadework.agronomy.season.stages import ObservedStage
from spadework.agronomy.season.weather import DailyWeather
from spadework.errors import DomainError

__all__ = ["CHUNK", "season_balance"]

Floats = NDArray[np.float64]

CHUNK = 2048
"""Draws at a time: their parameters take some 0.7 MB, which stays in the processor's cache."""


@dataclass(frozen=True, kw_only=True)
class _Course:
    """What is the same for all chunks of a run, and where they leave what they found."""

    weather: DailyWeather
    parameters: Parameters
    weather_of: NDArray[np.intp] | None
    shared: NDArray[np.void] | None
    applications: Sequence[Application]
    observed: Sequence[ObservedStage]
    water_limits_yield: bool
    rule_of_thumb: Values | None
    totals: Floats
    kept: NDArray[np.intp]
    series: Floats


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
    workers: int = 1,
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
    workers : int
        Chunks worked on side by side, each in a thread of its own; the result does not depend on it.

    Returns
    -------
    SeasonResult

    Raises
    ------
    DomainError
        Shapes that do not fit, a series that is not known, or a chunk or workers under 1.

    References
    ----------
    yin2003 (uptake curve); usda1990_form (smaller of the factors for water and nitrate); fao56 (water)
    """
    draws = _draws(weather, parameters, weather_of)
    for name, count in (("chunk", chunk), ("workers", workers)):
        if count < 1:
            raise DomainError(name, count, "at least 1")
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
        totals=np.empty((len(Totals._fields), draws)),
        kept=np.array([DAILY.index(name) for name in daily], dtype=np.intp),
        series=np.empty((len(daily), draws, weather.days)),
    )
    chunks = [(start, min(start + chunk, draws)) for start in range(0, draws, chunk)]
    if workers == 1 or len(chunks) == 1:
        for start, stop in chunks:
            _run(course, start, stop)
    else:
        with ThreadPoolExecutor(workers) as pool:
            for done in [pool.submit(_run, course, start, stop) for start, stop in chunks]:
                done.result()
    totals = dict(zip(Totals._fields, course.totals, strict=True))
    days = {name: totals.pop(name).astype(np.int64) for name in ("emerged_on", "flowered_on", "matured_on")}
    applied = sum((np.ravel(item.rate) for item in applications), np.zeros(draws))
    return SeasonResult(
        **days,
        **totals,
        applied=applied,
        daily=MappingProxyType(dict(zip(daily, course.series, strict=True))),
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


def _run(course: _Course, start: int, stop: int) -> None:
    """Run one chunk; fills its part of the totals and of the series."""
    from spadework.agronomy.season.day import grow  # noqa: PLC0415 - brings Numba, which takes a while to import

    sky, sky_of = _sky(course, start, stop)
    part = Chunk(
        first=start,
        cells=cells_of(course.parameters, start, stop, rule_of_thumb=course.rule_of_thumb),
        sky=sky,
        sky_of=sky_of,
        seen=seen_in(course.observed, start, stop),
        applied=applied_to(course.applications, start, stop),
        water_limits_yield=course.water_limits_yield,
    )
    grow(part, course.totals, course.kept, course.series)


def _sky(course: _Course, start: int, stop: int) -> tuple[NDArray[np.void], NDArray[np.intp]]:
    """Return what the weather does, and which of its rows each draw of the chunk meets."""
    if course.shared is not None:
        if course.weather_of is None:
            return course.shared, np.zeros(stop - start, dtype=np.intp)
        return course.shared, course.weather_of[start:stop].astype(np.intp)
    weather = course.weather
    if course.weather_of is not None:
        weather = weather.chosen(course.weather_of[start:stop])
    elif weather.rows > 1:
        weather = weather.chosen(slice(start, stop))
    sky = drivers(weather, course.parameters, slice(start, stop))
    return sky, np.arange(stop - start) % sky.shape[0]
