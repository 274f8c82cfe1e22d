"""Degree-days added up along a series: from the day after an anchor, over 31 December, never reset."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.clock.degree_days import degree_days
from spadework.agronomy.clock.series import DailyTemperature, DayOrigin
from spadework.errors import DomainError

__all__ = ["DayRange", "DegreeDaySum", "RunningTotal", "WhyUnknown", "degree_day_sum", "running_total"]

_ROUNDING = 1e-9
"""Degree-days by which a sum of floats may fall short of the figure it equals on paper."""


class WhyUnknown(StrEnum):
    """Why a day or stage cannot be told."""

    NO_ANCHOR = "no_anchor"
    """Neither sowing nor emergence is recorded, or not the one that is asked for."""
    NO_ROW = "no_row"
    """No knowledge row leads to this stage for this crop."""
    WEATHER_MISSING = "weather_missing"
    """Days without observation or normal lie in between."""
    BEYOND_SERIES = "beyond_series"
    """Not reached within the days of the series."""


@dataclass(frozen=True)
class DayRange:
    """A day known only between two days, both included; ``observed`` when somebody wrote it down."""

    low: dt.date
    high: dt.date
    observed: bool = False

    @property
    def centre(self) -> dt.date:
        """The day in the middle (the earlier of two)."""
        return self.low + (self.high - self.low) // 2

    def moved(self, *, low: int, high: int) -> DayRange:
        """Return the range with its ends moved by whole days; it is then no observation."""
        return DayRange(self.low + dt.timedelta(days=low), self.high + dt.timedelta(days=high))


@dataclass(frozen=True)
class RunningTotal:
    """Degree-days up to each day of a series.

    ``total`` and ``missing`` have shape (days + 1,): what all days before position i add up to [degC d], and
    how many of them are missing and add nothing.
    """

    first: int
    total: NDArray[np.float64]
    missing: NDArray[np.int64]

    def between(self, *, after: int, through: int) -> float | WhyUnknown:
        """Sum from the day after ``after`` to ``through`` (ordinals); unknown where a day is missing [degC d]."""
        start, stop = after + 1 - self.first, max(through + 1 - self.first, after + 1 - self.first)
        if start < 0 or stop >= self.total.size:
            return WhyUnknown.WEATHER_MISSING if start < 0 else WhyUnknown.BEYOND_SERIES
        if self.missing[stop] > self.missing[start]:
            return WhyUnknown.WEATHER_MISSING
        return float(self.total[stop] - self.total[start])

    def day_reaching(self, *, after: int, target: float) -> int | WhyUnknown:
        """First day (ordinal) on which the sum since ``after`` is at or above ``target`` [degC d]."""
        start = after + 1 - self.first
        if start < 0:
            return WhyUnknown.WEATHER_MISSING
        if start >= self.total.size:
            return WhyUnknown.BEYOND_SERIES
        goal = self.total[start] + target - _ROUNDING
        stop = start + int(np.searchsorted(self.total[start:], goal, side="left"))
        last = min(stop, self.total.size - 1)
        if self.missing[last] > self.missing[start]:
            return WhyUnknown.WEATHER_MISSING
        if stop == self.total.size:
            return WhyUnknown.BEYOND_SERIES
        return self.first + stop - 1


@dataclass(frozen=True)
class DegreeDaySum:
    """Degree-days from an anchor to a day, with the rule that made them.

    ``total`` runs from the middle of the anchor's range, ``low`` and ``high`` from its ends. Missing days
    are in none of the three; their number stands beside. [degC d]
    """

    total: float
    low: float
    high: float
    method: str
    t_base: float
    t_cap: float | None
    after: DayRange
    through: dt.date
    filled_days: int
    normal_days: int
    missing_days: int


def running_total(series: DailyTemperature, *, t_base: float, t_cap: float | None = None, method: str) -> RunningTotal:
    """Add up a series day by day with one base [degC], cap [degC] and rule of ``degree_days.METHODS``."""
    daily = degree_days(tmin=series.tmin, tmax=series.tmax, t_base=t_base, t_cap=t_cap, method=method)
    total = np.zeros(daily.size + 1)
    missing = np.zeros(daily.size + 1, dtype=np.int64)
    np.cumsum(np.nan_to_num(daily), out=total[1:])
    np.cumsum(np.isnan(daily), out=missing[1:])
    return RunningTotal(first=series.first_day.toordinal(), total=total, missing=missing)


def degree_day_sum(
    series: DailyTemperature,
    *,
    after: DayRange,
    through: dt.date,
    t_base: float,
    t_cap: float | None = None,
    method: str,
) -> DegreeDaySum:
    """Degree-days from the day after an anchor to ``through``.

    Raises
    ------
    DomainError
        ``through`` before the middle of the anchor's range. Days outside the series count as missing.
    """
    if through < after.centre:
        raise DomainError("through", through.isoformat(), f"on or after the anchor ({after.centre})")
    running = running_total(series, t_base=t_base, t_cap=t_cap, method=method)

    def known(since: dt.date) -> float:
        ends = np.array([min(since, through).toordinal() + 1, through.toordinal() + 1]) - running.first
        start, stop = np.clip(ends, 0, running.total.size - 1)
        return float(running.total[stop] - running.total[start])

    counts = series.counts(after=after.centre, through=through)
    return DegreeDaySum(
        total=known(after.centre),
        low=known(after.high),
        high=known(after.low),
        method=method,
        t_base=t_base,
        t_cap=t_cap,
        after=after,
        through=through,
        filled_days=counts[DayOrigin.FILLED],
        normal_days=counts[DayOrigin.NORMAL],
        missing_days=counts[DayOrigin.MISSING],
    )
