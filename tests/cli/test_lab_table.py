import csv
import io
import json
import re
from pathlib import Path

import pytest
from tests.advice.measured.bags import KNOWN, abundance, measured

from spadework.advice.basis import basis_of
from spadework.advice.measured.measure import Chosen, measure
from spadework.cli.choices import Format, UnitSystem
from spadework.cli.lab_table import COLUMNS, LABORATORY_SCHEMA_ID, print_measured
from spadework.knowledge.rows import Crop
from spadework.records.types import Settings

HARVEST = {"shoot_n": 2.5, "shoot_dry_matter": 8000.0, "grain_dry_matter": 3000.0, "grain_n": 5.0}
SETTINGS = Settings(title="", season="")


def two_fields():
    rows = [row.model_copy(update={"field": "west"}) for row in abundance(**HARVEST)]
    rows += [row.model_copy(update={"field": "east"}) for row in abundance(references=(-1.6, -1.7))]
    return measure(rows, crop=Crop.SOYBEAN, chosen=Chosen(), knowledge=KNOWN)


def printed(capsys, fields, form, units=UnitSystem.METRIC):
    print_measured(fields, basis_of(fields, knowledge=KNOWN, settings=SETTINGS), form, units)
    return capsys.readouterr().out


def test_csv_has_a_row_a_field_and_method_with_empty_cells_for_what_is_not_known(capsys):
    west, east = csv.DictReader(io.StringIO(printed(capsys, two_fields(), Format.CSV)))
    assert list(west) == [*(column.heading for column in COLUMNS), "knowledge"]
    # B -1.8: 5/7.8.
    assert float(west["share_percent"]) == pytest.approx(100 * 5 / 7.8, rel=1e-5)
    assert float(west["share_low_percent"]) < float(west["share_percent"]) < float(west["share_high_percent"])
    assert float(west["net_shoot_kg_ha"]) == pytest.approx(200 * 5 / 7.8 - 150, abs=1e-3)
    assert west["refused"] == ""
    assert (east["field"], east["share_percent"], east["net_whole_kg_ha"]) == ("east", "", "")
    assert east["refused"].startswith("The reference (−1.6 permil)")
    assert (west["knowledge"], west["interval_level_percent"]) == (KNOWN.content_hash, "90")


def test_json_holds_everything_and_no_figure_that_is_none(capsys):
    told = json.loads(printed(capsys, two_fields(), Format.JSON), parse_constant=pytest.fail)
    assert told["schema"] == LABORATORY_SCHEMA_ID
    west, east = told["fields"]
    assert west["methods"][0]["left"]["net_whole"]["unit"] == "kg/ha"
    assert east["methods"][0]["share"] is None
    assert east["methods"][0]["refused"]["id"] == "lab.refused.close_to_b"
    assert "b_value.soybean.published_mean" in {row["row"] for row in told["basis"]["rows"]}


def test_the_table_names_the_field_with_each_sentence_where_there_are_several(capsys):
    shown = " ".join(printed(capsys, two_fields(), Format.TABLE).split())
    assert "east, 15N natural abundance: The reference (−1.6 permil)" in shown
    assert "What is left after the grain of west" in shown
    assert "What is left after the grain of east" not in shown


def test_one_field_needs_no_name(capsys):
    shown = " ".join(printed(capsys, (measured(abundance(**HARVEST)),), Format.TABLE).split())
    assert "15N natural abundance: If B were 1 permil lower" in shown
    assert "Held by a soil test already: 54 kg/ha (27 to 81)" in shown
    assert shown.index("never add that on top") < shown.index("How to read it")


def test_the_table_fits_the_page(capsys):
    assert max(map(len, printed(capsys, two_fields(), Format.TABLE).splitlines())) <= 80


def test_people_see_their_own_units_and_programs_the_inside_ones(capsys):
    field = (measured(abundance(**HARVEST)),)
    shown = " ".join(printed(capsys, field, Format.TABLE, UnitSystem.US).split())
    # 150 kg/ha of grain nitrogen over 0.45359237 times 0.40468564224.
    assert "Taken away with the grain: 134 lb/ac." in shown
    assert not re.search(r"kg/ha", shown)
    (row,) = csv.DictReader(io.StringIO(printed(capsys, field, Format.CSV, UnitSystem.US)))
    assert float(row["grain_n_kg_ha"]) == pytest.approx(150)


def test_judgement_is_named(capsys):
    field = (measured(abundance(), Crop.PEA, b_value="b_value.pea.remembered"),)
    assert "b_value.pea.remembered" in printed(capsys, field, Format.TABLE).split("Rest on judgement (grade C)")[1]


def test_every_column_of_the_csv_stands_in_the_guide():
    guide = (Path(__file__).resolve().parents[2] / "docs" / "laboratory.md").read_text(encoding="utf-8")
    assert [column.heading for column in COLUMNS if f"`{column.heading}`" not in guide] == []
