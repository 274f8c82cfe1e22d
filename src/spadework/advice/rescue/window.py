"""Until when nitrogen can help a field: the limits of its crop as days of its calendar."""

from __future__ import annotations

import datetime as dt

import numpy as np
from numpy.typing import NDArray

from spadework.advice.message import Message
from spadework.advice.nitrogen.balance import Balance
from spadework.advice.rescue.value import RescueWindow
from spadework.agronomy.rescue.window import RescueDays, StageLimit, rescue_days, time_factor
from spadework.agronomy.season.seen_stage import stage_of_code
from spadework.records.types import FieldRecords

__all__ = ["last_day_of", "too_late_by_record", "window_of"]


def window_of(
    balance: Balance, limits: tuple[StageLimit, ...], *, day: int, level: float
) -> tuple[RescueWindow, dt.date]:
    """Return the window as it stands on a day after sowing, and the last day on which anything may be given."""
    season, sown_on = balance.season.draws, balance.inputs.sown_on
    found = rescue_days(limits, season.daily["stage"][season.matured_on >= 0])
    state = "closed" if day > found.last_day else "closing" if day > np.median(found.best_until) else "open"
    return (
        RescueWindow(
            state=state,
            best_until=_dates(found.best_until, sown_on, level),
            closes=_dates(found.too_late, sown_on, level),
            limit=Message(found.closed_by, sources=(found.closed_by,)),
        ),
        last_day_of(found, sown_on),
    )


def last_day_of(found: RescueDays, sown_on: dt.date) -> dt.date:
    """The last day on which anything may be given."""
    return sown_on + dt.timedelta(days=found.last_day)


def too_late_by_record(records: FieldRecords, limits: tuple[StageLimit, ...], *, on: dt.date) -> str | None:
    """Row of the limit that has passed by a day, from the newest stage seen alone; None where none has."""
    seen = [dig for dig in records.digs if dig.stage_bbch is not None and dig.date <= on]
    newest = max(seen, key=lambda dig: dig.date, default=None)
    stage = None if newest is None or newest.stage_bbch is None else stage_of_code(newest.stage_bbch)
    if stage is None:
        return None
    passed = (limit for limit in limits if not limit.in_days and float(time_factor((limit,), day=0, stage=stage)) <= 0)
    return next((limit.row for limit in passed), None)


def _dates(days: NDArray[np.int64], sown_on: dt.date, level: float) -> tuple[dt.date, dt.date]:
    low, high = np.quantile(days, ((1 - level) / 2, (1 + level) / 2), method="nearest")
    return sown_on + dt.timedelta(days=int(low)), sown_on + dt.timedelta(days=int(high))
