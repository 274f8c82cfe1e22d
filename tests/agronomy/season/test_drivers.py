import numpy as np
import pytest
from tests.agronomy.season.seasons import drawn, middle, weather

from spadework.agronomy.season.drivers import (
    drivers,
    long_day_factor,
    mineralisation_rate,
    soil_temperature,
    temperature_response,
)
from spadework.knowledge.rows import Crop


def test_short_days_slow_a_long_day_crop_down_to_a_fifth():
    # Worked by hand: 1 - 0.11 x (15.7 - 14) = 0.813.
    found = long_day_factor(day_length=[14.0, 15.7, 16.5, 2.0], critical=15.7, slope=0.11)

    assert found == pytest.approx([0.813, 1, 1, 0.2])
    assert long_day_factor(day_length=4.0, critical=12.0, slope=0.0) == 1


def test_soil_follows_the_air_by_a_seventh_each_day():
    found = soil_temperature(np.array([[10.0, 17.0, 17.0, 3.0]]))

    assert found[0] == pytest.approx([10, 11, 11 + 6 / 7, 11 + 6 / 7 - (11 + 6 / 7 - 3) / 7])


def test_frozen_soil_mineralises_nothing():
    assert mineralisation_rate([-5.0, 0.0]) == pytest.approx([0, 0], abs=0)
    assert (np.diff(mineralisation_rate([1.0, 10.0, 20.0, 30.0])) > 0).all()


def test_a_response_is_straight_between_its_points():
    assert temperature_response([0, 1, 7.5, 14, 20, 25, 32.5, 40, 50], (1, 14, 25, 40)) == pytest.approx(
        [0, 0, 0.5, 1, 1, 1, 0.5, 0, 0]
    )


def test_drivers_are_shared_where_they_can_be():
    sky = weather(rows=3)
    shared = drivers(sky, middle(), slice(None))
    own = drivers(sky, drawn(3, base_temperature=np.array([[0.0], [1.0], [2.0]])), slice(None))

    assert shared.shape == (3, 150)
    assert drivers(weather(), middle(), slice(None)).shape == (1, 150)
    np.testing.assert_array_equal(shared["degree_days"][0], own["degree_days"][0])
    assert (own["degree_days"][2] == np.maximum(np.minimum(sky.mean[2], 25) - 2, 0)).all()
    np.testing.assert_array_equal(shared["rain"], sky.rain)
    np.testing.assert_array_equal(shared["reference_et"], sky.reference_et)


def test_only_lentil_minds_day_length():
    sky = weather(first_day=60)

    assert (drivers(sky, middle(), slice(None))["long_day"] == 1).all()
    assert drivers(sky, middle(Crop.LENTIL), slice(None))["long_day"].min() < 1
