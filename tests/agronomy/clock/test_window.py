import datetime as dt

import numpy as np
import pytest
from tests.agronomy.clock.seasons import CHAIN, SOWN, after, nodes, season, stages_of, window

from spadework.agronomy.clock import ColdSpell, DayRange, MonthlyNormals, WhyUnknown, cold_days, dig_window
from spadework.errors import DomainError

FOUR_TO_SIX_WEEKS = window(opens_days=28, closes_days=42)
FLOWERING = window(opens_bbch=60, closes_bbch=65)
WARM = [10.0] * 150


def estimate(stages, days_window=FOUR_TO_SIX_WEEKS, stage_window=FLOWERING):
    return dig_window(stages, days_window=days_window, stage_window=stage_window, infection_days=14, cold_limit=10.0)


def test_both_clocks():
    found = estimate(stages_of())
    # Up on day 10; four and six weeks later; flowering from day 50, half way through it on day 57.
    assert found.calendar_opens == DayRange(after(38), after(38))
    assert found.calendar_closes == DayRange(after(52), after(52))
    assert found.thermal_opens == DayRange(after(50), after(50))
    assert found.thermal_closes == DayRange(after(57), after(57))
    assert (found.opens, found.closes) == (found.calendar_opens, found.calendar_closes)
    assert (found.anchor, found.anchor_day) == ("emergence", DayRange(after(10), after(10)))
    assert found.rows[:2] == ("window.test", "thermal.sowing_emergence")


def test_doubt_about_emergence_passes_on():
    found = estimate(stages_of(relative_range=0.1))
    assert found.calendar_opens == DayRange(after(9 + 28), after(11 + 28))
    assert found.calendar_closes == DayRange(after(9 + 42), after(11 + 42))


def test_from_sowing():
    found = estimate(stages_of(), window("sowing", opens_days=56, closes_days=84), None)
    assert found.opens == DayRange(after(56), after(56))
    assert found.closes == DayRange(after(84), after(84))
    assert found.anchor_day == DayRange(SOWN, SOWN, observed=True)
    assert (found.thermal_opens, found.thermal_closes) == (None, None)
    assert found.why_unknown is None


def test_degree_days_serve_where_the_scheme_counts_no_days():
    found = estimate(stages_of(), None)
    assert (found.opens, found.closes) == (found.thermal_opens, found.thermal_closes)
    mixed = estimate(stages_of(), window(opens_days=14), window(closes_bbch=65))
    assert mixed.opens == DayRange(after(24), after(24))
    assert mixed.closes == DayRange(after(57), after(57))


def test_leaf_counts_open_a_window():
    found = estimate(stages_of(node_interval=nodes(40.0)), None, window(opens_bbch=16, closes_bbch=69))
    assert found.opens == DayRange(after(34), after(34))


def test_parts_of_days_are_kept_inside():
    found = estimate(stages_of(), window(opens_days=27.5, closes_days=42.5))
    assert found.opens == DayRange(after(38), after(38))
    assert found.closes == DayRange(after(52), after(52))


def test_cold_days_move_the_late_opening_only():
    # Up on day 10 at ten a day; then six days at 9 degrees within the two weeks of infection.
    found = estimate(stages_of(series=season(SOWN, [10.0] * 12 + [9.0] * 6 + [10.0] * 130)))
    assert found.cold_days_after_emergence == 6
    assert found.calendar_opens == DayRange(after(38), after(44))
    assert found.calendar_closes == DayRange(after(52), after(52))


def test_cold_is_looked_for_from_the_earliest_emergence():
    # Up between day 9 and 12; days 10, 25 and 26 are cold, the last of them two weeks after the latest emergence.
    means = [10.0] * 9 + [9.9] + [10.0] * 14 + [9.9, 9.9] + WARM
    found = estimate(stages_of(series=season(SOWN, means), relative_range=0.1))
    assert found.anchor_day == DayRange(after(9), after(12))
    assert found.cold_days_after_emergence == 3


def test_cold_before_emergence_and_after_infection_moves_nothing():
    # Eleven days at 9 degrees bring 99; up on day 12. Days 27 on, past the two weeks, are cold again.
    found = estimate(stages_of(series=season(SOWN, [9.0] * 11 + [10.0] * 15 + [9.0] * 20 + WARM)))
    assert found.anchor_day == DayRange(after(12), after(12))
    assert found.cold_days_after_emergence == 0


def test_why_there_is_no_window():
    assert estimate(stages_of(sown_on=None)).why_unknown is WhyUnknown.NO_ANCHOR
    assert estimate(stages_of(rows=())).why_unknown is WhyUnknown.NO_ROW
    holed = stages_of(series=season(SOWN, [10.0] * 5 + [None] * 8 + WARM))
    found = estimate(holed)
    assert (found.opens, found.closes) == (None, None)
    assert found.why_unknown is WhyUnknown.WEATHER_MISSING
    unsown = estimate(stages_of(sown_on=None, emerged_on=after(10)), window("sowing", opens_days=56))
    assert unsown.why_unknown is WhyUnknown.NO_ANCHOR
    # The stage clock still serves.
    assert unsown.opens == DayRange(after(50), after(50))


def test_southern_summer():
    sown = dt.date(2026, 12, 1)
    found = estimate(stages_of(sown_on=sown, series=season(sown, WARM)))
    assert found.opens == DayRange(dt.date(2027, 1, 8), dt.date(2027, 1, 8))


def test_neither_window():
    with pytest.raises(DomainError, match="days_window and stage_window must be given, at least one"):
        estimate(stages_of(), None, None)


def test_counting_cold_days():
    series = season(SOWN, [9.9, 10.0, None, None, None, None, 5.0])
    spell = cold_days(series, after=SOWN, through=after(7), limit=10.0)
    assert spell == ColdSpell(cold_days=2, missing_days=4)
    assert cold_days(series, after=after(1), through=after(2), limit=10.0) == ColdSpell(0, 0)
    # Two days before the series and three after it have no temperature.
    assert cold_days(series, after=after(-2), through=after(10), limit=10.0) == ColdSpell(2, 9)
    assert cold_days(series, after=after(5), through=after(2), limit=10.0) == ColdSpell(0, 0)
    assert cold_days(series, after=after(20), through=after(22), limit=10.0) == ColdSpell(0, 2)


def test_days_ahead_count_as_normals_have_them():
    normals = MonthlyNormals(tmin=np.full(12, 0.0), tmax=np.full(12, 10.0))
    stages = stages_of(series=season(SOWN, [10.0] * 14, normals=normals, days=200), rows=CHAIN[:1])
    # Up on day 10; days 15 to 24 are ahead, at 5 degrees.
    assert estimate(stages).cold_days_after_emergence == 10
