"""What to do next: the sentence of the advice, then the day that goes with it."""

from __future__ import annotations

import datetime as dt

from spadework.advice.messages import fill, render
from spadework.advice.value import FieldAdvice
from spadework.report.labels import Labels

__all__ = ["is_in_time", "next_lines", "step_lines", "wants_digging"]

_EARLY = ("too_early", "first_look")


def is_in_time(advice: FieldAdvice) -> bool:
    """Whether a verdict may be held against the crop: the dig was not, so far as is known, too early or late."""
    return advice.timing.state in ("in_window", "unknown")


def wants_digging(advice: FieldAdvice) -> bool:
    """Whether a spade can still mend this advice: now, or when the window opens."""
    timing, sampling = advice.timing, advice.sampling
    if _has_closed(advice):
        return False
    if timing.dug_on is None or timing.state in _EARLY:
        return True
    if sampling is None or advice.verdict is None:
        return False
    return advice.verdict.patch is not None or (not sampling.settled and sampling.more_plants is not None)


def step_lines(advice: FieldAdvice, texts: Labels, language: str) -> list[str]:
    """The step and its day; empty where nothing is to be done."""
    words, opens = texts["next"], advice.timing.opens
    lines = [] if advice.sampling is None else [render(advice.sampling.message, language)]
    until = _last_safe_day(advice)
    if _has_closed(advice) and _would_have_dug(advice):
        lines.append(words["closed"])
    elif not wants_digging(advice):
        pass
    elif opens is not None and opens.high > advice.advised_on:
        lines.append(fill(words["dig_from"], {"day": opens.high}))
    elif until is not None:
        lines.append(fill(words["dig_until"], {"day": until}))
    return lines


def next_lines(advice: FieldAdvice, texts: Labels, language: str) -> list[str]:
    """What stands on the field's own page: the step, and without a verdict the hint at missing records."""
    lines = step_lines(advice, texts, language)
    if advice.verdict is None and advice.missing:
        lines.append(texts["next"]["add_records"])
    return lines


def _has_closed(advice: FieldAdvice) -> bool:
    """Whether the window lies behind: by its latest end, or because the dig itself came too late."""
    closes = advice.timing.closes
    return advice.timing.state == "too_late" or (closes is not None and closes.high < advice.advised_on)


def _would_have_dug(advice: FieldAdvice) -> bool:
    """Whether the closing of the window is news: nothing else said yet explains why nobody is sent to dig."""
    if advice.timing.dug_on is None or advice.timing.state in _EARLY:
        return True
    if advice.timing.state == "too_late":
        return advice.sampling is None
    return advice.sampling is not None and not advice.sampling.settled


def _last_safe_day(advice: FieldAdvice) -> dt.date | None:
    """The last day on which the window is open for certain, when it still lies ahead."""
    closes = advice.timing.closes
    return closes.low if closes is not None and closes.low >= advice.advised_on else None
