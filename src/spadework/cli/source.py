"""``spadework source``."""

from __future__ import annotations

import dataclasses
import difflib
import json
import textwrap
from collections.abc import Iterable, Iterator
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from spadework.cli.screen import console, write_data
from spadework.errors import BookFaults
from spadework.quantity import Grade

if TYPE_CHECKING:
    from spadework.knowledge.rows import EvidenceLine, Knowledge, Row, Source
    from spadework.records.types import Settings

__all__ = ["EXAMPLE", "NAME", "SHORT", "Shape", "grade_in_words", "run"]

NAME = "source"
SHORT = "Show where a figure comes from"
EXAMPLE = (
    "\b\nExamples:\n"
    "  spadework source --list\n"
    "  spadework source --list pea\n"
    "  spadework source target.pea.fifty_nodules --book my-season"
)

_GRADE_WORDS = {
    Grade.READ: "read at the source",
    Grade.SECOND_HAND: "second-hand: cited by something that was read",
    Grade.JUDGEMENT: "judgement or memory",
}
_SHOWN_APART = {"id", "unit", "source", "also", "grade", "overridden", "value", "low", "high", "mean", "sd"}
"""Fields of a row that have a line of their own wording, or share one."""


_LOCAL = "local_"


class Shape(StrEnum):
    """How a row is printed."""

    TABLE = "table"
    JSON = "json"


def run(
    key: Annotated[
        str | None,
        typer.Argument(metavar="KEY", help="Id of a knowledge row, or key of a source.", show_default=False),
    ] = None,
    list_all: Annotated[
        bool, typer.Option("--list", help="List all rows and sources; with KEY, those that hold this word.")
    ] = False,
    book: Annotated[
        Path | None,
        typer.Option(
            "--book",
            metavar="DIR",
            exists=True,
            file_okay=False,
            help="Show figures as this book overrides them.",
        ),
    ] = None,
    shape: Annotated[Shape, typer.Option("--format", help="How to print it.")] = Shape.TABLE,
) -> None:
    """Show where a figure comes from: its value, scope and grade, and who published it.

    Every report names the rows that it rests on; give one of those names as KEY. Given the key of a
    source, all rows that rest on that source are listed.
    """
    knowledge = _knowledge(book)
    if list_all:
        _print_list(knowledge, key or "", shape)
    elif key is None:
        raise typer.BadParameter("Give a KEY, or --list to see all of them.", param_hint="KEY")
    elif key in knowledge.rows:
        _print_row(knowledge.rows[key], knowledge, shape)
    elif key in knowledge.sources:
        _print_source(knowledge.sources[key], knowledge, shape)
    else:
        raise typer.BadParameter(_unknown(key, knowledge), param_hint="KEY")


def grade_in_words(grade: Grade) -> str:
    """Return the letter of a grade with what it means."""
    return f"{grade.value} ({_GRADE_WORDS[grade]})"


def _knowledge(book: Path | None) -> Knowledge:
    from spadework.knowledge.load import load, with_overrides

    if book is None:
        return load()
    from spadework.cli.named_rows import check_whole_book

    read, faults = check_whole_book(book)
    if read is None:
        raise BookFaults(faults)
    settings = read.settings
    knowledge = with_overrides(load(), settings.overrides)
    rows = {**knowledge.rows, **{row.id: row for row in _local_rows(settings)}}
    return dataclasses.replace(knowledge, rows=rows)


def _local_rows(settings: Settings) -> Iterator[Row]:
    """Yield the book's own figures as rows, under the names that advice gives them."""
    from spadework.knowledge.load import USERS_OWN
    from spadework.knowledge.rows import BValue, Statement, Target

    own: dict[str, Any] = {"scope": "this book", "source": USERS_OWN, "overridden": True}
    for crop, b in settings.local_b_value.items():
        spread: dict[str, Any] = {} if b.standard_error is None else {"mean": b.value, "sd": b.standard_error}
        yield BValue(
            id=f"{_LOCAL}b_value.{crop}",
            crop=crop,
            unit="permil",
            tissue="shoot",
            grade=_grade_of(b.source),
            note=b.source,
            **(spread or {"value": b.value}),
            **own,
        )
    for crop, line in settings.local_ureide_line.items():
        yield Statement(
            id=f"{_LOCAL}ureide_line.{crop}",
            crop=crop,
            subject="ureide.line",
            says=f"index = {line.intercept:g} + {line.slope:g} x share, from {line.lowest:g} to {line.highest:g}",
            grade=_grade_of(line.source),
            note=line.source,
            **own,
        )
    for crop, target in settings.local_target.items():
        yield Target(
            id=f"{_LOCAL}target.{crop}",
            crop=crop,
            value=target.value,
            unit=f"{target.counting_unit}/plant",
            counting_unit=target.counting_unit,
            grade=Grade.JUDGEMENT,
            note=target.source,
            **own,
        )


def _grade_of(source: str | None) -> Grade:
    return Grade.JUDGEMENT if source is None else Grade.SECOND_HAND


def _unknown(key: str, knowledge: Knowledge) -> str:
    if key.startswith(_LOCAL):
        return f"{key!r} is a book's own figure: name the book with --book."
    known = [*knowledge.rows, *knowledge.sources]
    close = difflib.get_close_matches(key, known, n=5, cutoff=0.5)
    close += [name for name in known if key.lower() in name.lower() and name not in close][:5]
    if close:
        return f"There is no {key!r}. The nearest are: {', '.join(close)}."
    return f"There is no {key!r}. `spadework source --list` names them all."


def _figure(row: Row) -> str:
    """Return the figure of a row with its range and unit; empty for a row without one."""
    from spadework.knowledge.rows import Measured

    if not isinstance(row, Measured):
        return ""
    parts = []
    if row.value is not None:
        parts.append(f"{row.value:g}")
    if row.mean is not None:
        parts.append(f"mean {row.mean:g}" + (f", standard deviation {row.sd:g}" if row.sd is not None else ""))
    if row.low is not None:
        parts.append(f"{row.low:g} to {row.high:g}")
    return "; ".join(parts) + ("" if row.unit == "1" else f" {row.unit}")


def _lines(row: Row, knowledge: Knowledge) -> Iterator[tuple[str, str]]:
    """Yield label and text of each line about a row."""
    from spadework.knowledge.rows import Cause

    if figure := _figure(row):
        yield "figure", figure
    for field in dataclasses.fields(row):
        value = getattr(row, field.name)
        if field.name in _SHOWN_APART or value is None or field.name in ("note", "evidence"):
            continue
        yield field.name.replace("_", " "), _plain(value)
    if isinstance(row, Cause):
        for line in row.evidence:
            yield "evidence", _evidence(line)
    if row.overridden:
        yield "overridden", "yes: the figure is the user's own, from the book"
    yield "grade", grade_in_words(row.grade)
    if row.note:
        yield "note", row.note
    for key in row.source_keys:
        yield "source", f"{key}: {_citation(knowledge.sources[key])}"


def _evidence(line: EvidenceLine) -> str:
    """Return how often a finding is met when the cause acts, in which crops, and who says so."""
    said = [f"{line.finding}: {line.level}", *((f"in {_plain(line.crops)}",) if line.crops else ())]
    founded = f"{line.source}, {'stated' if line.stated else 'read from the mechanism'}, grade {line.grade.value}"
    return f"{', '.join(said)} ({founded})" + (f"; {line.note}" if line.note else "")


def _plain(value: object) -> str:
    if isinstance(value, tuple):
        return ", ".join(_plain(part) for part in value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, float) else str(value)


def _citation(source: Source) -> str:
    return " ".join(part for part in (source.citation, source.doi and f"doi:{source.doi}", source.url) if part)


def _print_lines(title: str, lines: Iterable[tuple[str, str]]) -> None:
    listed = list(lines)
    margin = max(len(label) for label, _ in listed) + 4
    typer.echo(title)
    for label, text in listed:
        # Addresses are not broken: a broken one cannot be opened.
        wrapped = textwrap.wrap(text, max(console().width - margin, 20), break_long_words=False, break_on_hyphens=False)
        for number, line in enumerate(wrapped):
            typer.echo(f"  {'' if number else label}".ljust(margin) + line)


def _print_row(row: Row, knowledge: Knowledge, shape: Shape) -> None:
    if shape is Shape.JSON:
        _print_json(_row_as_dict(row, knowledge))
    else:
        _print_lines(row.id, _lines(row, knowledge))


def _row_as_dict(row: Row, knowledge: Knowledge) -> dict[str, Any]:
    return {
        "table": row.table,
        **{name: value for name, value in dataclasses.asdict(row).items() if value is not None},
        "sources": [_source_as_dict(knowledge.sources[key]) for key in row.source_keys],
    }


def _source_as_dict(source: Source) -> dict[str, Any]:
    return {name: value for name, value in dataclasses.asdict(source).items() if value is not None}


def _print_source(source: Source, knowledge: Knowledge, shape: Shape) -> None:
    rows = [row for row in knowledge.rows.values() if source.key in row.source_keys]
    if shape is Shape.JSON:
        _print_json({**_source_as_dict(source), "rows": [row.id for row in rows]})
        return

    def lines() -> Iterator[tuple[str, str]]:
        yield "citation", _citation(source)
        yield "kind", source.kind
        yield "seen", source.seen
        if source.note:
            yield "note", source.note
        for row in rows:
            yield "row", f"{row.id}  {_figure(row)}".rstrip()

    _print_lines(source.key, lines())


def _print_list(knowledge: Knowledge, word: str, shape: Shape) -> None:
    rows = [row for row in knowledge.rows.values() if word.lower() in row.id.lower()]
    sources = [source for source in knowledge.sources.values() if word.lower() in source.key.lower()]
    if shape is Shape.JSON:
        _print_json({"rows": [row.id for row in rows], "sources": [source.key for source in sources]})
        return
    for row in rows:
        typer.echo("  ".join(part for part in (row.id, row.grade.value, _figure(row)) if part))
    for source in sources:
        typer.echo(f"{source.key}  {source.kind}")
    if not rows and not sources:
        typer.echo(f"Nothing holds the word {word!r}.", err=True)


def _print_json(value: object) -> None:
    write_data(json.dumps(value, indent=2, ensure_ascii=False) + "\n")
