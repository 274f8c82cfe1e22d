"""What leaves, and a laboratory, say of the crop's own nitrogen: it outranks what is reckoned."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spadework.advice.diagnosis.value import Diagnosis
from spadework.advice.message import Message
from spadework.agronomy.season.result import SeasonResult
from spadework.agronomy.season.signs import chance_of_pale, effective_draws, fit_of_share, fit_of_sign
from spadework.knowledge.rows import Knowledge

__all__ = [
    "CropSeen",
    "LeavesSeen",
    "ShareMeasured",
    "contradiction_of",
    "crop_rows",
    "leaves_seen",
    "share_by",
    "weights_by",
]

Floats = NDArray[np.float64]

_LEAVES = ("leaves.shortfall_shows", "leaves.pale_without_shortage", "leaves.pale_with_shortage")
_ERROR, _LEAST = "measured_share.error", "leaves.least_draws"
_WIDER = 1.5
_MOST = 0.5


@dataclass(frozen=True, kw_only=True)
class LeavesSeen:
    """Leaves on a dig in time: how sure it is that old ones are pale for want of nitrogen, or tops green and strong.

    ``short`` says that the diagnosis calls the leaves short of nitrogen.
    """

    day: dt.date
    pale: float = 0.0
    green: float = 0.0
    short: bool = False


@dataclass(frozen=True, kw_only=True)
class ShareMeasured:
    """Share of crop N fixed by a day, measured in this field; ``day`` None is ripeness, ``rows`` what it rests on."""

    method: str
    share: float
    standard_error: float
    day: dt.date | None = None
    rows: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class CropSeen:
    """What is known of the crop's own nitrogen, beside nodules.

    ``laboratory`` says what of the laboratory's results is not used, and why.
    """

    leaves: LeavesSeen | None = None
    measured: ShareMeasured | None = None
    laboratory: tuple[Message, ...] = ()


def leaves_seen(diagnosis: Diagnosis, *, dug_on: dt.date | None, in_time: bool) -> LeavesSeen | None:
    """Read the leaves from a diagnosis; None where there was no dig in time or nobody looked at them."""
    if dug_on is None or not in_time:
        return None
    sure = {one.finding: one.sure for one in diagnosis.evidence if one.silent is None}
    # The draws hold the dig already: nodules must not count once more by way of the leaves.
    pale = sure.get("pale_old_leaves", 0.0) * diagnosis.pallor.shortage_by_leaves
    green = sure.get("green_tops", 0.0)
    if not pale > 0 and not green > 0:
        return None
    return LeavesSeen(day=dug_on, pale=min(pale, 1.0), green=green, short=diagnosis.pallor.state == "nitrogen")


def weights_by(
    seen: CropSeen, *, sown_on: dt.date, luxury: Floats, knowledge: Knowledge
) -> Callable[[SeasonResult], Floats] | None:
    """Return what weighs the draws by leaves and measured share; None where there is nothing to weigh them by.

    ``luxury`` is that of each draw, shape (draws,) or a single one. The result must hold demand, crop N and fixed N
    day by day.
    """
    leaves, measured = seen.leaves, seen.measured
    if leaves is None and measured is None:
        return None

    def weigh(found: SeasonResult) -> Floats:
        weights = np.ones(found.matured_on.size)
        if leaves is not None:
            weights = weights * _by_leaves(leaves, found, sown_on, luxury, knowledge)
        if measured is not None:
            weights = weights * _by_share(measured, found, sown_on, knowledge)
        return weights if weights.any() else np.ones(weights.size)

    return weigh


def share_by(found: SeasonResult, day: dt.date | None, sown_on: dt.date) -> Floats:
    """Share of crop N fixed by a day (None: by the last), shape (draws,); NaN where there is no crop yet [1]."""
    place = _place(found, day, sown_on)
    crop = found.daily["crop_n"][:, place]
    return np.asarray(np.divide(found.daily["fixed"][:, place], crop, out=np.full(crop.size, np.nan), where=crop > 0))


def contradiction_of(
    seen: CropSeen, found: SeasonResult, *, state: str, sown_on: dt.date, luxury: Floats, knowledge: Knowledge
) -> Message | None:
    """Name what the crop shows and the balance, though weighed by it, does not; None where they agree.

    ``luxury`` is that of the draws of the result. Leaves contradict where they look short and most draws are not
    short by then; a crop that comes out as short at maturity is no contradiction.
    """
    measured, leaves = seen.measured, seen.leaves
    if measured is not None:
        share = share_by(found, measured.day, sown_on)
        middle = float(np.median(share[~np.isnan(share)])) if np.any(~np.isnan(share)) else 0.0
        if abs(middle - measured.share) > 2 * _error(measured, knowledge):
            values = {"measured": measured.share, "reckoned": middle}
            return Message("nitrogen.contradiction.measured", values, (_ERROR,))
    if leaves is not None and leaves.short and state != "short":
        shows_from = knowledge.figure(_LEAVES[0]).range[0]
        short = float(np.mean(_shortfall(found, leaves.day, sown_on, luxury) > shows_from))
        if state == "enough" or short < _MOST:
            return Message("nitrogen.contradiction.leaves", {"day": leaves.day, "short": short}, _LEAVES)
    return None


def crop_rows(seen: CropSeen) -> tuple[str, ...]:
    """Rows that the weights rest on."""
    measured = () if seen.measured is None else (*seen.measured.rows, _ERROR, _LEAST)
    return (*(_LEAVES if seen.leaves is not None else ()), *measured)


def _place(found: SeasonResult, day: dt.date | None, sown_on: dt.date) -> int:
    last = int(found.daily["crop_n"].shape[1]) - 1
    return last if day is None else min(max((day - sown_on).days, 0), last)


def _shortfall(found: SeasonResult, day: dt.date, sown_on: dt.date, luxury: Floats) -> Floats:
    """Share of the nitrogen that the crop should hold by a day, luxury apart, and lacks, shape (draws,) [1]."""
    place = _place(found, day, sown_on)
    need = found.daily["demand"][:, place] / luxury
    held = np.divide(found.daily["crop_n"][:, place], need, out=np.ones(need.size), where=need > 0)
    return np.asarray(np.maximum(1 - held, 0.0))


def _by_leaves(
    leaves: LeavesSeen, found: SeasonResult, sown_on: dt.date, luxury: Floats, knowledge: Knowledge
) -> Floats:
    shows_from, shows_by = knowledge.figure(_LEAVES[0]).range
    pale = chance_of_pale(
        _shortfall(found, leaves.day, sown_on, luxury),
        shows_from=shows_from,
        shows_by=shows_by,
        without_shortage=knowledge.figure(_LEAVES[1]).central,
        with_shortage=knowledge.figure(_LEAVES[2]).central,
    )
    return fit_of_sign(pale, sure=leaves.pale) * fit_of_sign(1 - pale, sure=leaves.green)


def _error(measured: ShareMeasured, knowledge: Knowledge) -> float:
    return float(np.hypot(measured.standard_error, knowledge.figure(_ERROR).central))


def _by_share(measured: ShareMeasured, found: SeasonResult, sown_on: dt.date, knowledge: Knowledge) -> Floats:
    """Weights by the measured share; its error is widened until draws enough fit, where hardly any does."""
    share = share_by(found, measured.day, sown_on)
    there = int(np.sum(~np.isnan(share)))
    least = min(knowledge.figure(_LEAST).central, there / 2)
    if there == 0:
        return np.ones(share.size)
    error = _error(measured, knowledge)
    while effective_draws(weights := fit_of_share(share, measured=measured.share, error=error)) < least:
        error *= _WIDER
    return weights
