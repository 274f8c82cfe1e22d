import numpy as np
import pytest

from spadework.agronomy.season.ahead import SkyDays, bridged_rain, days_from_normals, days_from_years
from spadework.errors import DomainError

NAN = np.nan


def sky(tmin, tmax, rain):
    return SkyDays(tmin=np.array(tmin, float), tmax=np.array(tmax, float), rain=np.array(rain, float))


SEASON = sky([4, 5, NAN, NAN], [14, 15, NAN, NAN], [0, NAN, NAN, NAN])
WARM = sky([8, 8, 9, 9], [20, 20, 21, 21], [1, 2, 3, 4])
SHORT = sky([8, 8, 9, NAN], [20, 20, 21, NAN], [1, 2, 3, NAN])


def made(**changes):
    normals = sky([10] * 200, [22] * 200, [2.0] * 200)
    season = sky([NAN] * 200, [NAN] * 200, [NAN] * 200)
    given = {"rows": 400, "temperature_spread": 1.5, "wet_share": 0.3, "generator": np.random.default_rng(2)}
    return days_from_normals(season, normals, **{**given, **changes})


def test_what_was_observed_stands_and_the_rest_comes_from_a_past_year():
    found = days_from_years(SEASON, [WARM, SHORT], length=4)
    assert found is not None
    np.testing.assert_array_equal(found.tmin, [[4, 5, 9, 9]])
    np.testing.assert_array_equal(found.tmax, [[14, 15, 21, 21]])
    np.testing.assert_array_equal(found.rain, [[0, 2, 3, 4]])


def test_a_year_need_only_know_the_days_asked_for():
    found = days_from_years(SEASON, [WARM, SHORT], length=3)
    assert found is not None
    assert found.rain.shape == (2, 4)
    assert days_from_years(SEASON, [SHORT], length=4) is None
    assert days_from_years(SEASON, [], length=1) is None


def test_temperatures_belong_together():
    half = sky([NAN], [30], [1])
    found = half.filled_from(sky([8], [20], [9]))
    assert (found.tmin[0], found.tmax[0], found.rain[0]) == (8, 20, 1)


def test_normals_keep_their_means_and_spread_by_month():
    found = made()
    assert found.tmax - found.tmin == pytest.approx(12)
    assert found.tmin.mean() == pytest.approx(10, abs=0.15)
    assert found.tmin[:, :30].mean(axis=1).std() == pytest.approx(1.5, abs=0.15)
    assert found.rain.mean() == pytest.approx(2.0, rel=0.03)
    assert (found.rain > 0).mean() == pytest.approx(0.3, abs=0.01)
    # sqrt(30 * (2 * 0.3 - 0.3^2)) / (30 * 0.3) = 0.43, as the docstring says
    month = found.rain[:, :30].sum(axis=1)
    assert month.std() / month.mean() == pytest.approx(0.43, abs=0.05)


def test_unknown_normals_leave_days_unknown():
    season = sky([NAN, 3], [NAN, 9], [NAN, NAN])
    found = days_from_normals(
        season, sky([10, 10], [20, 20], [2, NAN]), rows=3, temperature_spread=1, wet_share=1,
        generator=np.random.default_rng(1),
    )  # fmt: skip
    assert found.known.tolist() == [[True, False]] * 3
    assert found.tmin[:, 1].tolist() == [3, 3, 3]


@pytest.mark.parametrize(
    ("changes", "message"),
    [({"rows": 0}, "rows must be at least 1"), ({"wet_share": 0}, "wet_share must be above 0, at most 1")],
)
def test_impossible_arguments_are_refused(changes, message):
    with pytest.raises(DomainError, match=message):
        made(**changes)


def test_days_have_one_shape():
    with pytest.raises(DomainError, match="of one shape"):
        sky([1], [2, 3], [0])


def test_short_gaps_of_rain_take_the_mean_of_the_days_around_in_all_years():
    # Two years of days 351 to 365 and 1 to 5, the second wetter, with gaps of one and of four days.
    day_of_year = np.tile(np.r_[351:366, 1:6], 2)
    rain = np.r_[np.full(20, 2.0), np.full(20, 5.0)]
    rain[[15, 23, 24, 25, 26]] = NAN
    found = bridged_rain(rain, day_of_year=day_of_year, longest_gap=3)
    # Within 15 days of 1 January: all that is known but the four days, 19 of 2 mm and 16 of 5 mm.
    assert found[15] == pytest.approx((19 * 2 + 16 * 5) / 35)
    np.testing.assert_array_equal(np.isnan(found), np.isin(np.arange(40), [23, 24, 25, 26]))
    np.testing.assert_array_equal(found[~np.isnan(rain)], rain[~np.isnan(rain)])


def test_a_gap_at_the_end_is_bridged_and_one_without_days_around_is_not():
    days = np.arange(100, 140)
    rain = np.full(40, NAN)
    rain[5:38] = 1.5
    np.testing.assert_array_equal(bridged_rain(rain, day_of_year=days, longest_gap=3)[38:], 1.5)
    lonely = np.full(1, NAN)
    assert np.isnan(bridged_rain(lonely, day_of_year=np.array([10]), longest_gap=3)).all()
    assert bridged_rain(np.empty(0), day_of_year=np.empty(0), longest_gap=3).size == 0
