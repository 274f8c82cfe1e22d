"""The diagnosis as a value: JSON by the published schema."""

import datetime as dt
from dataclasses import FrozenInstanceError

import jsonschema
import pytest
from tests.factories import DUG, POOR, advice_on, records

from spadework.advice.schema import advice_json_schema, to_json
from spadework.records.types import ObservationRow

SEEN = ({"subject": "pattern", "value": "strips"}, {"subject": "host new", "value": "yes"})


@pytest.fixture(scope="module")
def advice():
    observations = tuple(ObservationRow(field="west", date=DUG, **seen) for seen in SEEN)
    return advice_on(records(POOR, observations=observations), today=DUG + dt.timedelta(days=1))


def test_it_is_part_of_the_published_schema(advice):
    written = to_json(advice)
    jsonschema.validate(written, advice_json_schema())
    assert written["diagnosis"]["causes"][0]["cause"] == advice.diagnosis.causes[0].cause
    assert {one["finding"] for one in written["diagnosis"]["evidence"]} >= {"strips", "host_new", "few_nodules"}


def test_it_cannot_be_changed(advice):
    with pytest.raises(FrozenInstanceError):
        advice.diagnosis.state = "likely"
