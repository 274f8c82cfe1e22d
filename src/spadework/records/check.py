"""What must agree between the rows of a table and between the tables of a book.

Only rows whose own cells are in order come here, so that one slip gives one fault. What is merely
assumed, or was probably forgotten, is a warning.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, TypeVar

from spadework.errors import Fault
from spadework.records.cells import closest
from spadework.records.columns import table_name
from spadework.records.maturity_group import maturity_group
from spadework.records.tables import TableReading
from spadework.records.types import (
    AppliedRow,
    DigRow,
    FieldLabResultRow,
    FieldRow,
    HandlingRow,
    InoculantForm,
    InoculationRow,
    NormalRow,
    ObservationRow,
    PlantRow,
    Record,
    Settings,
    SoilTestRow,
    StopRow,
    WeatherRow,
)
from spadework.records.units import MEASURES, from_inside

__all__ = ["Readings", "check_tables", "nameless_scorers", "repeated_keys"]

Readings = Mapping[type[Record], TableReading[Any]]
RowT = TypeVar("RowT", bound=Record)

_LONGEST_SEASON = dt.timedelta(days=400)
_LONGEST_EMERGENCE = dt.timedelta(days=120)
_MOST_SUGGESTIONS = 30
"""Names beyond this are not compared with all others: that takes time, and the slip is clear by then."""
_OF_A_FIELD = (
    DigRow,
    PlantRow,
    SoilTestRow,
    InoculationRow,
    HandlingRow,
    ObservationRow,
    AppliedRow,
    FieldLabResultRow,
    StopRow,
)


def check_tables(settings: Settings, readings: Readings) -> Iterator[Fault]:
    """Yield the faults between rows and between tables, those of single plants aside."""
    for reading in readings.values():
        yield from repeated_keys(reading.table, reading.rows, reading.file)
    fields = _rows(readings, FieldRow)
    yield from _unknown_fields(readings)
    yield from _field_faults(fields)
    yield from _dig_faults(_rows(readings, DigRow), fields, settings.today)
    yield from _plants_without_dig(readings, settings.today)
    yield from nameless_scorers(_rows(readings, PlantRow), PlantRow.file)
    yield from _station_faults(fields, readings)
    yield from _reversed_temperatures(_rows(readings, WeatherRow), settings)
    yield from _reversed_temperatures(_rows(readings, NormalRow), settings)
    yield from _months_missing(_rows(readings, NormalRow))
    yield from _soil_faults(_rows(readings, SoilTestRow), settings)
    yield from _inoculation_faults(_rows(readings, InoculationRow), fields)


def repeated_keys(table: type[Record], rows: Sequence[Record], file: str) -> Iterator[Fault]:
    """Yield a fault for each row whose key stands on an earlier row already."""
    first: dict[tuple[object, ...], int | None] = {}
    for row in rows:
        key = tuple([getattr(row, name) for name in table.key])
        if key not in first:
            first[key] = row.line
            continue
        named = ", ".join(f"{name} {value}" for name, value in zip(table.key, key, strict=True) if value is not None)
        yield Fault(
            file,
            row.line,
            table.key[-1],
            f"{table_name(table)}.row.twice",
            f"The row is there twice ({named}); the first one is on line {first[key]}.",
            f"Take one out, or correct what tells them apart: {', '.join(table.key)}.",
        )


def _rows(readings: Readings, table: type[RowT]) -> tuple[RowT, ...]:
    return readings[table].rows if table in readings else ()


def _unknown_fields(readings: Readings) -> Iterator[Fault]:
    reading = readings.get(FieldRow)
    if reading is None or not reading.usable:
        return
    known = [str(name) for name in reading.columns["field"] if name is not None]
    known_set = set(known)
    near: dict[str, str | None] = {}
    for table in _OF_A_FIELD:
        for row in readings[table].rows if table in readings else ():
            if row.field in known_set:
                continue
            if row.field not in near:
                near[row.field] = closest(row.field, known) if len(near) < _MOST_SUGGESTIONS else None
            yield Fault(
                table.file,
                row.line,
                "field",
                f"{table_name(table)}.field.unknown",
                f"Field '{row.field}' is not in fields.csv.",
                f"Did you mean {near[row.field]}? Otherwise add a row for {row.field} to fields.csv."
                if near[row.field]
                else f"Add a row for {row.field} to fields.csv, or correct the name.",
            )


def _field_faults(fields: Sequence[FieldRow]) -> Iterator[Fault]:
    for row in fields:
        if row.sown_on is not None and row.emerged_on is not None:
            if row.emerged_on < row.sown_on:
                yield Fault(
                    FieldRow.file,
                    row.line,
                    "emerged_on",
                    "fields.emergence.before_sowing",
                    f"Emerged on {row.emerged_on}, before it was sown on {row.sown_on}.",
                    "Correct one of the two days, or leave emerged_on empty if nobody saw it.",
                )
            elif row.emerged_on - row.sown_on > _LONGEST_EMERGENCE:
                yield Fault(
                    FieldRow.file,
                    row.line,
                    "emerged_on",
                    "fields.emergence.late",
                    f"Emerged on {row.emerged_on}, {(row.emerged_on - row.sown_on).days} days after sowing.",
                    f"Look at both days again (sown_on {row.sown_on}).",
                    severity="warning",
                )
        if row.sown_on is not None and row.host_last_year is not None and row.host_last_year > row.sown_on.year:
            yield Fault(
                FieldRow.file,
                row.line,
                "host_last_year",
                "fields.host_last_year.after_sowing",
                f"host_last_year is {row.host_last_year}, after the crop was sown on {row.sown_on}.",
                "Write the last year before this crop, or leave it empty.",
            )
        if row.host_grown_before is False and row.host_last_year is not None:
            yield Fault(
                FieldRow.file,
                row.line,
                "host_grown_before",
                "fields.host.contradicts",
                f"host_grown_before says no, but host_last_year says {row.host_last_year}.",
                "Correct one of the two.",
            )
        if row.maturity_group is not None and row.crop != "soybean":
            yield Fault(
                FieldRow.file,
                row.line,
                "maturity_group",
                "fields.maturity_group.not_soybean",
                f"The crop is {row.crop}, but maturity_group says '{row.maturity_group}'; it is passed over.",
                "Leave it empty; only soybean has maturity groups here.",
                severity="warning",
            )
        elif row.maturity_group is not None and maturity_group(row.maturity_group) is None:
            yield Fault(
                FieldRow.file,
                row.line,
                "maturity_group",
                "fields.maturity_group.unknown",
                f"Maturity group '{row.maturity_group}' is not understood; sums of warmth for all groups are taken.",
                "Write one of 000, 00, 0 and I to X or 1 to 10; a decimal is passed over.",
                severity="warning",
            )


def _dig_faults(digs: Sequence[DigRow], fields: Sequence[FieldRow], today: dt.date | None) -> Iterator[Fault]:
    by_name = {row.field: row for row in fields}
    units: dict[str, DigRow] = {}
    for row in digs:
        if today is not None and row.date > today:
            yield Fault(
                DigRow.file,
                row.line,
                "date",
                "digs.date.in_future",
                f"The dig is on {row.date}, but today is {today} in book.toml.",
                "Correct the day, or today in book.toml.",
            )
        field = by_name.get(row.field)
        if field is not None:
            yield from _dig_against_field(row, field)
        if row.counting_unit is not None:
            first = units.setdefault(row.field, row)
            if first.counting_unit is not row.counting_unit:
                yield Fault(
                    DigRow.file,
                    row.line,
                    "counting_unit",
                    "digs.counting_unit.differs",
                    f"{row.counting_unit}s were counted here, but {first.counting_unit}s on {first.date} "
                    f"(line {first.line}); the two digs cannot be compared.",
                    f"Correct one of them if it is a slip ({row.counting_unit}, {first.counting_unit}).",
                    severity="warning",
                )


def _dig_against_field(row: DigRow, field: FieldRow) -> Iterator[Fault]:
    if field.sown_on is not None and row.date < field.sown_on:
        yield Fault(
            DigRow.file,
            row.line,
            "date",
            "digs.date.before_sowing",
            f"The dig is on {row.date}, before field {row.field} was sown on {field.sown_on}.",
            f"Correct the day here, or sown_on in fields.csv line {field.line}.",
        )
    elif field.sown_on is not None and row.date - field.sown_on > _LONGEST_SEASON:
        yield Fault(
            DigRow.file,
            row.line,
            "date",
            "digs.date.long_after_sowing",
            f"The dig is on {row.date}, {(row.date - field.sown_on).days} days after field {row.field} "
            f"was sown on {field.sown_on}.",
            f"Look at the year here and in fields.csv line {field.line}.",
        )
    elif field.emerged_on is not None and row.date < field.emerged_on:
        yield Fault(
            DigRow.file,
            row.line,
            "date",
            "digs.date.before_emergence",
            f"The dig is on {row.date}, before half of the plants were up on {field.emerged_on}.",
            f"Look at the day here and at emerged_on in fields.csv line {field.line}.",
            severity="warning",
        )


def _plants_without_dig(readings: Readings, today: dt.date | None) -> Iterator[Fault]:
    """Yield a fault for each day of plants that has no row in digs.csv, or that is still to come and has none."""
    digs = readings.get(DigRow)
    if digs is not None and not digs.usable:
        return
    dug: dict[object, set[object]] = defaultdict(set)
    if digs is not None:
        for field, date in zip(digs.columns["field"], digs.columns["date"], strict=True):
            dug[field].add(date)
    seen: set[tuple[str, dt.date]] = set()
    for row in _rows(readings, PlantRow):
        if (row.field, row.date) in seen:
            continue
        seen.add((row.field, row.date))
        days = dug.get(row.field, set())
        if row.date in days:
            continue
        if today is not None and row.date > today:
            yield Fault(
                PlantRow.file,
                row.line,
                "date",
                "plants.date.in_future",
                f"Plants of field {row.field} were dug on {row.date}, but today is {today} in book.toml.",
                "Correct the day, or today in book.toml.",
            )
            continue
        if None in days:
            continue
        others = ", ".join(sorted(str(day) for day in days))
        yield Fault(
            PlantRow.file,
            row.line,
            "date",
            "plants.dig.missing",
            f"There is no row in digs.csv for field {row.field} on {row.date}: the stage seen and what was "
            "counted are not known.",
            f"Add that row, or correct the day; digs.csv has {others}." if others else "Add that row.",
            severity="warning",
        )


def nameless_scorers(rows: Sequence[PlantRow], file: str) -> Iterator[Fault]:
    """Warn of plants scored more than once where one of the rows does not say by whom."""
    named = {(row.field, row.date, row.stop, row.plant): row for row in rows if row.scorer is not None}
    for row in rows:
        other = named.get((row.field, row.date, row.stop, row.plant)) if row.scorer is None else None
        if other is not None:
            yield Fault(
                file,
                row.line,
                "scorer",
                "plants.scorer.missing",
                f"Plant {row.plant} of stop {row.stop} is there twice (line {other.line}, scorer {other.scorer}), "
                "here without a scorer.",
                "Write who scored it, or take the row out if it is the same score typed twice.",
                severity="warning",
            )


def _station_faults(fields: Sequence[FieldRow], readings: Readings) -> Iterator[Fault]:
    stations: set[str] = set()
    for table in (WeatherRow, NormalRow):
        reading = readings.get(table)
        if reading is not None and not reading.usable:
            return
        if reading is not None:
            stations.update(str(name) for name in reading.columns["station"] if name is not None)
    for row in fields:
        if row.station is None or row.station in stations:
            continue
        near = closest(row.station, stations)
        yield Fault(
            FieldRow.file,
            row.line,
            "station",
            "fields.station.unknown" if near else "fields.station.no_weather",
            f"Station '{row.station}' has no row in weather.csv or normals.csv.",
            f"Did you mean {near}? Otherwise add its weather."
            if near
            else f"Add the weather of {row.station} to weather.csv; until then there is no degree-day clock.",
            severity="error" if near else "warning",
        )


def _as_written(value: float, measure: str, settings: Settings) -> str:
    """Show a value in the unit of the book, as it stands in the cell."""
    unit = settings.units.get(measure, next(iter(MEASURES[measure])))
    return f"{from_inside(value, measure=measure, unit=unit):.6g} {unit}"


def _reversed_temperatures(rows: Sequence[WeatherRow] | Sequence[NormalRow], settings: Settings) -> Iterator[Fault]:
    for row in rows:
        if row.TMAX is not None and row.TMIN is not None and row.TMIN > row.TMAX:
            low, high = (_as_written(value, "temperature", settings) for value in (row.TMIN, row.TMAX))
            yield Fault(
                row.file,
                row.line,
                "TMIN",
                f"{table_name(type(row))}.temperature.reversed",
                f"TMIN ({low}) is above TMAX ({high}) at station {row.station}.",
                "Swap the two if they stand in each other's column, or leave the doubtful one empty.",
            )


def _months_missing(rows: Sequence[NormalRow]) -> Iterator[Fault]:
    months: dict[str, list[NormalRow]] = defaultdict(list)
    for row in rows:
        months[row.station].append(row)
    for station, known in months.items():
        missing = sorted(set(range(1, 13)) - {row.month for row in known})
        if missing:
            yield Fault(
                NormalRow.file,
                known[0].line,
                "month",
                "normals.month.missing",
                f"Station {station} lacks the normals of month {', '.join(map(str, missing))}.",
                "Add a row for each month; days ahead in those months cannot be looked at without it.",
                severity="warning",
            )


def _soil_faults(rows: Sequence[SoilTestRow], settings: Settings) -> Iterator[Fault]:
    for row in rows:
        if row.depth_bottom <= row.depth_top:
            top, bottom = (_as_written(value, "depth", settings) for value in (row.depth_top, row.depth_bottom))
            yield Fault(
                SoilTestRow.file,
                row.line,
                "depth_bottom",
                "soil_tests.depth.reversed",
                f"The sample ends at {bottom}, not below its start at {top}.",
                "Swap depth_top and depth_bottom, or correct them.",
            )
        if row.ph is not None and row.ph_method is None:
            yield Fault(
                SoilTestRow.file,
                row.line,
                "ph_method",
                "soil_tests.ph_method.missing",
                f"pH {row.ph:g} stands without its method; readings in water and in CaCl2 differ.",
                "Write water or cacl2, as the laboratory's sheet says.",
                severity="warning",
            )


def _inoculation_faults(rows: Sequence[InoculationRow], fields: Sequence[FieldRow]) -> Iterator[Fault]:
    sown = {row.field: row.sown_on for row in fields}
    for row in rows:
        sown_on = sown.get(row.field)
        if row.expires_on is not None and sown_on is not None and row.expires_on < sown_on:
            yield Fault(
                InoculationRow.file,
                row.line,
                "expires_on",
                "inoculation.expired",
                f"The inoculant expired on {row.expires_on}, before sowing on {sown_on}.",
                "Correct the day if it is a slip; if it is true, it is a lead for the diagnosis.",
                severity="warning",
            )
        details = [name for name in ("placement", "lot", "strain", "expires_on") if getattr(row, name) is not None]
        if row.form is InoculantForm.NONE and details:
            yield Fault(
                InoculationRow.file,
                row.line,
                details[0],
                "inoculation.none_with_details",
                f"The form is none, but {' and '.join(details)} {'is' if len(details) == 1 else 'are'} filled in.",
                "Correct the form (peat, liquid or granule), or leave the details empty.",
            )
