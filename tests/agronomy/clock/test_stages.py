import datetime as dt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.agronomy.clock.seasons import CHAIN, SOWN, after, nodes, season, stages_of, thermal

from spadework.agronomy.clock import DayRange, MonthlyNormals, WhyUnknown
from spadework.errors import DomainError


def one_day(days, first=SOWN):
    return DayRange(after(days, first), after(days, first))


def test_stages_follow_one_another():
    # Ten degree-days a day: 100, then 400, 200 and 300 more.
    stages = stages_of()
    assert stages.emergence.days == one_day(10)
    assert stages.first_flower.days == one_day(50)
    assert stages.pod_fill.days == one_day(70)
    assert stages.maturity.days == one_day(100)


def test_rows_on_the_way_are_named():
    stages = stages_of()
    assert stages.first_flower.rows == ("thermal.sowing_emergence", "thermal.emergence_first_flower")
    assert stages.maturity.rows[-1] == "thermal.pod_fill_maturity"


def test_a_printed_range_is_the_range():
    rows = (thermal("sowing", "emergence", low=80.0, high=121.0), *CHAIN[1:])
    stages = stages_of(rows=rows, relative_range=0.1)
    # 80 on day 8, 121 on day 13; then 360 to 440 more, since the second sum is one figure.
    assert stages.emergence.days == DayRange(after(8), after(13))
    assert stages.first_flower.days == DayRange(after(8 + 36), after(13 + 44))


def test_first_flower_may_have_a_range_of_its_own():
    stages = stages_of(relative_range=0.1, flower_range=0.3)
    # Emergence 90 to 110, then 280 to 520, then 180 to 220.
    assert stages.emergence.days == DayRange(after(9), after(11))
    assert stages.first_flower.days == DayRange(after(9 + 28), after(11 + 52))
    assert stages.pod_fill.days == DayRange(after(37 + 18), after(63 + 22))


def test_observed_emergence_takes_the_place_of_its_estimate():
    stages = stages_of(emerged_on=after(20), relative_range=0.1)
    assert stages.emergence.days == DayRange(after(20), after(20), observed=True)
    assert stages.emergence.rows == ()
    assert stages.first_flower.days == DayRange(after(20 + 36), after(20 + 44))
    assert stages.first_flower.rows == ("thermal.emergence_first_flower",)


def test_observed_emergence_moves_a_sum_from_sowing_too():
    rows = (CHAIN[0], thermal("sowing", "first_flower", 500.0))
    assert stages_of(rows=rows).first_flower.days == one_day(50)
    # 500 from sowing less 100 to emergence, both on one clock, run from the observed day.
    late = stages_of(rows=rows, emerged_on=after(20))
    assert late.first_flower.days == one_day(60)
    assert set(late.first_flower.rows) == {row.id for row in rows}
    # Each sum widened by a tenth: 450 - 110 to 550 - 90.
    wide = stages_of(rows=rows, emerged_on=after(20), relative_range=0.1)
    assert wide.first_flower.days == DayRange(after(20 + 34), after(20 + 46))


def test_an_estimated_emergence_leaves_a_sum_from_sowing_as_it_is():
    rows = (CHAIN[0], thermal("sowing", "first_flower", 500.0))
    assert stages_of(rows=rows, relative_range=0.1).first_flower.days == DayRange(after(45), after(55))


def test_emergence_on_the_day_of_sowing_is_not_refused():
    assert stages_of(emerged_on=SOWN).first_flower.days == one_day(40)


def test_sums_of_two_clocks_are_not_subtracted():
    rows = (CHAIN[0], thermal("sowing", "first_flower", 400.0, t_base=2.0))
    assert stages_of(rows=rows, emerged_on=after(20)).first_flower.days == one_day(50)


def test_the_nearest_start_is_preferred():
    rows = (*CHAIN, thermal("sowing", "first_flower", 900.0))
    assert stages_of(rows=rows).first_flower.days == one_day(50)
    # Without a sum to emergence the one from sowing serves.
    without = stages_of(rows=rows[1:])
    assert without.emergence.why_unknown is WhyUnknown.NO_ROW
    assert without.first_flower.days == one_day(90)


def test_without_sowing_and_emergence_nothing_is_known():
    stages = stages_of(sown_on=None)
    for stage in (stages.emergence, stages.first_flower, stages.pod_fill, stages.maturity):
        assert (stage.days, stage.why_unknown) == (None, WhyUnknown.NO_ANCHOR)


def test_emergence_alone_is_enough():
    stages = stages_of(sown_on=None, emerged_on=after(10))
    assert stages.first_flower.days == one_day(50)


def test_missing_weather_is_never_a_guess():
    means = [10.0] * 30 + [None] * 4 + [10.0] * 100
    stages = stages_of(series=season(SOWN, means))
    assert stages.emergence.days == one_day(10)
    assert stages.first_flower.why_unknown is WhyUnknown.WEATHER_MISSING
    assert stages.pod_fill.why_unknown is WhyUnknown.WEATHER_MISSING
    # Three days would have been filled.
    filled = stages_of(series=season(SOWN, [10.0] * 30 + [None] * 3 + [10.0] * 100))
    assert filled.first_flower.days == one_day(50)


def test_beyond_the_series_is_said():
    stages = stages_of(series=season(SOWN, [10.0] * 60))
    assert stages.first_flower.days == one_day(50)
    assert stages.pod_fill.why_unknown is WhyUnknown.BEYOND_SERIES
    assert stages.maturity.why_unknown is WhyUnknown.BEYOND_SERIES


def test_days_ahead_from_normals_spread_the_range():
    normals = MonthlyNormals(tmin=np.full(12, 5.0), tmax=np.full(12, 15.0))
    series = season(SOWN, [10.0] * 30, normals=normals, days=150)
    stages = stages_of(series=series, forecast_shift=2.5)
    # Observed for 30 days: 300. The other 200 at 12.5 a day take 16 days, at 7.5 a day 27.
    assert stages.emergence.days == one_day(10)
    assert stages.first_flower.days == DayRange(after(30 + 16), after(30 + 27))


def test_a_southern_season_runs_over_new_year():
    sown = dt.date(2026, 12, 1)
    stages = stages_of(sown_on=sown, series=season(sown, [10.0] * 150))
    assert stages.first_flower.days == DayRange(dt.date(2027, 1, 20), dt.date(2027, 1, 20))


def test_a_leap_day_counts():
    sown = dt.date(2028, 2, 20)
    stages = stages_of(sown_on=sown, series=season(sown, [10.0] * 150))
    assert stages.emergence.days == DayRange(dt.date(2028, 3, 1), dt.date(2028, 3, 1))


def test_a_cold_spring_waits():
    cold = stages_of(series=season(SOWN, [2.0] * 20 + [10.0] * 150))
    # 40 degree-days in 20 days, so six more at ten.
    assert cold.emergence.days == one_day(26)


@given(
    st.lists(st.floats(0, 30), min_size=120, max_size=120),
    st.floats(0, 0.4),
    st.floats(0, 4),
    st.integers(0, 119),
)
def test_wider_doubt_only_widens(means, relative_range, shift, observed):
    normals = MonthlyNormals(tmin=np.full(12, 10.0), tmax=np.full(12, 20.0))
    series = season(SOWN, means[:observed], normals=normals, days=600)
    narrow = stages_of(series=series)
    wide = stages_of(series=series, relative_range=relative_range, forecast_shift=shift)
    for stage in ("emergence", "first_flower", "pod_fill", "maturity"):
        inner, outer = getattr(narrow, stage).days, getattr(wide, stage).days
        assert outer.low <= inner.low <= inner.high <= outer.high


def test_refusals():
    with pytest.raises(DomainError, match=r"emerged_on must be on or after sowing \(2026-05-01\)"):
        stages_of(emerged_on=after(-1))
    with pytest.raises(DomainError, match="rows must be one row from sowing to emergence"):
        stages_of(rows=(CHAIN[0], CHAIN[0]))
    with pytest.raises(DomainError, match=r"relative_range must be from 0 to below 1, but is 1\.0"):
        stages_of(relative_range=1.0)
    with pytest.raises(DomainError, match="flower_range must be from 0 to below 1"):
        stages_of(flower_range=-0.1)
    with pytest.raises(DomainError, match="bud_share must be between 0 and 1"):
        stages_of(bud_share=1.0)
    with pytest.raises(DomainError, match="bud_share must be between 0 and 1"):
        stages_of(bud_share=0.0)
    with pytest.raises(DomainError, match="forecast_shift must be 0 or more"):
        stages_of(forecast_shift=-1.0)
    with pytest.raises(DomainError, match="node_interval must be above 0"):
        stages_of(node_interval=nodes(low=0.0, high=10.0))
    with pytest.raises(DomainError, match="day must be on or after sowing"):
        stages_of().bbch_on(after(-1))
    with pytest.raises(DomainError, match="BBCH code must be from 0 to 99, but is 100"):
        stages_of().day_of(100)
