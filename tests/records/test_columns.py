import datetime as dt

import pytest

from spadework.knowledge.rows import Crop
from spadework.records.columns import Kind, columns_of, table_name
from spadework.records.types import TABLES, FieldRow, PlantRow, SoilTestRow, WeatherRow


def plan(table, name):
    return next(plan for plan in columns_of(table) if plan.name == name)


def test_columns_stand_in_the_order_of_the_type_without_the_line():
    assert [plan.name for plan in columns_of(WeatherRow)] == ["station", "W_DATE", "TMAX", "TMIN", "RAIN", "SRAD"]


@pytest.mark.parametrize(
    ("table", "name", "kind"),
    [
        (FieldRow, "field", Kind.TEXT),
        (FieldRow, "crop", Kind.CHOICE),
        (FieldRow, "latitude", Kind.NUMBER),
        (FieldRow, "sown_on", Kind.DATE),
        (FieldRow, "host_grown_before", Kind.YES_NO),
        (FieldRow, "host_last_year", Kind.WHOLE),
        (PlantRow, "crown_nodules", Kind.COUNT),
        (PlantRow, "leaf_old", Kind.CHOICE),
    ],
)
def test_kinds_follow_the_types(table, name, kind):
    assert plan(table, name).kind is kind


def test_bounds_come_from_the_type():
    latitude, area, date = plan(FieldRow, "latitude"), plan(FieldRow, "area"), plan(FieldRow, "sown_on")

    assert (latitude.low, latitude.high, latitude.low_is_open) == (-66, 66, False)
    assert (area.low, area.low_is_open) == (0, True)
    assert (date.low, date.high) == (dt.date(1900, 1, 1), dt.date(2100, 12, 31))


def test_lengths_and_words_come_from_the_type():
    assert plan(FieldRow, "field").max_length == 40
    assert plan(FieldRow, "note").max_length == 2000
    assert plan(FieldRow, "crop").choices is Crop


def test_what_must_be_there_is_known():
    assert [plan.name for plan in columns_of(SoilTestRow) if plan.required] == [
        "field",
        "date",
        "depth_top",
        "depth_bottom",
    ]


def test_every_column_can_be_checked():
    for table in TABLES:
        for column in columns_of(table):
            assert column.meaning.description
            assert column.meaning.example
            if column.kind is Kind.TEXT:
                assert column.max_length
                assert column.pattern
            if column.kind in (Kind.NUMBER, Kind.WHOLE, Kind.DATE):
                assert column.low is not None
                assert column.high is not None


def test_a_table_is_called_after_its_file():
    assert table_name(SoilTestRow) == "soil_tests"
