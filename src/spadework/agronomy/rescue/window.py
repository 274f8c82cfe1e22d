"""Until when nitrogen helps: limits in stages and weeks, as a factor for each draw and as days of the calendar.

The limits outrank the season balance, which lets late nitrogen do too much: a crop that takes it up late makes little
grain of it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.agronomy.season.seen_stage import stage_of_code
from spadework.errors import DomainError
from spadework.knowledge.rows import Crop, Knowledge, RescueEvidence, RescueLimit

__all__ = [
    "RescueDays",
    "StageLimit",
    "evidence_of",
    "limits_of",
    "limits_that_hold",
    "rescue_days",
    "time_factor",
]

Floats = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class StageLimit:
    """One limit: all that nitrogen does up to ``best_until``, nothing from ``too_late`` on.

    On the clock of the balance (0 emergence, 1 first flower, 2 maturity), or in days after sowing where
    ``in_days``.
    """

    best_until: float
    too_late: float
    in_days: bool
    row: str


@dataclass(frozen=True, kw_only=True)
class RescueDays:
    """Days after sowing for each draw, shape (draws,): the last at its best, and the first that is too late.

    ``last_day`` is the last day on which anything may be given, by the middle draw; ``closed_by`` the row of the limit
    that closes there.
    """

    best_until: NDArray[np.int64]
    too_late: NDArray[np.int64]
    last_day: int
    closed_by: str


def limits_of(crop: Crop, knowledge: Knowledge) -> tuple[StageLimit, ...]:
    """Return the limits of a crop; one whose codes the clock does not know raises KnowledgeError."""
    return tuple(_limit(row) for row in knowledge.of(RescueLimit, crop))


def limits_that_hold(
    limits: tuple[StageLimit, ...], *, flowers_after: float | None, knowledge: Knowledge
) -> tuple[StageLimit, ...]:
    """Leave out limits in weeks where they do not hold: they were found in crops sown in spring.

    ``flowers_after`` are the days from sowing to first flower; None where they are not known, and stages alone hold.
    """
    longest = knowledge.figure("rescue.limit.weeks_hold").central
    counted = flowers_after is not None and flowers_after <= longest
    return tuple(limit for limit in limits if counted or not limit.in_days)


def evidence_of(crop: Crop, knowledge: Knowledge) -> RescueEvidence:
    """Return the row that says what trials there are for a crop."""
    (row,) = knowledge.of(RescueEvidence, crop)
    return row


def time_factor(limits: tuple[StageLimit, ...], *, day: ArrayLike, stage: ArrayLike | None) -> Floats:
    """Share of its effect that nitrogen given at a stage and on a day still has.

    Parameters
    ----------
    limits : tuple of StageLimit
    day : array_like, broadcast with ``stage``
        Days after sowing. [d]
    stage : array_like or None
        Stage on the clock of the balance; None where it is not known, and days alone count.

    Returns
    -------
    ndarray of float64
        1 up to the best time, 0 from the time that is too late on, straight between; the least of all limits. [1]

    Raises
    ------
    DomainError
        No limit that could be judged.
    """
    factors = [
        _factor(limit, day if limit.in_days else stage) for limit in limits if limit.in_days or stage is not None
    ]
    if not factors:
        raise DomainError("stage", stage, "known, for a crop whose limits are stages")
    shape = np.broadcast_shapes(*(factor.shape for factor in factors))
    return np.asarray(np.min([np.broadcast_to(factor, shape) for factor in factors], axis=0))


def rescue_days(limits: tuple[StageLimit, ...], stage: Floats) -> RescueDays:
    """Days on which the window narrows and closes.

    Parameters
    ----------
    limits : tuple of StageLimit
    stage : ndarray, shape (draws, days)
        Stage on the clock of the balance, from the day of sowing on; it never falls.

    Returns
    -------
    RescueDays
        A stage that is not reached counts as reached on the day after the last.
    """
    days = stage.shape[1]
    best = np.min([_first_day(limit, limit.best_until, stage, beyond=True) for limit in limits], axis=0) - 1
    closing = {limit.row: _first_day(limit, limit.too_late, stage, beyond=False) for limit in limits}
    too_late = np.min(list(closing.values()), axis=0)
    middle = {row: float(np.median(closes)) for row, closes in closing.items()}
    closed_by = min(middle, key=lambda row: middle[row])
    last = int(np.ceil(middle[closed_by])) - 1
    return RescueDays(best_until=best, too_late=too_late, last_day=min(last, days - 1), closed_by=closed_by)


def _limit(row: RescueLimit) -> StageLimit:
    if row.best_until_days is not None and row.too_late_days is not None:
        return StageLimit(best_until=row.best_until_days, too_late=row.too_late_days, in_days=True, row=row.id)
    codes = (row.best_until_bbch, row.too_late_bbch)
    best, late = (None if code is None else stage_of_code(code) for code in codes)
    if best is None or late is None:
        raise row.fault("the clock of the balance does not know these codes")
    return StageLimit(best_until=best, too_late=late, in_days=False, row=row.id)


def _factor(limit: StageLimit, at: ArrayLike | None) -> Floats:
    left = (limit.too_late - np.asarray(at, dtype=np.float64)) / (limit.too_late - limit.best_until)
    return np.asarray(np.clip(left, 0.0, 1.0))


def _first_day(limit: StageLimit, at: float, stage: Floats, *, beyond: bool) -> NDArray[np.int64]:
    """First day at a time or, ``beyond`` it; the day after the last where none is."""
    draws, days = stage.shape
    clock = np.broadcast_to(np.arange(days), (draws, days)) if limit.in_days else stage
    reached = clock > at if beyond else clock >= at
    return np.asarray(np.where(reached.any(axis=1), reached.argmax(axis=1), days), dtype=np.int64)
