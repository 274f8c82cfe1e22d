"""``spadework new``."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import Annotated

import typer

from spadework.cli.exits import CannotWrite
from spadework.errors import RecordError

__all__ = ["EXAMPLE", "NAME", "SHORT", "run"]

NAME = "new"
SHORT = "Make a book to fill in, with a worked example"
EXAMPLE = "\b\nExample:\n  spadework new my-season"


def run(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="Folder to make; it must not exist or must be empty.")],
) -> None:
    """Make a book to fill in: every table with its headings, and one worked example to write over."""
    from spadework.records.new import new_book

    try:
        new_book(folder)
    except RecordError as error:
        if error.fault.kind == "book.folder.unusable":
            raise CannotWrite(str(error)) from error
        raise
    except OSError as error:
        raise CannotWrite(f"The book could not be written: {error}. Free its folder, or name another.") from error
    typer.echo(f"Made a book in {folder}:")
    for path in sorted(folder.iterdir()):
        typer.echo(f"  {path.name}")
    typer.echo("The rows in it are an example; write your own over them. Next:")
    typer.echo(f"  spadework check {shlex.quote(str(folder))}")
    typer.echo(f"  spadework assess {shlex.quote(str(folder))} --out verdicts")
