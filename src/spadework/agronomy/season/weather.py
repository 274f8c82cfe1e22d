"""What the sky gives: radiation above the air, reference evapotranspiration, and the daily weather of a season."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.agronomy.clock.day_length import day_length
from spadework.errors import DomainError

__all__ = ["DailyWeather", "daily_weather", "extraterrestrial_radiation", "reference_evapotranspiration"]

Floats = NDArray[np.float64]

MM_PER_MJ = 0.408
"""Depth of water that a megajoule a square metre evaporates, the inverse of 2.45 MJ/kg [mm m2/MJ] (fao56)."""

SOLAR_CONSTANT = 0.0820
"""[MJ m-2 min-1] (fao56)"""


def extraterrestrial_radiation(*, latitude: ArrayLike, day_of_year: ArrayLike) -> Floats:
    """Radiation that reaches a level surface above the air in a day.

    Parameters
    ----------
    latitude : array_like, broadcast to (...)
        -90 to 90, south negative. [deg]
    day_of_year : array_like, broadcast to (...)
        1 to 366. [d]

    Returns
    -------
    ndarray of float64, shape (...)
        0 in polar night; NaN in, NaN out. [MJ m-2 d-1]

    Raises
    ------
    DomainError
        Latitude or day of year outside its range.

    References
    ----------
    fao56
    """
    north = np.radians(_held("latitude", latitude, -90.0, 90.0))
    angle = 2 * np.pi * _held("day_of_year", day_of_year, 1.0, 366.0) / 365
    nearness = 1 + 0.033 * np.cos(angle)
    declination = 0.409 * np.sin(angle - 1.39)
    # Beyond -1 and 1 the sun does not set, or does not rise.
    sunset = np.arccos(np.clip(-np.tan(north) * np.tan(declination), -1.0, 1.0))
    height = sunset * np.sin(north) * np.sin(declination) + np.cos(north) * np.cos(declination) * np.sin(sunset)
    return np.asarray(np.maximum(24 * 60 / np.pi * SOLAR_CONSTANT * nearness * height, 0.0), dtype=np.float64)


def reference_evapotranspiration(*, tmin: ArrayLike, tmax: ArrayLike, radiation: ArrayLike) -> Floats:
    """Evapotranspiration of well-watered short grass, by Hargreaves' equation from temperature alone.

    Parameters
    ----------
    tmin, tmax : array_like, broadcast to (...)
        Lowest and highest temperature of the day. [degC]
    radiation : array_like, broadcast to (...)
        ``extraterrestrial_radiation`` of the day. [MJ m-2 d-1]

    Returns
    -------
    ndarray of float64, shape (...)
        0 where the mean lies under -17.8 degC; NaN in, NaN out. [mm/d]

    Raises
    ------
    DomainError
        ``tmax`` below ``tmin`` of the same day.

    References
    ----------
    fao56
    """
    low, high = np.asarray(tmin, dtype=np.float64), np.asarray(tmax, dtype=np.float64)
    crossed = np.asarray(high < low)
    if crossed.any():
        position = int(np.flatnonzero(crossed)[0])
        seen = float(np.broadcast_to(high, crossed.shape).flat[position])
        raise DomainError("tmax", seen, "at least tmin of the same day", index=position)
    warmth = np.maximum((low + high) / 2 + 17.8, 0.0)
    return np.asarray(0.0023 * warmth * np.sqrt(high - low) * MM_PER_MJ * np.asarray(radiation), dtype=np.float64)


@dataclass(frozen=True, kw_only=True)
class DailyWeather:
    """Weather from the day of sowing on, a row for each place or each year that may come.

    ``mean`` air temperature [degC], ``rain`` with irrigation [mm], ``reference_et`` [mm] have shape (rows, days);
    ``day_length`` [h] has shape (rows, days) or (1, days). Nothing is missing in them.
    """

    mean: Floats
    rain: Floats
    reference_et: Floats
    day_length: Floats

    def __post_init__(self) -> None:
        shape = self.mean.shape
        if len(shape) != 2 or 0 in shape:
            raise DomainError("mean", shape, "an array of shape (rows, days)")
        for name in ("rain", "reference_et", "day_length"):
            values = getattr(self, name)
            if values.shape != shape and not (name == "day_length" and values.shape == (1, shape[1])):
                raise DomainError(name, values.shape, f"of the shape of mean, {shape}")
            _refuse(name, values, ~(values >= 0) | np.isinf(values), "known on every day and at least 0")
        _refuse("mean", self.mean, ~np.isfinite(self.mean), "known on every day")

    @property
    def rows(self) -> int:
        """How many places or years."""
        return int(self.mean.shape[0])

    @property
    def days(self) -> int:
        """How many days from sowing on, the day of sowing included."""
        return int(self.mean.shape[1])

    def chosen(self, rows: NDArray[np.intp] | slice) -> DailyWeather:
        """Return some of the rows."""
        lengths = self.day_length if self.day_length.shape[0] == 1 else self.day_length[rows]
        return DailyWeather(
            mean=self.mean[rows], rain=self.rain[rows], reference_et=self.reference_et[rows], day_length=lengths
        )


def daily_weather(
    *,
    latitude: ArrayLike,
    day_of_year: ArrayLike,
    tmin: ArrayLike,
    tmax: ArrayLike,
    rain: ArrayLike,
    reference_et: ArrayLike | None = None,
) -> DailyWeather:
    """Weather of a season with what follows from latitude and date.

    Parameters
    ----------
    latitude : array_like, a number or shape (rows, 1)
        South negative. [deg]
    day_of_year : array_like of shape (days,) or (rows, days)
        1 to 366, from the day of sowing on; past 31 December it begins again at 1. [d]
    tmin, tmax : array_like of shape (days,) or (rows, days)
        [degC]
    rain : array_like of shape (days,) or (rows, days)
        Rain with irrigation. [mm]
    reference_et : array_like of shape (days,) or (rows, days), optional
        Where it is measured; else it comes from temperature (``reference_evapotranspiration``). [mm]

    Raises
    ------
    DomainError
        A day is missing or outside its range, or shapes do not fit.
    """
    low, high, fallen = (np.atleast_2d(np.asarray(item, dtype=np.float64)) for item in (tmin, tmax, rain))
    place, day = np.asarray(latitude, dtype=np.float64), np.atleast_2d(np.asarray(day_of_year, dtype=np.float64))
    for name, values in (("tmin", low), ("tmax", high)):
        _refuse(name, values, ~np.isfinite(values), "known on every day")
    if reference_et is None:
        radiation = extraterrestrial_radiation(latitude=place, day_of_year=day)
        evaporated = reference_evapotranspiration(tmin=low, tmax=high, radiation=radiation)
    else:
        evaporated = np.atleast_2d(np.asarray(reference_et, dtype=np.float64))
    shape = np.broadcast_shapes(low.shape, high.shape, fallen.shape, evaporated.shape)
    return DailyWeather(
        mean=np.broadcast_to((low + high) / 2, shape),
        rain=np.broadcast_to(fallen, shape),
        reference_et=np.broadcast_to(evaporated, shape),
        day_length=day_length(latitude=place, day_of_year=day),
    )


def _held(name: str, values: ArrayLike, lowest: float, highest: float) -> Floats:
    numbers = np.asarray(values, dtype=np.float64)
    _refuse(name, numbers, (numbers < lowest) | (numbers > highest), f"from {lowest:g} to {highest:g}")
    return numbers


def _refuse(name: str, values: Floats, wrong: NDArray[np.bool_], allowed: str) -> None:
    if np.any(wrong):
        position = int(np.flatnonzero(wrong)[0])
        raise DomainError(name, float(values.flat[position]), allowed, index=position)
