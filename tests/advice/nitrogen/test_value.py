import dataclasses

import pytest
from tests.advice.nitrogen.fields import FIELDS
from tests.factories import advice_on

from spadework.advice.schema import advice_json_schema, to_json


def test_the_value_cannot_be_changed():
    found = advice_on(FIELDS["good pea"]).nitrogen
    with pytest.raises(dataclasses.FrozenInstanceError):
        found.state = "short"


def test_its_parts_stand_in_the_schema_and_in_the_json():
    assert {"Nitrogen", "NitrogenCourse", "Driver"} <= set(advice_json_schema()["$defs"])
    written = to_json(advice_on(FIELDS["good pea"]))["nitrogen"]
    assert written["state"] == "enough"
    assert len(written["course"]["days"]) == len(written["course"]["need_mid"])
    assert to_json(advice_on(FIELDS["good pea"]))["nitrogen"]["fixed"]["low"] == written["fixed"]["low"]
