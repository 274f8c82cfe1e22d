from dataclasses import replace

import pytest

from spadework.errors import KnowledgeError
from spadework.knowledge.rows import TemperatureResponse
from spadework.quantity import Grade

ROW = TemperatureResponse(
    id="some.row",
    unit="degC",
    scope="anywhere",
    source="someone",
    grade=Grade.READ,
    none_below=1.0,
    full_from=14.0,
    full_to=25.0,
    none_above=40.0,
)


def test_a_response_has_four_points():
    assert ROW.points == (1, 14, 25, 40)


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"full_from": 1.0}, "the four temperatures must rise"),
        ({"full_to": 13.0}, "the four temperatures must rise"),
        ({"none_above": 25.0}, "the four temperatures must rise"),
        ({"unit": "1"}, "temperatures are in degC"),
    ],
)
def test_points_that_do_not_rise_are_refused(changed, message):
    with pytest.raises(KnowledgeError, match=message):
        replace(ROW, **changed)
