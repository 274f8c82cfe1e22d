"""``spadework check``."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from spadework.cli.choices import Format
from spadework.cli.exits import ExitCode
from spadework.cli.screen import is_terminal, show, write_data

if TYPE_CHECKING:
    from spadework.errors import Fault

__all__ = ["EXAMPLE", "NAME", "SHORT", "fault_line", "run"]

NAME = "check"
SHORT = "List every fault of a book and how to mend it"
EXAMPLE = "\b\nExamples:\n  spadework check my-season\n  spadework check my-season --format csv > faults.csv"

_HEADINGS = ("file", "line", "column", "severity", "kind", "what", "mend")


def run(
    book: Annotated[
        Path,
        typer.Argument(metavar="BOOK", exists=True, help="A book's folder, or a plants table alone (a file)."),
    ],
    form: Annotated[Format, typer.Option("--format", help="How to print the faults.")] = Format.TABLE,
) -> None:
    """List every fault of a book: file, line, column, what is wrong and how to mend it.

    Ends with 1 where a fault keeps the book from being used; warnings alone end with 0.
    """
    from spadework.cli.named_rows import check_whole_book
    from spadework.records.read import check_plants_alone

    _, faults = check_whole_book(book) if book.is_dir() else check_plants_alone(book)
    errors = [fault for fault in faults if fault.severity == "error"]
    warnings = [fault for fault in faults if fault.severity != "error"]
    match form:
        case Format.JSON:
            listed = [asdict(fault) for fault in (*errors, *warnings)]
            write_data(json.dumps({"faults": listed}, indent=2, ensure_ascii=False) + "\n")
        case Format.CSV:
            write_data(_as_csv([*errors, *warnings]))
        case Format.TABLE:
            _print_faults("Faults", errors)
            _print_faults("Warnings", warnings)
            typer.echo(_summary(book, len(errors), len(warnings)))
    if errors:
        raise typer.Exit(ExitCode.FAULTS)


def fault_line(fault: Fault) -> str:
    """Return ``file:line:column: what. mend``, the form that editors can jump to; one line a fault."""
    place = ":".join(str(part) for part in (fault.file, fault.line, fault.column) if part is not None)
    return " ".join(f"{place}: {fault.what} {fault.mend}".split())


def _as_csv(faults: Sequence[Fault]) -> str:
    from spadework.cli.verdicts import csv_text

    return csv_text(_HEADINGS, [[getattr(fault, name) for name in _HEADINGS] for fault in faults])


def _print_faults(title: str, faults: Sequence[Fault]) -> None:
    if not faults:
        return
    if not is_terminal():
        word = "" if title == "Faults" else "warning: "
        for fault in faults:
            typer.echo(f"{word}{fault_line(fault)}")
        return
    from rich import box
    from rich.table import Table
    from rich.text import Text

    table = Table(title=f"{title} ({len(faults)})", title_justify="left", box=box.SIMPLE, show_lines=False)
    for heading in ("File", "Line", "Column", "What, and how to mend it"):
        table.add_column(heading, overflow="fold", justify="right" if heading == "Line" else "left")
    for fault, lines in _folded(faults):
        text = Text.assemble(fault.what, " ", (fault.mend, "bold"))
        table.add_row(fault.file, lines, fault.column or "", text)
    show(table)


def _folded(faults: Sequence[Fault]) -> list[tuple[Fault, str]]:
    """Return the first of those faults that differ in figures and seen values only, with the lines of all."""
    alike: dict[tuple[str, str | None, str, str], list[Fault]] = {}
    for fault in faults:
        wording = re.sub(r"'[^']*'|[0-9]+", "", f"{fault.what} {fault.mend}")
        alike.setdefault((fault.file, fault.column, fault.kind, wording), []).append(fault)
    return [(group[0], _ranges([fault.line for fault in group if fault.line is not None])) for group in alike.values()]


def _ranges(lines: Sequence[int]) -> str:
    """Write 2, 3, 4 and 9 as ``2-4, 9``."""
    runs: list[list[int]] = []
    for line in lines:
        if runs and line - runs[-1][-1] <= 1:
            runs[-1].append(line)
        else:
            runs.append([line])
    return ", ".join(str(run[0]) if run[0] == run[-1] else f"{run[0]}-{run[-1]}" for run in runs)


def _summary(book: Path, errors: int, warnings: int) -> str:
    if not errors and not warnings:
        return f"{book} is in order."
    if not errors:
        return f"{book} can be used; {_counted(warnings, 'warning')} to look at."
    also = f" and {_counted(warnings, 'warning')}" if warnings else ""
    return f"{book} has {_counted(errors, 'fault')}{also}."


def _counted(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"
