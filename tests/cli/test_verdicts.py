import csv
import dataclasses
import io
import json

import jsonschema
import pytest
from tests.report.decisions import a_decision, dig_again, left_alone, without_prices

from spadework.advice.schema import advice_json_schema
from spadework.cli.verdicts import COLUMNS, csv_text, verdicts_csv, verdicts_json
from spadework.knowledge.load import load
from spadework.report.causes import explains
from spadework.report.display import UnitSystem


def rows_of(all_advice, units=UnitSystem.METRIC):
    return list(csv.DictReader(io.StringIO(verdicts_csv(all_advice, units))))


@pytest.fixture
def by_field(all_advice):
    return {advice.field: advice for advice in all_advice}


def test_the_columns_are_those_that_scripts_know():
    # A column may be added at the end. Anything else breaks somebody's script.
    assert [column.heading for column in COLUMNS] == [
        "field",
        "name",
        "grower",
        "crop",
        "advised_on",
        "dug_on",
        "timing",
        "timing_sure",
        "timing_decided_by",
        "window_opens_from",
        "window_opens_to",
        "window_closes_from",
        "window_closes_to",
        "anchor",
        "days_since_anchor",
        "degree_days_{unit}_d",
        "stage_seen_bbch",
        "verdict",
        "verdict_probability_percent",
        "probability_poor_percent",
        "probability_borderline_percent",
        "probability_adequate_percent",
        "share_adequate_percent",
        "share_adequate_low_percent",
        "share_adequate_high_percent",
        "interval_level_percent",
        "plants",
        "stops",
        "target",
        "counting_unit",
        "target_scheme",
        "mean_effective_per_plant",
        "by_number_only",
        "patch",
        "index",
        "index_low",
        "index_high",
        "index_class",
        "settled",
        "more_plants",
        "more_stops",
        "missing",
        "overridden",
        "knowledge",
        "cause",
        "cause_probability_percent",
        "next_check",
        "nitrogen_state",
        "gap_kg_ha",
        "gap_low_kg_ha",
        "gap_high_kg_ha",
        "fixed_share_percent",
        "chance_of_gap_percent",
        "decision",
        "why",
        "act_by",
        "rate_kg_ha",
        "product",
        "net_return_per_ha",
        "chance_of_loss_percent",
        "value_of_waiting_per_ha",
    ]


def test_nitrogen_is_that_of_the_advice(all_advice):
    rows = {row["field"]: row for row in rows_of(all_advice)}
    names = ("gap_kg_ha", "gap_low_kg_ha", "gap_high_kg_ha", "fixed_share_percent", "chance_of_gap_percent")
    for advice in all_advice:
        row, found = rows[advice.field], advice.nitrogen
        if found is None:
            assert row["nitrogen_state"] == "".join(row[name] for name in names) == ""
            continue
        assert row["nitrogen_state"] == found.state
        gap = found.gap_at_maturity
        figures = (gap.value, gap.low, gap.high, 100 * found.fixed_share.value, 100 * found.chance_of_gap)
        assert [float(row[name]) for name in names] == pytest.approx(figures, rel=5e-6)
    assert {row["nitrogen_state"] for row in rows.values()} == {"", "enough", "short", "cannot_tell"}


def test_the_cause_is_the_likeliest_where_the_diagnosis_stands_by_one(all_advice):
    rows = {row["field"]: row for row in rows_of(all_advice)}
    for advice in all_advice:
        row, found = rows[advice.field], advice.diagnosis
        if found.state in ("cannot_tell", "nothing_wrong"):
            assert row["cause"] == row["cause_probability_percent"] == ""
            continue
        assert row["cause"] == found.causes[0].cause
        chance = 100 * found.causes[0].probability.value
        assert float(row["cause_probability_percent"]) == pytest.approx(chance, rel=5e-6)
    assert len({row["cause"] for row in rows.values()}) > 3


def test_a_check_is_named_for_every_field_that_fell_short_and_whose_cause_is_open(all_advice):
    rows = {row["field"]: row for row in rows_of(all_advice)}
    for advice in all_advice:
        if explains(advice) and advice.diagnosis.checks:
            assert rows[advice.field]["next_check"] == advice.diagnosis.checks[0].check
        elif advice.diagnosis.state == "nothing_wrong":
            assert rows[advice.field]["next_check"] == ""


def test_the_classes_are_those_of_the_knowledge_tables():
    names = load().row("classes.share_adequate").names
    assert [column.heading for column in COLUMNS if column.heading.startswith("probability_")] == [
        f"probability_{name}_percent" for name in names
    ]


def test_every_column_says_what_it_holds():
    assert [column.heading for column in COLUMNS if len(column.description) < 4] == []


def test_figures_are_those_of_the_advice(all_advice):
    for row, advice in zip(rows_of(all_advice), all_advice, strict=True):
        assert row["field"] == advice.field
        assert row["timing"] == advice.timing.state
        if advice.verdict is None:
            assert row["verdict"] == row["share_adequate_percent"] == row["patch"] == ""
            continue
        assert row["verdict"] == advice.verdict.leading
        # Six digits are written.
        assert float(row["share_adequate_percent"]) == pytest.approx(100 * advice.verdict.share.value, rel=5e-6)
        assert float(row["target"]) == advice.verdict.target.value
        assert row["patch"] == ("yes" if advice.verdict.patch else "no")
        chances = [float(row[f"probability_{name}_percent"]) for name in ("poor", "borderline", "adequate")]
        assert sum(chances) == pytest.approx(100, abs=1e-3)


def test_the_decision_is_that_of_the_advice(by_field):
    fields = [
        dataclasses.replace(by_field["north-01"], decision=decision)
        for decision in (a_decision(), dig_again(), left_alone("too_late"), without_prices(), None)
    ]
    names = ("decision", "why", "act_by", "rate_kg_ha", "product")
    apply, again, left, unpriced, none = rows_of(fields)
    assert [apply[name] for name in names] == ["apply", "pays", "2026-07-06", "56", "urea_inhibited"]
    chosen = fields[0].decision.chosen
    assert float(apply["net_return_per_ha"]) == pytest.approx(chosen.net_return.value, rel=5e-6)
    assert float(apply["chance_of_loss_percent"]) == pytest.approx(100 * chosen.chance_of_loss, rel=5e-6)
    assert float(apply["value_of_waiting_per_ha"]) == -4.5
    # Where nitrogen is not the decision, the figures are of the option with nitrogen that would pay best.
    assert [again[name] for name in names] == ["dig_again", "waiting_pays", "2026-07-03", "56", "urea_inhibited"]
    assert (again["net_return_per_ha"], again["value_of_waiting_per_ha"]) == (apply["net_return_per_ha"], "9")
    assert [left[name] for name in names] == ["leave", "too_late", "", "", ""]
    assert [unpriced[name] for name in names] == ["needs_prices", "no_prices", "2026-07-06", "", ""]
    assert {none[name] for name in (*names, "net_return_per_ha", "value_of_waiting_per_ha")} == {""}


def test_nothing_is_empty_in_every_row(all_advice, by_field):
    rows = rows_of([*all_advice, dataclasses.replace(by_field["north-01"], decision=a_decision())])
    assert [heading for heading in rows[0] if all(row[heading] == "" for row in rows)] == []


def test_units_change_the_one_heading_that_names_them(by_field):
    advice = next(each for each in by_field.values() if each.timing.degree_days)
    (metric,), (american,) = rows_of([advice]), rows_of([advice], UnitSystem.US)

    # 1 degree Celsius is 1.8 degrees Fahrenheit, by definition; sums of differences have no offset.
    celsius = float(metric.pop("degree_days_degC_d"))
    assert float(american.pop("degree_days_degF_d")) == pytest.approx(1.8 * celsius, rel=1e-5)
    assert american == metric


def test_cells():
    assert csv_text(["a", "b", "c", "d", "e"], [[None, True, 2, 1.5, "x,y"]]) == 'a,b,c,d,e\n,yes,2,1.5,"x,y"\n'


@pytest.mark.parametrize("text", ["=1+1", "+1", "-north", "@here", " =1", "\t=1"])
def test_a_text_that_a_spreadsheet_would_run_is_made_harmless(text):
    assert next(csv.reader(io.StringIO(csv_text(["a"], [[text]]).split("\n", 1)[1]))) == [f"'{text}"]


def test_a_negative_number_stays_a_number():
    assert csv_text(["a"], [[-1.5]]) == "a\n-1.5\n"


def test_users_texts_come_back_whole(by_field):
    advice = dataclasses.replace(
        by_field["north-01"], name='Köln "3",\nthe second', grower="=HYPERLINK(1)", field="-north"
    )
    (row,) = rows_of([advice])
    assert (row["name"], row["grower"], row["field"]) == ('Köln "3",\nthe second', "'=HYPERLINK(1)", "'-north")


def test_json_holds_the_whole_advice_by_the_schema_it_names(all_advice):
    document = json.loads(verdicts_json(all_advice))

    schema = advice_json_schema()
    assert document["schema"] == schema["$id"]
    assert [field["field"] for field in document["fields"]] == [advice.field for advice in all_advice]
    validator = jsonschema.Draft202012Validator(schema)
    assert [error.message for field in document["fields"] for error in validator.iter_errors(field)] == []


def test_no_fields():
    assert json.loads(verdicts_json([]))["fields"] == []
    assert rows_of([]) == []
