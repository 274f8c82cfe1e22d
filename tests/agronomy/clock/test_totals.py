import datetime as dt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.agronomy.clock import (
    DayRange,
    MonthlyNormals,
    WhyUnknown,
    daily_temperature,
    degree_day_sum,
    running_total,
)
from spadework.errors import DomainError

FIRST = dt.date(2026, 5, 2)
EVE = FIRST - dt.timedelta(days=1)


def series_of(means, first=FIRST, normals=None, days=None):
    """Make a series in which the day's mean is given and the low and high lie five degrees either side."""
    span = days or len(means)
    known = [at for at, mean in enumerate(means) if not np.isnan(mean)]
    return daily_temperature(
        first_day=first,
        last_day=first + dt.timedelta(days=span - 1),
        observed_days=[first + dt.timedelta(days=at) for at in known],
        tmin=[means[at] - 5 for at in known],
        tmax=[means[at] + 5 for at in known],
        normals=normals,
    )


def total_of(means, **options):
    return running_total(series_of(means, **options), t_base=0, method="mean_then_floor")


def test_counting_starts_the_day_after_the_anchor():
    running = total_of([10, 11, 12])
    eve = EVE.toordinal()
    assert running.between(after=eve, through=eve) == 0
    assert running.between(after=eve, through=eve + 1) == 10
    assert running.between(after=eve + 1, through=eve + 3) == 23


def test_a_stage_is_reached_on_the_day_at_or_above_its_sum():
    running = total_of([10, 10, 10, 10])
    eve = EVE.toordinal()
    assert running.day_reaching(after=eve, target=20) == eve + 2
    assert running.day_reaching(after=eve, target=20.001) == eve + 3
    assert running.day_reaching(after=eve, target=0) == eve


def test_equal_on_paper_is_equal():
    # Ten days of 0.1 add up to 0.9999999999999999 in floats.
    running = total_of([0.1] * 10)
    assert running.day_reaching(after=EVE.toordinal(), target=1.0) == EVE.toordinal() + 10


def test_not_reached():
    running = total_of([10, 10])
    assert running.day_reaching(after=EVE.toordinal(), target=21) is WhyUnknown.BEYOND_SERIES
    assert running.day_reaching(after=EVE.toordinal() + 2, target=1) is WhyUnknown.BEYOND_SERIES
    assert running.day_reaching(after=EVE.toordinal() + 3, target=1) is WhyUnknown.BEYOND_SERIES
    assert running.between(after=EVE.toordinal(), through=EVE.toordinal() + 3) is WhyUnknown.BEYOND_SERIES


def test_missing_days_on_the_way_are_never_zero():
    gap = [np.nan] * 4
    running = total_of([10, 10, *gap, 10, 10])
    eve = EVE.toordinal()
    assert running.day_reaching(after=eve, target=20) == eve + 2
    assert running.day_reaching(after=eve, target=21) is WhyUnknown.WEATHER_MISSING
    assert running.day_reaching(after=eve, target=500) is WhyUnknown.WEATHER_MISSING
    assert running.between(after=eve, through=eve + 7) is WhyUnknown.WEATHER_MISSING
    assert running.between(after=eve + 6, through=eve + 8) == 20
    assert total_of([10, 10], days=3).day_reaching(after=eve, target=30) is WhyUnknown.WEATHER_MISSING


def test_an_anchor_before_the_series_has_missing_weather():
    running = total_of([10, 10])
    before = EVE.toordinal() - 1
    assert running.day_reaching(after=before, target=5) is WhyUnknown.WEATHER_MISSING
    assert running.between(after=before, through=before + 2) is WhyUnknown.WEATHER_MISSING


@given(
    st.lists(st.floats(-10, 35), min_size=3, max_size=60),
    st.data(),
    st.sampled_from(["mean_then_floor", "floor_each", "triangle", "sine", "quarter"]),
)
def test_totals_add_up(means, data, method):
    running = running_total(series_of(means), t_base=3, method=method)
    a, b, c = sorted(data.draw(st.integers(0, len(means))) for _ in range(3))
    eve = EVE.toordinal()
    whole = running.between(after=eve + a, through=eve + c)
    parts = running.between(after=eve + a, through=eve + b) + running.between(after=eve + b, through=eve + c)
    assert whole == pytest.approx(parts, abs=1e-9)


@given(st.lists(st.floats(0, 35), min_size=5, max_size=60), st.floats(0, 400), st.integers(1, 400))
def test_the_calendar_date_does_not_matter(means, target, later):
    # The same weather from another day on, over New Year or 29 February, takes as many days.
    moved = FIRST + dt.timedelta(days=later)
    here = total_of(means).day_reaching(after=EVE.toordinal(), target=target)
    there = total_of(means, first=moved).day_reaching(after=moved.toordinal() - 1, target=target)
    if here is WhyUnknown.BEYOND_SERIES:
        assert there is here
    else:
        assert there - here == later


def test_sum_beside_its_rule_and_days():
    normals = MonthlyNormals(tmin=np.full(12, 15.0), tmax=np.full(12, 25.0))
    series = series_of([10, np.nan, 10, 10], normals=normals, days=6)
    found = degree_day_sum(
        series,
        after=DayRange(EVE, EVE, observed=True),
        through=FIRST + dt.timedelta(days=5),
        t_base=4,
        method="floor_each",
    )
    # Lows of 5 and highs of 15 over base 4: 6 on four days; normals of 20 give 16 on two.
    assert found.total == found.low == found.high == 56
    assert (found.filled_days, found.normal_days, found.missing_days) == (1, 2, 0)
    assert (found.method, found.t_base, found.t_cap) == ("floor_each", 4, None)


def test_sum_from_an_anchor_that_is_a_range():
    after = DayRange(EVE, EVE + dt.timedelta(days=4))
    found = degree_day_sum(
        series_of([10, 11, 12, 13, 14]),
        after=after,
        through=FIRST + dt.timedelta(days=4),
        t_base=0,
        method="mean_then_floor",
    )
    # From the middle, 3 May: 12 + 13 + 14; from the late end only 14; from the early end all five.
    assert after.centre == dt.date(2026, 5, 3)
    assert (found.low, found.total, found.high) == (14, 39, 60)


def test_sum_leaves_out_missing_days_and_says_so():
    found = degree_day_sum(
        series_of([10, np.nan, np.nan, np.nan, np.nan, 10]),
        after=DayRange(EVE - dt.timedelta(days=2), EVE - dt.timedelta(days=2)),
        through=FIRST + dt.timedelta(days=6),
        t_base=0,
        method="mean_then_floor",
    )
    # Two days before the series, four in it and one after it.
    assert (found.total, found.missing_days) == (20, 7)


def test_nothing_has_added_up_on_the_anchor_itself():
    anchor = DayRange(FIRST, FIRST)
    found = degree_day_sum(series_of([10]), after=anchor, through=FIRST, t_base=0, method="mean_then_floor")
    assert (found.low, found.total, found.high, found.missing_days) == (0, 0, 0, 0)


def test_sum_refuses_a_day_before_its_anchor():
    with pytest.raises(DomainError, match=r"through must be on or after the anchor \(2026-05-05\)"):
        degree_day_sum(
            series_of([10]),
            after=DayRange(dt.date(2026, 5, 5), dt.date(2026, 5, 5)),
            through=FIRST,
            t_base=0,
            method="mean_then_floor",
        )


def test_moving_a_range():
    moved = DayRange(FIRST, FIRST, observed=True).moved(low=1, high=3)
    assert moved == DayRange(FIRST + dt.timedelta(days=1), FIRST + dt.timedelta(days=3))
