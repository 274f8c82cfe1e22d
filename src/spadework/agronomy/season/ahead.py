"""Days not known: bridged where few, still to come from past years of the same place or made from normals."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spadework.errors import DomainError

__all__ = ["SkyDays", "bridged_rain", "days_from_normals", "days_from_years"]

Floats = NDArray[np.float64]

_BLOCK = 30
"""Days over which a season stays warmer or cooler than usual together."""

_AROUND, _YEAR = 15, 365
"""Days before and after, in any year, whose rain stands for a day without; days of a year."""


@dataclass(frozen=True, kw_only=True)
class SkyDays:
    """Lowest and highest temperature [degC] and rain [mm] of days in a row, NaN where not known.

    Arrays of shape (days,), or (rows, days) with a row for each way that the season may go.
    """

    tmin: Floats
    tmax: Floats
    rain: Floats

    def __post_init__(self) -> None:
        if not self.tmin.shape == self.tmax.shape == self.rain.shape:
            raise DomainError(
                "tmin, tmax and rain", (self.tmin.shape, self.tmax.shape, self.rain.shape), "of one shape"
            )

    @property
    def known(self) -> NDArray[np.bool_]:
        """Days of which everything is known."""
        return np.asarray(~(np.isnan(self.tmin) | np.isnan(self.tmax) | np.isnan(self.rain)))

    def filled_from(self, other: SkyDays) -> SkyDays:
        """Put ``other`` where something is not known: both temperatures together, rain by itself."""
        cold = np.isnan(self.tmin) | np.isnan(self.tmax)
        return SkyDays(
            tmin=np.where(cold, other.tmin, self.tmin),
            tmax=np.where(cold, other.tmax, self.tmax),
            rain=np.where(np.isnan(self.rain), other.rain, self.rain),
        )


def bridged_rain(rain: Floats, *, day_of_year: NDArray[np.integer], longest_gap: int) -> Floats:
    """Put the mean of the days around, in all years of the record, where rain is not known for a few days.

    Parameters
    ----------
    rain : ndarray, shape (days,)
        Of days in a row, NaN where not known. [mm]
    day_of_year : ndarray of int, shape (days,)
        1 to 366. [d]
    longest_gap : int
        Days in a row that may be bridged, at either end too.

    Returns
    -------
    ndarray, shape (days,)
        Longer gaps, and those with no day known within 15 days, stay NaN. [mm]
    """
    filled, unknown = rain.copy(), np.isnan(rain)
    edges = np.flatnonzero(np.diff(np.concatenate(([False], unknown, [False]))))
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        if end - start > longest_gap:
            continue
        apart = np.abs(day_of_year - day_of_year[(start + end) // 2])
        near = ~unknown & (np.minimum(apart, _YEAR - apart) <= _AROUND)
        if near.any():
            filled[start:end] = rain[near].mean()
    return filled


def days_from_years(season: SkyDays, years: Sequence[SkyDays], *, length: int) -> SkyDays | None:
    """Lay past years over the days of a season that are not known.

    Parameters
    ----------
    season : SkyDays
        Arrays of shape (days,).
    years : sequence of SkyDays
        The same days of past years, arrays of shape (days,).
    length : int
        Days from the first one on that must be known in the end.

    Returns
    -------
    SkyDays or None
        A row for each year with which all days of that length are known; None where there is no such year.
    """
    laid = [season.filled_from(year) for year in years]
    usable = [row for row in laid if np.all(row.known[:length])]
    if not usable:
        return None
    return SkyDays(**{name: np.array([getattr(row, name) for row in usable]) for name in ("tmin", "tmax", "rain")})


def days_from_normals(
    season: SkyDays,
    normals: SkyDays,
    *,
    rows: int,
    temperature_spread: float,
    wet_share: float,
    generator: np.random.Generator,
) -> SkyDays:
    """Make ways that a season may go from its normals, where it is not known yet.

    Parameters
    ----------
    season, normals : SkyDays
        Arrays of shape (days,); of the normals, rain is the mean of the day.
    rows : int
        How many ways.
    temperature_spread : float
        Standard deviation of a month's mean temperature about its normal. [degC]
    wet_share : float
        Share of days with rain, above 0 to 1. [1]
    generator : numpy.random.Generator

    Returns
    -------
    SkyDays
        Arrays of shape (rows, days); NaN where season and normals both know nothing.

    Notes
    -----
    Temperatures are moved month by month. Wet days come by chance alone, with exponential amounts, so that a month of
    30 days with 0.3 of them wet varies by 0.43 of its mean. Days in a row are as wet as days apart: dry spells are
    shorter than in nature, which past years would mend. Judgement.
    """
    if rows < 1:
        raise DomainError("rows", rows, "at least 1")
    if not 0 < wet_share <= 1:
        raise DomainError("wet_share", wet_share, "above 0, at most 1")
    days = season.rain.size
    months = generator.normal(0.0, temperature_spread, (rows, -(-days // _BLOCK)))
    shift = np.repeat(months, _BLOCK, axis=1)[:, :days]
    wet = generator.random((rows, days)) < wet_share
    fallen = np.where(wet, generator.exponential(1.0, (rows, days)) / wet_share, 0.0) * normals.rain
    made = SkyDays(tmin=normals.tmin + shift, tmax=normals.tmax + shift, rain=fallen)
    return season.filled_from(made)
