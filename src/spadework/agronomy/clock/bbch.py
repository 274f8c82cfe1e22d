"""BBCH codes on the degree-day clock: the code on a day, and the day of a code, in one case of the season.

Codes are names in order, not a measure; laying them out evenly between two dated stages is our judgement, which
is why every answer is a range between two cases.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from spadework.agronomy.clock.totals import RunningTotal, WhyUnknown

__all__ = ["STAGE_CODES", "Case", "Clock", "Leg", "NodeClock", "Order", "code_on_day", "compare_codes", "day_of_code"]

Clock = tuple[float, float | None, str]
"""Base, cap and rule."""

STAGE_CODES: Mapping[str, int] = {"sowing": 0, "emergence": 9, "first_flower": 60, "pod_fill": 75, "maturity": 89}
"""Dated stages and the BBCH code that each begins with."""

_LEAF_CODES = range(11, 20)
_BUD_CODES = range(50, 60)
_SIDE_BY_SIDE = range(10, 40)
_NO_SIDE_SHOOTS = 20
_LAST_STEM_CODE = 39
_ROUNDING = 1e-9


@dataclass(frozen=True)
class Leg:
    """A sum of degree-days from one stage to a later one, with its clock and the rows behind it."""

    start: str
    end: str
    low: float
    high: float
    clock: Clock
    rows: tuple[str, ...]


@dataclass(frozen=True)
class NodeClock:
    """Degree-days from one leaf to the next."""

    low: float
    high: float
    clock: Clock
    row: str


@dataclass(frozen=True)
class Case:
    """One end of the range: all sums low and days ahead warm, or (``late``) all sums high and days ahead cold.

    ``days`` maps each stage to its day (ordinal) or why it is unknown; ``legs`` holds the sum that led to a
    stage, ``rows`` all rows on the way there.
    """

    days: Mapping[str, int | WhyUnknown]
    legs: Mapping[str, Leg]
    rows: Mapping[str, tuple[str, ...]]
    totals: Mapping[Clock, RunningTotal]
    node: NodeClock | None
    bud_share: float | None
    late: bool


class Order(StrEnum):
    """How a code seen stands to another code."""

    BEFORE = "before"
    REACHED = "reached"
    PAST = "past"


def compare_codes(seen: int, other: int) -> tuple[Order, bool]:
    """Say whether the code seen lies before, at or past another, and whether that is certain.

    Leaves (1x), side shoots (2x) and stem (3x) grow side by side: codes of different kinds among them are
    compared by their tens only, and not for certain. 20, no side shoots, says nothing more than leaves.
    """
    if seen in _SIDE_BY_SIDE and other in _SIDE_BY_SIDE and seen // 10 != other // 10:
        is_before = seen == _NO_SIDE_SHOOTS or seen // 10 < other // 10
        return (Order.BEFORE if is_before else Order.PAST), False
    if seen < other:
        return Order.BEFORE, True
    return (Order.REACHED if seen == other else Order.PAST), True


def code_on_day(case: Case, day: int) -> tuple[int | WhyUnknown, tuple[str, ...]]:
    """BBCH code of a day (ordinal) in one case: the lower bound if the case is late, else the upper one."""
    emergence = case.days["emergence"]
    if isinstance(emergence, WhyUnknown):
        return emergence, ()
    if day < emergence:
        return _before_emergence(case, day), case.rows.get("emergence", ())
    reached = [stage for stage in STAGE_CODES if _is_by(case.days[stage], day)]
    if reached[-1] == "emergence":
        return _before_flower(case, day, emergence)
    return _from_flower(case, day, reached[-1])


def day_of_code(case: Case, code: int) -> tuple[int | WhyUnknown, tuple[str, ...]]:
    """First day (ordinal) on which the code is reached in one case, or why it cannot be told."""
    for stage, begins in STAGE_CODES.items():
        # Pod fill without a sum of its own can still be laid between first flower and maturity.
        if code == begins and not (stage == "pod_fill" and case.days[stage] is WhyUnknown.NO_ROW):
            return case.days[stage], case.rows.get(stage, ())
    if code < STAGE_CODES["emergence"]:
        return _day_at_share(case, "sowing", "emergence", code / STAGE_CODES["emergence"])
    if code <= _LEAF_CODES[-1]:
        return _day_of_leaf(case, code)
    if code in _BUD_CODES and case.bud_share is not None:
        share = case.bud_share + (1 - case.bud_share) * max(code - 51, 0) / 9
        return _day_at_share(case, "emergence", "first_flower", share)
    if code < STAGE_CODES["first_flower"] or code > STAGE_CODES["maturity"]:
        return WhyUnknown.NO_ROW, ()
    has_filling = "pod_fill" in case.legs
    start = "pod_fill" if has_filling and code > STAGE_CODES["pod_fill"] else "first_flower"
    end = "pod_fill" if has_filling and code < STAGE_CODES["pod_fill"] else "maturity"
    low, high = STAGE_CODES[start], STAGE_CODES[end]
    return _day_at_share(case, start, end, (code - low) / (high - low))


def _before_emergence(case: Case, day: int) -> int:
    share = _share_of_way(case, "sowing", "emergence", day)
    if isinstance(share, WhyUnknown):
        return 0 if case.late else STAGE_CODES["emergence"] - 1
    return min(int(share * STAGE_CODES["emergence"] + _ROUNDING), STAGE_CODES["emergence"] - 1)


def _before_flower(case: Case, day: int, emergence: int) -> tuple[int | WhyUnknown, tuple[str, ...]]:
    rows = case.rows.get("emergence", ())
    leaves: int | None = None
    if case.node is not None:
        since = case.totals[case.node.clock].between(after=emergence, through=day)
        if isinstance(since, WhyUnknown):
            return since, ()
        leaves = int(since / (case.node.high if case.late else case.node.low) + _ROUNDING)
        rows = (*rows, case.node.row)
    if case.late:
        return STAGE_CODES["emergence"] if day == emergence else 10 + min(leaves or 0, 9), rows
    if "first_flower" not in case.legs:
        return STAGE_CODES["maturity"], rows
    rows = (*rows, *case.legs["first_flower"].rows)
    share = _share_of_way(case, "emergence", "first_flower", day)
    if share is WhyUnknown.WEATHER_MISSING:
        return share, ()
    if isinstance(share, WhyUnknown) or case.bud_share is None or share >= case.bud_share:
        return _BUD_CODES[-1], rows
    # Past nine leaves it may be the stem that is scored.
    return (_LAST_STEM_CODE if leaves is None or leaves >= 9 else 10 + leaves), rows


def _from_flower(case: Case, day: int, stage: str) -> tuple[int | WhyUnknown, tuple[str, ...]]:
    low = STAGE_CODES[stage]
    following = next((name for name in _later(stage) if name in case.legs), None)
    if following is None:
        return (low if case.late else STAGE_CODES["maturity"]), case.rows.get(stage, ())
    high = STAGE_CODES[following]
    share = _share_of_way(case, stage, following, day)
    if share is WhyUnknown.WEATHER_MISSING:
        return share, ()
    if isinstance(share, WhyUnknown):
        # Not reached within the series, and nothing to say how far it has come.
        return (low if case.late else high - 1), case.rows[following]
    return min(low + int(share * (high - low) + _ROUNDING), high - 1), case.rows[following]


def _day_of_leaf(case: Case, code: int) -> tuple[int | WhyUnknown, tuple[str, ...]]:
    emergence, rows = case.days["emergence"], case.rows.get("emergence", ())
    if isinstance(emergence, WhyUnknown) or code < _LEAF_CODES[0]:
        return emergence, rows
    if case.node is None:
        return WhyUnknown.NO_ROW, ()
    interval = case.node.high if case.late else case.node.low
    day = case.totals[case.node.clock].day_reaching(after=emergence, target=(code - 10) * interval)
    return day, (*rows, case.node.row)


def _day_at_share(case: Case, start: str, end: str, share: float) -> tuple[int | WhyUnknown, tuple[str, ...]]:
    whole, first = _whole_way(case, start, end), case.days[start]
    if isinstance(whole, WhyUnknown) or isinstance(first, WhyUnknown):
        return whole if isinstance(whole, WhyUnknown) else first, ()
    running = case.totals[case.legs[end].clock]
    return running.day_reaching(after=first, target=share * whole), case.rows[end]


def _share_of_way(case: Case, start: str, end: str, day: int) -> float | WhyUnknown:
    """Share of the degree-days from one stage to a later one that have passed on a day."""
    whole, first = _whole_way(case, start, end), case.days[start]
    if isinstance(whole, WhyUnknown) or isinstance(first, WhyUnknown):
        return whole if isinstance(whole, WhyUnknown) else first
    passed = case.totals[case.legs[end].clock].between(after=first, through=day)
    return passed if isinstance(passed, WhyUnknown) else passed / whole


def _whole_way(case: Case, start: str, end: str) -> float | WhyUnknown:
    """Degree-days from one stage to a later one: their own sum, else what lies between their days."""
    first, last, leg = case.days[start], case.days[end], case.legs.get(end)
    if isinstance(first, WhyUnknown):
        return first
    if leg is None:
        return last if isinstance(last, WhyUnknown) else WhyUnknown.NO_ROW
    if leg.start == start:
        return leg.high if case.late else leg.low
    if isinstance(last, WhyUnknown):
        return last
    return case.totals[leg.clock].between(after=first, through=last)


def _is_by(reached: int | WhyUnknown, day: int) -> bool:
    return not isinstance(reached, WhyUnknown) and reached <= day


def _later(stage: str) -> list[str]:
    names = list(STAGE_CODES)
    return names[names.index(stage) + 1 :]
