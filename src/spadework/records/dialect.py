"""From bytes to rows of cells: encodings, line ends, separators, quotes. Knows nothing of what cells mean."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from spadework.errors import Fault, RecordError
from spadework.records.refusal import quoted

__all__ = ["SEPARATORS", "Sheet", "decode", "line_at", "read_bytes", "read_sheet"]

SEPARATORS = {"comma": ",", "semicolon": ";", "tab": "\t"}
"""Separators by the name that book.toml gives them."""

_LINE_END = re.compile(rb"\r\n|\r|\n")
_SPREADSHEET_HINT = re.compile(r"sep=(.)[\r\n]+", re.IGNORECASE)
_QUOTE_MEND = 'Put the whole cell between quotation marks and double each one inside it ("2"" pipe"), or take them out.'


@dataclass(frozen=True)
class Sheet:
    """A table as text: headings as written (trimmed), one list of cells a row, and the line each row starts on.

    ``separator`` parts the cells; ``width`` is how many a row may have, empty ones beyond the headings with them.
    """

    file: str
    separator: str
    width: int
    headings: tuple[str, ...]
    heading_line: int
    rows: list[list[str]]
    lines: list[int]
    faults: list[Fault]

    def heading_fault(self, column: str | None, kind: str, what: str, mend: str) -> Fault:
        """Build a fault of the heading line."""
        return Fault(self.file, self.heading_line, column, kind, what, mend)


_LONGEST_CELL = 131_072
"""Characters of the longest cell that is read; held here, since any library may move the limit of the csv module."""


def read_bytes(path: Path) -> bytes:
    """Read a file; raises RecordError where it cannot be opened."""
    try:
        return path.read_bytes()
    except OSError as error:
        reason = (error.strerror or "unknown reason").lower()
        raise _whole(
            path.name,
            "file.unreadable",
            f"The file cannot be read: {reason}.",
            f"Make {path.name} a plain file that you may read, and close it in other programs.",
        ) from error


def decode(data: bytes, file: str) -> str:
    """Turn bytes into text; raises RecordError for anything but UTF-8 (with or without BOM) and for NUL."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise _whole(
            file,
            "file.encoding",
            "The file is saved as UTF-16.",
            "Save it again as 'CSV UTF-8', which is what is read here.",
            line=1,
        )
    nul = data.find(b"\0")
    if nul >= 0:
        raise _whole(
            file,
            "file.nul_byte",
            "The line holds a NUL byte (0x00), which no text file has.",
            "The file is damaged or no CSV at all (a spreadsheet's own format?): save it again as 'CSV UTF-8'.",
            line=line_at(data, nul),
        )
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        start = error.start + (3 if data.startswith(b"\xef\xbb\xbf") else 0)
        byte = data[start : start + 1]
        guess = byte.decode("cp1252", errors="ignore")
        raise _whole(
            file,
            "file.encoding",
            f"The line holds byte 0x{byte.hex().upper()}, which is not UTF-8"
            + (f"; in Windows-1252 it would be '{guess}'." if guess else "."),
            "Save the file again as 'CSV UTF-8', which is what is read here.",
            line=line_at(data, start),
        ) from error


def line_at(data: bytes, position: int) -> int:
    """Return the line (from 1) on which a byte stands, counted as an editor does."""
    return len(_LINE_END.findall(data, 0, position)) + 1


def read_sheet(text: str, *, file: str, known: Sequence[str], separator: str | None = None) -> Sheet:
    """Split text into a sheet.

    ``known`` holds the column names of the table: the separator (comma, semicolon or tab) is the one that
    splits the heading line into most of them, unless ``separator`` names one. Blank rows are passed over,
    empty columns at the right are dropped (not so where a single row has more of them). Rows that do not
    fit the headings are left out and come back as faults. Raises RecordError where there is no heading line.
    """
    body, skipped, separator = _without_hint(text, separator)
    if separator is None:
        separator = _separator_of(body, known)
    faults: list[Fault] = []
    records = _records(body, separator, skipped, file, faults)
    heading = next(((line, cells) for line, cells in records if any(map(str.strip, cells))), None)
    if heading is None:
        raise _whole(
            file,
            "file.empty",
            "The file holds no heading line.",
            f"Let the first line name the columns ({', '.join(known[:3])}, ...).",
        )
    heading_line, cells = heading
    headings = [cell.strip() for cell in cells]
    while headings and not headings[-1]:
        headings.pop()
    width = len(headings)
    filled = [(line, row) for line, row in records if any(row) and any(map(str.strip, row))]
    widest = _widest(len(cells), width, [row for _, row in filled])
    sheet = Sheet(file, separator, widest, tuple(headings), heading_line, [], [], faults)
    for line, row in filled:
        if len(row) != width:
            fault = (
                _few_cells(row, width, file, line, separator)
                if len(row) < width
                else _extra_cells(row, width, widest, file, line)
            )
            if fault is not None:
                faults.append(fault)
                continue
            del row[width:]
        sheet.rows.append(row)
        sheet.lines.append(line)
    return sheet


def _widest(as_written: int, width: int, rows: Sequence[Sequence[str]]) -> int:
    """Return how many cells a row may have, those beyond the headings being empty.

    That is as many as the heading line has, or as all rows have alike. A single longer row is another matter:
    a decimal comma may have pushed its cells to the right, over an empty one.
    """
    alike = {len(row) for row in rows}
    if len(alike) == 1 and not any(cell.strip() for row in rows for cell in row[width:]):
        return max(as_written, *alike)
    return as_written


def _whole(file: str, kind: str, what: str, mend: str, line: int | None = None) -> RecordError:
    return RecordError(Fault(file, line, None, kind, what, mend))


def _without_hint(text: str, separator: str | None) -> tuple[str, int, str | None]:
    """Take off the first line ``sep=;`` that spreadsheets write: the rest, lines taken, the separator."""
    hint = _SPREADSHEET_HINT.match(text)
    if hint is None or hint[1] not in SEPARATORS.values():
        return text, 0, separator
    end = re.compile(r"\r\n|\r|\n").search(text)
    assert end is not None  # noqa: S101 - the hint ended with one
    return text[end.end() :], 1, separator or hint[1]


def _separator_of(text: str, known: Sequence[str]) -> str:
    heading = next((line for line in io.StringIO(text, newline="") if line.strip(" \t,;\r\n")), "")
    wanted = {name.casefold() for name in known}

    def names_found(separator: str) -> tuple[int, int]:
        cells = [cell.strip().strip('"').casefold() for cell in heading.split(separator)]
        return len(wanted.intersection(cells)), len(cells)

    return max(SEPARATORS.values(), key=names_found)


def _records(
    text: str, separator: str, skipped: int, file: str, faults: list[Fault]
) -> Iterator[tuple[int, list[str]]]:
    """Yield each record with the line it starts on; what cannot be split becomes a fault."""
    reader = csv.reader(
        io.StringIO(text, newline=""), delimiter=separator, strict=True, skipinitialspace=separator != "\t"
    )
    while True:
        start = reader.line_num + 1
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            in_step = reader.line_num == start and "field larger" not in str(error)
            faults.append(_quote_fault(file, start + skipped, str(error), in_step))
            if not in_step:
                return
            continue
        if any(len(cell) > _LONGEST_CELL for cell in cells):
            faults.append(_quote_fault(file, start + skipped, "field larger", in_step=True))
            continue
        yield start + skipped, cells


def _quote_fault(file: str, line: int, error: str, in_step: bool) -> Fault:
    rest = "" if in_step else " The rows below it could not be looked at."
    if "field larger" in error:
        what, kind = f"A cell of more than {_LONGEST_CELL:,} characters starts in this row.", "cell.too_long"
    elif "unexpected end" in error:
        what, kind = "A quotation mark opens a cell in this row and no other one closes it.", "quote.unclosed"
    else:
        what, kind = "A quoted cell in this row goes on after its closing quotation mark.", "quote.stray"
    return Fault(file, line, None, f"file.{kind}", what + rest, _QUOTE_MEND)


def _few_cells(row: Sequence[str], width: int, file: str, line: int, separator: str) -> Fault:
    name = next(name for name, sign in SEPARATORS.items() if sign == separator)
    return Fault(
        file,
        line,
        None,
        "table.row.few_cells",
        f"The row has {len(row)} cells under {width} headings.",
        f"Add the missing cells; one with nothing in it still needs its separator ({name}).",
    )


def _extra_cells(row: Sequence[str], width: int, widest: int, file: str, line: int) -> Fault | None:
    extra = next((cell.strip() for cell in row[width:] if cell.strip()), None)
    if extra is None and len(row) <= widest:
        return None
    mend = 'Put cells that hold the separator between quotation marks ("3,5"), or '
    return Fault(
        file,
        line,
        None,
        "table.row.extra_cells",
        f"The row has {len(row)} cells under {width} headings; "
        + ("its last ones are empty, unlike other rows." if extra is None else f"{quoted(extra)} has no column."),
        mend + ("take out the surplus separators at its end." if extra is None else "add the missing heading."),
    )
