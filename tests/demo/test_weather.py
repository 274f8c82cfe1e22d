"""Invented weather: what a station of the demo must and must not record."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest

from spadework.demo.weather import Spell, Station, daily_weather, monthly_normals

D = dt.date
NORTH = Station(
    station="hill",
    latitude=50.0,
    longitude=-32.0,
    mean=5.0,
    swing=15.0,
    warmest=200,
    range_dry=12.0,
    wet_chance=0.25,
    rain_mean=6.0,
    first_day=D(2020, 1, 1),
)
LAST = D(2026, 12, 31)


def test_one_row_a_day_and_highs_above_lows() -> None:
    rows = daily_weather(NORTH, last_day=LAST, seed=1)
    assert len(rows) == (LAST - NORTH.first_day).days + 1
    assert len({row.W_DATE for row in rows}) == len(rows)
    for row in rows:
        assert row.TMAX is not None
        assert row.TMIN is not None
        assert row.TMAX > row.TMIN


def test_the_climate_is_the_one_asked_for() -> None:
    rows = daily_weather(NORTH, last_day=LAST, seed=1)
    means = np.array([(row.TMAX + row.TMIN) / 2 for row in rows])
    expected = np.array([NORTH.usual_mean(row.W_DATE) for row in rows])
    departure = means - expected
    # Seven years of days that resemble the day before (0.7): about 2557 * (1 - 0.7) / (1 + 0.7) = 451 free
    # values with sd 3, so the mean lies within 4 * 3 / sqrt(451) = 0.57 of the climate's.
    assert abs(departure.mean()) < 0.57
    assert departure.std() == pytest.approx(3.0, abs=0.4)
    assert np.corrcoef(departure[:-1], departure[1:])[0, 1] == pytest.approx(0.7, abs=0.06)


def test_normals_are_the_long_run_of_the_days() -> None:
    rows = daily_weather(replace(NORTH, first_day=D(1960, 1, 1)), last_day=LAST, seed=4)
    for normal in monthly_normals(NORTH):
        days = [row for row in rows if row.W_DATE.month == normal.month]
        assert np.mean([row.TMAX for row in days]) == pytest.approx(normal.TMAX, abs=0.9)
        assert np.mean([row.TMIN for row in days]) == pytest.approx(normal.TMIN, abs=0.9)
        assert sum(row.RAIN for row in days) / 67 == pytest.approx(normal.RAIN, rel=0.2)


def test_the_south_is_warm_in_january() -> None:
    south = replace(NORTH, warmest=20)
    normals = {row.month: row.TMAX for row in monthly_normals(south)}
    assert normals[1] > normals[7] + 20


def test_blank_days_have_no_temperature_and_lost_days_no_row() -> None:
    gappy = replace(
        NORTH, first_day=D(2026, 1, 1), blank_days=(D(2026, 3, 5),), lost=((D(2026, 4, 1), D(2026, 4, 12)),)
    )
    whole = {row.W_DATE: row for row in daily_weather(replace(NORTH, first_day=D(2026, 1, 1)), last_day=LAST, seed=1)}
    rows = {row.W_DATE: row for row in daily_weather(gappy, last_day=LAST, seed=1)}
    assert rows[D(2026, 3, 5)].TMAX is None
    assert rows[D(2026, 3, 5)].TMIN is None
    assert set(whole) - set(rows) == {D(2026, 4, day) for day in range(1, 13)}
    # A gap hides days; it does not change the others.
    assert all(rows[day] == whole[day] for day in rows if day != D(2026, 3, 5))


def test_a_spell_changes_its_own_days_only() -> None:
    usual = daily_weather(NORTH, last_day=LAST, seed=1)
    spell = Spell(D(2026, 5, 1), D(2026, 5, 31), warmer_by=-4.5)
    cold = daily_weather(replace(NORTH, spells=(spell,)), last_day=LAST, seed=1)
    for before, after in zip(usual, cold, strict=True):
        drop = -4.5 if spell.first <= before.W_DATE <= spell.last else 0.0
        assert pytest.approx(drop, abs=0.11) == after.TMAX - before.TMAX


@pytest.mark.parametrize("wet", [True, False])
def test_wet_and_dry_spells(wet: bool) -> None:
    spell = Spell(D(2026, 5, 1), D(2026, 5, 20), wet=wet)
    rows = daily_weather(replace(NORTH, spells=(spell,)), last_day=LAST, seed=1)
    rain = [row.RAIN for row in rows if spell.first <= row.W_DATE <= spell.last]
    assert sum(rain) > 40 if wet else sum(rain) == 0


def test_no_normals_where_the_station_has_none() -> None:
    assert monthly_normals(replace(NORTH, has_normals=False)) == ()
