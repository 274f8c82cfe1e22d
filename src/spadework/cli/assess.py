"""``spadework assess``."""

from __future__ import annotations

import dataclasses
import datetime as dt
from pathlib import Path
from typing import Annotated

import typer

from spadework.cli.choices import Format, PaperSize, UnitSystem, day
from spadework.cli.exits import ExitCode
from spadework.cli.opening import Counted, PlantsAlone, choose_fields, open_records, tell_what_is_left_out
from spadework.cli.season import Wanted, assess_season, ends_with
from spadework.cli.workers import processes_free

__all__ = ["EXAMPLE", "NAME", "SHORT", "run"]

NAME = "assess"
SHORT = "Give the verdict on each field, and write the reports"
EXAMPLE = (
    "\b\nExamples:\n"
    "  spadework assess my-season --out verdicts\n"
    "  spadework assess my-season --field north-12 --today 2026-06-24\n"
    "  spadework assess my-season --format csv > verdicts.csv\n"
    "  spadework assess plants.csv --crop pea --stage 61"
)


def run(
    book: Annotated[
        Path,
        typer.Argument(metavar="BOOK", exists=True, help="A book's folder, or a plants table alone (a file)."),
    ],
    *,
    field: Annotated[
        list[str] | None,
        typer.Option(metavar="ID", help="Only this field; may be given more than once.", show_default=False),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option(
            metavar="DIR",
            help="Write verdicts.csv, verdicts.json, season.pdf and fields/ID.pdf into this folder.",
            show_default=False,
        ),
    ] = None,
    today: Annotated[
        dt.date | None,
        typer.Option(
            parser=day,
            metavar="DATE",
            help="Advise as of this day; else the book's own day, else the day it is.",
            show_default=False,
        ),
    ] = None,
    form: Annotated[Format, typer.Option("--format", help="How to print the verdicts.")] = Format.TABLE,
    units: Annotated[UnitSystem, typer.Option(help="Units of what people read.")] = UnitSystem.METRIC,
    paper: Annotated[PaperSize, typer.Option(help="Size of the report pages.")] = PaperSize.A4,
    no_pdf: Annotated[bool, typer.Option("--no-pdf", help="Write no reports, only the tables.")] = False,
    jobs: Annotated[
        int | None,
        typer.Option(
            min=1,
            metavar="N",
            help="Processes to work in; else as many as there are processors.",
            show_default=False,
        ),
    ] = None,
    seed: Annotated[
        int | None,
        typer.Option(
            min=0,
            metavar="N",
            help="Seed of the simulations behind the figures; else the book's own.",
            show_default=False,
        ),
    ] = None,
    crop: Annotated[
        str | None, typer.Option(metavar="CROP", help="Crop of a plants table alone.", show_default=False)
    ] = None,
    counted: Annotated[
        Counted | None,
        typer.Option(help="What was counted in a plants table alone; else nodules.", show_default=False),
    ] = None,
    stage: Annotated[
        int | None,
        typer.Option(
            min=0, max=99, metavar="BBCH", help="Stage at the last dig of a plants table alone.", show_default=False
        ),
    ] = None,
) -> None:
    """Give the verdict on each field: was it the right time, how well is it nodulated, is it settled.

    Fields that need attention come first. With one field, the reasons stand below its row. A plants
    table alone is answered as far as it goes, and each further record is named with what it would add.
    Ends with 3 where no field has a verdict.
    """
    _refuse_own_place(book, out)
    opened = open_records(book, PlantsAlone(crop, counted, stage))
    chosen = choose_fields(opened, field or [])
    settings = opened.settings if seed is None else dataclasses.replace(opened.settings, seed=seed)
    wanted = Wanted(
        today=today or settings.today or dt.datetime.now().astimezone().date(),
        units=units,
        paper=paper,
        out=out,
        pdf=not no_pdf,
        jobs=jobs or processes_free(),
    )
    tell_what_is_left_out(opened, book, wanted.today, chosen)
    from spadework.cli.season_table import print_verdicts

    all_advice = assess_season(chosen, settings, wanted, book=opened.fields.values())
    print_verdicts(all_advice, form, units)
    if out is not None and form is Format.TABLE:
        typer.echo(f"Written to {out}.")
    if ends_with(all_advice) is ExitCode.NOT_ANSWERABLE:
        typer.echo(_no_verdict(len(all_advice)), err=True)
        raise typer.Exit(ExitCode.NOT_ANSWERABLE)


def _no_verdict(fields: int) -> str:
    if fields == 0:
        return "There are no fields to assess. Add them to fields.csv."
    return "No field has a verdict yet: what is missing, and what it would add, is named with each field."


def _refuse_own_place(book: Path, out: Path | None) -> None:
    """Refuse to write verdicts among the records, or over them."""
    if out is None:
        return
    if book.resolve() in (out.resolve(), (out / "verdicts.csv").resolve()):
        raise typer.BadParameter("This would write among the records. Name another folder.", param_hint="--out")
