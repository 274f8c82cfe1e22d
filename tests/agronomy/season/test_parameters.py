from dataclasses import replace

import numpy as np
import pytest
from tests.agronomy.season.seasons import drawn, middle

from spadework.errors import DomainError


def test_numbers_are_one_draw_and_columns_are_many():
    assert middle().draws == 1
    assert replace(middle(), nodulation=np.ones((4, 1))).draws == 4


def test_what_varies_is_found_by_name():
    found = replace(middle(), nodulation=np.array([[0.1], [0.2]]), luxury=np.ones((2, 1))).varying()

    assert set(found) == {"nodulation"}
    np.testing.assert_array_equal(found["nodulation"], [0.1, 0.2])
    assert "fixation_temperature" not in drawn(3).varying()


def test_a_response_is_four_parameters():
    flat = middle().flat()

    assert [flat[f"fixation_temperature.{place}"] for place in range(4)] == [1, 14, 25, 40]


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"nodulation": np.ones(3)}, r"nodulation must be one number or an array of shape \(draws, 1\)"),
        ({"nodulation": float("nan")}, "nodulation must be finite"),
        ({"nodulation": -0.1}, "nodulation must be from 0 to 5, but is -0.1"),
        ({"nodulation": np.array([[0.5], [6.0]])}, "nodulation must be from 0 to 5, but is 6.0"),
        ({"dilution": 1.0}, "dilution"),
        ({"expected_yield": 0.0}, "expected_yield"),
        ({"nodulation": np.ones((2, 1)), "luxury": np.ones((3, 1))}, "parameters must be of one number of draws"),
        ({"nitrate_stops": 90.0}, "nitrate_stops must be above nitrate_harmless"),
        ({"cap_temperature": 0.0}, "cap_temperature must be above base_temperature"),
        ({"full_uptake_stage": 1.1}, "full_uptake_stage must be at least 0.2 above fastest_uptake_stage"),
        ({"full_uptake_stage": 2.1}, "full_uptake_stage must be from"),
        ({"fixation_temperature": (1.0, 14.0, 13.0, 40.0)}, "fixation_temperature must be four temperatures that rise"),
    ],
)
def test_what_no_formula_takes_is_refused(changed, message):
    with pytest.raises(DomainError, match=message):
        replace(middle(), **changed)
