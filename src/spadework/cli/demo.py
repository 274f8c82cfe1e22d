"""``spadework demo``."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from spadework.cli.choices import Format, PaperSize, UnitSystem
from spadework.cli.exits import CannotWrite
from spadework.cli.season import Wanted, assess_season
from spadework.cli.workers import processes_free

if TYPE_CHECKING:
    from spadework.records.types import Settings

__all__ = ["EXAMPLE", "NAME", "SHORT", "run"]

NAME = "demo"
SHORT = "Write an invented season and assess it"
EXAMPLE = "\b\nExample:\n  spadework demo --out demo-out"


def run(
    out: Annotated[
        Path,
        typer.Option(metavar="DIR", help="Folder for the book, the verdicts and the reports.", show_default=False),
    ],
    seed: Annotated[
        int | None,
        typer.Option(min=0, metavar="N", help="Another number draws another season.", show_default=False),
    ] = None,
    units: Annotated[UnitSystem, typer.Option(help="Units of what people read.")] = UnitSystem.METRIC,
    paper: Annotated[PaperSize, typer.Option(help="Size of the report pages.")] = PaperSize.A4,
) -> None:
    """Write an invented season and assess it: the book, its verdicts and a report for each field.

    The book lies in DIR/book; change its tables and assess it again to see what follows.
    """
    from spadework.cli.season_table import print_verdicts
    from spadework.demo import demo_book
    from spadework.records.read import read_book
    from spadework.records.write import write_book

    folder = out / "book"
    invented = demo_book() if seed is None else demo_book(seed)
    _refuse_another_book(folder, invented.settings)
    try:
        write_book(invented, folder)
    except OSError as error:
        raise CannotWrite(
            f"{folder} could not be written ({error.strerror}). Name another folder with --out."
        ) from error
    # What follows is the way that any book goes.
    book = read_book(folder)
    settings = book.settings
    assert settings.today is not None  # noqa: S101 - an invented season has its own day
    wanted = Wanted(today=settings.today, units=units, paper=paper, out=out, pdf=True, jobs=processes_free())
    all_advice = assess_season(list(book.by_field().values()), settings, wanted)
    print_verdicts(all_advice, Format.TABLE, units)
    typer.echo(f"The book is in {folder}, the verdicts and reports are in {out}.")


def _refuse_another_book(folder: Path, invented: Settings) -> None:
    """Refuse to write over a book that is not the invented one."""
    if not folder.is_dir() or not any(folder.iterdir()):
        return
    try:
        title = tomllib.loads((folder / "book.toml").read_text("utf-8"))["book"]["title"]
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError, KeyError, TypeError):
        title = None
    if title != invented.title:
        raise CannotWrite(
            f"{folder} already holds a book that is not the invented season; it was left as it is. "
            "Name another folder with --out."
        )
