"""What every rule of evidence is made of: limits and words from the knowledge tables, and what it tells."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from spadework.advice.diagnosis.value import Evidence
from spadework.advice.evidence.seen import Seen
from spadework.advice.message import Message, Scalar
from spadework.knowledge.rows import Measured, WordList

__all__ = ["all_of", "limit_for", "mentions", "one_of", "ramp", "tell", "words_of"]

_TOLD_AS_NO, _TOLD_AS_YES = 0.25, 0.75
"""Between these a sentence says that it is so in part."""


def limit_for(name: str, seen: Seen) -> Measured:
    """Return the row ``limit.<name>`` of the field's crop, else the one that holds for any crop."""
    own = f"limit.{name}.{seen.crop}"
    return seen.knowledge.figure(own if own in seen.knowledge.rows else f"limit.{name}.any")


def words_of(name: str, seen: Seen) -> WordList:
    """Return the row ``words.<name>``."""
    row = seen.knowledge.row(f"words.{name}")
    assert isinstance(row, WordList)  # noqa: S101 - ids of that name are held to that table by a test
    return row


def mentions(text: str, words: Iterable[str]) -> tuple[str, ...]:
    """Which of the words stand in a text, whole or in the plural; a longer one takes its letters from shorter ones."""
    found = []
    left = text.lower()
    for word in sorted(words, key=lambda word: (-len(word), word)):
        left, times = re.subn(rf"(?<!\w){re.escape(word)}s?(?!\w)", "|", left)
        if times:
            found.append(word)
    return tuple(found)


def ramp(value: float, row: Measured) -> float:
    """How sure something is that begins above the row's low and is certain from its high on [1].

    A row with one value only has a step there: 1 above it, 0 at it and below.
    """
    low, high = row.range
    if low == high:
        return float(value > low)
    return min(max((value - low) / (high - low), 0.0), 1.0)


def all_of(*sures: float | None) -> float | None:
    """How sure it is that all are so: the product; where one is unknown, only the no of another one is known."""
    known = [sure for sure in sures if sure is not None]
    if len(known) == len(sures):
        product = 1.0
        for sure in known:
            product *= sure
        return product
    return 0.0 if 0.0 in known else None


def one_of(sures: Sequence[float | None]) -> float | None:
    """How sure it is that one at least is so: the surest; where one is unknown, only the yes of another is known."""
    known = [sure for sure in sures if sure is not None]
    if len(known) == len(sures):
        return max(known, default=None)
    return 1.0 if 1.0 in known else None


def tell(
    finding: str,
    sure: float,
    rule: str,
    values: Mapping[str, Scalar] | None = None,
    rows: Iterable[Measured | WordList] = (),
) -> Evidence:
    """What a rule found: ``sure`` is the probability that the finding is so; ``rows`` are those that it rests on."""
    state = "no" if sure <= _TOLD_AS_NO else "yes" if sure >= _TOLD_AS_YES else "partly"
    message = Message(f"evidence.{rule}.{state}", dict(values or {}), sources=tuple(row.id for row in rows))
    return Evidence(finding=finding, sure=sure, rule=rule, message=message)
