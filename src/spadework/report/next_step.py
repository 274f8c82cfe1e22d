"""What to do next, in one line of action with its date."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from spadework.advice.messages import fill
from spadework.advice.value import FieldAdvice, Sampling
from spadework.report.labels import Labels

__all__ = ["next_lines", "wants_digging"]


def wants_digging(advice: FieldAdvice) -> bool:
    """Whether the next step is to dig, now or when the window opens."""
    return _waits_for_window(advice) or _may_dig_more(advice)


def next_lines(advice: FieldAdvice, texts: Labels) -> list[str]:
    """Lines of action: time first, then number of plants, then records; empty where the advice asks for nothing."""
    words, timing, sampling = texts["next"], advice.timing, advice.sampling
    lines = []
    if _waits_for_window(advice) and timing.opens is not None:
        lines.append(fill(words["dig_again_from" if timing.dug_on else "dig_from"], {"day": timing.opens.high}))
    elif timing.state == "too_late":
        lines.append(words["closed"])
    elif sampling is not None and sampling.settled:
        lines.append(words["settled"])
    elif sampling is not None:
        lines.append(_more_plants(sampling, _last_safe_day(advice), words))
    if advice.verdict is None and advice.missing:
        lines.append(words["add_records"])
    return lines


def _waits_for_window(advice: FieldAdvice) -> bool:
    timing = advice.timing
    if timing.opens is None:
        return False
    return timing.state in ("too_early", "first_look") or (timing.dug_on is None and timing.state != "too_late")


def _may_dig_more(advice: FieldAdvice) -> bool:
    sampling = advice.sampling
    return advice.timing.state != "too_late" and sampling is not None and not sampling.settled


def _last_safe_day(advice: FieldAdvice) -> dt.date | None:
    """The last day on which the window is open for certain, when it still lies ahead."""
    closes = advice.timing.closes
    return closes.low if closes is not None and closes.low >= advice.advised_on else None


def _more_plants(sampling: Sampling, until: dt.date | None, words: Mapping[str, str]) -> str:
    if not sampling.more_plants or not sampling.more_stops:
        return words["dig_more_unknown"]
    template = words["dig_more" if until is None else "dig_more_until"]
    return fill(template, {"plants": sampling.more_plants, "stops": sampling.more_stops, "day": until})
