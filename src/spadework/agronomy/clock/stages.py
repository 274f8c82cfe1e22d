"""Estimated days of emergence, first flower, pod fill and maturity, each as a range from early to late.

The early end takes every sum at its low figure and the days ahead warm; the late end takes every sum at its
high figure and the days ahead cold.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from spadework.agronomy.clock.bbch import Case, Clock, Leg, NodeClock, code_on_day, day_of_code
from spadework.agronomy.clock.series import DailyTemperature
from spadework.agronomy.clock.totals import DayRange, RunningTotal, WhyUnknown, running_total
from spadework.errors import DomainError
from spadework.knowledge.rows import Measured, NodeInterval, ThermalTime

__all__ = ["StageDate", "StageEstimates", "StageOnDay", "estimate_stages"]

_TARGETS = ("emergence", "first_flower", "pod_fill", "maturity")


@dataclass(frozen=True)
class StageDate:
    """When a stage is reached: a range of days, or None and why. ``rows`` are the knowledge rows used."""

    days: DayRange | None
    why_unknown: WhyUnknown | None
    rows: tuple[str, ...] = ()


@dataclass(frozen=True)
class StageOnDay:
    """The BBCH code on one day between two bounds, or None and why. ``rows`` are the knowledge rows used."""

    low: int | None
    high: int | None
    why_unknown: WhyUnknown | None
    rows: tuple[str, ...] = ()


@dataclass(frozen=True)
class StageEstimates:
    """Days of the stages, and the clocks that made them, for other codes and days."""

    sown_on: dt.date | None
    emerged_on: dt.date | None
    series: DailyTemperature
    emergence: StageDate
    first_flower: StageDate
    pod_fill: StageDate
    maturity: StageDate
    early: Case
    late: Case

    def day_of(self, code: int) -> StageDate:
        """When the crop reaches a BBCH code, by degree-days between the stages that have a sum.

        Codes between two such stages are laid out evenly in degree-days, leaf counts (11 to 19) run by the
        node interval, bud codes by the bud share. Side shoots and stem (20 to 49) have no clock.

        Raises
        ------
        DomainError
            ``code`` outside 0 to 99.
        """
        _hold_code(code)
        first, rows = day_of_code(self.early, code)
        second, _ = day_of_code(self.late, code)
        return _stage_date(first, second, rows)

    def bbch_on(self, day: dt.date) -> StageOnDay:
        """Bounds of the BBCH code on a day: the late case gives the lower one, the early case the upper.

        Past the last stage that has a clock only bounds are known: from that stage to 89.

        Raises
        ------
        DomainError
            ``day`` before sowing.
        """
        if self.sown_on is not None and day < self.sown_on:
            raise DomainError("day", day.isoformat(), f"on or after sowing ({self.sown_on})")
        if day > self.series.last_day:
            return StageOnDay(None, None, WhyUnknown.BEYOND_SERIES)
        first, rows = code_on_day(self.late, day.toordinal())
        second, more_rows = code_on_day(self.early, day.toordinal())
        for code in (first, second):
            if isinstance(code, WhyUnknown):
                return StageOnDay(low=None, high=None, why_unknown=code)
        # An intermediate cut-off can make warmth slow; the bounds are then the other way about.
        assert isinstance(first, int)  # noqa: S101 - held above
        assert isinstance(second, int)  # noqa: S101
        low, high = sorted((first, second))
        return StageOnDay(low, high, None, rows=tuple(dict.fromkeys(rows + more_rows)))


def estimate_stages(
    *,
    series: DailyTemperature,
    rows: Sequence[ThermalTime],
    sown_on: dt.date | None,
    emerged_on: dt.date | None = None,
    node_interval: NodeInterval | None = None,
    bud_share: float | None = None,
    relative_range: float,
    flower_range: float | None = None,
    forecast_shift: float,
) -> StageEstimates:
    """Estimate when stages are reached, from sowing or from an observed emergence.

    Parameters
    ----------
    series : DailyTemperature
        From the day after sowing (or emergence) at the latest, as far ahead as answers are wanted.
    rows : sequence of ThermalTime
        Sums of one crop, at most one for each pair of stages: the caller has chosen among rival rows. [degC d]
    sown_on, emerged_on : date or None
        Observed days; an observed emergence replaces its estimate, and later stages run from it.
    node_interval : NodeInterval, optional
        Turns degree-days since emergence into leaf counts. [degC d]
    bud_share : float, optional
        Share of the degree-days from emergence to first flower after which buds show. [1]
    relative_range : float
        Half range, as a share, given to a sum that is printed as one figure. [1]
    flower_range : float, optional
        The same for sums that end at first flower, which day length and variety move; ``relative_range`` if
        left out. [1]
    forecast_shift : float
        Degrees by which days from normals may turn out warmer or colder on the whole. [degC]

    Returns
    -------
    StageEstimates
        A stage is reached on the first day whose running total is at or above the sum; totals start the day
        after the anchor. Where weather is missing on the way the day is None, never a guess.

    Raises
    ------
    DomainError
        Emergence before sowing; two rows for one pair of stages; a share outside 0 to 1; a negative shift.

    Notes
    -----
    The row that starts nearest before a stage is used. Where emergence was observed and a stage has only a sum
    from sowing, that sum less the sum to emergence of the same clock runs from the observed day.

    References
    ----------
    mcmaster_wilhelm1997
    """
    if sown_on is not None and emerged_on is not None and emerged_on < sown_on:
        raise DomainError("emerged_on", emerged_on.isoformat(), f"on or after sowing ({sown_on})")
    flower_range = relative_range if flower_range is None else flower_range
    for name, share in (("relative_range", relative_range), ("flower_range", flower_range)):
        if not 0 <= share < 1:
            raise DomainError(name, share, "from 0 to below 1")
    if bud_share is not None and not 0 < bud_share < 1:
        raise DomainError("bud_share", bud_share, "between 0 and 1")
    if forecast_shift < 0:
        raise DomainError("forecast_shift", forecast_shift, "0 or more")

    legs = _legs(rows, relative_range, flower_range, emergence_observed=emerged_on is not None)
    node = _node_clock(node_interval, relative_range)
    clocks = {leg.clock for leg in legs} | ({node.clock} if node else set())
    known = {name: day.toordinal() for name, day in (("sowing", sown_on), ("emergence", emerged_on)) if day is not None}
    early, late = (
        _run(legs, known, _totals(moved, clocks), node=node, bud_share=bud_share, late=is_late)
        for moved, is_late in ((series.shifted(forecast_shift), False), (series.shifted(-forecast_shift), True))
    )
    dates = {stage: _stage_date(early.days[stage], late.days[stage], early.rows.get(stage, ())) for stage in _TARGETS}
    if emerged_on is not None:
        dates["emergence"] = StageDate(DayRange(emerged_on, emerged_on, observed=True), None)
    return StageEstimates(sown_on=sown_on, emerged_on=emerged_on, series=series, early=early, late=late, **dates)


def _totals(series: DailyTemperature, clocks: set[Clock]) -> dict[Clock, RunningTotal]:
    return {clock: running_total(series, t_base=clock[0], t_cap=clock[1], method=clock[2]) for clock in clocks}


def _legs(
    rows: Sequence[ThermalTime], relative_range: float, flower_range: float, *, emergence_observed: bool
) -> tuple[Leg, ...]:
    legs: dict[tuple[str, str], Leg] = {}
    for row in rows:
        pair = (row.stage_from, row.stage_to)
        if pair in legs:
            raise DomainError("rows", (legs[pair].rows[0], row.id), f"one row from {row.stage_from} to {row.stage_to}")
        low, high = _sum_range(row, flower_range if row.stage_to == "first_flower" else relative_range)
        legs[pair] = Leg(*pair, low=low, high=high, clock=(row.t_base, row.t_cap, row.method), rows=(row.id,))
    up = legs.get(("sowing", "emergence"))
    if emergence_observed and up is not None:
        for (start, end), leg in list(legs.items()):
            if start == "sowing" and end != "emergence" and leg.clock == up.clock:
                rest = Leg(
                    "emergence",
                    end,
                    low=max(leg.low - up.high, 0.0),
                    high=leg.high - up.low,
                    clock=leg.clock,
                    rows=leg.rows + up.rows,
                )
                legs.setdefault(("emergence", end), rest)
    return tuple(legs.values())


def _sum_range(row: Measured, relative_range: float) -> tuple[float, float]:
    if row.low is not None and row.high is not None:
        return row.low, row.high
    return row.central * (1 - relative_range), row.central * (1 + relative_range)


def _node_clock(row: NodeInterval | None, relative_range: float) -> NodeClock | None:
    if row is None:
        return None
    low, high = _sum_range(row, relative_range)
    if low <= 0:
        raise DomainError("node_interval", low, "above 0")
    return NodeClock(low=low, high=high, clock=(row.t_base, None, row.method), row=row.id)


def _run(
    legs: tuple[Leg, ...],
    known: Mapping[str, int],
    totals: Mapping[Clock, RunningTotal],
    *,
    node: NodeClock | None,
    bud_share: float | None,
    late: bool,
) -> Case:
    days: dict[str, int | WhyUnknown] = {
        "sowing": known.get("sowing", WhyUnknown.NO_ANCHOR),
        "emergence": known.get("emergence", WhyUnknown.NO_ROW if "sowing" in known else WhyUnknown.NO_ANCHOR),
    }
    used: dict[str, Leg] = {}
    rows: dict[str, tuple[str, ...]] = {}
    order = ("sowing", *_TARGETS)
    for stage in _TARGETS:
        if stage in known:
            continue
        nearest = sorted((leg for leg in legs if leg.end == stage), key=lambda leg: -order.index(leg.start))
        days[stage] = WhyUnknown.NO_ROW if known else WhyUnknown.NO_ANCHOR
        for leg in nearest:
            start = days[leg.start]
            if isinstance(start, WhyUnknown):
                # Say why the nearest anchor is unknown, unless a farther one serves.
                days[stage] = start if days[stage] is WhyUnknown.NO_ROW else days[stage]
                continue
            days[stage] = totals[leg.clock].day_reaching(after=start, target=leg.high if late else leg.low)
            used[stage], rows[stage] = leg, rows.get(leg.start, ()) + leg.rows
            break
    return Case(days=days, legs=used, rows=rows, totals=totals, node=node, bud_share=bud_share, late=late)


def _stage_date(first: int | WhyUnknown, second: int | WhyUnknown, rows: tuple[str, ...]) -> StageDate:
    for day in (first, second):
        if isinstance(day, WhyUnknown):
            return StageDate(days=None, why_unknown=day)
    assert isinstance(first, int)  # noqa: S101 - held above
    assert isinstance(second, int)  # noqa: S101
    low, high = sorted((first, second))
    return StageDate(DayRange(dt.date.fromordinal(low), dt.date.fromordinal(high)), None, rows)


def _hold_code(code: int) -> None:
    if not 0 <= code <= 99:
        raise DomainError("BBCH code", code, "from 0 to 99")
