"""What the records say of each finding, by named rules; what nobody knows stays unknown."""

from __future__ import annotations

from spadework.advice.diagnosis.value import Evidence
from spadework.advice.evidence.seen import Seen
from spadework.advice.message import Message
from spadework.knowledge.rows import Finding

__all__ = ["evidence_of", "unread_of"]


def evidence_of(seen: Seen) -> tuple[Evidence, ...]:
    """TEMPORARY (lead): observations only, until the rules are in."""
    rows = {row.name: row for row in seen.knowledge.of(Finding)}
    found = {}
    for row in seen.records.observations:
        name = row.subject.lower().replace(" ", "_")
        if row.date > seen.today:
            continue
        if name == "pattern":
            which = row.value.replace(" ", "_")
            for one in rows.values():
                if one.group == "pattern":
                    sure = 1.0 if one.name == which else 0.0
                    state = "yes" if sure else "no"
                    found[one.name] = Evidence(one.name, sure, "seen", Message(f"finding.{one.name}.{state}"))
        elif name in rows:
            sure = 1.0 if row.value == "yes" else 0.0
            found[name] = Evidence(name, sure, "seen", Message(f"finding.{name}.{'yes' if sure else 'no'}"))
    return tuple(found[name] for name in sorted(found))


def unread_of(seen: Seen) -> tuple[Message, ...]:
    """TEMPORARY (lead)."""
    return ()
