"""Findings that somebody wrote down as such in the observations, and the observations that no rule reads."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from spadework.advice.diagnosis.value import Evidence
from spadework.advice.evidence.rule import limit_for, words_of
from spadework.advice.evidence.seen import Seen
from spadework.advice.message import Message, Scalar
from spadework.knowledge.rows import Finding, Knowledge
from spadework.records.types import ObservationRow

__all__ = ["SEEN", "observed", "unread"]

SEEN = "seen"
"""Name of the rule: somebody wrote the finding itself down."""

_ANSWERS = {"yes": 1.0, "no": 0.0, "unknown": None}


def observed(seen: Seen) -> Iterator[Evidence]:
    """Findings by what was written of them last; of a group the one that was seen shuts the others out.

    What holds for the whole field goes before what holds at a stop. Where rows of one day differ, their mean stands.
    """
    rows = _findings(seen.knowledge)
    answers = _answers(seen)
    for group in dict.fromkeys(row.group for row in rows.values() if row.group):
        members = [name for name, row in rows.items() if row.group == group]
        _settle(answers, members, sure_of_each=limit_for("seen_together", seen).central)
    for name in rows:
        if name in answers:
            state = "yes" if answers[name] >= 0.5 else "no"
            message = Message(f"finding.{name}.{state}", sources=(f"finding.{name}",))
            yield Evidence(finding=name, sure=answers[name], rule=SEEN, message=message)


def unread(seen: Seen) -> Iterator[Message]:
    """Say which observations tell no rule anything, in the order of their days."""
    rows = [row for row in seen.records.observations if row.date <= seen.today]
    for row in sorted(rows, key=lambda row: (row.date, row.subject, row.stop or "", row.value)):
        if _answer(row, seen) is None:
            known = _named(row.subject) in {*_findings(seen.knowledge), *_groups(seen.knowledge)}
            values: dict[str, Scalar] = {"day": row.date, "subject": row.subject, "value": row.value}
            yield Message(f"evidence.unread.{'answer' if known else 'subject'}", values)


def _findings(knowledge: Knowledge) -> dict[str, Finding]:
    return {row.name: row for row in knowledge.of(Finding)}


def _groups(knowledge: Knowledge) -> dict[str, list[str]]:
    groups: dict[str, list[str]] = {}
    for name, row in _findings(knowledge).items():
        if row.group:
            groups.setdefault(row.group, []).append(name)
    return groups


def _named(text: str) -> str:
    """A finding's name from how people write it: any case, spaces, underscores or hyphens between its words."""
    return "_".join(text.lower().replace("_", " ").replace("-", " ").split())


def _answer(row: ObservationRow, seen: Seen) -> dict[str, float | None] | None:
    """What a row says of findings, by name; None where no rule reads it."""
    subject, value = _named(row.subject), row.value.strip().lower()
    word = next((word for word in _ANSWERS if value in words_of(f"answer_{word}", seen).words), None)
    members = _groups(seen.knowledge).get(subject)
    if members is not None:
        if word == "unknown":
            return dict.fromkeys(members)
        if word == "no":
            return dict.fromkeys(members, 0.0)
        if _named(value) in members:
            return {name: float(name == _named(value)) for name in members}
        return None
    if subject not in _findings(seen.knowledge) or word is None:
        return None
    return {subject: _ANSWERS[word]}


def _answers(seen: Seen) -> dict[str, float]:
    """What was last written of each finding; of findings whose last answer is unknown there is none."""
    said = [
        (name, row.date, row.stop is not None, sure)
        for row in seen.records.observations
        if row.date <= seen.today
        for name, sure in (_answer(row, seen) or {}).items()
    ]
    answers = {}
    for name, rows in groupby(sorted(said, key=lambda one: one[0]), key=lambda one: one[0]):
        answered = list(rows)
        last = max(day for _, day, _, _ in answered)
        of_day = [(at_stop, sure) for _, day, at_stop, sure in answered if day == last]
        whole_field = [sure for at_stop, sure in of_day if not at_stop]
        known = [sure for sure in whole_field or [sure for _, sure in of_day] if sure is not None]
        if known:
            answers[name] = sum(known) / len(known)
    return answers


def _settle(answers: dict[str, float], members: list[str], *, sure_of_each: float) -> None:
    """Where several findings of a group were seen, only one can be: each is left a doubt, and the rest are not so."""
    so = [name for name in members if answers.get(name) == 1.0]
    if len(so) > 1:
        answers.update(dict.fromkeys(so, sure_of_each))
    if so:
        answers.update({name: 0.0 for name in members if name not in so})
