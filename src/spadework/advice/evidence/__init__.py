"""What the records say of each finding, by named rules; what nobody knows stays unknown."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from spadework.advice.diagnosis.value import Evidence
from spadework.advice.evidence.handling import handling
from spadework.advice.evidence.history import history
from spadework.advice.evidence.observed import observed, unread
from spadework.advice.evidence.plants import plants
from spadework.advice.evidence.seen import Seen
from spadework.advice.evidence.soil import soil
from spadework.advice.evidence.tops import tops
from spadework.advice.evidence.weather import weather
from spadework.advice.message import Message
from spadework.knowledge.rows import ANY_CROP, Finding

__all__ = ["evidence_of", "own_limits_of", "unread_of"]

_DERIVED: tuple[Callable[[Seen], Iterator[Evidence]], ...] = (
    plants,
    tops,
    soil,
    weather,
    handling,
    history,
)


def evidence_of(seen: Seen) -> tuple[Evidence, ...]:
    """What is known of the findings, one evidence each at most, in the order of the tables; the rest is unknown.

    What somebody wrote down overrides what a rule derives, also of findings that the one seen shuts out. Of several
    rules for one finding the surest stands; of equally sure ones, the one that says that it is so.
    """
    found = {one.finding: one for one in observed(seen)}
    rows = {row.name: row for row in seen.knowledge.of(Finding)}
    taken = {rows[name].group for name, one in found.items() if one.sure > 0 and rows[name].group}
    derived: dict[str, Evidence] = {}
    for source in _DERIVED:
        for one in source(seen):
            if one.finding in found or rows[one.finding].group in taken:
                continue
            if one.finding not in derived or _weight(one) > _weight(derived[one.finding]):
                derived[one.finding] = one
    known = {**derived, **found}
    return tuple(known[name] for name in rows if name in known)


def unread_of(seen: Seen) -> tuple[Message, ...]:
    """The observations up to today that no rule reads, in the order of their days."""
    return tuple(unread(seen))


def own_limits_of(seen: Seen) -> tuple[str, ...]:
    """Ids of the limits of this crop that the book sets itself: one may act by leaving a finding unknown, unseen."""
    rows = (row for row in seen.knowledge.rows.values() if row.overridden and row.crop in (ANY_CROP, seen.crop))
    return tuple(row.id for row in rows if row.id.startswith("limit."))


def _weight(one: Evidence) -> tuple[float, float]:
    return abs(one.sure - 0.5), one.sure
