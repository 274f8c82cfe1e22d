"""``spadework diagnose``."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Annotated

import typer

from spadework.cli.choices import day
from spadework.cli.exits import ExitCode
from spadework.cli.opening import PlantsAlone, one_field, open_records

__all__ = ["EXAMPLE", "NAME", "SHORT", "run"]

NAME = "diagnose"
SHORT = "Ask why a field is poorly nodulated, the best question first"
EXAMPLE = (
    "\b\nExamples:\n"
    "  spadework diagnose my-season --field north-12\n"
    "  spadework diagnose my-season --field north-12 --no-keep\n"
    "  spadework diagnose my-season --field north-12 < answers.txt"
)


def run(
    book: Annotated[Path, typer.Argument(metavar="BOOK", exists=True, help="A book's folder.")],
    *,
    field: Annotated[
        str | None,
        typer.Option(metavar="ID", help="The field; needed where the book has several.", show_default=False),
    ] = None,
    today: Annotated[
        dt.date | None,
        typer.Option(
            parser=day,
            metavar="DATE",
            help="Day of the answers and of the advice; else the book's own day, else the day it is.",
            show_default=False,
        ),
    ] = None,
    no_keep: Annotated[bool, typer.Option("--no-keep", help="Write no answer into the book.")] = False,
) -> None:
    """Ask why a field is poorly nodulated, the question that tells most first, and rank the causes.

    After each answer the causes are ranked anew. Answers are rows of the book's observations.csv as
    soon as they are given, so that `assess` and the next run know them; stop at any time. At the end
    stand the ranking, what can be done, and the checks worth making next. Answers may come from a
    file or a pipe, one a line: y, n, ? where it is not known, or the number of a choice.
    """
    if book.is_file():
        raise typer.BadParameter(
            "A plants table alone has no place for answers. Make a book with `spadework new DIR`, put the "
            "table into it as plants.csv, and its fields into fields.csv.",
            param_hint="BOOK",
        )
    opened = open_records(book, PlantsAlone())
    records = one_field(opened, field)
    from spadework.cli.dialogue import Case, Dialogue, Kept
    from spadework.knowledge.load import load, with_overrides

    settings = opened.settings
    case = Case(
        records,
        settings,
        with_overrides(load(), settings.overrides),
        today or settings.today or dt.datetime.now().astimezone().date(),
    )
    kept = None if no_keep else Kept.of(book, settings)
    dialogue = Dialogue(case, kept)
    try:
        dialogue.begin()
        dialogue.go_through()
    except KeyboardInterrupt:
        typer.echo(f"\nInterrupted. {dialogue.what_is_kept}", err=True)
        raise typer.Exit(ExitCode.INTERRUPTED) from None
    dialogue.end()
