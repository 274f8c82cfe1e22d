"""From a sheet of text to the rows of one table, with every fault of every cell.

Works column by column: each distinct text of a column is converted once, which is what makes tens of
thousands of rows a matter of a second.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any, Generic, TypeVar

from pydantic import TypeAdapter, ValidationError

from spadework.errors import Fault, RecordError
from spadework.records.cells import CellRules, closest, converter
from spadework.records.columns import ColumnPlan, Kind, columns_of
from spadework.records.dialect import SEPARATORS, Sheet, decode, read_sheet
from spadework.records.refusal import Refused, one_line, quoted
from spadework.records.types import Record, Settings, WeatherRow

__all__ = ["WEATHER_MISSING", "TableReading", "read_table"]

RowT = TypeVar("RowT", bound=Record)

WEATHER_MISSING = ("-99", "-99.0", "-99.99")
"""What daily weather files write for a reading that is not there."""

_MARKERS = frozenset(Fraction(text) for text in WEATHER_MISSING)


@dataclass(frozen=True)
class TableReading(Generic[RowT]):
    """What was found in one table: the rows without fault, all faults, and the values of every row by column.

    ``columns`` holds ``None`` where a cell is empty or at fault. ``usable`` is False where the table as a
    whole could not be read, so that nothing may be concluded from what is not in it.
    """

    table: type[RowT]
    file: str
    rows: tuple[RowT, ...] = ()
    faults: list[Fault] = field(default_factory=list)
    columns: Mapping[str, Sequence[object]] = field(default_factory=dict)
    usable: bool = True


def read_table(table: type[RowT], data: bytes, *, file: str, settings: Settings) -> TableReading[RowT]:
    """Read one table from the bytes of its file, by the units, date order and marks of the book."""
    plans = {plan.name: plan for plan in columns_of(table)}
    separator = SEPARATORS[settings.separator] if settings.separator is not None else None
    try:
        sheet = read_sheet(decode(data, file), file=file, known=list(plans), separator=separator)
    except RecordError as error:
        return TableReading(table, file, faults=[error.fault], usable=False)
    places = _places(sheet, plans)
    absent = [plan for plan in plans.values() if plan.required and plan.name not in places]
    sheet.faults.extend([_missing_column(sheet, plan) for plan in absent])
    texts = {name: [row[place].strip() for row in sheet.rows] for name, place in places.items()}
    rules = CellRules(settings.date_order, settings.decimal_mark)
    at_fault: set[int] = set()
    columns: dict[str, list[object]] = {}
    for name, cells in texts.items():
        plan = plans[name]
        unit = settings.units.get(plan.measure) if plan.measure is not None else None
        markers = _missing_markers(cells) if table is WeatherRow and plan.kind is Kind.NUMBER else frozenset()
        if markers:
            sheet.faults.append(_marker_warning(sheet, name, cells, markers))
        values, refusals = _converted(set(cells) - markers, plan, converter(plan, rules, unit))
        columns[name] = [values.get(text) for text in cells]
        if refusals:
            at_fault.update(_report(sheet, name, cells, refusals))
    if settings.decimal_mark is None:
        numbers = {
            name: [text if value is not None else "" for text, value in zip(cells, columns[name], strict=True)]
            for name, cells in texts.items()
            if plans[name].kind is Kind.NUMBER
        }
        sheet.faults.extend(_mixed_marks(sheet, numbers))
    rows = () if absent else _rows(table, columns, sheet, at_fault)
    return TableReading(table, file, rows, sheet.faults, columns, usable=not absent)


def _places(sheet: Sheet, plans: Mapping[str, ColumnPlan]) -> dict[str, int]:
    """Return where each known column stands; unknown, doubled and unnamed headings become faults."""
    by_folded = {name.casefold(): name for name in plans}
    places: dict[str, int] = {}
    for place, heading in enumerate(sheet.headings):
        name = by_folded.get(heading.casefold())
        if not heading:
            sheet.faults.extend(_unnamed_column(sheet, place))
        elif name is None:
            near = closest(heading.replace(" ", "_"), [name for name in plans if name not in places])
            sheet.faults.append(
                sheet.heading_fault(
                    one_line(heading),
                    "table.column.unknown",
                    f"There is no column called {quoted(heading)} in this table.",
                    (f"Did you mean {near}? " if near else "") + f"Columns: {', '.join(plans)}.",
                )
            )
        elif name in places:
            sheet.faults.append(
                sheet.heading_fault(
                    name,
                    "table.column.twice",
                    f"Two columns are called {name} (column {places[name] + 1} and column {place + 1}).",
                    "Take one of them out.",
                )
            )
        else:
            places[name] = place
    return places


def _unnamed_column(sheet: Sheet, place: int) -> list[Fault]:
    filled = next((row[place].strip() for row in sheet.rows if row[place].strip()), None)
    if filled is None:
        return []
    what = f"Column {place + 1} has cells ({quoted(filled)}) but no heading."
    return [sheet.heading_fault(None, "table.column.unnamed", what, "Name it, or take the column out.")]


def _missing_column(sheet: Sheet, plan: ColumnPlan) -> Fault:
    meaning = plan.meaning.description
    return sheet.heading_fault(
        plan.name,
        "table.column.missing",
        f"The column {plan.name} is missing ({meaning[:1].lower() + meaning[1:]}).",
        f"Add the heading {plan.name} and fill it in, for example with {plan.meaning.example}.",
    )


def _converted(
    texts: set[str], plan: ColumnPlan, convert: Callable[[str], object]
) -> tuple[dict[str, object], dict[str, Refused]]:
    """Convert the distinct texts of a column; what is refused is in the second result."""
    values: dict[str, object] = {}
    refusals: dict[str, Refused] = {}
    for text in texts:
        try:
            if text:
                values[text] = convert(text)
            elif plan.required:
                raise Refused(
                    "cell.required",
                    f"The cell is empty, but every row needs {plan.name}.",
                    f"Fill it in, for example with {plan.meaning.example}, or take the row out.",
                )
        except Refused as refused:
            refusals[text] = refused
    return values, refusals


def _report(sheet: Sheet, name: str, cells: list[str], refusals: Mapping[str, Refused]) -> list[int]:
    """Add a fault for each cell that was refused, and return the rows they stand in."""
    rows = [index for index, text in enumerate(cells) if text in refusals]
    for index in rows:
        refused = refusals[cells[index]]
        sheet.faults.append(Fault(sheet.file, sheet.lines[index], name, refused.kind, refused.what, refused.mend))
    return rows


def _missing_markers(cells: list[str]) -> frozenset[str]:
    return frozenset(text for text in set(cells) if text.startswith(("-99", "−99")) and _is_marker(text))


def _is_marker(text: str) -> bool:
    try:
        return Fraction(text.replace("−", "-").replace(",", ".")) in _MARKERS
    except (ValueError, ZeroDivisionError):
        return False


def _marker_warning(sheet: Sheet, name: str, cells: list[str], markers: frozenset[str]) -> Fault:
    where = [index for index, text in enumerate(cells) if text in markers]
    how_many = "1 cell says" if len(where) == 1 else f"{len(where)} cells say"
    return Fault(
        sheet.file,
        sheet.lines[where[0]],
        name,
        "weather.missing_marker",
        f"{how_many} {quoted(cells[where[0]])}, which is taken as 'not recorded'.",
        "Leave such cells empty to be rid of this warning.",
        severity="warning",
    )


def _mixed_marks(sheet: Sheet, numbers: Mapping[str, list[str]]) -> list[Fault]:
    """Find numbers with a decimal comma beside numbers with a decimal point: one of the two is no decimal mark."""
    first: dict[str, tuple[int, str, str]] = {}
    for name, cells in numbers.items():
        for mark in ",.":
            found = next((index for index, text in enumerate(cells) if text.count(mark) == 1), None)
            if found is not None and (mark not in first or found < first[mark][0]):
                first[mark] = (found, name, cells[found])
    if len(first) < 2:
        return []
    other, (index, name, text) = sorted(first.values())
    return [
        Fault(
            sheet.file,
            sheet.lines[index],
            name,
            "number.mixed_marks",
            f"{quoted(text)} stands in the same table as {quoted(other[2])} (line {sheet.lines[other[0]]}): "
            "decimal comma and decimal point are mixed.",
            'Write all numbers with one mark, or declare it in book.toml: [files] decimal = "point" (or "comma").',
        )
    ]


def _rows(
    table: type[RowT], columns: Mapping[str, Sequence[object]], sheet: Sheet, at_fault: set[int]
) -> tuple[RowT, ...]:
    """Build the rows that have no fault; Pydantic has the last word on each."""
    names = (*columns, "line")
    records: list[dict[str, Any]] = [
        dict(zip(names, values, strict=True))
        for index, values in enumerate(zip(*columns.values(), sheet.lines, strict=True))
        if index not in at_fault
    ]
    door = TypeAdapter(list[table])  # type: ignore[valid-type]
    try:
        return tuple(door.validate_python(records))
    except ValidationError as error:
        refused: set[int] = set()
        for detail in error.errors(include_url=False, include_context=False):
            index, *column = detail["loc"]
            refused.add(int(index))
            sheet.faults.append(
                Fault(
                    sheet.file,
                    records[int(index)]["line"],
                    str(column[0]) if column else None,
                    "row.refused",
                    f"The row cannot be used: {detail['msg']} (seen: {quoted(str(detail['input']))}).",
                    "Correct the cell; `spadework table-schema` says what each column may hold.",
                )
            )
        kept = [record for index, record in enumerate(records) if index not in refused]
        return tuple(door.validate_python(kept))
