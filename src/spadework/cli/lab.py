"""``spadework lab``."""

from __future__ import annotations

import dataclasses
import math
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from spadework.cli.choices import Format, UnitSystem, crop_named
from spadework.cli.exits import ExitCode
from spadework.cli.screen import write_data
from spadework.errors import BookFaults, DomainError
from spadework.records.words import LaboratoryMethod

if TYPE_CHECKING:
    from spadework.records.types import LocalUreideLine, Settings

__all__ = ["EXAMPLE", "NAME", "SHORT", "run"]

NAME = "lab"
SHORT = "Turn a laboratory's results into the share of nitrogen fixed"
EXAMPLE = (
    "\b\nExamples:\n"
    "  spadework lab --template natural_abundance > results.csv\n"
    "  spadework lab results.csv --crop soybean\n"
    "  spadework lab results.csv --crop pea --b-value -0.7 --b-sd 0.3\n"
    "  spadework lab results.csv --crop cowpea --method ureides --format json"
)


def run(
    results: Annotated[
        Path | None,
        typer.Argument(
            metavar="RESULTS", exists=True, dir_okay=False, help="Table of the samples, a CSV file.", show_default=False
        ),
    ] = None,
    *,
    crop: Annotated[str | None, typer.Option(metavar="CROP", help="The legume.", show_default=False)] = None,
    method: Annotated[
        list[LaboratoryMethod] | None,
        typer.Option(
            metavar="METHOD",
            help=f"Only this method; may be given more than once: {', '.join(LaboratoryMethod)}. Else all that the "
            "columns allow.",
            show_default=False,
        ),
    ] = None,
    b_value: Annotated[
        str | None,
        typer.Option(
            "--b-value",
            metavar="PERMIL|ID",
            help="15N of the legume on air alone: your figure, or the id of a row.",
            show_default=False,
        ),
    ] = None,
    b_sd: Annotated[
        float | None,
        typer.Option("--b-sd", min=0, metavar="PERMIL", help="Its standard deviation.", show_default=False),
    ] = None,
    ureide_line: Annotated[
        str | None,
        typer.Option(
            "--ureide-line",
            metavar="A,B",
            help="Your calibration: index = A + B x share, both as shares; A,B,LOWEST,HIGHEST bounds the share.",
            show_default=False,
        ),
    ] = None,
    book: Annotated[
        Path | None,
        typer.Option(
            metavar="DIR",
            exists=True,
            file_okay=False,
            help="Read units, marks and figures of your own from this book.",
            show_default=False,
        ),
    ] = None,
    form: Annotated[Format, typer.Option("--format", help="How to print the result.")] = Format.TABLE,
    units: Annotated[UnitSystem, typer.Option(help="Units of what people read.")] = UnitSystem.METRIC,
    template: Annotated[
        LaboratoryMethod | None,
        typer.Option(
            metavar="METHOD", help="Print an example table of this method, to write over, and stop.", show_default=False
        ),
    ] = None,
) -> None:
    """Turn a laboratory's results into the share of nitrogen that came from the air.

    One row a sample, of the legume and of reference plants that fix nothing. The share comes with its
    interval, with what it would be if B or the reference were off, and with plain warnings; where the
    samples cannot tell, no share is given and the reason is. With grain yields it goes on to what the
    crop leaves. Methods are set side by side, never averaged. Ends with 3 where no share can be given.
    """
    if template is not None:
        from spadework.records.laboratory import laboratory_template

        write_data(laboratory_template(template))
        return
    if results is None:
        raise typer.BadParameter(
            "Name the table of results; --template METHOD prints one to write over.", param_hint="RESULTS"
        )
    if crop is None:
        raise typer.BadParameter("Name the legume with --crop, such as --crop pea.", param_hint="--crop")
    from spadework.advice.measured.measure import chosen_in, measure
    from spadework.knowledge.load import load, with_overrides
    from spadework.records.laboratory import check_laboratory

    legume = crop_named(crop)
    settings = _settings(book)
    chosen = dataclasses.replace(
        chosen_in(settings, legume),
        methods=frozenset(method or LaboratoryMethod),
        b_value=None if b_value is None else _b_value(b_value),
        b_spread=b_sd,
        ureide_line=None if ureide_line is None else _line(ureide_line),
    )
    rows, faults = check_laboratory(results, settings)
    if rows is None:
        raise BookFaults(faults)
    knowledge = with_overrides(load(), settings.overrides)
    measured = measure(rows, crop=legume, chosen=chosen, knowledge=knowledge)
    from spadework.advice.basis import basis_of
    from spadework.cli.lab_table import print_measured

    print_measured(measured, basis_of(measured, knowledge=knowledge, settings=settings), form, units)
    if not any(field.is_answered for field in measured):
        typer.echo("No share can be given; the reasons stand with each method.", err=True)
        raise typer.Exit(ExitCode.NOT_ANSWERABLE)


def _settings(book: Path | None) -> Settings:
    if book is None:
        from spadework.records.types import Settings

        return Settings(title="", season="")
    from spadework.cli.named_rows import check_whole_book

    read, faults = check_whole_book(book)
    if read is None:
        raise BookFaults(faults)
    return read.settings


def _b_value(said: str) -> float | str:
    """Read a figure, or keep the id of a row; anything else is refused here."""
    if said.startswith("b_value."):
        return said
    try:
        figure = float(said)
    except ValueError:
        figure = math.nan
    if not math.isfinite(figure):
        raise typer.BadParameter(
            f"{said!r} is neither a figure in permil, such as -1.2, nor the id of a row; "
            "`spadework source --list b_value` names the rows.",
            param_hint="--b-value",
        )
    return figure


def _line(said: str) -> LocalUreideLine:
    from spadework.records.types import LocalUreideLine

    try:
        figures = [float(part) for part in said.split(",")]
        if len(figures) not in (2, 4) or not all(map(math.isfinite, figures)):
            raise ValueError
    except ValueError:
        raise typer.BadParameter(
            f"{said!r} is no line. Write intercept and slope, such as 0.08,0.6, or with the lowest and highest share "
            "of the calibration, such as 0.08,0.6,0,0.8.",
            param_hint="--ureide-line",
        ) from None
    try:
        intercept, slope, *ends = figures
        line = LocalUreideLine(intercept, slope)
        return dataclasses.replace(line, lowest=ends[0], highest=ends[1]) if ends else line
    except DomainError as error:
        raise typer.BadParameter(f"{said!r} is no line: {error}", param_hint="--ureide-line") from None
