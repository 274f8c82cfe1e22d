"""The terminal: consoles that fit the width there is, plain text for pipes, progress for long work."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from rich.console import Console, RenderableType

__all__ = ["PIPED_WIDTH", "console", "is_terminal", "progress", "section", "show", "write_data"]

PIPED_WIDTH = 80
"""Columns of printed tables where there is no terminal to ask, unless COLUMNS says otherwise."""


def is_terminal() -> bool:
    """Whether a person reads the output, not a file or another program."""
    return sys.stdout.isatty()


def console() -> Console:
    """Return a console on stdout; colours only on a terminal, and never where NO_COLOR is set."""
    from rich.console import Console

    class Screen(Console):
        def on_broken_pipe(self) -> None:
            raise BrokenPipeError

    width = None if is_terminal() or "COLUMNS" in os.environ else PIPED_WIDTH
    return Screen(width=width, highlight=False, emoji=False, markup=False)


def show(*things: RenderableType) -> None:
    """Print tables and texts one below the other, fitted to the width; no spaces at the ends of lines."""
    screen = console()
    if is_terminal():
        for thing in things:
            screen.print(thing)
        return
    with screen.capture() as caught:
        for thing in things:
            screen.print(thing)
    for line in caught.get().splitlines():
        typer.echo(line.rstrip())


def section(title: str, sentences: Sequence[str], *, most: int) -> Iterator[RenderableType]:
    """Yield a heading and the sentences below it; those beyond ``most`` are counted."""
    from rich.padding import Padding
    from rich.text import Text

    yield Text(f"\n{title}", style="bold")
    for sentence in sentences[:most]:
        yield Padding(Text(sentence), (0, 0, 0, 2))
    if len(sentences) > most:
        yield Text(f"  and {len(sentences) - most} more; --format json holds them all.")


def write_data(text: str) -> None:
    """Write JSON or CSV to stdout as UTF-8, whatever the terminal's own encoding, and nothing else."""
    typer.echo(text.encode("utf-8"), nl=False)


@contextmanager
def progress(what: str, *, total: int) -> Iterator[Callable[[], None]]:
    """Show a bar on stderr while work goes on; yields a function to call after each piece.

    Nothing is shown where stderr is no terminal, or where there is little to do.
    """
    if total < 2 or not sys.stderr.isatty():
        yield lambda: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(what, total=total)
        yield lambda: bar.advance(task)
