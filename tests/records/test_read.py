import datetime as dt

import pytest
from tests.records.tiny import BOOK, DIGS, FIELDS, PLANTS, WEATHER, tiny_book

from spadework.knowledge.rows import Crop
from spadework.records.read import check_book, check_plants_alone, read_book
from spadework.records.types import CountingUnit, CountRange, DigRow, FieldRow, PlantRow, WeatherRow


def test_a_book_as_values(tmp_path):
    book = read_book(tiny_book(tmp_path))

    assert book.settings.title == "Tiny"
    assert book.fields == (
        FieldRow(
            field="west",
            crop=Crop.PEA,
            sown_on=dt.date(2026, 5, 4),
            emerged_on=dt.date(2026, 5, 18),
            station="hill",
        ),
    )
    assert book.digs == (
        DigRow(field="west", date=dt.date(2026, 6, 24), stage_bbch=61, counting_unit=CountingUnit.NODULE),
    )
    assert book.plants[0] == PlantRow(
        field="west",
        date=dt.date(2026, 6, 24),
        stop="1",
        plant="1",
        crown_nodules=CountRange(12, 12),
        lateral_nodules=CountRange(11, 20),
        cut_open=5,
        red_pink=4,
        white=1,
        green_brown=0,
        vigour=4.0,
    )
    assert book.weather[1] == WeatherRow(station="hill", W_DATE=dt.date(2026, 5, 5), TMAX=19.0, TMIN=5.0, RAIN=0.0)
    assert book.soil_tests == ()


def test_fields_alone_make_a_book(tmp_path):
    book = read_book(tiny_book(tmp_path, digs=None, plants=None, weather=None, fields="field,crop\nwest,pea\n"))

    assert book.plants == ()


@pytest.mark.parametrize(
    "change",
    [
        lambda text: text.replace("\n", "\r\n"),
        lambda text: text.replace("\n", "\r"),
        lambda text: "\ufeff" + text,
        lambda text: text.replace(",", ";"),
        lambda text: text.replace(",", "\t"),
        lambda text: text.replace("\n", ",,\n"),
        lambda text: text.replace("\n", "\n\n"),
        lambda text: text.rstrip("\n"),
        lambda text: text.replace(",", " , "),
        lambda text: text.replace(",", ";").replace(".", ","),
        lambda text: "sep=;\n" + text.replace(",", ";"),
    ],
    ids=[
        "CRLF",
        "CR",
        "BOM",
        "semicolon",
        "tab",
        "empty columns",
        "blank rows",
        "no last end",
        "blanks",
        "comma",
        "sep",
    ],
)
def test_other_ways_to_write_the_same_tables(change, tmp_path):
    files = {"fields": FIELDS, "digs": DIGS, "plants": PLANTS, "weather": WEATHER}
    other = tiny_book(tmp_path / "other", **{name: change(text) for name, text in files.items()})

    assert read_book(other) == read_book(tiny_book(tmp_path / "plain"))


def test_dates_and_units_as_declared(tmp_path):
    # 63.5 degF is 17.5 degC, 39.2 is 4, 66.2 is 19, 41 is 5; 3.2 mm are 16/127 in, so 0.5 in here instead.
    book = read_book(
        tiny_book(
            tmp_path,
            book=BOOK + '[units]\ntemperature = "degF"\nrain = "in"\n[dates]\norder = "dmy"\n',
            weather="station,W_DATE,TMAX,TMIN,RAIN\nhill,04/05/2026,63.5,39.2,0.5\nhill,05/05/2026,66.2,41,0\n",
        )
    )

    assert book.weather == (
        WeatherRow(station="hill", W_DATE=dt.date(2026, 5, 4), TMAX=17.5, TMIN=4.0, RAIN=12.7),
        WeatherRow(station="hill", W_DATE=dt.date(2026, 5, 5), TMAX=19.0, TMIN=5.0, RAIN=0.0),
    )


def test_warnings_do_not_stop_a_book(tmp_path):
    folder = tiny_book(tmp_path, digs=None)

    book, faults = check_book(folder)

    assert [fault.severity for fault in faults] == ["warning"]
    assert book == read_book(folder)


def test_a_mistyped_name_of_a_table_is_only_suspected_where_that_table_is_missing(tmp_path):
    folder = tiny_book(tmp_path)
    for name in ("plants.xlsx", "plants-old.csv", "notes.txt", ".~lock.plants.csv", "datapackage.json"):
        (folder / name).write_text("x", encoding="utf-8")

    _, faults = check_book(folder)

    assert [(fault.kind, fault.file) for fault in faults] == [("book.table.unknown", "plants-old.csv")]


@pytest.mark.parametrize("name", ["Plants.csv", "plant.csv", "plants.xlsx", "plants.txt"])
def test_a_mistyped_name_of_a_missing_table_is_a_fault(name, tmp_path):
    folder = tiny_book(tmp_path, plants=None)
    (folder / name).write_text(PLANTS, encoding="utf-8")

    _, (fault,) = check_book(folder)

    assert (fault.kind, fault.file) == ("book.table.misnamed", name)
    assert "plants.csv" in fault.mend


def test_plants_without_a_book(tmp_path):
    path = tmp_path / "dug in june.csv"
    path.write_text(PLANTS, encoding="utf-8")

    rows, faults = check_plants_alone(path)

    assert faults == ()
    assert rows == read_book(tiny_book(tmp_path / "book")).plants


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        (PLANTS + PLANTS.splitlines()[1] + "\n", "plants.row.twice"),
        (PLANTS.replace("5,4,1,0", "5,4,2,0"), "plants.colour.more_than_cut"),
        (PLANTS.splitlines()[0], "table.no_rows"),
        ("", "file.empty"),
    ],
)
def test_faults_of_plants_without_a_book_name_their_file(text, kind, tmp_path):
    path = tmp_path / "dug.csv"
    path.write_text(text, encoding="utf-8")

    rows, faults = check_plants_alone(path)

    assert rows is None
    assert [(fault.kind, fault.file) for fault in faults] == [(kind, "dug.csv")]


def test_plants_that_are_not_there(tmp_path):
    rows, (fault,) = check_plants_alone(tmp_path / "gone.csv")

    assert rows is None
    assert str(fault).startswith("gone.csv: The file cannot be read")
