import datetime as dt
from typing import Annotated, ClassVar

import pytest
from pydantic import model_validator

from spadework.records.tables import read_table
from spadework.records.types import Column, CountRange, FieldRow, PlantRow, Record, Settings, WeatherRow

BARE = Settings(title="Tiny", season="2026")
FAHRENHEIT = Settings(title="Tiny", season="2026", units={"temperature": "degF", "rain": "in"})


def read(table, text, settings=BARE):
    return read_table(table, text.encode(), file=table.file, settings=settings)


def test_a_table_with_blanks_and_other_spellings_of_its_headings():
    reading = read(PlantRow, " Field ,DATE,stop,Plant,CROWN_nodules\n west , 2026-06-24 , 1 ,2, 11-20 \n")

    assert reading.faults == []
    assert reading.rows == (
        PlantRow(field="west", date=dt.date(2026, 6, 24), stop="1", plant="2", crown_nodules=CountRange(11, 20)),
    )
    assert reading.rows[0].line == 2


def test_columns_may_stand_in_any_order_and_optional_ones_may_be_missing():
    reading = read(WeatherRow, "RAIN;W_DATE;station\n3,5;2026-05-04;hill\n")

    assert reading.rows == (WeatherRow(station="hill", W_DATE=dt.date(2026, 5, 4), RAIN=3.5),)


def test_values_come_in_through_the_units_of_the_book():
    (row,) = read(WeatherRow, "station,W_DATE,TMAX,RAIN\nhill,2026-05-04,69.8,0.5\n", FAHRENHEIT).rows

    # (69.8 - 32) / 1.8 = 21; 0.5 in are 12.7 mm.
    assert (row.TMAX, row.RAIN) == (21.0, 12.7)


@pytest.mark.parametrize("marker", ["-99", "-99.0", "-99.99", "−99", "-99,0"])
def test_markers_in_weather_mean_not_recorded_and_say_so_once(marker):
    cell = f'"{marker}"'
    reading = read(WeatherRow, f"station,W_DATE,TMAX\nhill,2026-05-04,{cell}\nhill,2026-05-05,{cell}\n")

    assert [row.TMAX for row in reading.rows] == [None, None]
    (warning,) = reading.faults
    assert (warning.line, warning.severity) == (2, "warning")
    assert warning.what.startswith("2 cells say")


@pytest.mark.parametrize("text", ["-98", "-99.5", "-999", "-99x"])
def test_other_impossible_readings_are_no_markers(text):
    reading = read(WeatherRow, f"station,W_DATE,TMAX\nhill,2026-05-04,{text}\n")

    assert reading.faults[0].severity == "error"


def test_a_marker_means_nothing_outside_weather():
    assert read(FieldRow, "field,crop,latitude\nwest,pea,-99\n").faults[0].kind == "number.out_of_bounds"


def test_every_bad_cell_of_a_row_and_a_column_is_listed():
    reading = read(FieldRow, "field,crop,area,latitude\nwest,pea,-1,99\neast,rice,-1,10\nnorth,pea,1,10\n")

    assert [(fault.line, fault.column) for fault in reading.faults] == [
        (3, "crop"),
        (2, "area"),
        (3, "area"),
        (2, "latitude"),
    ] or sorted((fault.line, fault.column) for fault in reading.faults) == [
        (2, "area"),
        (2, "latitude"),
        (3, "area"),
        (3, "crop"),
    ]
    assert [row.field for row in reading.rows] == ["north"]


def test_values_of_rows_at_fault_are_still_known_by_column():
    reading = read(FieldRow, "field,crop\nwest,rice\neast,pea\n")

    assert reading.columns["field"] == ["west", "east"]
    assert reading.columns["crop"] == [None, "pea"]


def test_a_table_without_a_column_that_must_be_there_is_not_usable():
    reading = read(FieldRow, "field,area\nwest,-1\n")

    assert not reading.usable
    assert reading.rows == ()
    assert {fault.kind for fault in reading.faults} == {"table.column.missing", "number.out_of_bounds"}


def test_a_table_that_cannot_be_decoded_is_not_usable():
    reading = read_table(FieldRow, b"field,crop\nw\xe9st,pea\n", file="fields.csv", settings=BARE)

    assert not reading.usable
    assert [fault.kind for fault in reading.faults] == ["file.encoding"]


def test_a_column_that_stands_twice_is_read_from_the_first():
    reading = read(FieldRow, "field,crop,crop\nwest,pea,rice\n")

    assert [fault.kind for fault in reading.faults] == ["table.column.twice"]
    assert reading.columns["crop"] == ["pea"]


def test_mixed_marks_name_both_places_and_are_settled_by_a_declaration():
    text = "station;W_DATE;TMAX;TMIN\nhill;2026-05-04;17,5;4\nhill;2026-05-05;19;4.25\n"
    (fault,) = read(WeatherRow, text).faults

    assert (fault.kind, fault.line, fault.column) == ("number.mixed_marks", 3, "TMIN")
    assert "'17,5' (line 2)" in fault.what

    declared = Settings(title="Tiny", season="2026", decimal_mark="comma")
    assert [fault.kind for fault in read(WeatherRow, text, declared).faults] == ["number.decimal_mark"]


class Pair(Record):
    """Two texts that must differ: a rule that only the type knows."""

    file: ClassVar[str] = "pairs.csv"
    key: ClassVar[tuple[str, ...]] = ("one",)

    one: Annotated[str, Column("One", "a")]
    other: Annotated[str, Column("Other", "b")]

    @model_validator(mode="after")
    def differ(self):
        if self.one == self.other:
            raise ValueError("one and other are the same")
        return self


def test_the_row_type_has_the_last_word():
    reading = read(Pair, "one,other\na,b\nc,c\nd,e\n")

    assert [row.one for row in reading.rows] == ["a", "d"]
    (fault,) = reading.faults
    assert (fault.kind, fault.line) == ("row.refused", 3)
    assert "one and other are the same" in fault.what
