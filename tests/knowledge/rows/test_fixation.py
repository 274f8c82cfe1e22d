"""Rows of measured fixation and of credits: each rule refused with its text."""

import re

import pytest

from spadework.errors import KnowledgeError
from spadework.knowledge.load import load
from spadework.knowledge.rows import BValue, Credit, Crop
from spadework.quantity import Grade

CARRIED = {"id": "some.row", "scope": "anywhere", "source": "somebody", "grade": Grade.READ}


def b_value(**changes):
    return BValue(**{**CARRIED, "unit": "permil", "value": -1.8, "tissue": "shoot", **changes})


def credit(**changes):
    kind = {"kind": "soil_test_difference", "per": "hectare", "in_soil_test": True}
    return Credit(**{**CARRIED, "unit": "kg/ha", "value": 35.0, **kind, **changes})


@pytest.mark.parametrize(
    ("build", "changes", "message"),
    [
        (b_value, {"unit": "1"}, "unit is '1'; B is given in permil"),
        (
            b_value,
            {"grade": Grade.JUDGEMENT, "default": True},
            "a B value on memory or judgement may not be a default",
        ),
        (credit, {"kind": "bonus"}, "kind 'bonus' is not one of soil_test_difference, flat_allowance"),
        (credit, {"per": "field"}, "per 'field' is not one of hectare, grain, residue, residue_nitrogen"),
        (credit, {"per": "grain"}, "unit is 'kg/ha'; a credit per grain is in kg/t"),
        (credit, {"kind": "flat_allowance"}, "in_soil_test is true for a soil_test_difference, and for it alone"),
        (credit, {"in_soil_test": False}, "in_soil_test is true for a soil_test_difference, and for it alone"),
    ],
)
def test_what_is_not_fit_is_refused(build, changes, message):
    with pytest.raises(KnowledgeError, match=re.escape(message)):
        build(**changes)


def test_a_users_own_b_value_may_be_in_force():
    assert b_value(grade=Grade.JUDGEMENT, default=True, overridden=True).default


def test_only_crops_with_a_published_b_value_have_one_in_force():
    in_force = [row for row in load().of(BValue) if row.default]
    assert {row.crop for row in in_force} == {Crop.SOYBEAN, Crop.FABA_BEAN}
    assert len(in_force) == 2


def test_no_b_value_is_made_up_for_lupin_and_mung_bean():
    assert load().of(BValue, Crop.LUPIN) == ()
    assert load().of(BValue, Crop.MUNG_BEAN) == ()
