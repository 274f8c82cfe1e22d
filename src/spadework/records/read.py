"""Reading a book: a folder of plain files in, one ``Book`` out, or every fault that stands in the way."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

from spadework.errors import BookFaults, Fault, RecordError
from spadework.records.book_toml import BOOK_FILE, read_settings
from spadework.records.boundary import BOUNDARY_FILE, FieldBoundary
from spadework.records.cells import closest
from spadework.records.check import Readings, check_tables, nameless_scorers, repeated_keys
from spadework.records.check_plants import check_plants
from spadework.records.columns import columns_of, table_name
from spadework.records.dialect import read_bytes
from spadework.records.refusal import one_line
from spadework.records.tables import TableReading, read_table
from spadework.records.types import TABLES, Book, DigRow, FieldRow, PlantRow, Record, Settings, StopRow

__all__ = ["check_book", "check_plants_alone", "read_book"]

RowT = TypeVar("RowT", bound=Record)

_NO_SETTINGS = Settings(title="", season="")
_DECIDED_BY = {
    "number.two_ways": "files.decimal",
    "number.mixed_marks": "files.decimal",
    "date.two_ways": "dates.order",
}
_TABLE_ENDINGS = (".csv", ".tsv", ".txt", ".xlsx", ".xls", ".ods")
_MAP_ENDINGS = (".geojson", ".json", ".shp", ".kml", ".kmz", ".gpx", ".gpkg")


def read_book(folder: Path) -> Book:
    """Read a book. Raises BookFaults with every fault (and warning) if any fault stands in the way."""
    book, faults = check_book(folder)
    if book is None:
        raise BookFaults(faults)
    return book


def check_book(folder: Path) -> tuple[Book | None, tuple[Fault, ...]]:
    """Read a book and list all its faults and warnings; the book is None where one of them is an error."""
    try:
        files = sorted(path.name for path in folder.iterdir())
    except OSError as error:
        fault = Fault(
            folder.name,
            None,
            None,
            "book.folder",
            f"The folder {folder} cannot be opened: {(error.strerror or 'unknown reason').lower()}.",
            "Name the folder that holds book.toml; `spadework new` makes one.",
        )
        return None, (fault,)
    settings, faults = _settings(folder, files)
    readings: dict[type[Record], TableReading[Any]] = {}
    for table in TABLES:
        if table.file in files:
            readings[table] = _table(folder / table.file, table, settings or _NO_SETTINGS)
    faults += _file_faults(files, readings)
    for reading in readings.values():
        faults += _founded(reading.faults, faults, reading.table)
    faults += check_tables(settings or _NO_SETTINGS, readings)
    if PlantRow in readings:
        units = {(row.field, row.date): row.counting_unit for row in _rows(readings, DigRow)}
        plants, plant_faults = check_plants(readings[PlantRow].rows, file=PlantRow.file, counting_units=units)
        readings[PlantRow] = replace(readings[PlantRow], rows=plants)
        faults += plant_faults
    boundaries, ground_faults = _ground(folder, files, readings)
    listed = _in_order([*faults, *ground_faults])
    if settings is None or any(fault.severity == "error" for fault in listed):
        return None, listed
    tables = {table_name(table): _rows(readings, table) for table in TABLES}
    return Book(settings, **tables, boundaries=boundaries), listed


def check_plants_alone(path: Path) -> tuple[tuple[PlantRow, ...] | None, tuple[Fault, ...]]:
    """Read a plants table that stands without a book and list all faults; no rows where one is an error."""
    reading = _table(path, PlantRow, _NO_SETTINGS)
    rows, plant_faults = check_plants(reading.rows, file=path.name, counting_units={})
    faults = [
        *reading.faults,
        *repeated_keys(PlantRow, rows, path.name),
        *nameless_scorers(rows, path.name),
        *plant_faults,
    ]
    if reading.usable and not reading.columns["field"]:
        faults.append(_no_rows(path.name, "plant"))
    listed = _in_order(faults)
    return (None if any(fault.severity == "error" for fault in listed) else rows), listed


def _rows(readings: Readings, table: type[Record]) -> tuple[Any, ...]:
    return readings[table].rows if table in readings else ()


def _table(path: Path, table: type[RowT], settings: Settings) -> TableReading[RowT]:
    try:
        return read_table(table, read_bytes(path), file=path.name, settings=settings)
    except RecordError as error:
        return TableReading(table, path.name, faults=[error.fault], usable=False)


def _ground(folder: Path, files: Sequence[str], readings: Readings) -> tuple[tuple[FieldBoundary, ...], list[Fault]]:
    """Read the outlines of fields and check them and the positions of stops; most books have neither."""
    faults = _misnamed_outlines(files)
    if BOUNDARY_FILE not in files and not _rows(readings, StopRow):
        return (), faults
    # Imported here, as the libraries for geometry are slow to load.
    from spadework.records.check_ground import check_boundaries, check_stops  # noqa: PLC0415
    from spadework.records.read_boundaries import read_boundaries  # noqa: PLC0415

    boundaries: tuple[FieldBoundary, ...] = ()
    if BOUNDARY_FILE in files:
        try:
            boundaries, found = read_boundaries(read_bytes(folder / BOUNDARY_FILE))
        except RecordError as error:
            found = [error.fault]
        faults += found
    fields = readings[FieldRow].rows if FieldRow in readings and readings[FieldRow].usable else None
    faults += check_boundaries(boundaries, fields)
    faults += check_stops(_rows(readings, StopRow), boundaries, fields or (), _rows(readings, PlantRow))
    return boundaries, faults


def _misnamed_outlines(files: Sequence[str]) -> list[Fault]:
    """Look for outlines under another name, or in another format, where those of the book are not there."""
    if BOUNDARY_FILE in files:
        return []
    stem = Path(BOUNDARY_FILE).stem
    return [
        Fault(
            one_line(file),
            None,
            None,
            "book.boundaries.misnamed",
            f"The file {one_line(file)} was not read.",
            f"If it holds the outlines of the fields, save them as GeoJSON under the name {BOUNDARY_FILE}.",
            severity="warning",
        )
        for file in files
        if Path(file).suffix.lower() in _MAP_ENDINGS and closest(Path(file).stem, [stem], likeness=0.75)
    ]


def _settings(folder: Path, files: Sequence[str]) -> tuple[Settings | None, list[Fault]]:
    if BOOK_FILE not in files:
        fault = Fault(
            BOOK_FILE,
            None,
            None,
            "book.settings.missing",
            "The folder holds no book.toml.",
            'Write one with [book], title = "..." and season = "..."; `spadework new` makes an example.',
        )
        return None, [fault]
    try:
        return read_settings(read_bytes(folder / BOOK_FILE))
    except RecordError as error:
        return None, [error.fault]


def _file_faults(files: Sequence[str], readings: Readings) -> list[Fault]:
    """Look for a missing fields table and for tables that go by another name."""
    faults = []
    if FieldRow not in readings:
        faults.append(
            Fault(
                FieldRow.file,
                None,
                None,
                "book.fields.missing",
                "The folder holds no fields.csv.",
                "Write one with a row for each field; field and crop are the columns that it must have.",
            )
        )
    elif readings[FieldRow].usable and not readings[FieldRow].columns["field"]:
        faults.append(_no_rows(FieldRow.file, "field"))
    absent = [table_name(table) for table in TABLES if table not in readings]
    known = {table.file for table in TABLES}
    for file in files:
        stem, ending = Path(file).stem, Path(file).suffix.lower()
        if file in known or ending not in _TABLE_ENDINGS or stem.startswith((".", "~")):
            continue
        near = closest(stem, absent, likeness=0.75)
        if near is not None:
            faults.append(
                Fault(
                    one_line(file),
                    None,
                    None,
                    "book.table.misnamed",
                    f"The file {one_line(file)} is not one of the tables of a book, and was not read.",
                    f"Is it the table {near}? Then save it as 'CSV UTF-8' under the name {near}.csv.",
                )
            )
        elif ending == ".csv":
            faults.append(
                Fault(
                    one_line(file),
                    None,
                    None,
                    "book.table.unknown",
                    f"The file {one_line(file)} is not one of the tables of a book, and was not read.",
                    f"Move it elsewhere, or rename it to one of: {', '.join(table.file for table in TABLES)}.",
                    severity="warning",
                )
            )
    return faults


def _no_rows(file: str, what: str) -> Fault:
    return Fault(
        file, None, None, "table.no_rows", "There is a heading line but no row below it.", f"Add a row for each {what}."
    )


def _founded(faults: Iterable[Fault], settings_faults: list[Fault], table: type[Record]) -> list[Fault]:
    """Leave out faults that may only follow from a fault in book.toml, such as a unit that was mistyped."""
    at_fault = {fault.column for fault in settings_faults if fault.file == BOOK_FILE}
    says_nothing = None in at_fault
    measures = {plan.name: f"units.{plan.measure}" for plan in columns_of(table) if plan.measure}

    def doubtful(fault: Fault) -> bool:
        setting = _DECIDED_BY.get(fault.kind)
        if fault.kind == "number.out_of_bounds":
            setting = measures.get(fault.column or "")
        return setting is not None and (says_nothing or setting in at_fault)

    return [fault for fault in faults if not doubtful(fault)]


def _in_order(faults: Iterable[Fault]) -> tuple[Fault, ...]:
    """Sort by file as read, then line, then column."""
    files = {name: place for place, name in enumerate((BOOK_FILE, *(table.file for table in TABLES), BOUNDARY_FILE))}
    columns = {(table.file, plan.name): place for table in TABLES for place, plan in enumerate(columns_of(table))}
    return tuple(
        sorted(
            faults,
            key=lambda fault: (
                files.get(fault.file, len(files)),
                fault.file,
                fault.line or 0,
                columns.get((fault.file, fault.column or ""), -1),
                fault.kind,
                fault.what,
            ),
        )
    )
