"""The questions of ``spadework diagnose``: which one comes next, how it is answered, and what an answer changed."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from spadework.advice.diagnosis.value import CheckAdvice, Diagnosis
from spadework.advice.message import Message
from spadework.advice.messages import render
from spadework.knowledge.rows import Finding
from spadework.records.types import ObservationRow
from spadework.report.causes import sentence
from spadework.report.display import format_share

__all__ = [
    "NONE_OF_THEM",
    "Question",
    "change",
    "first_lines",
    "in_words",
    "key_of",
    "next_question",
    "row_of",
    "takes",
    "worth_making",
]

NONE_OF_THEM = "none"
"""What is written down where none of a group's findings is so."""

_LEAST_BITS = 0.05
"""Information below which a check is not worth the time that it takes to read the question."""


@dataclass(frozen=True)
class Question:
    """A question of a check: of one finding (yes or no), or which one of a group's ``choices`` is so."""

    check: CheckAdvice
    key: str
    choices: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """The question as it is put."""
        return render(Message(f"{'group' if self.choices else 'finding'}.{self.key}.question"))

    @property
    def choice_texts(self) -> list[str]:
        """What each choice says."""
        return [render(Message(f"finding.{name}.yes")) for name in self.choices]

    @property
    def waits(self) -> bool:
        """Whether nobody can answer at once: a laboratory, or days, stand between."""
        return _waits(self.check)


def next_question(
    diagnosis: Diagnosis, findings: Mapping[str, Finding], *, closed: Collection[str], last_check: str | None
) -> Question | None:
    """Return the next open question; None where none is left that would tell more than a little.

    Checks come in the order of the diagnosis, those that cannot be answered at once after all others. A check once
    begun is gone through to its end, since its other answers then cost nothing. ``closed`` holds the keys of
    questions that are not to be asked (again).
    """
    ordered = sorted(worth_making(diagnosis), key=lambda check: (_waits(check), check.check != last_check))
    for check in ordered:
        for name in check.findings:
            key = key_of(findings[name])
            if key not in closed:
                group = findings[name].group
                choices = tuple(one.name for one in findings.values() if one.group == group) if group else ()
                return Question(check, key, choices)
    return None


def worth_making(diagnosis: Diagnosis) -> list[CheckAdvice]:
    """Return the checks that tell more than a little, the best first."""
    return [check for check in diagnosis.checks if check.bits >= _LEAST_BITS]


def key_of(finding: Finding) -> str:
    """Return what a question about a finding goes by: the findings of a group are one question."""
    return finding.group or finding.name


def row_of(question: Question, answer: str, *, field: str, day: dt.date) -> ObservationRow | None:
    """Return the observation that an answer stands for, None where it is no answer to this question.

    Yes and no are ``y`` and ``n``; a group is answered with the number of a choice, ``n`` for none of them.
    """
    if question.choices:
        by_number = {str(number): name for number, name in enumerate(question.choices, start=1)}
        value = NONE_OF_THEM if answer == "n" else by_number.get(answer)
    else:
        value = {"y": "yes", "n": "no"}.get(answer)
    if value is None:
        return None
    return ObservationRow(field=field, date=day, subject=in_words(question.key), value=in_words(value))


def takes(check: CheckAdvice) -> str:
    """Return what a check takes: time, waiting, a laboratory, money."""
    parts = [f"{check.minutes:g} minutes"]
    if check.laboratory:
        parts.append("a laboratory")
    if check.waits_days:
        parts.append(f"an answer after {check.waits_days:g} {'day' if check.waits_days == 1 else 'days'}")
    if check.price is not None:
        parts.append(f"price {check.price:g}")
    return ", ".join(parts)


def change(before: Diagnosis, after: Diagnosis) -> str:
    """Say in one line what moved most between two diagnoses, and which cause is first in line if that is new."""
    old, new = _chances(before), _chances(after)
    most = max(new, key=lambda name: abs(new[name] - old.get(name, 0.0)))
    was, now = format_share(old.get(most, 0.0)), format_share(new[most])
    if was == now:
        return "That changes little."
    first = next(iter(new))
    unchanged = first in (most, next(iter(old)))
    ending = "" if unchanged else f" First in line now: {first} ({format_share(new[first])})."
    return f"{sentence(most)}: {was} -> {now}.{ending}"


def first_lines(diagnosis: Diagnosis, number: int) -> list[str]:
    """Return a line for each of the likeliest causes, its probability in front."""
    chances = list(_chances(diagnosis).items())[:number]
    width = max(len(format_share(chance)) for _, chance in chances)
    return [f"{format_share(chance):>{width}}  {name}" for name, chance in chances]


def in_words(name: str) -> str:
    """Return the name of a row or a word of a table as people write it."""
    return name.replace("_", " ")


def _waits(check: CheckAdvice) -> bool:
    return check.laboratory or check.waits_days > 0


def _chances(diagnosis: Diagnosis) -> dict[str, float]:
    """Return the probability of each cause by what it is called, likeliest first, and last that none acts."""
    shown = {render(one.name): one.probability.value for one in diagnosis.causes}
    rest = {render(one.name): one.probability for one in diagnosis.others}
    return {**shown, **rest, "nothing wrong": diagnosis.nothing.value}
