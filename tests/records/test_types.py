import dataclasses
import datetime as dt

import pytest
from pydantic import ValidationError

from spadework.records.types import TABLES, Book, FieldRow, NormalRow, PlantRow, Settings, WeatherRow

JUNE_24 = dt.date(2026, 6, 24)


def plant(field, **more):
    return PlantRow(field=field, date=JUNE_24, stop="1", plant="1", **more)


def test_the_line_is_no_part_of_what_was_written_down():
    assert plant("west", line=3) == plant("west", line=9)
    assert hash(plant("west", line=3)) == hash(plant("west"))
    assert plant("west", cut_open=5) != plant("west", cut_open=4)
    assert plant("west") != FieldRow(field="west", crop="pea")
    assert "line" not in plant("west", line=3).model_dump()


def test_texts_are_trimmed_and_may_not_be_empty():
    assert plant(" west ").field == "west"
    with pytest.raises(ValidationError, match="at least 1 character"):
        plant("  ")


@pytest.mark.parametrize("area", [float("nan"), float("inf"), 0.0, 20001.0])
def test_figures_that_cannot_be_are_refused(area):
    with pytest.raises(ValidationError):
        FieldRow(field="west", crop="pea", area=area)


def test_rows_cannot_be_changed():
    with pytest.raises(ValidationError, match="frozen"):
        plant("west").field = "east"


def test_every_key_is_a_column():
    for table in TABLES:
        assert table.key
        assert set(table.key) <= set(table.model_fields)


def test_a_book_has_a_place_for_every_table():
    assert {field.name for field in dataclasses.fields(Book)} == {
        "settings",
        "boundaries",
        *(table.file.removesuffix(".csv") for table in TABLES),
    }


def test_rows_are_gathered_by_field_and_weather_by_station():
    hill = WeatherRow(station="hill", W_DATE=JUNE_24, TMAX=20.0)
    normal = NormalRow(station="hill", month=6, TMAX=20.0, TMIN=8.0)
    book = Book(
        settings=Settings(title="Tiny", season="2026"),
        fields=(
            FieldRow(field="west", crop="pea", station="hill"),
            FieldRow(field="east", crop="lentil"),
            FieldRow(field="north", crop="pea", station="hill"),
        ),
        plants=(plant("east"), plant("west", cut_open=1), plant("east", scorer="B")),
        weather=(hill, WeatherRow(station="coast", W_DATE=JUNE_24)),
        normals=(normal,),
    )

    found = book.by_field()

    assert list(found) == ["west", "east", "north"]
    assert found["east"].plants == (plant("east"), plant("east", scorer="B"))
    assert found["west"].weather == found["north"].weather == (hill,)
    assert found["west"].normals == (normal,)
    assert found["east"].weather == ()
    assert found["north"].plants == ()
