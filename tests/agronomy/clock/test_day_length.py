import numpy as np
import pytest

from spadework.agronomy.clock import day_length
from spadework.errors import DomainError


def test_on_the_equator_the_refracted_sun_adds_seven_minutes():
    # Twice 0.8333 degrees at 15 degrees an hour, 0.1111 h, on a day when the sun stands over the equator.
    assert day_length(latitude=0, day_of_year=80) == pytest.approx(12.1111, abs=5e-5)


def test_polar_day_and_night():
    assert day_length(latitude=[70, -70, 90], day_of_year=172).tolist() == [24, 0, 24]
    assert day_length(latitude=[70, -70, -90], day_of_year=355).tolist() == [0, 24, 24]


def test_south_is_negative():
    june = day_length(latitude=[50, -50], day_of_year=172)
    december = day_length(latitude=[50, -50], day_of_year=355)
    assert june[0] > 16
    assert june[1] < 8.5
    assert december[0] < 8.5
    assert december[1] > 16


def test_with_the_sun_at_the_horizon_north_and_south_share_the_day():
    latitude = np.arange(0, 66, 5.0)
    north = day_length(latitude=latitude, day_of_year=140, sun_below_horizon=0)
    south = day_length(latitude=-latitude, day_of_year=140, sun_below_horizon=0)
    np.testing.assert_allclose(north + south, 24, atol=1e-9)


def test_broadcast_and_missing():
    found = day_length(latitude=np.array([[45.0], [np.nan]]), day_of_year=[1, 100, 366])
    assert found.shape == (2, 3)
    assert np.isfinite(found[0]).all()
    assert np.isnan(found[1]).all()


@pytest.mark.parametrize(
    ("latitude", "day_of_year", "says"),
    [
        (91, 10, "latitude must be from -90 to 90, but is 91.0 at position 0"),
        (45, 0, "day_of_year must be from 1 to 366, but is 0.0 at position 0"),
        (45, 367, "day_of_year must be from 1 to 366, but is 367.0 at position 0"),
    ],
)
def test_outside(latitude, day_of_year, says):
    with pytest.raises(DomainError, match=says):
        day_length(latitude=latitude, day_of_year=day_of_year)
