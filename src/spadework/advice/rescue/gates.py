"""What settles a decision on nitrogen before anything is reckoned; no figure can override it."""

from __future__ import annotations

from dataclasses import dataclass

from spadework.advice.diagnosis.value import Diagnosis
from spadework.advice.message import Scalar
from spadework.advice.value import Timing, Verdict
from spadework.knowledge.rows import Cause, Knowledge

__all__ = ["Gate", "gate_of"]

_LIKELY = "diagnosis.likely"
_EVEN = 0.5
"""A class no likelier than all others together settles nothing."""


@dataclass(frozen=True, kw_only=True)
class Gate:
    """A decision that is settled: ``kind`` and ``why`` as of ``Decision``, and what its sentence says."""

    kind: str
    why: str
    values: dict[str, Scalar]
    rows: tuple[str, ...] = ()


def gate_of(
    *,
    timing: Timing,
    verdict: Verdict | None,
    diagnosis: Diagnosis,
    dug: bool,
    measured: bool,
    too_late: bool,
    can_dig: bool,
    has_balance: bool,
    knowledge: Knowledge,
) -> Gate | None:
    """Return the first gate that is closed, None where the figures decide.

    Parameters
    ----------
    dug : bool
        Whether the dig says how the crop is nodulated: plants held against a target, or all of them bare.
    measured : bool
        Whether fixation of the field itself was measured, which stands in for a dig.
    too_late : bool
        Whether nitrogen would come after the last day on which it may be given.
    can_dig : bool
        Whether a dig in the window could still come before that day.
    """
    return (
        _works(timing, verdict, diagnosis)
        or _nitrate(diagnosis, knowledge)
        or (Gate(kind="leave", why="too_late", values={}) if too_late else None)
        or _other_cause(diagnosis, knowledge)
        or (None if measured else _undug(timing, dug=dug, can_dig=can_dig))
        or (None if has_balance else Gate(kind="cannot_tell", why="no_balance", values={}))
    )


def _works(timing: Timing, verdict: Verdict | None, diagnosis: Diagnosis) -> Gate | None:
    """A crop that has not failed as a whole or in a part."""
    if verdict is None or not timing.in_time or verdict.patch is not None:
        return None
    best = verdict.leading == verdict.classes[-1].name and verdict.probability > _EVEN
    if not best and diagnosis.state != "nothing_wrong":
        return None
    values: dict[str, Scalar] = {"share": verdict.share.value, "chance": verdict.probability, "best": best}
    return Gate(kind="leave", why="working", values=values)


def _nitrate(diagnosis: Diagnosis, knowledge: Knowledge) -> Gate | None:
    """Nitrate holds nodules back in a green crop: it has what nitrogen could give it."""
    likely = knowledge.figure(_LIKELY).central
    sure = {one.finding: one.sure for one in diagnosis.evidence if one.silent is None}
    seen = min(sure.get("high_nitrate", 0.0), sure.get("green_tops", 0.0)) >= likely
    if not seen and diagnosis.state != "suppressed":
        return None
    return Gate(kind="leave", why="nitrate", values={}, rows=(_LIKELY,))


def _other_cause(diagnosis: Diagnosis, knowledge: Knowledge) -> Gate | None:
    """A likely cause that nitrogen does not mend."""
    if diagnosis.state not in ("likely", "very_likely"):
        return None
    first = diagnosis.causes[0]
    row = knowledge.row(f"cause.{first.cause}")
    if not isinstance(row, Cause) or row.course != "no_nitrogen":
        return None
    return Gate(
        kind="leave",
        why="cause_not_nitrogen",
        values={"cause": first.cause, "chance": first.probability.value},
        rows=(row.id, _LIKELY),
    )


def _undug(timing: Timing, *, dug: bool, can_dig: bool) -> Gate | None:
    """Nobody knows how the crop is nodulated: never dug, not readable, or dug at the wrong time."""
    if timing.dug_on is None:
        why = "not_dug"
    elif timing.wrong_time is not None:
        why = "wrong_time"
    elif not dug:
        why = "not_scored"
    else:
        return None
    return Gate(kind="dig_first" if can_dig else "cannot_tell", why=why, values={})
