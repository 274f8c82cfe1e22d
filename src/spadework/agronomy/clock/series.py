"""A complete daily temperature series for a season: observed, filled, from normals, or openly missing."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import IntEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.agronomy.clock.gaps import fill_gaps
from spadework.errors import DomainError

__all__ = ["DailyTemperature", "DayOrigin", "MonthlyNormals", "daily_temperature"]

Floats = NDArray[np.float64]


class DayOrigin(IntEnum):
    """Where a day's temperatures come from."""

    OBSERVED = 0
    FILLED = 1
    NORMAL = 2
    MISSING = 3


@dataclass(frozen=True)
class MonthlyNormals:
    """Usual lowest and highest temperature of the day, January to December, shape (12,) [degC].

    A month that is not known is NaN; days that lean on it then stay missing.
    """

    tmin: Floats
    tmax: Floats

    def __post_init__(self) -> None:
        for name in ("tmin", "tmax"):
            values = np.asarray(getattr(self, name), dtype=np.float64)
            if values.shape != (12,):
                raise DomainError(f"normal {name}", values.shape, "12 figures, January to December")
            object.__setattr__(self, name, values)
        crossed = np.flatnonzero(self.tmax < self.tmin)
        if crossed.size:
            month = int(crossed[0])
            raise DomainError("normal tmax", float(self.tmax[month]), "at least normal tmin", index=month)


@dataclass(frozen=True)
class DailyTemperature:
    """Temperatures day by day without a hole in the calendar.

    ``tmin`` and ``tmax`` have shape (days,) [degC], NaN where ``origin`` (int8, shape (days,)) is missing.
    """

    first_day: dt.date
    tmin: Floats
    tmax: Floats
    origin: NDArray[np.int8]

    @property
    def last_day(self) -> dt.date:
        """The last day of the series."""
        return self.first_day + dt.timedelta(days=self.origin.size - 1)

    def shifted(self, shift: float) -> DailyTemperature:
        """Return the series with the days from normals moved by ``shift`` [degC]: a warm or a cold case.

        Days that were observed or filled stand as they are.
        """
        if shift == 0:
            return self
        step = np.where(self.origin == DayOrigin.NORMAL, shift, 0.0)
        return replace(self, tmin=self.tmin + step, tmax=self.tmax + step)

    def counts(self, *, after: dt.date, through: dt.date) -> dict[DayOrigin, int]:
        """Count the days of each origin from the day after ``after`` to ``through``; days outside are missing."""
        start, stop = after.toordinal() + 1, through.toordinal() + 1
        first = self.first_day.toordinal()
        inside = self.origin[max(start - first, 0) : max(stop - first, 0)]
        found = {origin: int(np.count_nonzero(inside == origin)) for origin in DayOrigin}
        found[DayOrigin.MISSING] += max(stop - start, 0) - inside.size
        return found


def daily_temperature(
    *,
    first_day: dt.date,
    last_day: dt.date,
    observed_days: Sequence[dt.date],
    tmin: ArrayLike,
    tmax: ArrayLike,
    normals: MonthlyNormals | None = None,
    longest_gap: int = 3,
) -> DailyTemperature:
    """Lay observed days, filled gaps and normals into one series from ``first_day`` to ``last_day``.

    Parameters
    ----------
    first_day, last_day : date
        Span of the series, both included.
    observed_days : sequence of date, length n
        Days with records, in any order; days outside the span help to fill gaps at its ends.
    tmin, tmax : array_like, shape (n,)
        Lowest and highest temperature, NaN where not written down. [degC]
    normals : MonthlyNormals, optional
        For the days ahead and for gaps that are too long to fill. They stand for the middle of each month; days
        between lie on the straight line, round the year.
    longest_gap : int
        Longest gap that is filled from its neighbours. [d]

    Returns
    -------
    DailyTemperature
        A day with one of its two temperatures is filled as a whole, so that low and high belong together.
        What neither filling nor normals reach is missing, never 0.

    Raises
    ------
    DomainError
        Span reversed, a day given twice, lengths unlike, or a high under its low.
    """
    if last_day < first_day:
        raise DomainError("last_day", last_day.isoformat(), f"on or after first_day ({first_day})")
    low, high = np.asarray(tmin, dtype=np.float64), np.asarray(tmax, dtype=np.float64)
    if not low.shape == high.shape == (len(observed_days),):
        raise DomainError("tmin and tmax", (low.shape, high.shape), f"of shape ({len(observed_days)},)")
    crossed = np.flatnonzero(high < low)
    if crossed.size:
        at = int(crossed[0])
        raise DomainError(f"tmax of {observed_days[at]}", float(high[at]), f"at least tmin ({low[at]:g})", index=at)
    days = np.array([day.toordinal() for day in observed_days], dtype=np.int64)
    if np.unique(days).size < days.size:
        values, times = np.unique(days, return_counts=True)
        twice = dt.date.fromordinal(int(values[times > 1][0]))
        raise DomainError("observed day", twice.isoformat(), "given once")

    first, last = first_day.toordinal(), last_day.toordinal()
    # Days farther outside the span than the longest gap cannot help to fill it.
    margin = longest_gap + 1
    near = (days >= first - margin) & (days <= last + margin) & ~np.isnan(low) & ~np.isnan(high)
    both = np.full((2, last - first + 1 + 2 * margin), np.nan)
    both[:, days[near] - first + margin] = low[near], high[near]
    inside = slice(margin, -margin)
    filled = [fill_gaps(row, longest_gap) for row in both]
    low_all, high_all = (series.values[inside] for series in filled)

    origin = np.where(filled[0].filled[inside], DayOrigin.FILLED, DayOrigin.OBSERVED).astype(np.int8)
    gap = np.isnan(low_all)
    if normals is not None and gap.any():
        usual_low, usual_high = _usual(normals, np.arange(first, last + 1))
        low_all, high_all = np.where(gap, usual_low, low_all), np.where(gap, usual_high, high_all)
        origin[gap] = DayOrigin.NORMAL
    origin[np.isnan(low_all) | np.isnan(high_all)] = DayOrigin.MISSING
    return DailyTemperature(first_day=first_day, tmin=low_all, tmax=high_all, origin=origin)


def _usual(normals: MonthlyNormals, days: NDArray[np.int64]) -> tuple[Floats, Floats]:
    """Return the normals of ``days`` (ordinals), on the straight line between the middles of months."""
    year_from = dt.date.fromordinal(int(days[0])).year - 1
    year_to = dt.date.fromordinal(int(days[-1])).year + 1
    starts = [dt.date(year, month, 1).toordinal() for year in range(year_from, year_to + 1) for month in range(1, 13)]
    edges = np.array([*starts, dt.date(year_to, 12, 31).toordinal() + 1], dtype=np.float64)
    # A day stands for its noon, so the middle of a month lies half a day before the mean of its edges.
    middles = (edges[:-1] + edges[1:] - 1) / 2
    years = year_to - year_from + 1
    return (
        np.interp(days, middles, np.tile(normals.tmin, years)),
        np.interp(days, middles, np.tile(normals.tmax, years)),
    )
