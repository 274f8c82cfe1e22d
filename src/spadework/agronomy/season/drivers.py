"""What the weather does to crop and soil, day by day, worked out once for all draws that share the weather."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.agronomy.clock.degree_days import degree_days
from spadework.agronomy.season.parameters import Parameters, Values
from spadework.agronomy.season.weather import DailyWeather

__all__ = [
    "CLOCK_PARAMETERS",
    "Drivers",
    "DriversByDay",
    "drivers",
    "long_day_factor",
    "mineralisation_rate",
    "soil_temperature",
    "temperature_response",
]

Floats = NDArray[np.float64]

SOIL_LAG = 7.0
"""Days over which the top soil follows the air. Judgement; bare wet soil in spring can differ by some degrees."""

SLOWEST_SHORT_DAY = 0.2
"""Least share of its rate that short days leave to a long-day crop. Judgement."""

CLOCK_PARAMETERS = (
    "base_temperature",
    "cap_temperature",
    "long_day_critical",
    "long_day_slope",
    "fixation_temperature",
    "nodulation_temperature",
)
"""The parameters that meet the weather before the daily balance does."""


def temperature_response(temperature: ArrayLike, points: tuple[Values, Values, Values, Values]) -> Floats:
    """Share of the full rate: 0 at and under the first point, 1 from second to third, 0 from the fourth on.

    References
    ----------
    dssat_spe
    """
    first, second, third, fourth = points
    warmth = np.asarray(temperature, dtype=np.float64)
    rising, falling = (warmth - first) / (second - first), (fourth - warmth) / (fourth - third)
    return np.asarray(np.clip(np.minimum(rising, falling), 0.0, 1.0))


def long_day_factor(*, day_length: ArrayLike, critical: Values, slope: Values) -> Floats:
    """Share of its rate at which a long-day crop goes to flower [1]; day length and its critical value in [h]."""
    short_by = np.asarray(critical) - np.asarray(day_length, dtype=np.float64)
    return np.asarray(np.clip(1.0 - slope * short_by, SLOWEST_SHORT_DAY, 1.0))


def soil_temperature(mean: Floats) -> Floats:
    """Temperature of the top soil, which follows the day's mean slowly, shape (rows, days) [degC]."""
    soil = np.array(mean, dtype=np.float64)
    for day in range(1, soil.shape[1]):
        soil[:, day] = soil[:, day - 1] + (mean[:, day] - soil[:, day - 1]) / SOIL_LAG
    return soil


def mineralisation_rate(soil: ArrayLike) -> Floats:
    """Share of the mineralisable N that moist soil frees in a day [1/d] at a soil temperature [degC].

    The line was fitted to five surface soils at 15 to 35 degC; 0 at and under freezing.

    References
    ----------
    campbell1981
    """
    warmth = np.asarray(soil, dtype=np.float64)
    weekly = 10 ** (6.14 - 2285 / (np.maximum(warmth, 0.0) + 273.15))
    return np.asarray(np.where(warmth > 0, weekly / 7, 0.0))


@dataclass(frozen=True, kw_only=True)
class Drivers:
    """Degree-days, factors [1], mineralisation rate [1/d], rain and ET0 [mm].

    Arrays of shape (days, rows), or (days, 1) where all rows share them.
    """

    degree_days: Floats
    long_day: Floats
    nodulation_warmth: Floats
    fixation_warmth: Floats
    mineralisation: Floats
    rain: Floats
    reference_et: Floats


_NAMES = tuple(field.name for field in fields(Drivers))


def drivers(weather: DailyWeather, parameters: Parameters, chosen: NDArray[np.intp] | slice) -> Drivers:
    """Work out the drivers of all rows of the weather; ``chosen`` are the draws whose crop meets them.

    One row for each row of the weather, or for each draw chosen where the crop's clock differs between draws.
    """

    def own(value: Values) -> Values:
        return value if np.size(value) == 1 else np.asarray(value)[chosen]

    def points(four: tuple[Values, Values, Values, Values]) -> tuple[Values, Values, Values, Values]:
        return own(four[0]), own(four[1]), own(four[2]), own(four[3])

    soil = soil_temperature(weather.mean)
    base, cap = own(parameters.base_temperature), own(parameters.cap_temperature)
    rates = (
        degree_days(tmin=weather.mean, tmax=weather.mean, t_base=base, t_cap=cap, method="capped_mean"),
        long_day_factor(
            day_length=weather.day_length,
            critical=own(parameters.long_day_critical),
            slope=own(parameters.long_day_slope),
        ),
        temperature_response(soil, points(parameters.nodulation_temperature)),
        temperature_response(soil, points(parameters.fixation_temperature)),
        mineralisation_rate(soil),
        weather.rain,
        weather.reference_et,
    )
    by_day = (np.ascontiguousarray(np.broadcast_to(rate, (rate.shape[0], weather.days)).T) for rate in rates)
    return Drivers(**dict(zip(_NAMES, by_day, strict=True)))


class DriversByDay:
    """The drivers of a chunk of draws, a day at a time; ``row_of`` says which row of them each draw meets."""

    def __init__(self, found: Drivers, rows: int, row_of: NDArray[np.intp] | None = None) -> None:
        self._found = found
        self._row_of = row_of
        self._room = {name: np.empty(rows) for name in _NAMES} if self._row_of is not None else {}

    def on(self, day: int, name: str) -> float | Floats:
        """Return one driver of one day: a number, or an array of shape (rows,)."""
        values: Floats = getattr(self._found, name)[day]
        if values.size == 1:
            return float(values[0])
        if self._row_of is None:
            return values
        return np.take(values, self._row_of, out=self._room[name], mode="clip")
