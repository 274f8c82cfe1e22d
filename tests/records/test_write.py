import dataclasses
import datetime as dt
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from tests.records.strategies import books

from spadework.records.new import example_book
from spadework.records.read import check_book
from spadework.records.types import CountRange, FieldRow, HandlingRow, PlantRow, Settings
from spadework.records.units import MEASURES
from spadework.records.write import number_text, table_text, write_book

UNDECLARED = Settings(title="Tiny", season="2026")


def files_of(folder):
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir())}


@hypothesis_settings(max_examples=60, suppress_health_check=list(HealthCheck))
@given(book=books())
def test_what_is_written_is_read_back_the_same(book, tmp_path_factory):
    folder = tmp_path_factory.mktemp("book")
    write_book(book, folder)

    again, faults = check_book(folder)

    assert [str(fault) for fault in faults if fault.severity == "error"] == []
    assert again == book


@hypothesis_settings(max_examples=15, suppress_health_check=list(HealthCheck))
@given(book=books())
def test_the_same_book_gives_the_same_bytes(book, tmp_path_factory):
    first, second = tmp_path_factory.mktemp("first"), tmp_path_factory.mktemp("second")
    write_book(book, first)
    again, _ = check_book(first)
    assert again is not None
    write_book(again, second)

    assert files_of(first) == files_of(second)


def test_only_tables_with_rows_are_written(tmp_path):
    none = dict.fromkeys(("weather", "normals", "inoculation", "applied", "stops", "boundaries"), ())
    book = dataclasses.replace(example_book(), **none)
    write_book(book, tmp_path)

    assert sorted(files_of(tmp_path)) == ["book.toml", "datapackage.json", "digs.csv", "fields.csv", "plants.csv"]


def test_a_table_that_lost_its_rows_does_not_come_back(tmp_path):
    write_book(example_book(), tmp_path)
    shorter = dataclasses.replace(example_book(), plants=())
    write_book(shorter, tmp_path)

    again, _ = check_book(tmp_path)

    assert again == shorter


def test_outlines_that_were_taken_out_do_not_come_back(tmp_path):
    write_book(example_book(), tmp_path)
    without = dataclasses.replace(example_book(), boundaries=())
    write_book(without, tmp_path)

    again, _ = check_book(tmp_path)

    assert again == without


def test_a_table_as_text():
    rows = (
        PlantRow(
            field="west",
            date=dt.date(2026, 6, 24),
            stop="1",
            plant="2",
            crown_nodules=CountRange(11, 20),
            lateral_nodules=CountRange(51, None),
            vigour=4.0,
            note='said "good", then\nleft',
        ),
    )

    assert table_text(PlantRow, rows, UNDECLARED) == (
        "field,date,stop,plant,scorer,crown_nodules,lateral_nodules,cut_open,red_pink,white,green_brown,"
        "size_class,vigour,leaf_old,leaf_young,root_health,note\n"
        'west,2026-06-24,1,2,,11-20,>50,,,,,,4,,,,"said ""good"", then\nleft"\n'
    )


@pytest.mark.parametrize(
    ("text", "cell"),
    [
        ("=1+1", "'=1+1"),
        ("+49 30", "'+49 30"),
        ("-", "'-"),
        ("@grower", "'@grower"),
        ("'=1", "''=1"),
        ("it's", "it's"),
        ("'quoted'", "'quoted'"),
    ],
)
def test_no_text_is_written_that_a_spreadsheet_would_run(text, cell):
    written = table_text(HandlingRow, [HandlingRow(field="west", step=1, what=text)], UNDECLARED)

    assert written.splitlines()[1].split(",")[2] == cell


def test_units_separator_and_decimal_mark_are_those_of_the_book():
    book = Settings(
        title="Tiny",
        season="2026",
        units={"temperature": "degF", "area": "ac", "depth": "in"},
        separator="semicolon",
        decimal_mark="comma",
    )
    # 5 cm is 5/2.54 in; 21 degC is 69.8 degF: by hand. 40.468564224 ha is 100 ac by definition.
    field = FieldRow(field="west", crop="pea", area=40.468564224, sowing_depth=6.35)
    step = HandlingRow(field="west", step=1, what="stored", temperature=21.0)

    assert table_text(FieldRow, [field], book).splitlines()[1] == "west;;;pea;;;100;;;2,5;;;;;;;"
    assert table_text(HandlingRow, [step], book).splitlines()[1] == "west;1;stored;;69,8;;;"


@given(
    value=st.decimals(-60, 60, places=2),
    unit=st.sampled_from([(measure, name) for measure, units in MEASURES.items() for name in units]),
)
def test_a_figure_that_was_typed_is_written_as_it_was_typed(value, unit):
    """With two decimals in any unit: the shortest text that is read as the same value is the one typed."""
    measure, name = unit
    source = MEASURES[measure][name]
    text = number_text(source.inward(Fraction(value)), source)

    assert Fraction(text) == Fraction(value)
