import datetime as dt

import numpy as np
import pytest
from tests.advice.nitrogen.fields import a_balance_field, past, sky, usual
from tests.factories import DUG, SOWN

from spadework.advice.nitrogen.sky import sky_of
from spadework.knowledge.load import load

OVER = dt.date(2026, 10, 30)


def found(held, *, today=DUG, margin=10, needed=1500.0, seed=1):
    return sky_of(
        held,
        sown_on=SOWN,
        latitude=51.0,
        today=today,
        base=0.0,
        cap=25.0,
        needed=needed,
        margin=margin,
        knowledge=load(),
        generator=np.random.default_rng(seed),
    )


def test_a_season_that_is_over_is_known():
    held = a_balance_field(weather=sky(last=OVER), normals=())
    got = found(held, today=OVER)
    assert got.source == "known"
    assert got.weather.rows == 1
    assert got.met_by(10) is None
    # Rain as written: 12 mm on every fourth day.
    assert got.weather.rain.max() == 12
    assert got.weather.rain.mean() == pytest.approx(3.0, abs=0.1)


def test_days_after_today_are_not_looked_at():
    later = found(a_balance_field(weather=sky(last=OVER)), today=DUG)
    assert later.source == "normals"


def test_past_years_come_before_normals_and_each_is_met_alike():
    got = found(a_balance_field(weather=past() + sky(dt.date(2026, 1, 1), DUG)))
    assert got.source == "years"
    assert got.weather.rows == 10
    np.testing.assert_array_equal(np.bincount(got.met_by(500)), [50] * 10)
    ahead = (DUG - SOWN).days + 1
    assert np.ptp(got.weather.mean[:, :ahead], axis=0).max() == 0
    assert np.ptp(got.weather.mean[:, ahead:], axis=0).min() > 1


def test_few_past_years_do_not_stand_for_all():
    got = found(a_balance_field(weather=past(range(2022, 2026)) + sky()))
    assert got.source == "normals"


@pytest.mark.parametrize(("first", "few"), [(2017, True), (2016, False)])
def test_fewer_than_ten_past_years_are_taken_and_called_few(first, few):
    got = found(a_balance_field(weather=past(range(first, 2026)) + sky(dt.date(2026, 1, 1), DUG)))
    assert (got.source, got.few_years) == ("years", few)


def without(*gone, last=OVER, first=SOWN):
    """Weather whose rain was not written down on some days."""
    return tuple(
        row.model_copy(update={"RAIN": None}) if row.W_DATE in gone else row for row in sky(first=first, last=last)
    )


@pytest.mark.parametrize("normals", [usual(), ()])
def test_a_day_without_rain_written_down_does_not_lose_the_season(normals):
    # 12 mm fell on 4 June: the days around have 3 mm a day, less what is not written.
    day = dt.date(2026, 6, 4)
    got = found(a_balance_field(weather=without(day), normals=normals), today=OVER)
    assert (got.source, got.weather.rows, got.filled, got.filled_from) == ("known", 1, 1, "around")
    assert got.weather.rain[0, (day - SOWN).days] == pytest.approx(3.0, abs=0.4)
    assert "weather.rain_fill_days" in got.rows
    whole = found(a_balance_field(weather=sky(last=OVER)), today=OVER)
    assert (whole.filled, whole.filled_from) == (0, "around")
    assert "weather.rain_fill_days" not in whole.rows


def test_a_gap_too_long_is_not_made_up_where_nothing_tells_of_it():
    gap = [dt.date(2026, 6, day) for day in range(1, 6)]
    assert found(a_balance_field(weather=without(*gap), normals=()), today=OVER) is None


def test_a_past_year_that_lacks_a_day_still_counts():
    gone = [dt.date(year, 7, 1) for year in range(2016, 2026)]
    years = tuple(row.model_copy(update={"RAIN": None}) if row.W_DATE in gone else row for row in past())
    got = found(a_balance_field(weather=years + sky(dt.date(2026, 1, 1), DUG)))
    assert (got.source, got.weather.rows, got.filled) == ("years", 10, 0)


@pytest.mark.parametrize(("behind", "filled", "filled_from"), [(0, 0, "around"), (1, 0, "around"), (4, 3, "normals")])
def test_days_not_written_before_today_are_counted_beside_those_ahead(behind, filled, filled_from):
    got = found(a_balance_field(weather=sky(last=DUG - dt.timedelta(days=behind))))
    assert (got.source, got.filled, got.filled_from) == ("normals", filled, filled_from)


def test_a_long_gap_is_filled_as_the_days_ahead_are_and_is_none_of_them():
    without = tuple(row for row in sky(last=OVER) if not dt.date(2026, 6, 1) <= row.W_DATE <= dt.date(2026, 6, 20))
    got = found(a_balance_field(weather=without), today=OVER)
    assert (got.source, got.filled, got.filled_from) == ("known", 20, "normals")
    gap = slice((dt.date(2026, 6, 1) - SOWN).days, (dt.date(2026, 6, 20) - SOWN).days + 1)
    varies = np.ptp(got.weather.mean, axis=0) > 0
    assert varies[gap].all()
    assert varies.sum() == 20


def test_rain_that_nobody_wrote_down_is_not_none():
    silent = tuple(row.model_copy(update={"RAIN": None}) for row in sky(last=OVER))
    got = found(a_balance_field(weather=silent), today=OVER)
    assert got.weather.rain.sum() > 100


@pytest.mark.parametrize(
    "parts",
    [
        {"normals": ()},
        {"normals": tuple(row.model_copy(update={"RAIN": None}) for row in usual())},
        {"normals": usual()[:6]},
        {"weather": (), "normals": ()},
    ],
)
def test_what_stays_unknown_gives_no_balance(parts):
    assert found(a_balance_field(**parts)) is None


def test_normals_alone_are_enough():
    got = found(a_balance_field(weather=()))
    assert got.source == "normals"
    assert got.weather.rows > 20


def test_the_same_seed_gives_the_same_weather():
    held = a_balance_field()
    np.testing.assert_array_equal(found(held).weather.rain, found(held).weather.rain)
    assert not np.array_equal(found(held).weather.rain, found(held, seed=2).weather.rain)


def test_short_gaps_of_temperature_are_filled_and_said():
    without = tuple(row for row in sky(last=OVER) if dt.date(2026, 6, 3) != row.W_DATE)
    assert "weather.fill_days" in found(a_balance_field(weather=without), today=OVER).rows


def test_sown_on_a_leap_day():
    leap = dt.date(2024, 2, 29)
    held = a_balance_field(weather=past(range(2015, 2024)))
    got = sky_of(held, sown_on=leap, latitude=51.0, today=leap, base=0.0, cap=25.0, needed=1500.0, margin=5,
                 knowledge=load(), generator=np.random.default_rng(1))  # fmt: skip
    assert got.source == "years"


def test_a_cold_place_is_followed_until_winter_and_no_longer():
    cold = {"mean": 2.0, "swing": 9.0}
    got = found(a_balance_field(weather=sky(**cold), normals=usual(**cold)), needed=5000.0)
    assert got.weather.days < 250
