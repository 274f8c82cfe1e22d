"""``spadework rescue``."""

from __future__ import annotations

import dataclasses
import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from spadework.cli.choices import Format, UnitSystem, day, number
from spadework.cli.exits import ExitCode
from spadework.cli.opening import PlantsAlone, one_field, open_records, tell_what_is_left_out
from spadework.cli.prices import Said, with_said
from spadework.cli.workers import factors_of_book

if TYPE_CHECKING:
    from spadework.advice.value import FieldAdvice
    from spadework.records.types import FieldRecords

__all__ = ["EXAMPLE", "NAME", "SHORT", "run"]

NAME = "rescue"
SHORT = "Say whether nitrogen pays for a field whose nodules failed"
EXAMPLE = (
    "\b\nExamples:\n"
    "  spadework rescue my-season --field north-12 --price-grain 310 --price-n 1.3\n"
    "  spadework rescue my-season --field north-12 --price-grain 310 \\\n"
    "      --price-n urea_inhibited=1.45 --price-n uan_28=1.5 --pass-cost 14\n"
    "  spadework rescue my-season --field north-12 --price-grain 9 --price-n 0.6 \\\n"
    "      --units us --rate 60 --map prescription"
)


def run(
    book: Annotated[Path, typer.Argument(metavar="BOOK", exists=True, help="A book's folder.")],
    *,
    field: Annotated[
        str | None,
        typer.Option(metavar="ID", help="The field; needed where the book has several.", show_default=False),
    ] = None,
    price_grain: Annotated[
        float | None,
        typer.Option(
            parser=number,
            metavar="MONEY",
            help="What grain sells at: per t; with --units us or canada per bushel of 60 lb (per lb of lupin, mung "
            "bean and cowpea). No price is built in.",
            show_default=False,
        ),
    ] = None,
    price_n: Annotated[
        list[str] | None,
        typer.Option(
            metavar="MONEY|PRODUCT=MONEY",
            help="What nitrogen costs, not the product: per kg; with --units us or canada per lb. With the kind of "
            "product, such as uan_28=1.5, once for each. Replaces all prices of nitrogen in the book.",
            show_default=False,
        ),
    ] = None,
    pass_cost: Annotated[
        float | None,
        typer.Option(
            parser=number,
            metavar="MONEY",
            help="What one pass over the field costs: per ha; with --units us or canada per ac.",
            show_default=False,
        ),
    ] = None,
    dig_cost: Annotated[
        float | None,
        typer.Option(
            parser=number, metavar="MONEY", help="What a second dig costs, for the whole field.", show_default=False
        ),
    ] = None,
    rate: Annotated[
        list[float] | None,
        typer.Option(
            parser=number,
            metavar="N",
            help="Weigh this rate of nitrogen too: kg/ha; with --units us or canada lb/ac. May be given more than "
            "once.",
            show_default=False,
        ),
    ] = None,
    lead_days: Annotated[
        int | None,
        typer.Option(
            min=0,
            max=60,
            metavar="DAYS",
            help="Days until nitrogen is on the field; else the book's, else 3.",
            show_default=False,
        ),
    ] = None,
    dig_again_in: Annotated[
        int | None,
        typer.Option(
            min=1, max=60, metavar="DAYS", help="Days until a second dig; else the book's, else 7.", show_default=False
        ),
    ] = None,
    today: Annotated[
        dt.date | None,
        typer.Option(
            parser=day,
            metavar="DATE",
            help="Decide as of this day; else the book's own day, else the day it is.",
            show_default=False,
        ),
    ] = None,
    form: Annotated[
        Format, typer.Option("--format", help="How to print it. JSON and CSV are per t, kg and ha, whatever --units.")
    ] = Format.TABLE,
    units: Annotated[UnitSystem, typer.Option(help="Units of prices, rates and what people read.")] = UnitSystem.METRIC,
    map_folder: Annotated[
        Path | None,
        typer.Option(
            "--map",
            metavar="DIR",
            help="Write the prescription into this folder, where nitrogen is the advice.",
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
) -> None:
    """Say whether nitrogen pays for a field whose nodules failed: leave it, give some, or dig again first.

    The decision comes first, in one sentence: what, by when, how sure, and what would change it. Then
    the choices beside each other with what each brings and costs, what waiting for a second dig is
    worth, and what it would be worth to know first. Prices are yours, from the book or from these
    options, in one money; without them the gains are told, and what grain must be worth. Ends with 3
    where what is recorded cannot tell.
    """
    if book.is_file():
        raise typer.BadParameter(
            "A plants table alone has no season to reckon with. Make a book with `spadework new DIR` and put the "
            "table into it as plants.csv.",
            param_hint="BOOK",
        )
    if map_folder is not None and map_folder.resolve() == book.resolve():
        raise typer.BadParameter("This would write among the records. Name another folder.", param_hint="--map")
    said = Said(
        grain=price_grain,
        nitrogen=price_n or (),
        per_pass=pass_cost,
        dig=dig_cost,
        rates=rate or (),
        lead_days=lead_days,
        dig_again_days=dig_again_in,
    )
    opened = open_records(book, PlantsAlone())
    records = one_field(opened, field)
    settings = opened.settings if seed is None else dataclasses.replace(opened.settings, seed=seed)
    as_of = today or settings.today or dt.datetime.now().astimezone().date()
    tell_what_is_left_out(opened, book, as_of, [records])

    from spadework.advice.calibration import calibration_without
    from spadework.advice.field import advise
    from spadework.cli.rescue_table import print_decision
    from spadework.knowledge.load import load, with_overrides

    knowledge = with_overrides(load(), settings.overrides)
    settings = with_said(settings, said, crop=records.field.crop, units=units, knowledge=knowledge)
    factors = factors_of_book(opened.fields.values(), settings, as_of)
    calibration = calibration_without(records.field.field, factors, knowledge)
    advice = advise(records, settings, knowledge, as_of, calibration=calibration)
    print_decision(advice, settings, form, units)
    if map_folder is not None:
        _write_map(advice, records, map_folder, form)
    decision = advice.decision
    if decision is None or decision.kind == "cannot_tell":
        typer.echo("What is recorded cannot tell whether nitrogen would pay.", err=True)
        raise typer.Exit(ExitCode.NOT_ANSWERABLE)


def _write_map(advice: FieldAdvice, records: FieldRecords, folder: Path, form: Format) -> None:
    """Write the prescription of the option chosen; says why there is none where there is none."""
    from spadework.advice.rescue.ground import whole_field
    from spadework.cli.outfolder import OutFolder, file_names
    from spadework.report.prescription_files import prescription_files

    decision = advice.decision
    if decision is None or decision.kind != "apply" or decision.chosen is None:
        typer.echo("No map is written: it is not the advice to give nitrogen.", err=True)
        return
    patch = advice.verdict is not None and advice.verdict.patch is not None
    part = decision.part if decision.part is not None or patch else whole_field(records)
    if part is None:
        where = "each stop of the field" if patch else "the field"
        # Neither an outline nor an area tells the part that failed from the rest: only positions of stops do.
        how = "Write the position of each stop into stops.csv" + ("" if patch else ", or add boundaries.geojson")
        typer.echo(f"No map can be drawn: nobody wrote down where {where} lies. {how}, and ask again.", err=True)
        raise typer.Exit(ExitCode.NOT_ANSWERABLE)
    stem = file_names([advice.field])[advice.field]
    assert decision.chosen.on is not None  # noqa: S101 - an option that gives nitrogen has its day
    files = prescription_files(stem, advice.field, decision.chosen, part, decision.strip, on=decision.chosen.on)
    out = OutFolder(folder)
    for name, content in files.items():
        out.write(name, content)
    if form is Format.TABLE:
        typer.echo(f"\nPrescription written to {folder}: {', '.join(files)}.")
