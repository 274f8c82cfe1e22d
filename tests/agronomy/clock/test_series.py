import datetime as dt

import numpy as np
import pytest

from spadework.agronomy.clock import DayOrigin, MonthlyNormals, daily_temperature
from spadework.errors import DomainError

MONTHS = np.arange(12.0)
NORMALS = MonthlyNormals(tmin=MONTHS, tmax=MONTHS + 10)


def day(text):
    return dt.date.fromisoformat(text)


def series(first, last, observed, *, normals=None, **options):
    """Build a series; ``observed`` maps a day to its low, with the high ten degrees above."""
    days = [day(text) for text in observed]
    low = np.array(list(observed.values()), dtype=float)
    return daily_temperature(
        first_day=day(first),
        last_day=day(last),
        observed_days=days,
        tmin=low,
        tmax=low + 10,
        normals=normals,
        **options,
    )


def test_days_come_in_any_order_and_gaps_are_filled():
    found = series("2026-05-01", "2026-05-05", {"2026-05-05": 9, "2026-05-01": 1, "2026-05-02": 3})
    assert found.tmin.tolist() == [1, 3, 5, 7, 9]
    assert found.tmax.tolist() == [11, 13, 15, 17, 19]
    assert found.origin.tolist() == [0, 0, 1, 1, 0]
    assert found.last_day == day("2026-05-05")


def test_days_outside_help_to_fill_the_ends():
    found = series("2026-05-02", "2026-05-03", {"2026-05-01": 1, "2026-05-03": 3, "2026-06-20": 20})
    assert found.tmin.tolist() == [2, 3]
    assert found.origin.tolist() == [DayOrigin.FILLED, DayOrigin.OBSERVED]


def test_without_normals_the_days_ahead_are_missing():
    found = series("2026-05-01", "2026-05-03", {"2026-05-01": 1})
    np.testing.assert_array_equal(found.tmin, [1, np.nan, np.nan])
    assert found.origin.tolist() == [0, 3, 3]


def test_no_observation_at_all():
    found = series("2026-05-01", "2026-05-03", {})
    assert (found.origin == DayOrigin.MISSING).all()
    assert np.isnan(found.tmax).all()


def test_normals_stand_for_the_middle_of_the_month():
    # April has 30 days, so its middle is midnight before the 16th and lies half way between noon of the 15th
    # and of the 16th; January's 31 days put the middle at noon of the 16th.
    found = series("2026-01-16", "2026-04-16", {}, normals=NORMALS)
    assert found.tmin[0] == 0
    assert found.tmin[-2:].mean() == pytest.approx(3, abs=1e-12)
    assert (found.origin == DayOrigin.NORMAL).all()
    assert (np.diff(found.tmin) > 0).all()


def test_normals_run_round_the_year():
    # From the middle of December (11) the line falls to the middle of January (0), 31 days later.
    found = series("2026-12-16", "2027-01-16", {}, normals=NORMALS)
    np.testing.assert_allclose(found.tmin, 11 - 11 / 31 * np.arange(32), atol=1e-12)


def test_leap_day_is_a_day_like_others():
    # Middles: noon of 15 February 2028 (29 days) and noon of 16 March, 30 days apart.
    found = series("2028-02-15", "2028-03-16", {}, normals=NORMALS)
    assert found.tmin.size == 31
    np.testing.assert_allclose(found.tmin, 1 + np.arange(31) / 30, atol=1e-12)


def test_an_unknown_month_leaves_its_days_missing():
    months = MONTHS.copy()
    months[5] = np.nan
    normals = MonthlyNormals(tmin=months, tmax=months + 10)
    found = series("2026-05-01", "2026-08-31", {}, normals=normals)
    missing = [found.first_day + dt.timedelta(days=int(at)) for at in np.flatnonzero(found.origin == 3)]
    assert (missing[0], missing[-1]) == (day("2026-05-17"), day("2026-07-15"))


def test_long_gaps_take_normals_and_short_ones_do_not():
    observed = {"2026-05-01": 20, "2026-05-03": 22, "2026-05-08": 30}
    found = series("2026-05-01", "2026-05-09", observed, normals=NORMALS)
    assert found.origin.tolist() == [0, 1, 0, 2, 2, 2, 2, 0, 2]
    assert (found.tmin[3:7] < 6).all()


def test_half_a_record_is_filled_as_a_whole():
    days = [day("2026-05-01"), day("2026-05-02"), day("2026-05-03")]
    found = daily_temperature(
        first_day=days[0], last_day=days[2], observed_days=days, tmin=[0, 30, 2], tmax=[10, np.nan, 12]
    )
    assert found.tmin.tolist() == [0, 1, 2]
    assert found.tmax.tolist() == [10, 11, 12]
    assert found.origin.tolist() == [0, 1, 0]
    other = daily_temperature(
        first_day=days[0], last_day=days[2], observed_days=days, tmin=[0, np.nan, 2], tmax=[10, -9, 12]
    )
    assert other.tmax.tolist() == [10, 11, 12]


def test_a_day_may_have_no_swing():
    days = [day("2026-05-01")]
    found = daily_temperature(first_day=days[0], last_day=days[0], observed_days=days, tmin=[4], tmax=[4])
    assert found.tmin.tolist() == found.tmax.tolist() == [4]
    assert MonthlyNormals(tmin=np.zeros(12), tmax=np.zeros(12)).tmax.tolist() == [0] * 12


def test_shift_moves_only_the_days_from_normals():
    observed = {"2026-05-01": 1, "2026-05-03": 3}
    cool = series("2026-05-01", "2026-05-05", observed, normals=NORMALS)
    warm = cool.shifted(2.5)
    np.testing.assert_allclose(warm.tmin - cool.tmin, [0, 0, 0, 2.5, 2.5])
    np.testing.assert_allclose(warm.tmax - cool.tmax, [0, 0, 0, 2.5, 2.5])
    assert cool.shifted(0) is cool


def test_counts_start_the_day_after_and_know_what_lies_outside():
    found = series("2026-05-01", "2026-05-05", {"2026-05-01": 1, "2026-05-03": 3}, normals=NORMALS)
    counts = found.counts(after=day("2026-05-01"), through=day("2026-05-04"))
    assert counts == {
        DayOrigin.OBSERVED: 1,
        DayOrigin.FILLED: 1,
        DayOrigin.NORMAL: 1,
        DayOrigin.MISSING: 0,
    }
    outside = found.counts(after=day("2026-04-28"), through=day("2026-05-07"))
    # 29 and 30 April, 6 and 7 May.
    assert outside[DayOrigin.MISSING] == 4
    assert found.counts(after=day("2026-05-04"), through=day("2026-05-02"))[DayOrigin.OBSERVED] == 0


def test_refusals():
    with pytest.raises(DomainError, match="last_day must be on or after first_day"):
        series("2026-05-02", "2026-05-01", {})
    days = [day("2026-05-01"), day("2026-05-01"), day("2026-04-30")]
    span = {"first_day": days[0], "last_day": days[0]}
    with pytest.raises(DomainError, match="observed day must be given once, but is '2026-05-01'"):
        daily_temperature(**span, observed_days=days, tmin=[1, 2, 0], tmax=[3, 4, 5])
    with pytest.raises(DomainError, match=r"tmin and tmax must be of shape \(3,\)"):
        daily_temperature(**span, observed_days=days, tmin=[1], tmax=[3, 4, 5])
    with pytest.raises(DomainError, match=r"tmax of 2026-05-01 must be at least tmin \(5\), but is 3.0 at pos"):
        daily_temperature(**span, observed_days=days[:1], tmin=[5], tmax=[3])
    with pytest.raises(DomainError, match="normal tmin must be 12 figures"):
        MonthlyNormals(tmin=np.zeros(11), tmax=np.zeros(12))
    with pytest.raises(DomainError, match=r"normal tmax must be at least normal tmin, but is -1\.0 at position 4"):
        MonthlyNormals(tmin=np.zeros(12), tmax=np.array([1, 1, 1, 1, -1, *[1] * 7]))
