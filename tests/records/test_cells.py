import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.knowledge.rows import Crop
from spadework.records.cells import CellRules, bounds_in_words, closest, converter, unguarded
from spadework.records.columns import columns_of
from spadework.records.refusal import Refused
from spadework.records.types import (
    FieldRow,
    HandlingRow,
    InoculantForm,
    InoculationRow,
    PlantRow,
    SizeClass,
    WeatherRow,
)
from spadework.records.units import MEASURES, unit_of


def read(table, name, text, *, rules=CellRules(), unit=None):  # noqa: B008 - frozen
    plan = next(plan for plan in columns_of(table) if plan.name == name)
    return converter(plan, rules, unit)(text)


def refusal(table, name, text, **more):
    with pytest.raises(Refused) as caught:
        read(table, name, text, **more)
    return caught.value


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("17.5", 17.5),
        ("17,5", 17.5),
        ("-4", -4.0),
        ("−4", -4.0),
        ("+4", 4.0),
        (".5", 0.5),
        ("5.", 5.0),
        ("1e1", 10.0),
        ("0,250", 0.25),
        ("12,3456", 12.3456),
        ("-0", 0.0),
    ],
)
def test_numbers_that_can_be_read_one_way(text, value):
    assert read(WeatherRow, "TMAX", text) == value


@pytest.mark.parametrize("text", ["1,250", "-1,250", "12,500", "999,000"])
def test_three_digits_after_a_comma_could_be_thousands(text):
    assert refusal(FieldRow, "area", text).kind == "number.two_ways"
    assert refusal(FieldRow, "area", text, rules=CellRules(decimal_mark="point")).kind == "number.decimal_mark"


def test_a_declared_decimal_comma_settles_it():
    assert read(FieldRow, "area", "1,250", rules=CellRules(decimal_mark="comma")) == 1.25
    assert refusal(FieldRow, "area", "1.25", rules=CellRules(decimal_mark="comma")).kind == "number.decimal_mark"


@pytest.mark.parametrize("text", ["1 250", "1\u00a0250", "1'250", "1,250.5", "1.250,5", "1,250,000", "1.250.000"])
def test_marks_between_thousands_are_refused(text):
    assert refusal(FieldRow, "area", text).kind == "number.grouped"


@pytest.mark.parametrize("text", ["64 ha", "64ha", "12 %", "3.5 (guess)", "64*"])
def test_a_number_with_more_in_it_is_refused_and_the_number_named(text):
    refused = refusal(FieldRow, "area", text)

    assert refused.kind == "number.with_unit"
    assert f"Write {text.split()[0].rstrip('ha*')} alone" in refused.mend


@pytest.mark.parametrize("text", ["", "e5", "--1", "1.2.3", "0x10", "1_000", "½", "\u0661", "9" * 61])
def test_other_texts_are_no_numbers(text):
    assert refusal(FieldRow, "area", text or " ").kind == "number.unreadable"


@pytest.mark.parametrize("text", ["1e400", "1e999", "-1e999"])
def test_a_number_beyond_all_bounds_is_out_of_bounds_not_infinite(text):
    assert refusal(FieldRow, "latitude", text).kind == "number.out_of_bounds"


def test_bounds_that_are_not_allowed_themselves():
    assert refusal(FieldRow, "area", "0").kind == "number.out_of_bounds"
    assert read(FieldRow, "area", "20000") == 20000
    assert "above 0 and up to 20000 [ha]" in refusal(FieldRow, "area", "0").what


def test_values_are_converted_from_the_unit_of_the_book():
    # 69.8 degF is (69.8 - 32) / 1.8 = 21 degC; 2.5 in are 2.5 * 2.54 = 6.35 cm.
    assert read(WeatherRow, "TMAX", "69.8", unit="degF") == 21.0
    assert read(FieldRow, "sowing_depth", "2.5", unit="in") == 6.35


def test_bounds_are_shown_in_the_unit_of_the_book():
    plan = next(plan for plan in columns_of(WeatherRow) if plan.name == "RAIN")

    assert bounds_in_words(plan) == "a number from 0 to 600 [mm]"
    assert bounds_in_words(plan, unit_of("rain", "in")) == "a number from 0 to 23.622 [in]"


@pytest.mark.parametrize(("text", "value"), [("5", 5), ("5.0", 5), ("5,0", 5), ("5.", 5), ("0", 0)])
def test_whole_numbers(text, value):
    found = read(PlantRow, "cut_open", text)

    assert found == value
    assert isinstance(found, int)


@pytest.mark.parametrize("text", ["faba_bean", "Faba bean", "FABA-BEAN", "faba  bean"])
def test_words_are_read_whatever_their_case_and_gaps(text):
    assert read(FieldRow, "crop", text) is Crop.FABA_BEAN


def test_a_word_that_begins_with_a_number():
    assert read(PlantRow, "size_class", "2 to 5 mm") is SizeClass.FROM_2_TO_5_MM


@pytest.mark.parametrize(("text", "near"), [("soybeans", "soybean"), ("chick pea", "chickpea"), ("lentils", "lentil")])
def test_an_unknown_word_gets_the_nearest_one(text, near):
    assert f"Did you mean {near}?" in refusal(FieldRow, "crop", text).mend


def test_a_word_near_to_none_gets_all_of_them():
    assert refusal(FieldRow, "crop", "wheat").mend.startswith("Allowed: pea, lentil")


@pytest.mark.parametrize(("text", "value"), [("yes", True), ("Y", True), ("TRUE", True), ("no", False), ("n", False)])
def test_yes_and_no(text, value):
    assert read(FieldRow, "host_grown_before", text) is value


@pytest.mark.parametrize("text", ["1", "0", "maybe"])
def test_neither_yes_nor_no(text):
    assert refusal(FieldRow, "host_grown_before", text).kind == "yes_no.unknown"


@pytest.mark.parametrize("text", ["NA", "n/a", "-", "none", "unknown", "?"])
def test_stand_ins_for_nothing_are_refused_but_in_texts(text):
    assert refusal(FieldRow, "area", text).kind == "cell.missing_word"
    assert read(FieldRow, "name", text) == text


def test_none_is_a_word_where_it_is_one():
    assert read(InoculationRow, "form", "none") is InoculantForm.NONE


@pytest.mark.parametrize("text", ["#N/A", "#REF!", "#VALUE!", "#DIV/0!", "#NAME?"])
def test_errors_of_a_spreadsheet_are_called_so(text):
    assert refusal(PlantRow, "vigour", text).kind == "cell.spreadsheet_error"


@pytest.mark.parametrize(
    ("cell", "text"), [("'=1+1", "=1+1"), ("''=1", "'=1"), ("'-5", "-5"), ("'quoted'", "'quoted'"), ("it's", "it's")]
)
def test_the_apostrophe_before_a_formula_is_taken_off(cell, text):
    assert unguarded(cell) == text
    assert read(HandlingRow, "what", cell) == text


def test_only_a_note_may_run_over_lines():
    assert read(FieldRow, "note", "one\ntwo") == "one\ntwo"
    refused = refusal(FieldRow, "name", "one\ntwo")
    assert (refused.kind, refused.what) == ("cell.control_character", "The cell 'one two' holds a line break.")


def test_a_text_as_long_as_allowed():
    assert read(FieldRow, "name", "x" * 200) == "x" * 200
    assert refusal(FieldRow, "name", "x" * 201).kind == "cell.too_long"


def test_the_nearest_name_is_found_whatever_its_case():
    assert closest("NORTH-21", ["north-12", "south"]) == "north-12"
    assert closest("zzz", ["north-12", "south"]) is None
    assert closest("notes", ["plants"], likeness=0.9) is None


@given(value=st.decimals(-60, 60, places=3), unit=st.sampled_from(list(MEASURES["temperature"])))
def test_decimal_point_and_comma_say_the_same(value, unit):
    point, comma = CellRules(decimal_mark="point"), CellRules(decimal_mark="comma")
    text = f"{value:f}"
    inside = (float(value) - 32) / 1.8 if unit == "degF" else float(value)
    if not -60 <= inside <= 60:
        return

    found = read(WeatherRow, "TMAX", text, rules=point, unit=unit)

    assert found == read(WeatherRow, "TMAX", text.replace(".", ","), rules=comma, unit=unit)
    assert math.isclose(found, inside, rel_tol=1e-12, abs_tol=1e-12)
