import pytest
from tests.advice.nitrogen.fields import FIELDS, a_balance_field, past, sky, soil_test, usual
from tests.factories import DUG, GOOD, SOWN, advice_on

from spadework.advice.nitrogen.missing import missing_for_nitrogen


def missing(held):
    return {name for name, gone in missing_for_nitrogen(held, advice_on(held).nitrogen).items() if gone}


@pytest.mark.parametrize(
    ("parts", "expected"),
    [
        ({}, {"nitrate_test", "organic_matter", "past_weather"}),
        ({"soil_tests": soil_test(40, organic_matter=3.0)}, {"past_weather"}),
        ({"soil_tests": soil_test(40, bottom=15)}, {"deeper_nitrate", "organic_matter", "past_weather"}),
        ({"weather": past() + sky(SOWN, DUG)}, {"nitrate_test", "organic_matter"}),
        ({"field": {"soil_texture": None}}, {"nitrate_test", "organic_matter", "past_weather", "soil_texture"}),
        ({"field": {"expected_yield": None}}, {"expected_yield"}),
        ({"normals": tuple(row.model_copy(update={"RAIN": None}) for row in usual())}, {"rain_normals"}),
        ({"normals": ()}, set()),
        ({"weather": past() + sky(SOWN, DUG), "soil_tests": soil_test(40, organic_matter=3.0)}, set()),
    ],
)
def test_what_stands_in_the_way_or_would_narrow_the_balance(parts, expected):
    assert missing(a_balance_field(GOOD, **parts)) == expected


def test_they_stand_with_the_other_missing_records():
    advice = advice_on(FIELDS["poor pea"])
    assert {"nitrate_test", "organic_matter", "past_weather"} <= {gap.record for gap in advice.missing}
