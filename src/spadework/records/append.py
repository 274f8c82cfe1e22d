"""Adding observations to a book: new rows below the old ones, and not another byte of the file touched."""

from __future__ import annotations

import contextlib
import datetime as dt
import os
import re
import shutil
from collections.abc import Sequence
from pathlib import Path

from spadework.errors import Fault, RecordError
from spadework.records.columns import ColumnPlan, columns_of
from spadework.records.dialect import SEPARATORS, Sheet, decode, read_sheet
from spadework.records.refusal import quoted
from spadework.records.tables import read_table
from spadework.records.types import ObservationRow, Settings
from spadework.records.write import cell_writer, table_text

__all__ = ["replace_file", "with_observations"]

_FILE = ObservationRow.file
_LINE_END = re.compile(rb"\r\n|\r|\n")
_YEAR_FIRST = re.compile(r"[0-9]{4}([-/.])[0-9]{1,2}\1[0-9]{1,2}")
_BASIC = re.compile(r"[0-9]{8}")
_YEAR_LAST = re.compile(r"[0-9]{1,2}([-/.])[0-9]{1,2}\1[0-9]{4}")


def with_observations(data: bytes | None, rows: Sequence[ObservationRow], settings: Settings) -> bytes:
    """Return the observations table with rows added at its end, written the way the file is.

    ``data`` is the file as it stands, None where there is none: then one is begun. What it holds stays as it is,
    byte for byte; only a last line that lacks its end gets one. Separator, order of the columns, line ends and form
    of the dates are the file's own; no column is added.

    Raises RecordError where the table cannot be read, where a row has something for a column that the file lacks,
    and where the file has a row of the same field, day, subject and stop: what somebody wrote is never replaced.
    """
    if data is None:
        return table_text(ObservationRow, rows, settings).encode("utf-8")
    if not rows:
        return data
    plans = {plan.name: plan for plan in columns_of(ObservationRow)}
    separator = SEPARATORS[settings.separator] if settings.separator is not None else None
    sheet = read_sheet(decode(data, _FILE), file=_FILE, known=list(plans), separator=separator)
    _refuse_what_stands_already(data, rows, settings)
    line_end = _line_end(data)
    lines = [_line(row, sheet, plans, settings) for row in rows]
    text = "".join(line + line_end for line in lines)
    return data + (b"" if data.endswith((b"\n", b"\r")) else line_end.encode()) + text.encode("utf-8")


def replace_file(path: Path, content: bytes | None, *, before: bytes | None) -> None:
    """Put new content in place of a file, whole or not at all; None takes the file away.

    ``before`` is what the file is held to hold, None for no file. Raises RecordError where it holds something else
    by now, OSError where the system refuses.
    """
    target = path.resolve()
    if (target.read_bytes() if target.exists() else None) != before:
        raise RecordError(
            Fault(
                path.name,
                None,
                None,
                "file.changed",
                "Another program has changed the file meanwhile.",
                "Save and close it there, then do this again.",
            )
        )
    if content is None:
        target.unlink(missing_ok=True)
        return
    # The process id keeps two runs apart; the point hides a file left by a crash.
    partial = target.with_name(f".{target.name}.{os.getpid()}.partial")
    try:
        with partial.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        if before is not None:
            shutil.copymode(target, partial)
        partial.replace(target)
    finally:
        with contextlib.suppress(OSError):
            partial.unlink(missing_ok=True)


def _refuse_what_stands_already(data: bytes, rows: Sequence[ObservationRow], settings: Settings) -> None:
    read = read_table(ObservationRow, data, file=_FILE, settings=settings)
    errors = [fault for fault in read.faults if fault.severity == "error"]
    if errors:
        raise RecordError(errors[0])
    standing = {_key(row): row for row in read.rows}
    for row in rows:
        twin = standing.get(_key(row))
        if twin is not None:
            what = f"The row says already of {quoted(row.subject)} in {row.field} on {row.date}: {quoted(twin.value)}."
            mend = "Correct it there, if it is no longer so."
            raise RecordError(Fault(_FILE, twin.line, "subject", "observations.row.stands", what, mend))
        standing[_key(row)] = row


def _key(row: ObservationRow) -> tuple[object, ...]:
    return tuple(getattr(row, name) for name in ObservationRow.key)


def _line_end(data: bytes) -> str:
    found = _LINE_END.search(data)
    return "\n" if found is None else found[0].decode()


def _line(row: ObservationRow, sheet: Sheet, plans: dict[str, ColumnPlan], settings: Settings) -> str:
    """Write a row in the order of the file's headings, with empty cells as far as its other rows go."""
    cells = {}
    for name, plan in plans.items():
        value = getattr(row, name)
        if isinstance(value, dt.date):
            cells[name] = _date_text(value, sheet, settings.date_order)
        elif value is not None:
            cells[name] = cell_writer(plan, settings, sheet.separator)(value)
    headings = [heading.casefold() for heading in sheet.headings]
    for name, cell in cells.items():
        if name not in headings:
            what = f"The column {name} is missing, so that {quoted(cell)} has no place."
            raise RecordError(sheet.heading_fault(name, "table.column.missing", what, f"Add the heading {name} to it."))
    texts = [cells.get(heading, "") for heading in headings]
    return sheet.separator.join(texts + [""] * (sheet.width - len(texts)))


def _date_text(day: dt.date, sheet: Sheet, order: str) -> str:
    """Write a day like the last one of the file, where that form can be read in one way only."""
    place = [heading.casefold() for heading in sheet.headings].index("date")
    like = sheet.rows[-1][place].strip() if sheet.rows else ""
    year, month, date = f"{day.year:04}", f"{day.month:02}", f"{day.day:02}"
    if _BASIC.fullmatch(like):
        return year + month + date
    if (form := _YEAR_LAST.fullmatch(like)) and order in ("dmy", "mdy"):
        return form[1].join((date, month, year) if order == "dmy" else (month, date, year))
    form = _YEAR_FIRST.fullmatch(like)
    return (form[1] if form else "-").join((year, month, date))
