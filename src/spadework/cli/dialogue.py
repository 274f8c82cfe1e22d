"""Questions and answers about one field, on a terminal or through a pipe."""

from __future__ import annotations

import dataclasses
import datetime as dt
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import typer
from rich.padding import Padding
from rich.text import Text

from spadework.advice.diagnosis.value import Diagnosis
from spadework.advice.field import advise
from spadework.advice.messages import render
from spadework.cli.exits import CannotWrite
from spadework.cli.questions import (
    Question,
    change,
    first_lines,
    in_words,
    key_of,
    next_question,
    row_of,
    takes,
    worth_making,
)
from spadework.cli.screen import show
from spadework.knowledge.rows import Finding, Knowledge
from spadework.records.append import replace_file, with_observations
from spadework.records.dialect import read_bytes
from spadework.records.types import FieldRecords, ObservationRow, Settings
from spadework.report.causes import sentence

__all__ = ["Case", "Dialogue", "Kept"]

_HOW = "Answer y (yes), n (no) or ? (not known). w tells why it is asked, u takes the last answer back, s stops."
_IS_KEPT = " Answers are kept as they are given."
_SHORT = {"yes": "y", "no": "n", "why": "w", "undo": "u", "stop": "s"}
_NOTHING_OF_THE_CROP = ("diagnosis.no_evidence", "diagnosis.only_history")
"""Where nobody has looked at the crop there is nothing to treat, only something to check."""
_FIRST_SHOWN = 3
_CHECKS_SHOWN = 5


@dataclass(frozen=True)
class Case:
    """One field as it is known before any question."""

    records: FieldRecords
    settings: Settings
    knowledge: Knowledge
    today: dt.date

    def diagnosis(self, rows: Sequence[ObservationRow]) -> Diagnosis:
        """Return the diagnosis with answers added to what is recorded."""
        records = dataclasses.replace(self.records, observations=(*self.records.observations, *rows))
        return advise(records, self.settings, self.knowledge, self.today).diagnosis

    def said_today(self) -> set[str]:
        """Return the subjects written down for the whole field on this day: not asked of again, nor replaced."""
        rows = self.records.observations
        return {row.subject.lower().replace(" ", "_") for row in rows if row.date == self.today and row.stop is None}


@dataclass
class Kept:
    """The observations table: what it held before, what it holds now, and how many answers that adds."""

    path: Path
    settings: Settings
    before: bytes | None
    now: bytes | None
    answers: int = 0

    @classmethod
    def of(cls, book: Path, settings: Settings) -> Kept:
        """Look at the table of a book as it stands."""
        path = book / ObservationRow.file
        before = read_bytes(path) if path.exists() else None
        return cls(path, settings, before, before)

    def write(self, rows: Sequence[ObservationRow]) -> None:
        """Let the table hold these answers, below what it held before; raises CannotWrite."""
        content = with_observations(self.before, rows, self.settings) if rows else self.before
        try:
            replace_file(self.path, content, before=self.now)
        except OSError as error:
            reason = error.strerror or str(error)
            raise CannotWrite(
                f"{self.path} could not be written ({reason}). Free it, or keep no answers: --no-keep."
            ) from error
        self.now, self.answers = content, len(rows)


@dataclass(frozen=True)
class _Step:
    """A question that was dealt with: the answer, None where it is not known, and what is not asked again."""

    question: Question
    row: ObservationRow | None
    closed: frozenset[str]


class Dialogue:
    """Ask about a field, keep the answers where they are wanted, and say what they change."""

    def __init__(self, case: Case, kept: Kept | None) -> None:
        self._case = case
        self._kept = kept
        self._steps: list[_Step] = []
        self._findings = {row.name: row for row in case.knowledge.of(Finding)}
        self._diagnosis = case.diagnosis(())

    def begin(self) -> None:
        """Say where the diagnosis stands."""
        field = self._case.records.field
        called = "" if field.name is None else f" ({field.name})"
        show(Text(f"{field.field}{called}, {in_words(field.crop)}, on {self._case.today}", style="bold"))
        _say(render(self._diagnosis.headline), *_ranking(self._diagnosis, _FIRST_SHOWN))

    def go_through(self) -> None:
        """Ask until nothing worth asking is left, somebody stops, or the answers end."""
        question = self._next()
        if question is not None:
            show(Text(f"\n{_HOW}{_IS_KEPT if self._kept else ''}"))
        check = None
        while question is not None:
            if question.check.check != check:
                check = question.check.check
                show(Text(f"\n{sentence(render(question.check.name))} ({takes(question.check)})", style="bold"))
            _ask(question)
            answer = self._answer(question)
            if answer is None:
                return
            if answer == "u":
                self._take_back()
            else:
                self._take(question, answer)
            question = self._next()
        show(Text("\nNo question is left that would tell more than a little."))

    def end(self) -> None:
        """Tell the ranking, what can be done, the checks worth making next, and what was written."""
        found = self._diagnosis
        _part("Where it stands", [render(found.headline), *_ranking(found, max(_FIRST_SHOWN, len(found.causes)))])
        if _ranking(found, 1):
            told = (found.together, found.robust, found.priors)
            _part("How sure", [render(message) for message in told if message is not None])
        if found.pallor.causes:
            looks = (found.pallor.headline, found.pallor.not_nitrogen)
            _part("Pale leaves", [render(message) for message in looks if message is not None])
        if found.headline.id not in _NOTHING_OF_THE_CROP:
            _part("What can be done this season", _measures(found))
            cautions = (render(caution) for cause in found.causes for caution in cause.cautions)
            _part("Cautions", list(dict.fromkeys(cautions)))
        checks = worth_making(found)[:_CHECKS_SHOWN]
        _part(
            "Checks worth making next",
            [f"{sentence(render(check.name))} ({takes(check)}). {render(check.reason)}" for check in checks],
        )
        _part("Not used, because no rule reads it", [render(message) for message in found.unread])
        show(Text(f"\n{self.what_is_kept}"))

    @property
    def what_is_kept(self) -> str:
        """What was written where."""
        if self._kept is None:
            return "Nothing was written: --no-keep."
        if not self._kept.answers:
            return "Nothing was answered, so nothing was written."
        number = "1 answer is" if self._kept.answers == 1 else f"{self._kept.answers} answers are"
        return f"{number} kept in {self._kept.path}."

    def _next(self) -> Question | None:
        closed = self._case.said_today().union(*(step.closed for step in self._steps))
        last = self._steps[-1].question.check.check if self._steps else None
        return next_question(self._diagnosis, self._findings, closed=closed, last_check=last)

    def _answer(self, question: Question) -> str | None:
        """Return an answer to the question, ``?`` or ``u``; None where it is time to stop."""
        choices = len(question.choices)
        possible = f"1 to {choices}, n for none of them" if choices else "y or n"
        while True:
            answer = _read(possible)
            match answer:
                case None | "s":
                    return None
                case "w":
                    _say(render(question.check.reason), indent=4)
                case "u" if not self._steps:
                    _say("There is no answer to take back.")
                case "u" | "?":
                    return answer
                case _ if self._row(question, answer) is None:
                    _say(f"That is no answer here. Write {possible}; or ?, w, u, s.")
                case _:
                    return answer

    def _row(self, question: Question, answer: str) -> ObservationRow | None:
        return row_of(question, answer, field=self._case.records.field.field, day=self._case.today)

    def _take(self, question: Question, answer: str) -> None:
        row = None if answer == "?" else self._row(question, answer)
        closed = {question.key}
        if row is None and question.waits:
            # Without the result none of the check's questions can be answered.
            closed.update(key_of(self._findings[name]) for name in question.check.findings)
        self._steps.append(_Step(question, row, frozenset(closed)))
        if row is not None:
            self._rows_changed()

    def _take_back(self) -> None:
        step = self._steps.pop()
        _say(f"Taken back: {step.question.text}")
        if step.row is not None:
            self._rows_changed()

    def _rows_changed(self) -> None:
        rows = [step.row for step in self._steps if step.row is not None]
        if self._kept is not None:
            self._kept.write(rows)
        before, self._diagnosis = self._diagnosis, self._case.diagnosis(rows)
        _say(change(before, self._diagnosis), indent=4)


def _ranking(diagnosis: Diagnosis, number: int) -> list[str]:
    """Return the likeliest causes in lines; none where there is nothing to find a cause for, or nothing known."""
    return first_lines(diagnosis, number) if diagnosis.evidence and diagnosis.state != "nothing_wrong" else []


def _measures(diagnosis: Diagnosis) -> list[str]:
    return [f"{sentence(render(cause.name))}: {render(cause.this_season)}" for cause in diagnosis.causes]


def _ask(question: Question) -> None:
    _say(f"If there is a result: {question.text}" if question.waits else question.text)
    _say(*(f"{number}  {text}" for number, text in enumerate(question.choice_texts, start=1)))


def _read(possible: str) -> str | None:
    """Read a line of answer; None at the end of input."""
    typer.echo(f"  {possible}: ", nl=False)
    line = sys.stdin.readline()
    answer = _SHORT.get(word := line.strip().lower(), word)
    if not line or not sys.stdin.isatty():
        # Piped answers are not on the screen yet.
        typer.echo(answer)
    return answer if line else None


def _part(title: str, sentences: Sequence[str]) -> None:
    if sentences:
        show(Text(f"\n{title}", style="bold"))
        _say(*sentences)


def _say(*sentences: str, indent: int = 2) -> None:
    show(*(Padding(Text(sentence), (0, 0, 0, indent)) for sentence in sentences))
