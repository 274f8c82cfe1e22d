"""Fixation measured in fields of a book corrects what the digs of its other fields say."""

import math

import pytest
from tests.advice.nitrogen.fields import a_balance_field, soil_test
from tests.factories import DUG, NONE, POOR, a_book, a_dig, a_visit, advice_on

from spadework.advice.calibration import calibration_without, factors_measured
from spadework.advice.field import advise
from spadework.advice.messages import render
from spadework.knowledge.load import load
from spadework.records.lab_result import FieldLabResultRow

KNOWN = load()
HALF = a_visit(*[[80] * 5 + [5] * 5] * 3)


def measured_field(name, excess, plants=HALF, **parts):
    """A field with samples by isotope dilution; a lower excess of the legume is a higher share fixed."""
    rows = tuple(
        FieldLabResultRow(field=name, sample=f"{kind}{n}", kind=kind, date=DUG, atom_percent_excess=value + n / 500)
        for kind, value in (("legume", excess), ("reference", 0.4))
        for n in range(4)
    )
    soil = {"soil_tests": soil_test(60), **parts}
    return a_balance_field(plants, lab_results=rows, **{**soil, "field": {"field": name, **parts.get("field", {})}})


def factors(*fields):
    return factors_measured(fields, a_book(), KNOWN, DUG)


def test_each_field_measured_gives_the_logarithm_of_measured_over_predicted():
    found = factors(measured_field("high", 0.14), measured_field("low", 0.36), a_balance_field(HALF))
    assert set(found) == {"high", "low"}
    assert found["high"] > found["low"]
    assert found["low"] < 0


@pytest.mark.parametrize(
    "field",
    [
        measured_field("early", 0.2, digs=(a_dig(stage_bbch=14),)),
        measured_field("not dug", 0.2, plants=()),
        measured_field("no balance", 0.2, field={"expected_yield": None}),
        measured_field("under nitrate", 0.2, plants=POOR, soil_tests=soil_test(170, bottom=60)),
        measured_field("nothing to divide by", 0.38, plants=NONE),
    ],
    ids=lambda field: field.field.field,
)
def test_a_field_without_a_dig_to_be_held_against_says_nothing(field):
    assert factors(field) == {}


def test_a_field_is_not_in_its_own_calibration():
    logs = {"a": 0.1, "b": -0.3, "c": 0.2}
    assert calibration_without("b", logs, KNOWN).logs == (0.1, 0.2)
    assert calibration_without("b", logs, KNOWN).error == KNOWN.figure("nodulation.measured_error").central
    assert calibration_without("a", {"a": 0.1}, KNOWN) is None
    assert calibration_without("a", {}, KNOWN) is None


def test_more_fields_narrow_what_a_dig_says_and_the_advice_tells_so():
    held = a_balance_field(HALF, soil_tests=soil_test(60))

    def told(count, log):
        calibration = calibration_without("west", {str(n): log for n in range(count)}, KNOWN)
        return advise(held, a_book(), KNOWN, DUG, calibration=calibration).nitrogen

    plain, one, many = advice_on(held).nitrogen, told(1, 0.0), told(6, 0.0)
    widths = [found.nodulation.high - found.nodulation.low for found in (plain, one, many)]
    assert widths[0] > widths[1] > widths[2]
    assert told(6, math.log(0.7)).nodulation.value < many.nodulation.value
    said = [render(reason) for reason in told(6, math.log(0.7)).reasons]
    assert any(text.startswith("Fixation measured in 6 other fields of the book came to 0.7 times") for text in said)
    assert "nodulation.measured_error" in many.rows
    assert "nodulation.measured_error" not in plain.rows
    assert not any(reason.id == "nitrogen.reason.corrected" for reason in plain.reasons)
