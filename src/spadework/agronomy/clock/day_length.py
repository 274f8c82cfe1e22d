"""Day length: hours from sunrise to sunset, or between other depressions of the sun."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.errors import DomainError

__all__ = ["day_length"]


def day_length(
    *, latitude: ArrayLike, day_of_year: ArrayLike, sun_below_horizon: float = 0.8333
) -> NDArray[np.float64]:
    """Day length by the CBM model of Forsythe and others.

    Parameters
    ----------
    latitude : array_like, broadcast to (...)
        -90 to 90, south negative. [deg]
    day_of_year : array_like, broadcast to (...)
        1 to 366. [d]
    sun_below_horizon : float
        How far the sun's centre stands under the horizon when the day begins and ends: 0.8333 for sunrise with
        refraction, 6 for civil twilight. [deg]

    Returns
    -------
    ndarray of float64, shape (...)
        0 in polar night, 24 in polar day; NaN in, NaN out. [h]

    Raises
    ------
    DomainError
        Latitude or day of year outside its range; names the first position, counted flat.

    References
    ----------
    forsythe1995
    """
    degrees = np.asarray(latitude, dtype=np.float64)
    day = np.asarray(day_of_year, dtype=np.float64)
    _hold("latitude", degrees, -90.0, 90.0)
    _hold("day_of_year", day, 1.0, 366.0)

    revolution = 0.2163108 + 2 * np.arctan(0.9671396 * np.tan(0.00860 * (day - 186)))
    declination = np.arcsin(0.39795 * np.cos(revolution))
    north = np.radians(degrees)
    height = np.sin(np.radians(sun_below_horizon)) + np.sin(north) * np.sin(declination)
    # Beyond -1 and 1 the sun does not cross the horizon that day.
    half_night = np.arccos(np.clip(height / (np.cos(north) * np.cos(declination)), -1.0, 1.0))
    return np.asarray(24.0 - 24.0 / np.pi * half_night, dtype=np.float64)


def _hold(name: str, values: NDArray[np.float64], lowest: float, highest: float) -> None:
    outside = np.flatnonzero((values < lowest) | (values > highest))
    if outside.size:
        position = int(outside[0])
        seen = float(values.flat[position])
        raise DomainError(name, seen, f"from {lowest:g} to {highest:g}", index=position)
