"""Whether a dig was at the right time: a stage seen in the field first, else the calendar and degree-days."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from enum import StrEnum

from spadework.agronomy.clock.bbch import STAGE_CODES, Order, compare_codes
from spadework.agronomy.clock.stages import StageEstimates, StageOnDay
from spadework.agronomy.clock.totals import DayRange, WhyUnknown
from spadework.agronomy.clock.window import ColdSpell, DigWindowEstimate, cold_days, dig_window
from spadework.errors import DomainError
from spadework.knowledge.rows import DigWindow

__all__ = ["DecidedBy", "Doubt", "TimingJudgement", "TimingRules", "TimingState", "judge_timing"]


class TimingState(StrEnum):
    """Where a dig stands to the window."""

    TOO_EARLY = "too_early"
    FIRST_LOOK = "first_look"
    IN_WINDOW = "in_window"
    TOO_LATE = "too_late"
    UNKNOWN = "unknown"


class DecidedBy(StrEnum):
    """What settled the state."""

    STAGE_SEEN = "stage_seen"
    CALENDAR = "calendar"
    NONE = "none"


class Doubt(StrEnum):
    """Why a state is not sure."""

    LATE_EDGE = "late_edge"
    """After the window's closing, before the stage from which nodules age."""
    INSIDE_OPENING = "inside_opening"
    """The dig falls between the early and the late estimate of the opening."""
    INSIDE_CLOSING = "inside_closing"
    """The dig falls between the early and the late estimate of the closing."""
    FIRST_LOOK_NEAR = "first_look_near"
    """The dig falls between the early and the late estimate of the first look."""
    EMERGENCE_UNKNOWN = "emergence_unknown"
    """Without an emergence date nobody can say whether presence could be seen yet."""
    PARALLEL_STAGE = "parallel_stage"
    """A side-shoot or stem code was noted, and the window counts leaves (or the other way about)."""
    CLOCKS_DISAGREE = "clocks_disagree"
    """Degree-days, or the calendar where a stage was seen, say otherwise."""
    NO_LATE_ESTIMATE = "no_late_estimate"
    """The late limit could not be dated; the calendar alone was used."""


@dataclass(frozen=True, kw_only=True)
class TimingRules:
    """Figures of the rules below, from knowledge rows.

    ``first_look_days`` after emergence, or ``first_look_bbch``, presence can be seen (common practice: 14 d;
    two leaves, 12). From ``late_bbch`` on a poor reading says nothing (pods filling, 75). ``infection_days``
    and ``cold_limit`` [degC] count cold days (14 d; about 10 degC).
    """

    first_look_days: float
    first_look_bbch: int
    late_bbch: int
    infection_days: float
    cold_limit: float


@dataclass(frozen=True)
class TimingJudgement:
    """The state of one dig, what decided it, what is doubtful, and what both clocks say.

    ``days_since_anchor`` and ``days_since_emergence`` are (fewest, most), negative before the anchor.
    ``cold`` counts from sowing (else from emergence) to the end of infection or the dig.
    """

    dug_on: dt.date
    state: TimingState
    decided_by: DecidedBy
    doubts: tuple[Doubt, ...]
    why_unknown: WhyUnknown | None
    window: DigWindowEstimate
    late: DayRange | None
    stage: StageOnDay
    stage_seen: int | None
    days_since_anchor: tuple[int, int] | None
    days_since_emergence: tuple[int, int] | None
    cold: ColdSpell | None
    rows: tuple[str, ...]

    @property
    def sure(self) -> bool:
        """Whether the ranges leave no room for another state."""
        return self.state is not TimingState.UNKNOWN and not self.doubts


def judge_timing(
    *,
    dug_on: dt.date,
    days_window: DigWindow | None,
    stage_window: DigWindow | None,
    stages: StageEstimates,
    rules: TimingRules,
    stage_seen: int | None = None,
) -> TimingJudgement:
    """Judge whether a dig was at the right time.

    Parameters
    ----------
    dug_on : date
        Day of the dig.
    days_window, stage_window : DigWindow or None
        The schemes in force for days after an anchor and for BBCH codes: two rows, or one that holds both.
    stages : StageEstimates
        The field's stages.
    rules : TimingRules
        First look, late limit and cold.
    stage_seen : int, optional
        BBCH code seen at the dig; overrides calendar and degree-days.

    Returns
    -------
    TimingJudgement
        See Notes for the rules.

    Raises
    ------
    DomainError
        Dig before sowing, a code outside 0 to 99, or neither window given.

    Notes
    -----
    *By the stage seen*, if the stage window has an opening code. Before it: first look from ``first_look_bbch``
    or ``first_look_days`` after emergence, else too early. From it to the closing code: in the window. From
    there to ``late_bbch``: still in the window, but not sure. From ``late_bbch``, once past the closing code: too
    late. Without an opening code the stage still rules out what it can: few leaves are early, pods filling are
    too late, flowering is neither; between, the calendar decides.

    *By the calendar.* Before the early opening: first look from ``first_look_days`` after emergence, else too
    early. Between early and late opening the middle decides, and it is not sure. After the late closing: too
    late only once the late estimate of ``late_bbch`` has passed, or, where that cannot be estimated, after more
    than twice the closing days since emergence (since the anchor if emergence is unknown), which is never sure;
    until then in the window, not sure. Where degree-days put the dig on the other side of a limit it is not sure.
    """
    if stages.sown_on is not None and dug_on < stages.sown_on:
        raise DomainError("dug_on", dug_on.isoformat(), f"on or after sowing ({stages.sown_on})")
    if stage_seen is not None and not 0 <= stage_seen <= 99:
        raise DomainError("stage_seen", stage_seen, "a BBCH code from 0 to 99")

    estimate = dig_window(
        stages,
        days_window=days_window,
        stage_window=stage_window,
        infection_days=rules.infection_days,
        cold_limit=rules.cold_limit,
    )
    late = stages.day_of(rules.late_bbch)
    stage = stages.bbch_on(dug_on)
    since_emergence = _days_since(stages.emergence.days, dug_on)
    clocks = _Clocks(
        dug_on=dug_on,
        estimate=estimate,
        late=late.days,
        since_emergence=since_emergence,
        opens_bbch=None if stage_window is None else stage_window.opens_bbch,
        closes_bbch=None if stage_window is None else stage_window.closes_bbch,
        closes_days=None if days_window is None else days_window.closes_days,
        rules=rules,
    )

    reading = _by_stage(stage_seen, clocks) if stage_seen is not None else None
    state, doubts, decided_by = reading or _by_calendar(clocks)
    rows = dict.fromkeys((*estimate.rows, *late.rows, *stage.rows))
    return TimingJudgement(
        dug_on=dug_on,
        state=state,
        decided_by=decided_by,
        doubts=doubts,
        why_unknown=estimate.why_unknown if state is TimingState.UNKNOWN else None,
        window=estimate,
        late=late.days,
        stage=stage,
        stage_seen=stage_seen,
        days_since_anchor=_days_since(estimate.anchor_day, dug_on),
        days_since_emergence=since_emergence,
        cold=_cold(stages, dug_on, rules),
        rows=tuple(rows),
    )


_Reading = tuple[TimingState, tuple[Doubt, ...], DecidedBy]


@dataclass(frozen=True, kw_only=True)
class _Clocks:
    """What the limits are and what both clocks say of one dig."""

    dug_on: dt.date
    estimate: DigWindowEstimate
    late: DayRange | None
    since_emergence: tuple[int, int] | None
    opens_bbch: int | None
    closes_bbch: int | None
    closes_days: float | None
    rules: TimingRules


def _by_stage(seen: int, clocks: _Clocks) -> _Reading | None:
    rules = clocks.rules
    by_stage = DecidedBy.STAGE_SEEN
    past_closing, closing_certain = (
        (False, True) if clocks.closes_bbch is None else _is(Order.PAST, seen, clocks.closes_bbch)
    )
    before_late, _ = _is(Order.BEFORE, seen, rules.late_bbch)
    if not before_late and (past_closing or clocks.closes_bbch is None):
        return TimingState.TOO_LATE, (), by_stage
    if clocks.opens_bbch is not None:
        before_opening, certain = _is(Order.BEFORE, seen, clocks.opens_bbch)
        parallel = () if certain and closing_certain else (Doubt.PARALLEL_STAGE,)
        if before_opening:
            state, doubts = _early(clocks, seen)
            return state, (*doubts, *parallel), by_stage
        late_edge = (Doubt.LATE_EDGE,) if past_closing else ()
        return TimingState.IN_WINDOW, (*late_edge, *parallel), by_stage
    if not _has_leaves(seen, rules):
        state, doubts = _early(clocks, seen)
        return state, doubts, by_stage
    return _stage_beside_calendar(seen, clocks, past_closing=past_closing)


def _stage_beside_calendar(seen: int, clocks: _Clocks, *, past_closing: bool) -> _Reading | None:
    """Let the calendar decide, within what the stage seen rules out."""
    state, _, _ = _by_calendar(clocks)
    if past_closing or state is TimingState.TOO_LATE:
        return TimingState.IN_WINDOW, (Doubt.LATE_EDGE,), DecidedBy.STAGE_SEEN
    is_flowering = seen >= STAGE_CODES["first_flower"]
    if is_flowering and state is not TimingState.IN_WINDOW:
        doubt = Doubt.EMERGENCE_UNKNOWN if state is TimingState.UNKNOWN else Doubt.CLOCKS_DISAGREE
        return TimingState.IN_WINDOW, (doubt,), DecidedBy.STAGE_SEEN
    if state is TimingState.UNKNOWN:
        return TimingState.FIRST_LOOK, (Doubt.EMERGENCE_UNKNOWN,), DecidedBy.STAGE_SEEN
    if state is TimingState.TOO_EARLY:
        return TimingState.FIRST_LOOK, (), DecidedBy.STAGE_SEEN
    return None


def _by_calendar(clocks: _Clocks) -> _Reading:
    opens, closes = clocks.estimate.opens, clocks.estimate.closes
    if opens is None:
        return _without_opening(clocks)
    # A cold spring can move the late opening past the closing; the closing then comes first.
    is_past_closing = closes is not None and clocks.dug_on > closes.high
    if clocks.dug_on < opens.high and not is_past_closing:
        state, doubts = _before_opening(clocks, opens)
    else:
        state, doubts = _after_opening(clocks)
    return state, doubts, DecidedBy.CALENDAR


def _without_opening(clocks: _Clocks) -> _Reading:
    if clocks.late is not None and clocks.dug_on >= clocks.late.high:
        return TimingState.TOO_LATE, (), DecidedBy.CALENDAR
    if clocks.since_emergence is not None and clocks.since_emergence[1] < clocks.rules.first_look_days:
        return TimingState.TOO_EARLY, (), DecidedBy.CALENDAR
    return TimingState.UNKNOWN, (), DecidedBy.NONE


def _before_opening(clocks: _Clocks, opens: DayRange) -> tuple[TimingState, tuple[Doubt, ...]]:
    """Judge a dig before the late opening: the middle of the opening decides."""
    inside = (Doubt.INSIDE_OPENING,) if clocks.dug_on >= opens.low else ()
    if clocks.dug_on >= opens.centre:
        state = TimingState.IN_WINDOW
        return state, (*inside, *_disagreement(clocks, state))
    state, doubts = _early(clocks, None)
    return state, (*inside, *doubts, *_disagreement(clocks, state))


def _after_opening(clocks: _Clocks) -> tuple[TimingState, tuple[Doubt, ...]]:
    dug_on, closes, late = clocks.dug_on, clocks.estimate.closes, clocks.late
    # Without a closing of its own the window lasts to the day before the late limit.
    closing = closes or (late and late.moved(low=-1, high=-1))
    if closing is None:
        return TimingState.IN_WINDOW, (Doubt.NO_LATE_ESTIMATE,)
    if dug_on > closing.high:
        return _after_closing(clocks)
    inside = (Doubt.INSIDE_CLOSING,) if dug_on > closing.low else ()
    return TimingState.IN_WINDOW, (*inside, *_disagreement(clocks, TimingState.IN_WINDOW))


def _after_closing(clocks: _Clocks) -> tuple[TimingState, tuple[Doubt, ...]]:
    if clocks.late is not None:
        if clocks.dug_on >= clocks.late.high:
            return TimingState.TOO_LATE, ()
        return TimingState.IN_WINDOW, (Doubt.LATE_EDGE,)
    since = clocks.since_emergence or _days_since(clocks.estimate.anchor_day, clocks.dug_on)
    closing_days = clocks.closes_days
    if since is not None and closing_days is not None and since[0] > 2 * closing_days:
        return TimingState.TOO_LATE, (Doubt.NO_LATE_ESTIMATE,)
    return TimingState.IN_WINDOW, (Doubt.LATE_EDGE, Doubt.NO_LATE_ESTIMATE)


def _early(clocks: _Clocks, seen: int | None) -> tuple[TimingState, tuple[Doubt, ...]]:
    """Tell a first look from too early, before the opening."""
    if seen is not None and seen < STAGE_CODES["emergence"]:
        return TimingState.TOO_EARLY, ()
    if seen is not None and _has_leaves(seen, clocks.rules):
        return TimingState.FIRST_LOOK, ()
    if clocks.since_emergence is None:
        return TimingState.TOO_EARLY, (Doubt.EMERGENCE_UNKNOWN,)
    fewest, most = clocks.since_emergence
    first_look = clocks.rules.first_look_days
    state = TimingState.FIRST_LOOK if (fewest + most) / 2 >= first_look else TimingState.TOO_EARLY
    return state, ((Doubt.FIRST_LOOK_NEAR,) if fewest < first_look <= most else ())


def _has_leaves(seen: int, rules: TimingRules) -> bool:
    return not _is(Order.BEFORE, seen, rules.first_look_bbch)[0]


def _disagreement(clocks: _Clocks, state: TimingState) -> tuple[Doubt, ...]:
    """Doubt where degree-days put the dig on the other side of a limit than the calendar."""
    dug_on, estimate, late = clocks.dug_on, clocks.estimate, clocks.late
    opens, closes = estimate.thermal_opens, estimate.thermal_closes
    is_late = late is not None and dug_on >= late.high
    if state is TimingState.IN_WINDOW:
        too_soon = opens is not None and dug_on < opens.low
        is_past = closes is not None and dug_on > closes.high
        return (Doubt.CLOCKS_DISAGREE,) if too_soon or is_past or is_late else ()
    is_open = opens is not None and dug_on >= opens.high
    return (Doubt.CLOCKS_DISAGREE,) if is_open or is_late else ()


def _is(order: Order, seen: int, other: int) -> tuple[bool, bool]:
    found, certain = compare_codes(seen, other)
    return found is order, certain


def _days_since(anchor: DayRange | None, day: dt.date) -> tuple[int, int] | None:
    return None if anchor is None else ((day - anchor.high).days, (day - anchor.low).days)


def _cold(stages: StageEstimates, dug_on: dt.date, rules: TimingRules) -> ColdSpell | None:
    emergence = stages.emergence.days
    start = stages.sown_on or (emergence.low if emergence else None)
    if start is None:
        return None
    end = dug_on
    if emergence is not None:
        end = min(dug_on, emergence.high + dt.timedelta(days=round(rules.infection_days)))
    return cold_days(stages.series, after=start, through=end, limit=rules.cold_limit)
