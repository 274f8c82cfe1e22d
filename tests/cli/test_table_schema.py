import json

from spadework.records.columns import columns_of, table_name
from spadework.records.schema import columns_markdown, table_schemas
from spadework.records.types import TABLES


def test_every_column_of_every_table_is_explained(run):
    shown = run("table-schema").stdout

    for table in TABLES:
        assert f"{table_name(table)}.csv\n" in shown
        for plan in columns_of(table):
            assert f"\n{plan.name} " in shown


def test_one_table(run):
    shown = run("table-schema", "plants").stdout

    assert shown.startswith("plants.csv\n")
    assert "fields.csv" not in shown
    assert max(map(len, shown.splitlines())) <= 80
    assert run("table-schema", "plants.csv").stdout == shown


def test_what_a_cell_may_hold(run):
    shown = " ".join(run("table-schema", "plants", env={"COLUMNS": "150"}).stdout.split())

    assert "count or count class" in shown
    assert "whole number, 0 to 500" in shown
    assert "green, pale, yellow" in shown


def test_json_is_the_open_table_schema(run):
    assert json.loads(run("table-schema", "--format", "json").stdout) == table_schemas()
    assert json.loads(run("table-schema", "weather", "--format", "json").stdout) == table_schemas()["weather"]


def test_markdown(run):
    assert run("table-schema", "--format", "markdown").stdout == columns_markdown()


def test_an_unknown_table_is_answered_with_those_there_are(run):
    result = run("table-schema", "plant")
    assert result.exit_code == 2
    assert "plants" in result.stderr
