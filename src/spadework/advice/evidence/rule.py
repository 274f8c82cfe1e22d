"""What every rule of evidence is made of: limits and words from the knowledge tables, and what it tells."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spadework.advice.diagnosis.value import Evidence
from spadework.advice.evidence.seen import Seen
from spadework.advice.message import Message, Scalar
from spadework.knowledge.rows import Measured, Row, WordList

__all__ = ["ShareOfPlants", "all_of", "limit_for", "mentions", "one_of", "ramp", "share_of_plants", "tell", "words_of"]

Floats = NDArray[np.float64]

_RULED_OUT = 0.05
"""Up to this probability something is ruled out, whatever else is unknown."""

_TOLD_AS_NO, _TOLD_AS_YES = 0.25, 0.75
"""Between these a sentence says that it is so in part."""


_DENIED = re.compile(r"\b(?:no|not|without|free of)\b(?:(?!\bbut\b)[^,;.+])*|\b\w+[- ]free\b")
"""What a text says is not there, to the end of its part: 'no fertiliser', 'pea, not lupin', 'zinc-free'."""


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
    """Which of the words stand in a text, whole or in the plural; a longer one takes its letters from shorter ones.

    A word that the text denies is not one that it mentions.
    """
    found = []
    left = _DENIED.sub("|", text.lower())
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
    """How sure it is that all are so: the product; where one is unknown, known only if the others rule it out."""
    known = [sure for sure in sures if sure is not None]
    at_most = math.prod(known)
    return at_most if len(known) == len(sures) or at_most <= _RULED_OUT else None


def one_of(sures: Sequence[float | None]) -> float | None:
    """How sure it is that one at least is so: the surest; where one is unknown, known only if another settles it."""
    known = [sure for sure in sures if sure is not None]
    surest = max(known, default=None)
    return surest if len(known) == len(sures) or (surest is not None and surest >= 1 - _RULED_OUT) else None


@dataclass(frozen=True)
class ShareOfPlants:
    """Share of plants on which something is so [1], and the plants of which that is known."""

    mean: float
    plants: int


def share_of_plants(seen: Seen, values: Floats) -> ShareOfPlants | None:
    """Share of the plants of the visit, from 1, 0 or NaN for each scoring; None where too few plants are known."""
    if seen.visit is None:
        return None
    of_plants = seen.visit.by_plant(values)
    known = ~np.isnan(of_plants)
    plants = int(known.sum())
    if plants < limit_for("fewest_plants", seen).central:
        return None
    return ShareOfPlants(mean=float(of_plants[known].mean()), plants=plants)


def tell(
    finding: str,
    sure: float,
    rule: str,
    values: Mapping[str, Scalar] | None = None,
    rows: Iterable[Row] = (),
    *,
    told_as: str | None = None,
) -> Evidence:
    """What a rule found: ``sure`` is the probability that the finding is so; ``rows`` are those that it rests on.

    ``told_as`` (yes, partly, no) is for rules whose sentence does not follow from how sure they are, which a book may
    set otherwise; else that decides.
    """
    state = told_as or ("no" if sure <= _TOLD_AS_NO else "yes" if sure >= _TOLD_AS_YES else "partly")
    message = Message(f"evidence.{rule}.{state}", dict(values or {}), sources=tuple(row.id for row in rows))
    return Evidence(finding=finding, sure=sure, rule=rule, message=message)
