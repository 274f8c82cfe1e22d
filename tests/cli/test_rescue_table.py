import csv
import io
import json

import pytest
from jsonschema import Draft202012Validator
from tests.advice.rescue.fields import HELD, prices
from tests.factories import DUG, advice_on

from spadework.advice.schema import advice_json_schema
from spadework.cli.choices import Format, UnitSystem
from spadework.cli.rescue_table import COLUMNS, print_decision
from spadework.records.types import Prices, Settings


def printed(capsys, name, form=Format.TABLE, units=UnitSystem.METRIC, own=None):
    own = prices(500.0) if own is None else own
    advice = advice_on(HELD[name], today=DUG, prices=own)
    print_decision(advice, Settings(title="", season="", prices=own), form, units)
    return advice, capsys.readouterr().out


def flat(text):
    return " ".join(text.split())


def test_the_decision_stands_first_and_then_what_the_money_is_for(capsys):
    advice, text = printed(capsys, "failed")
    title, *lines = text.splitlines()

    assert advice.decision.kind == "apply"
    assert title.endswith("soybean, 22 June 2026")
    assert flat(" ".join(lines)).startswith("Give about ")
    told = flat(text)
    for part in (
        "Your prices: grain 500 mk/t",
        "A second dig: 60 mk for the field. Money is per t of grain, per kg of nitrogen, per ha.",
        "* chosen. Chance that this turns out better than leaving the crop",
        "What would change it",
        "Dig again first?",
        "What it would be worth to know first",
        "Partial budget for",
        "The check strip",
        "local law and a licensed adviser",
    ):
        assert part in told
    assert text.index("Give about") < text.index("Your prices") < text.index("The choices")


def test_every_choice_has_its_row_and_one_is_marked(capsys):
    advice, text = printed(capsys, "failed")
    table = text[text.index("The choices") : text.index("* chosen")]

    assert table.count(" kg/ha") == 2 * (len(advice.decision.options) - 1)
    assert table.count("*") == 1
    # Each product stands once, above its rates.
    assert table.count("Urea with a urease inhibitor\n") == 1


def test_in_acres_bushels_and_pounds_everything_is(capsys):
    _, text = printed(capsys, "failed", units=UnitSystem.US)
    table = text[text.index("Your prices") : text.index("What it stands on")]

    assert "Money is per bu of 60 lb of grain, per lb of nitrogen, per ac." in flat(text)
    assert "lb/ac" in table
    for metric in ("kg/ha", "t/ha", "mk/ha", "per ha"):
        assert metric not in table


def test_without_prices_gains_stand_and_no_money(capsys):
    advice, text = printed(capsys, "failed", own=Prices())

    assert advice.decision.kind == "needs_prices"
    assert "No prices are given." in flat(text)
    table = text[text.index("The choices") : text.index("Why")]
    assert "gained" in table
    assert "return" not in table


@pytest.mark.parametrize(
    ("name", "kind", "words"),
    [
        ("good", "leave", "Give no nitrogen: the nodules work"),
        ("green on nitrate", "leave", "nitrate in the soil holds the nodules back"),
        ("late pea", "leave", "would come too late"),
        ("not dug", "dig_first", "dig"),
        ("no yield", "cannot_tell", "yield"),
    ],
)
def test_where_a_gate_is_closed_it_is_one_sentence_and_no_table(capsys, name, kind, words):
    advice, text = printed(capsys, name)

    assert advice.decision.kind == kind
    assert words in flat(text)
    assert "The choices" not in text
    assert "Your prices" not in text


def test_json_holds_the_decision_as_the_schema_has_it(capsys):
    _, text = printed(capsys, "failed", form=Format.JSON)
    document, schema = json.loads(text), advice_json_schema()

    Draft202012Validator({"$defs": schema["$defs"], "$ref": "#/$defs/Decision"}).validate(document["decision"])
    assert document["schema"] == f"{schema['$id']}#/$defs/Decision"
    assert document["headline"].startswith("Give about ")
    assert document["decision"]["grain_price"] == 500.0


def test_csv_has_a_row_an_option_in_inside_units_whatever_is_shown(capsys):
    advice, text = printed(capsys, "failed", form=Format.CSV)
    _, same = printed(capsys, "failed", form=Format.CSV, units=UnitSystem.US)
    rows = list(csv.DictReader(io.StringIO(text)))

    assert same == text
    assert tuple(rows[0]) == COLUMNS
    assert [row["option"] for row in rows] == ["leave", *["apply"] * (len(advice.decision.options) - 1)]
    (chosen,) = (row for row in rows if row["chosen"] == "yes")
    assert float(chosen["rate_kg_ha"]) == pytest.approx(advice.decision.chosen.rate.value, rel=1e-5)
    assert float(chosen["net_return_per_ha"]) == pytest.approx(advice.decision.chosen.net_return.value, rel=1e-5)
    assert {row["currency"] for row in rows} == {"mk"}


def test_csv_of_a_closed_gate_is_one_row_with_the_reason(capsys):
    _, text = printed(capsys, "good", form=Format.CSV)
    (row,) = csv.DictReader(io.StringIO(text))

    assert (row["decision"], row["why"], row["option"]) == ("leave", "working", "")
