"""The dig window of a field: the days on which it opens and closes, by the calendar and by degree-days."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from spadework.agronomy.clock.series import DailyTemperature
from spadework.agronomy.clock.stages import StageDate, StageEstimates
from spadework.agronomy.clock.totals import DayRange, WhyUnknown
from spadework.knowledge.rows import DigWindow

__all__ = ["ColdSpell", "DigWindowEstimate", "cold_days", "dig_window"]


@dataclass(frozen=True)
class ColdSpell:
    """Cold days in a span; ``missing_days`` had no temperature and may have been cold too."""

    cold_days: int
    missing_days: int


@dataclass(frozen=True)
class DigWindowEstimate:
    """When the window of one scheme opens and closes, by each clock that reaches it.

    ``cold_days_after_emergence`` is by how much the late end of the calendar opening was moved.
    """

    row: str
    anchor: str
    anchor_day: DayRange | None
    calendar_opens: DayRange | None
    calendar_closes: DayRange | None
    thermal_opens: DayRange | None
    thermal_closes: DayRange | None
    cold_days_after_emergence: int | None
    why_unknown: WhyUnknown | None
    rows: tuple[str, ...]

    @property
    def opens(self) -> DayRange | None:
        """The calendar's opening where the scheme counts days, else that of the degree-day clock."""
        return self.calendar_opens or self.thermal_opens

    @property
    def closes(self) -> DayRange | None:
        """The calendar's closing where the scheme counts days, else that of the degree-day clock."""
        return self.calendar_closes or self.thermal_closes


def cold_days(series: DailyTemperature, *, after: dt.date, through: dt.date, limit: float) -> ColdSpell:
    """Count the days from the day after ``after`` to ``through`` with a mean temperature under ``limit`` [degC]."""
    first = series.first_day.toordinal()
    start, stop = after.toordinal() + 1 - first, max(through, after).toordinal() + 1 - first
    inside = slice(max(start, 0), max(stop, 0))
    mean = (series.tmin[inside] + series.tmax[inside]) / 2
    return ColdSpell(
        cold_days=int(np.count_nonzero(mean < limit)),
        missing_days=int(np.count_nonzero(np.isnan(mean))) + (stop - start) - mean.size,
    )


def dig_window(
    window: DigWindow, stages: StageEstimates, *, infection_days: float, cold_limit: float
) -> DigWindowEstimate:
    """Dates of a dig window for one field.

    Parameters
    ----------
    window : DigWindow
        The scheme in force: days after its anchor, BBCH codes, or both.
    stages : StageEstimates
        The field's stages; its sowing and emergence anchor the calendar.
    infection_days : float
        Days after emergence in which infection takes place; cold days are looked for in them. [d]
    cold_limit : float
        Mean temperature of the day under which nodules hold back. [degC]

    Returns
    -------
    DigWindowEstimate
        Limits that the scheme or the records do not reach are None.

    Notes
    -----
    Our judgement: each cold day of the infection period may hold nodules back by a day, or may not. So the late
    end of the calendar opening is moved on by their number and the early end is left. Degree-days know of cold.
    """
    anchor = _anchor_day(window.anchor, stages)
    emergence = stages.emergence.days
    held_back: int | None = None
    if emergence is not None:
        infected = emergence.high + dt.timedelta(days=round(infection_days))
        held_back = cold_days(stages.series, after=emergence.low, through=infected, limit=cold_limit).cold_days

    opens, closes = _after(anchor, window.opens_days, math.ceil), _after(anchor, window.closes_days, math.floor)
    if opens is not None and held_back:
        opens = opens.moved(low=0, high=held_back)
    unknown = StageDate(days=None, why_unknown=None)
    by_stage = [unknown if code is None else stages.day_of(code) for code in (window.opens_bbch, window.closes_bbch)]
    reasons = [date.why_unknown for date in by_stage]
    if window.opens_days is not None and anchor is None:
        reasons.insert(0, WhyUnknown.NO_ANCHOR if window.anchor == "sowing" else stages.emergence.why_unknown)
    rows = dict.fromkeys((window.id, *(row for date in (stages.emergence, *by_stage) for row in date.rows)))
    return DigWindowEstimate(
        row=window.id,
        anchor=window.anchor,
        anchor_day=anchor,
        calendar_opens=opens,
        calendar_closes=closes,
        thermal_opens=by_stage[0].days,
        thermal_closes=by_stage[1].days,
        cold_days_after_emergence=held_back,
        why_unknown=next((reason for reason in reasons if reason is not None), None),
        rows=tuple(rows),
    )


def _anchor_day(anchor: str, stages: StageEstimates) -> DayRange | None:
    if anchor == "emergence":
        return stages.emergence.days
    return None if stages.sown_on is None else DayRange(stages.sown_on, stages.sown_on, observed=True)


def _after(anchor: DayRange | None, days: float | None, whole: Callable[[float], int]) -> DayRange | None:
    if anchor is None or days is None:
        return None
    return anchor.moved(low=whole(days), high=whole(days))
