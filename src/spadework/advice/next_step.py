"""What to do next, and which field first."""

from __future__ import annotations

import datetime as dt

from spadework.advice.value import FieldAdvice, Message, NextStep, Sampling, Timing, Verdict

__all__ = ["attention_order", "next_step_of"]

_STATES = ("too_late", "too_early", "first_look", "unknown", "in_window")


def next_step_of(
    *, timing: Timing, verdict: Verdict | None, sampling: Sampling | None, has_plants: bool, today: dt.date
) -> NextStep:
    """Say what to do, with the day that goes with it, and whether a spade can still mend this advice."""
    closed = timing.wrong_time == "late" or (timing.closes is not None and timing.closes.high < today)
    waiting = timing.dug_on is None or timing.wrong_time == "early"
    messages = []
    if verdict is not None and sampling is not None and not waiting:
        messages.append(_after_verdict(verdict, sampling, closed=closed))
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


def _after_verdict(verdict: Verdict, sampling: Sampling, *, closed: bool) -> Message:
    """The step that a verdict calls for: more plants where it is open, the cause where the crop is short."""
    if closed and verdict.patch is not None:
        return Message("next.look_at_weak_plants")
    if verdict.patch is not None or not sampling.settled or sampling.message.id == "sampling.too_late":
        return sampling.message
    if closed and verdict.leading == verdict.classes[0].name:
        return Message("next.look_for_cause_late")
    worst, best = verdict.classes[0].name, verdict.classes[-1].name
    kind = {worst: "look_for_cause", best: "nothing_to_mend"}.get(verdict.leading, "look_at_weak_plants")
    return Message(f"next.{kind}")


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


def attention_order(advice: FieldAdvice) -> tuple[int, bool, int, float, str]:
    """Sort key of fields: worst class, then patches and classes between, then fields not judged, then good ones.

    Within each, what is not settled comes first, then by the time of the dig, the share adequate and the name.
    """
    settled = advice.sampling is not None and advice.sampling.settled
    share = advice.verdict.share.value if advice.verdict else 0.0
    return _class_place(advice), settled, _STATES.index(advice.timing.state), share, advice.field


def _class_place(advice: FieldAdvice) -> int:
    verdict = advice.verdict
    if verdict is None or not advice.timing.in_time:
        return 2
    if verdict.leading == verdict.classes[0].name:
        return 0
    return 3 if verdict.leading == verdict.classes[-1].name and verdict.patch is None else 1
