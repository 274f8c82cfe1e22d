import dataclasses
import json
from pathlib import Path

import frictionless
import pytest

from spadework.records.new import example_book, new_book
from spadework.records.schema import columns_markdown, data_package, refreshed, table_schema, table_schemas
from spadework.records.types import TABLES, FieldRow, PlantRow, Settings, WeatherRow
from spadework.records.write import write_book

PAGE = Path(__file__).resolve().parents[2] / "docs" / "book.md"
AMERICAN = Settings(title="Tiny", season="2026", units={"temperature": "degF", "area": "ac"})


def column(table, name, settings=AMERICAN):
    return next(field for field in table_schema(table, settings)["fields"] if field["name"] == name)


def test_a_column_of_each_kind():
    assert column(FieldRow, "crop")["constraints"]["enum"][:2] == ["pea", "lentil"]
    assert column(FieldRow, "host_grown_before")["trueValues"] == ["yes"]
    assert column(PlantRow, "cut_open")["type"] == "integer"
    assert column(PlantRow, "date")["constraints"] == {
        "required": True,
        "minimum": "1900-01-01",
        "maximum": "2100-12-31",
    }
    assert column(PlantRow, "crown_nodules")["constraints"]["pattern"]


def test_units_and_bounds_are_those_of_the_book():
    tmax, area = column(WeatherRow, "TMAX"), column(FieldRow, "area")

    # -60 and 60 degC by hand: -76 and 140 degF.
    assert (tmax["unit"], tmax["ucum"]) == ("degF", "[degF]")
    assert (tmax["constraints"]["minimum"], tmax["constraints"]["maximum"]) == (-76, 140)
    assert area["ucum"] == "43560.[sft_i]"
    assert area["constraints"]["exclusiveMinimum"] == 0
    assert column(WeatherRow, "RAIN")["unit"] == "mm"


def test_keys_and_references():
    schemas = table_schemas()

    assert schemas["fields"]["primaryKey"] == ["field"]
    assert "foreignKeys" not in schemas["fields"]
    assert schemas["plants"]["uniqueKeys"] == [["field", "date", "stop", "plant", "scorer"]]
    assert schemas["plants"]["foreignKeys"][0]["reference"] == {"resource": "fields", "fields": ["field"]}
    assert "foreignKeys" not in schemas["weather"]
    assert schemas["weather"]["missingValues"] == ["", "-99", "-99.0", "-99.99"]


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.file)
def test_each_table_schema_is_sound_by_an_independent_reader(table):
    schema = frictionless.Schema.from_descriptor(json.loads(json.dumps(table_schema(table))))

    assert [field.name for field in schema.fields] == [field["name"] for field in table_schema(table)["fields"]]
    assert frictionless.Schema.validate_descriptor(schema.to_descriptor()).valid


def validated(folder):
    return frictionless.validate(str(folder / "datapackage.json"))


def test_a_new_book_is_a_valid_data_package(tmp_path):
    new_book(tmp_path)

    report = validated(tmp_path)

    assert report.flatten(["title", "note"]) == []
    # The outlines of fields are no table, but part of the package.
    assert len(report.tasks) == len(TABLES) + 1


@pytest.mark.parametrize("separator", ["comma", "semicolon", "tab"])
@pytest.mark.parametrize("mark", ["point", "comma"])
def test_a_book_is_a_valid_data_package_in_its_own_units_and_marks(separator, mark, tmp_path):
    book = example_book()
    units = {"temperature": "degF", "rain": "in", "area": "ac_us", "depth": "in", "mass_per_area": "lb/ac"}
    own = dataclasses.replace(book.settings, units=units, separator=separator, decimal_mark=mark)
    write_book(dataclasses.replace(book, settings=own), tmp_path)

    report = validated(tmp_path)

    assert report.flatten(["title", "note"]) == []
    rows = frictionless.Package(str(tmp_path / "datapackage.json")).get_resource("weather").read_rows()
    # The first day: 15.5 degC is 59.9 degF.
    assert [float(rows[0]["TMAX"]), len(rows)] == [59.9, len(book.weather)]
    assert book.weather[0].TMAX == 15.5


@pytest.mark.parametrize(
    ("file", "old", "new", "error"),
    [
        ("plants.csv", "2_to_5_mm", "large", "constraint-error"),
        ("plants.csv", "11-20", "20-Nov", "constraint-error"),
        ("plants.csv", "2026-06-24", "24/06/2026", "type-error"),
        ("digs.csv", "north-12", "north-21", "foreign-key"),
        ("weather.csv", "15.5", "155", "constraint-error"),
    ],
)
def test_an_independent_reader_finds_faults_by_the_schema(file, old, new, error, tmp_path):
    new_book(tmp_path)
    path = tmp_path / file
    path.write_text(path.read_text(encoding="utf-8").replace(old, new, 1), encoding="utf-8")

    assert [found for (found,) in validated(tmp_path).flatten(["type"])] == [error]


def test_the_package_names_the_season_and_its_tables():
    package = data_package(AMERICAN, (FieldRow, PlantRow))

    assert package["title"] == "Tiny, 2026"
    assert [resource["path"] for resource in package["resources"]] == ["fields.csv", "plants.csv"]


def test_every_column_is_described():
    text = columns_markdown()

    for table in TABLES:
        assert f"`{table.file}`" in text
    assert "| `area` |  | number, above 0 to 20000 ha; or ac, ac_us [`area`] | Area sown | `64` |" in text
    assert "| `crop` | yes | `pea`, `lentil`" in text


def test_the_page_on_the_book_is_up_to_date():
    page = PAGE.read_text(encoding="utf-8")

    assert refreshed(page) == page
