"""Advice as JSON: it holds to its published schema, and it says all that the value says."""

import dataclasses
import datetime as dt
import json

import jsonschema
import pytest
from pydantic import TypeAdapter
from tests.factories import advice_on, everything, records

from spadework.advice.field import advise
from spadework.advice.schema import ADVICE_SCHEMA_ID, advice_json_schema, to_json
from spadework.advice.value import FieldAdvice
from spadework.demo import demo_book
from spadework.knowledge.load import load


@pytest.fixture(scope="module")
def season():
    book = demo_book()
    return [advise(held, book.settings, load(), book.settings.today) for held in book.by_field().values()]


@pytest.fixture(scope="module")
def validator():
    schema = advice_json_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


def test_every_advice_of_the_demo_season_holds_to_the_schema(season, validator):
    assert len(season) == len(demo_book().fields)
    for advice in season:
        written = json.loads(json.dumps(to_json(advice), allow_nan=False))
        assert list(validator.iter_errors(written)) == [], advice.field


def test_a_field_with_nothing_and_one_with_everything_hold_to_it(validator):
    for held in (records(), everything()):
        assert list(validator.iter_errors(to_json(advice_on(held)))) == []


def test_the_schema_refuses_what_is_no_advice(validator):
    whole = to_json(advice_on(everything()))
    assert list(validator.iter_errors({**whole, "verdict": "good"}))
    assert list(validator.iter_errors({**whole, "crop": "turnip"}))
    assert list(validator.iter_errors({name: part for name, part in whole.items() if name != "timing"}))


def test_the_schema_says_which_it_is():
    schema = advice_json_schema()
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert schema["$id"] == ADVICE_SCHEMA_ID == "urn:spadework:field-advice:1"


def test_the_schema_names_every_part_of_the_value():
    schema = advice_json_schema()
    assert set(schema["properties"]) == {field.name for field in dataclasses.fields(FieldAdvice)}
    for name in ("Verdict", "Timing", "Sampling", "Quantity", "Message"):
        assert name in schema["$defs"]


def test_json_and_back_is_the_same_advice(season):
    for advice in season:
        back = TypeAdapter(FieldAdvice).validate_python(json.loads(json.dumps(to_json(advice))))
        # Days in the values of messages come back as text: what they are compared by is their JSON.
        assert to_json(back) == to_json(advice)
        assert back.timing.dug_on == advice.timing.dug_on
        assert (back.verdict is None) == (advice.verdict is None)


def test_days_are_iso_dates_and_what_is_unknown_is_null():
    written = to_json(advice_on(records(), today=dt.date(2026, 6, 1)))
    assert written["advised_on"] == "2026-06-01"
    assert (written["verdict"], written["timing"]["dug_on"]) == (None, None)
    assert written["timing"]["headline"]["values"]["day"] == "2026-06-01"
