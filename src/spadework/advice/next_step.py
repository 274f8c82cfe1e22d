"""What to do next, and which field first."""

from __future__ import annotations

import datetime as dt

from spadework.advice.diagnosis.value import Diagnosis
from spadework.advice.value import Decision, FieldAdvice, Message, NextStep, Sampling, Timing, Verdict

__all__ = ["attention_order", "next_step_of"]

_SOON = dt.timedelta(days=14)
_STATES = ("too_late", "too_early", "first_look", "unknown", "in_window")


def next_step_of(
    *,
    timing: Timing,
    verdict: Verdict | None,
    sampling: Sampling | None,
    diagnosis: Diagnosis,
    has_plants: bool,
    today: dt.date,
    decision: Decision | None = None,
) -> NextStep:
    """Say what to do, with the day that goes with it, and whether a spade can still mend this advice.

    Where the decision on nitrogen sets a day, it is the one told: nobody is sent to dig more plants for a verdict
    while nitrogen waits, or by another day than that of the decision.
    """
    own = None if decision is None else _by_decision(decision)
    if own is not None:
        first, dig_again = own
        cause = _cause_check(verdict, diagnosis) if verdict is not None else []
        return NextStep(messages=(first, *cause), dig_again=dig_again)
    closed = timing.is_closed(today)
    waiting = timing.dug_on is None or timing.wrong_time == "early"
    messages = []
    if verdict is not None and sampling is not None and not waiting:
        messages.append(_after_verdict(verdict, sampling, diagnosis, closed=closed))
        messages += _cause_check(verdict, diagnosis)
        if timing.state == "unknown":
            messages.append(Message("next.date_the_dig"))
    unsettled = verdict is not None and sampling is not None and not sampling.settled
    dig_again = not closed and (waiting or _plants_would_help(verdict, sampling))
    if closed and (waiting or (unsettled and timing.in_time)):
        messages.append(Message("next.closed"))
    elif dig_again:
        messages += _by_when(timing, today) or ([Message("sampling.later")] if timing.wrong_time == "early" else [])
    if has_plants and verdict is None:
        messages.append(Message("next.add_records"))
    return NextStep(messages=tuple(messages), dig_again=dig_again)


def _by_decision(decision: Decision) -> tuple[Message, bool] | None:
    """The step that a decision on nitrogen asks for, and whether it is a dig; None where it asks for none."""
    if decision.act_by is None or decision.kind not in ("apply", "dig_again", "dig_first"):
        return None
    at_once = decision.kind == "dig_again" and decision.dig_again is not None and decision.dig_again.at_once
    word = "dig_now" if at_once else decision.kind
    return Message(f"next.nitrogen.{word}", {"day": decision.act_by}), decision.kind != "apply"


def _cause_check(verdict: Verdict, diagnosis: Diagnosis) -> list[Message]:
    """The check that tells most of the cause, of a crop that is short of good."""
    if verdict.leading == verdict.classes[-1].name or not diagnosis.checks or diagnosis.state == "nothing_wrong":
        return []
    return [Message("next.first_check", {"check": diagnosis.checks[0].check})]


def _after_verdict(verdict: Verdict, sampling: Sampling, diagnosis: Diagnosis, *, closed: bool) -> Message:
    """The step that a verdict calls for: more plants where it is open, the cause where the crop is short."""
    if closed and verdict.patch is not None:
        return Message("next.look_at_weak_plants")
    if verdict.patch is not None or not sampling.settled or sampling.message.id == "sampling.too_late":
        return sampling.message
    worst, best = verdict.classes[0].name, verdict.classes[-1].name
    if verdict.leading == worst:
        return _for_cause(diagnosis, closed=closed)
    return Message(f"next.{'nothing_to_mend' if verdict.leading == best else 'look_at_weak_plants'}")


def _for_cause(diagnosis: Diagnosis, *, closed: bool) -> Message:
    """What a poor field calls for: the cause where it is not known, else what to do about it."""
    if diagnosis.state == "suppressed":
        return Message("next.suppressed")
    if diagnosis.state in ("likely", "very_likely"):
        return Message("next.cause_likely", {"first": diagnosis.causes[0].cause})
    return Message(f"next.look_for_cause{'_late' if closed else ''}")


def _plants_would_help(verdict: Verdict | None, sampling: Sampling | None) -> bool:
    if verdict is None or sampling is None:
        return False
    return verdict.patch is not None or (not sampling.settled and sampling.more_plants is not None)


def _by_when(timing: Timing, today: dt.date) -> list[Message]:
    """The day from which, or until which, the window is open for certain; nothing where it is not."""
    if timing.opens is not None and timing.opens.high > today:
        return [Message("next.dig_from", {"day": timing.opens.high})]
    if timing.closes is not None and timing.closes.low >= today:
        return [Message("next.dig_until", {"day": timing.closes.low})]
    return []


def attention_order(advice: FieldAdvice) -> tuple[dt.date, int, bool, int, float, str]:
    """Sort key of fields: those with a decision to act on within two weeks by their day, then by class.

    Of the others the worst class comes first, then patches and classes between, then fields not judged, then good
    ones. Within each, what is not settled comes first, then by the time of the dig, the share adequate and the name.
    """
    settled = advice.sampling is not None and advice.sampling.settled
    share = advice.verdict.share.value if advice.verdict else 0.0
    return _act_first(advice), _class_place(advice), settled, _STATES.index(advice.timing.state), share, advice.field


def _act_first(advice: FieldAdvice) -> dt.date:
    """The day by which the decision asks for something, where that is soon and not past; else the last day there is."""
    act_by = None if advice.decision is None else advice.decision.act_by
    soon = act_by is not None and advice.advised_on <= act_by <= advice.advised_on + _SOON
    return act_by if act_by is not None and soon else dt.date.max


def _class_place(advice: FieldAdvice) -> int:
    verdict = advice.verdict
    if verdict is None or not advice.timing.in_time:
        return 2
    if verdict.leading == verdict.classes[0].name:
        return 0
    return 3 if verdict.leading == verdict.classes[-1].name and verdict.patch is None else 1
