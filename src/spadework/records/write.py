"""Writing a book: the same book gives the same bytes, and reading them gives the same book."""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Callable, Iterable
from decimal import Decimal, localcontext
from enum import StrEnum
from fractions import Fraction
from functools import cache
from pathlib import Path

from spadework.records.book_toml import BOOK_FILE, settings_text
from spadework.records.boundary import BOUNDARY_FILE, boundaries_text
from spadework.records.columns import ColumnPlan, columns_of, table_name
from spadework.records.dialect import SEPARATORS
from spadework.records.schema import data_package
from spadework.records.types import TABLES, Book, FieldRow, Record, Settings
from spadework.records.units import Unit, unit_of

__all__ = ["PACKAGE_FILE", "cell_writer", "number_text", "package_text", "table_text", "write_book"]

PACKAGE_FILE = "datapackage.json"

_FORMULA = re.compile(r"'*[=+\-@]")
_MOST_DIGITS = 30
_LONGEST_PLAIN = 40


def write_book(book: Book, folder: Path) -> None:
    """Write book.toml, the tables that have rows (fields always), outlines and datapackage.json into a folder.

    The folder is made where it is missing. Files of the same names are written over; a table file that
    is there already, but has no rows in this book, keeps its heading line only, and outlines no feature.
    """
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for table in TABLES:
        rows = getattr(book, table_name(table))
        path = folder / table.file
        if rows or table is FieldRow or path.exists():
            _write(path, table_text(table, rows, book.settings))
            written.append(table)
    outlines = folder / BOUNDARY_FILE
    if book.boundaries or outlines.exists():
        _write(outlines, boundaries_text(book.boundaries))
    _write(folder / BOOK_FILE, settings_text(book.settings))
    _write(folder / PACKAGE_FILE, package_text(book.settings, written, outlines=outlines.exists()))


def table_text(table: type[Record], rows: Iterable[Record], settings: Settings) -> str:
    """Return a table as CSV in the units, separator and decimal mark of the settings; lines end with LF.

    A text that a spreadsheet would run as a formula (it starts with =, +, - or @) gets an apostrophe in
    front, which reading takes off again.
    """
    separator = SEPARATORS[settings.separator or "comma"]
    plans = columns_of(table)
    writers = [cell_writer(plan, settings, separator) for plan in plans]
    lines = [separator.join(plan.name for plan in plans)]
    lines += [
        separator.join(
            [
                "" if (value := getattr(row, plan.name)) is None else write(value)
                for plan, write in zip(plans, writers, strict=True)
            ]
        )
        for row in rows
    ]
    return "\n".join(lines) + "\n"


def package_text(settings: Settings, tables: Iterable[type[Record]], *, outlines: bool = False) -> str:
    """Return datapackage.json for the tables named, and for the outlines of fields where the book has some."""
    return json.dumps(data_package(settings, tuple(tables), outlines=outlines), indent=2, ensure_ascii=False) + "\n"


def _write(path: Path, text: str) -> None:
    path.write_bytes(text.encode("utf-8"))


def cell_writer(plan: ColumnPlan, settings: Settings, separator: str) -> Callable[[object], str]:
    """Return the function that turns a value of this column into its cell, quoted where it must be."""
    unit_name = settings.units.get(plan.measure) if plan.measure is not None else None
    unit = unit_of(plan.measure, unit_name) if plan.measure is not None and unit_name is not None else None
    special = re.compile(f'["\r\n{separator}]')

    def write(value: object) -> str:
        match value:
            case bool():
                text = "yes" if value else "no"
            case StrEnum():
                text = value.value
            case str():
                text = f"'{value}" if _FORMULA.match(value) else value
            case dt.date():
                text = value.isoformat()
            case float():
                text = number_text(value, unit)
                if settings.decimal_mark == "comma":
                    text = text.replace(".", ",")
            case _:
                text = str(value)
        return '"' + text.replace('"', '""') + '"' if special.search(text) else text

    return write


@cache
def number_text(value: float, unit: Unit | None) -> str:
    """Return the shortest decimal that is read back as this value.

    Beyond 30 digits the search ends; only values nearer to the zero of a shifted scale (32 degF) than
    1e-28 need more.
    """
    if unit is None or (unit.size == 1 and unit.zero == 0):
        return repr(value).removesuffix(".0")
    exact = unit.outward(Fraction(value))
    with localcontext() as context:
        for digits in range(1, _MOST_DIGITS + 1):
            context.prec = digits
            decimal = Decimal(exact.numerator) / Decimal(exact.denominator)
            if unit.inward(Fraction(decimal)) == value:
                break
    text = f"{decimal:f}"
    if len(text) > _LONGEST_PLAIN:
        return str(decimal)
    return text.rstrip("0").rstrip(".") if "." in text else text
