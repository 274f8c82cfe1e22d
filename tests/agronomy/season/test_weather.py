import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.agronomy.clock import day_length
from spadework.agronomy.season import daily_weather, extraterrestrial_radiation, reference_evapotranspiration
from spadework.errors import DomainError

DAYS = np.arange(1, 367)


@pytest.mark.parametrize("latitude", [-90, -70, 70, 90])
def test_polar_night_has_no_radiation_and_polar_day_has(latitude):
    radiation = extraterrestrial_radiation(latitude=latitude, day_of_year=DAYS)

    assert radiation.min() == 0
    assert radiation.max() > 35
    assert np.isfinite(radiation).all()


def test_a_leap_year_goes_on_smoothly():
    december, january = extraterrestrial_radiation(latitude=45, day_of_year=[366, 1])

    assert december == pytest.approx(january, rel=0.01)


def test_the_equator_is_even_and_the_north_leads_the_south_by_half_a_year():
    equator = extraterrestrial_radiation(latitude=0, day_of_year=DAYS)
    north, south = (extraterrestrial_radiation(latitude=latitude, day_of_year=DAYS) for latitude in (40, -40))

    assert np.ptp(equator) < 6
    assert np.argmax(north) == pytest.approx(171, abs=5)
    assert np.argmin(south) == pytest.approx(171, abs=5)


@given(st.floats(-90, 90), st.integers(1, 366))
def test_radiation_and_evapotranspiration_are_never_negative(latitude, day):
    radiation = extraterrestrial_radiation(latitude=latitude, day_of_year=day)

    assert 0 <= radiation < 50
    assert reference_evapotranspiration(tmin=-40, tmax=-30, radiation=radiation) == 0


def test_a_day_without_swing_evaporates_nothing():
    assert reference_evapotranspiration(tmin=20, tmax=20, radiation=40) == 0


@pytest.mark.parametrize(
    ("latitude", "day", "message"),
    [(91, 1, "latitude must be from -90 to 90"), (0, 0, "day_of_year must be from 1 to 366"), (0, 367, "day_of_year")],
)
def test_places_and_days_that_do_not_exist_are_refused(latitude, day, message):
    with pytest.raises(DomainError, match=message):
        extraterrestrial_radiation(latitude=latitude, day_of_year=day)


def test_a_low_above_the_high_is_refused_with_its_place():
    with pytest.raises(DomainError, match=r"tmax must be at least tmin of the same day, but is 5\.0 at position 1"):
        reference_evapotranspiration(tmin=[1, 9], tmax=[5, 5], radiation=30)


def season(**changed):
    given_weather = {
        "latitude": 50.0,
        "day_of_year": [364, 365, 1],
        "tmin": [1.0, 2.0, 3.0],
        "tmax": [9.0, 8.0, 7.0],
        "rain": [0.0, 4.0, 0.0],
    }
    return daily_weather(**given_weather | changed)


def test_a_season_carries_what_follows_from_date_and_place():
    found = season()

    assert (found.rows, found.days) == (1, 3)
    np.testing.assert_array_equal(found.mean, [[5, 5, 5]])
    np.testing.assert_array_equal(found.day_length[0], day_length(latitude=50.0, day_of_year=[364, 365, 1]))
    radiation = extraterrestrial_radiation(latitude=50.0, day_of_year=[364, 365, 1])
    expected = reference_evapotranspiration(tmin=[1, 2, 3], tmax=[9, 8, 7], radiation=radiation)
    np.testing.assert_array_equal(found.reference_et[0], expected)


def test_a_measured_evapotranspiration_is_kept():
    np.testing.assert_array_equal(season(reference_et=[1, 2, 3]).reference_et, [[1, 2, 3]])


def test_places_stand_in_rows_and_years_share_the_days():
    places = season(latitude=np.array([[0.0], [60.0]]))
    years = season(rain=[[0.0, 1.0, 2.0], [3.0, 4.0, 5.0]])

    assert (places.rows, years.rows) == (2, 2)
    assert places.reference_et[0, 0] > places.reference_et[1, 0]
    np.testing.assert_array_equal(years.chosen(np.array([1, 1, 0])).rain[:, 0], [3, 3, 0])
    np.testing.assert_array_equal(places.chosen(slice(1, 2)).day_length, places.day_length[1:])


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"tmin": [1, np.nan, 3]}, "tmin must be known on every day, but is nan at position 1"),
        ({"rain": [0, -1, 0]}, "rain must be known on every day and at least 0, but is -1.0 at position 1"),
        ({"rain": [0, np.nan, 0]}, "rain must be known on every day"),
        ({"reference_et": [0, np.inf, 0]}, "reference_et must be known"),
    ],
)
def test_a_day_that_is_missing_is_refused(changed, message):
    with pytest.raises(DomainError, match=message):
        season(**changed)
