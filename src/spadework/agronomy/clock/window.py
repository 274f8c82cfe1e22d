"""The dig window of a field: the days on which it opens and closes, by the calendar and by degree-days."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from spadework.agronomy.clock.series import DailyTemperature
from spadework.agronomy.clock.stages import StageEstimates
from spadework.agronomy.clock.totals import DayRange, WhyUnknown
from spadework.errors import DomainError
from spadework.knowledge.rows import DigWindow

__all__ = ["ColdSpell", "DigWindowEstimate", "cold_days", "dig_window"]


@dataclass(frozen=True)
class ColdSpell:
    """Cold days in a span; ``missing_days`` had no temperature and may have been cold too."""

    cold_days: int
    missing_days: int


@dataclass(frozen=True)
class DigWindowEstimate:
    """When a window opens and closes, by each clock that reaches it.

    ``anchor`` is what the calendar counts from (sowing or emergence). ``cold_days_after_emergence`` is by how
    many days the late end of the calendar opening was moved; None where emergence is unknown.
    """

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
    stages: StageEstimates,
    *,
    days_window: DigWindow | None,
    stage_window: DigWindow | None,
    infection_days: float,
    cold_limit: float,
) -> DigWindowEstimate:
    """Dates of a dig window for one field.

    Parameters
    ----------
    stages : StageEstimates
        The field's stages; its sowing or emergence anchors the calendar.
    days_window, stage_window : DigWindow or None
        The schemes in force for days after an anchor and for BBCH codes: two rows, or one that holds both.
    infection_days : float
        Days after emergence in which infection takes place; cold days are looked for in them. [d]
    cold_limit : float
        Mean temperature of the day under which nodules hold back. [degC]

    Returns
    -------
    DigWindowEstimate
        Limits that the schemes or the records do not reach are None.

    Raises
    ------
    DomainError
        Neither window given.

    Notes
    -----
    Our judgement: each cold day of the infection period may hold nodules back by a day, or may not. So the late
    end of the calendar opening is moved on by their number and the early end is left. Degree-days know of cold.
    """
    scheme = days_window or stage_window
    if scheme is None:
        raise DomainError("days_window and stage_window", None, "given, at least one of them")
    anchor = _anchor_day(scheme.anchor, stages)
    emergence = stages.emergence.days
    held_back: int | None = None
    if emergence is not None:
        infected = emergence.high + dt.timedelta(days=round(infection_days))
        held_back = cold_days(stages.series, after=emergence.low, through=infected, limit=cold_limit).cold_days

    opens = closes = None
    if anchor is not None and days_window is not None:
        opens = _after(anchor, days_window.opens_days, math.ceil, later=held_back or 0)
        closes = _after(anchor, days_window.closes_days, math.floor)
    codes = () if stage_window is None else (stage_window.opens_bbch, stage_window.closes_bbch)
    dates = [None if code is None else stages.day_of(code) for code in codes] or [None, None]

    reasons = [date.why_unknown for date in dates if date is not None]
    if days_window is not None and anchor is None:
        reasons.insert(0, WhyUnknown.NO_ANCHOR if scheme.anchor == "sowing" else stages.emergence.why_unknown)
    rows = [window.id for window in (days_window, stage_window) if window is not None]
    rows += [row for date in (stages.emergence, *dates) if date is not None for row in date.rows]
    return DigWindowEstimate(
        anchor=scheme.anchor,
        anchor_day=anchor,
        calendar_opens=opens,
        calendar_closes=closes,
        thermal_opens=None if dates[0] is None else dates[0].days,
        thermal_closes=None if dates[1] is None else dates[1].days,
        cold_days_after_emergence=held_back,
        why_unknown=next((reason for reason in reasons if reason is not None), None),
        rows=tuple(dict.fromkeys(rows)),
    )


def _anchor_day(anchor: str, stages: StageEstimates) -> DayRange | None:
    if anchor == "emergence":
        return stages.emergence.days
    return None if stages.sown_on is None else DayRange(stages.sown_on, stages.sown_on, observed=True)


def _after(anchor: DayRange, days: float | None, whole: Callable[[float], int], *, later: int = 0) -> DayRange | None:
    return None if days is None else anchor.moved(low=whole(days), high=whole(days) + later)
