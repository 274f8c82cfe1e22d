"""What the weather does to crop and soil, day by day, worked out once for all draws that share the weather."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.agronomy.clock.degree_days import degree_days
from spadework.agronomy.season.parameters import Parameters, Values
from spadework.agronomy.season.weather import DailyWeather

__all__ = [
    "CLOCK_PARAMETERS",
    "DAY",
    "Day",
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


class Day(NamedTuple):
    """What one day's weather does."""

    degree_days: float
    """[degC d]"""
    long_day: float
    nodulation_warmth: float
    fixation_warmth: float
    """Shares of the full rate. [1]"""
    mineralisation: float
    """[1/d]"""
    rain: float
    reference_et: float
    """[mm]"""


DAY = np.dtype([(name, np.float64) for name in Day._fields])
"""A day as a record of an array."""


def drivers(weather: DailyWeather, parameters: Parameters, chosen: NDArray[np.intp] | slice) -> NDArray[np.void]:
    """Work out what the weather does: records of ``DAY``, shape (rows, days).

    ``chosen`` are the draws whose crop meets it. One row for each row of the weather, or for each draw chosen where
    the crop's clock differs between draws.
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
    rows = max(rate.shape[0] for rate in rates)
    sky = np.empty((rows, weather.days), dtype=DAY)
    for name, rate in zip(Day._fields, rates, strict=True):
        sky[name] = rate
    return sky
