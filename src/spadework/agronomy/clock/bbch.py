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
        return _before_emergence(case, day, emergence), case.rows.get("emergence", ())
    reached = [stage for stage in STAGE_CODES if _is_by(case.days[stage], day)]
    stage = reached[-1]
    if stage == "emergence":
        return _leaves_or_buds(case, day, emergence)
    if stage == "maturity":
        return STAGE_CODES["maturity"], case.rows["maturity"]
    following = _next_dated(case, stage)
    if following is None:
        return (STAGE_CODES[stage] if case.late else STAGE_CODES["maturity"]), case.rows.get(stage, ())
    low, high = STAGE_CODES[stage], STAGE_CODES[following]
    share = _share_of_way(case, stage, following, day)
    return min(low + int(share * (high - low)), high - 1), case.rows[following]


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
    is_filling = code >= STAGE_CODES["pod_fill"] and _dated(case, "pod_fill")
    start = "pod_fill" if is_filling else "first_flower"
    end = "pod_fill" if code < STAGE_CODES["pod_fill"] and _dated(case, "pod_fill") else "maturity"
    low, high = STAGE_CODES[start], STAGE_CODES[end]
    return _day_at_share(case, start, end, (code - low) / (high - low))


def _before_emergence(case: Case, day: int, emergence: int) -> int:
    sowing = case.days["sowing"]
    if isinstance(sowing, WhyUnknown) or "emergence" not in case.legs:
        return 0 if case.late else STAGE_CODES["emergence"] - 1
    share = _share_of_way(case, "sowing", "emergence", day)
    return min(int(share * STAGE_CODES["emergence"]), STAGE_CODES["emergence"] - 1)


def _leaves_or_buds(case: Case, day: int, emergence: int) -> tuple[int | WhyUnknown, tuple[str, ...]]:
    rows = case.rows.get("emergence", ())
    leaves: int | None = None
    if case.node is not None:
        since = case.totals[case.node.clock].between(after=emergence, through=day)
        if isinstance(since, WhyUnknown):
            return since, ()
        leaves = int(since / (case.node.high if case.late else case.node.low) + 1e-9)
        rows = (*rows, case.node.row)
    if case.late:
        if day == emergence:
            return STAGE_CODES["emergence"], rows
        return 10 + min(leaves or 0, 9), rows
    if not _dated(case, "first_flower"):
        return STAGE_CODES["maturity"], rows
    rows = (*rows, *case.legs["first_flower"].rows)
    share = _share_of_way(case, "emergence", "first_flower", day)
    if case.bud_share is None or share >= case.bud_share:
        return _BUD_CODES[-1], rows
    return (_LAST_STEM_CODE if leaves is None or leaves >= 9 else 10 + leaves), rows


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
    first, last = case.days[start], case.days[end]
    if isinstance(first, WhyUnknown):
        return first, ()
    if isinstance(last, WhyUnknown):
        return last, ()
    if end not in case.legs:
        return WhyUnknown.NO_ROW, ()
    running = case.totals[case.legs[end].clock]
    whole = running.between(after=first, through=last)
    if isinstance(whole, WhyUnknown):
        return whole, ()
    return running.day_reaching(after=first, target=share * whole), case.rows[end]


def _share_of_way(case: Case, start: str, end: str, day: int) -> float:
    """Share of the degree-days from one dated stage to the next that have passed on a day."""
    first, last = case.days[start], case.days[end]
    assert isinstance(first, int)  # noqa: S101 - callers ask only between dated stages
    assert isinstance(last, int)  # noqa: S101
    running = case.totals[case.legs[end].clock]
    passed = running.between(after=first, through=day)
    whole = running.between(after=first, through=last)
    if isinstance(passed, WhyUnknown) or isinstance(whole, WhyUnknown) or whole <= 0:
        return (day - first) / max(last - first, 1)
    return passed / whole


def _dated(case: Case, stage: str) -> bool:
    return not isinstance(case.days[stage], WhyUnknown)


def _is_by(reached: int | WhyUnknown, day: int) -> bool:
    return not isinstance(reached, WhyUnknown) and reached <= day


def _next_dated(case: Case, stage: str) -> str | None:
    names = list(STAGE_CODES)
    return next((name for name in names[names.index(stage) + 1 :] if _dated(case, name)), None)
