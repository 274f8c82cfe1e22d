from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.agronomy.season.plain import grow
from tests.agronomy.season.seasons import any_parameters, any_weather, drawn, middle, single, weather

from spadework.agronomy.season import Application, ObservedStage, Parameters, season_balance
from spadework.agronomy.season.result import DAILY
from spadework.errors import DomainError
from spadework.knowledge.rows import Crop

DRAWS = 12

APPLICATIONS = (
    Application(day=0, rate=20.0, access=0.8),
    Application(day=60, rate=np.full((DRAWS, 1), 50.0), access=0.65, volatilised=0.1, rain_to_free=12.7),
)
RATES = [(0, 20.0, 0.8, 0.0, 0.0), (60, 50.0, 0.65, 0.1, 12.7)]


def totals(result):
    return {
        field.name: getattr(result, field.name)
        for field in fields(result)
        if isinstance(getattr(result, field.name), np.ndarray)
    }


def same(one, other):
    for name, values in totals(one).items():
        np.testing.assert_array_equal(values, getattr(other, name), err_msg=name)
    for name, values in one.daily.items():
        np.testing.assert_array_equal(values, other.daily[name], err_msg=name)


@given(sky=any_weather(), parameters=any_parameters(DRAWS), seed=st.integers(0, 99), scaled=st.booleans())
@settings(max_examples=40, deadline=None)
def test_every_draw_is_what_plain_python_makes_of_it(sky, parameters, seed, scaled):
    weather_of = np.random.default_rng(seed).integers(0, sky.rows, DRAWS)
    found = season_balance(
        sky,
        parameters,
        weather_of=weather_of,
        applications=APPLICATIONS,
        observed=[ObservedStage(day=40, stage=0.7)],
        water_limits_yield=scaled,
        daily=DAILY,
    )
    for draw in range(DRAWS):
        plain = grow(
            sky,
            int(weather_of[draw]),
            single(parameters, draw),
            applications=RATES,
            observed=[(40, 0.7)],
            water_limits_yield=scaled,
        )
        for name, values in plain.days.items():
            np.testing.assert_allclose(found.daily[name][draw], values, rtol=1e-9, atol=1e-9, err_msg=name)
        assert (found.emerged_on[draw], found.matured_on[draw]) == (plain.emerged_on, plain.matured_on)
        assert found.gap_at_maturity[draw] == pytest.approx(plain.gap_at_maturity, abs=1e-8, nan_ok=True)
        assert found.relative_yield[draw] == pytest.approx(plain.relative_yield, abs=1e-9, nan_ok=True)


@given(sky=any_weather(), parameters=any_parameters(DRAWS), seed=st.integers(0, 99), scaled=st.booleans())
@settings(max_examples=60, deadline=None)
def test_nitrogen_and_water_are_neither_made_nor_lost(sky, parameters, seed, scaled):
    weather_of = np.random.default_rng(seed).integers(0, sky.rows, DRAWS)
    found = season_balance(
        sky,
        parameters,
        weather_of=weather_of,
        applications=APPLICATIONS,
        water_limits_yield=scaled,
        daily=DAILY,
    )
    day = found.daily
    begin = found.mineral_n_before[:, None]
    soil = begin + day["mineralised"] + day["freed"] - day["leached"] - day["taken"] - day["mineral_n"]
    rain = np.cumsum(sky.rain, axis=1)[weather_of]
    water = found.water_before[:, None] + rain - day["evaporated"] - day["drained"] - day["water"]
    up = np.arange(sky.days) >= np.where(found.emerged_on < 0, sky.days, found.emerged_on)[:, None]
    crop = found.seed_n[:, None] * up + day["taken"] + day["fixed"] - day["crop_n"]

    for rest in (soil, water, crop):
        assert np.abs(rest).max() < 1e-9
    for name in DAILY:
        assert name == "stage" or day[name].min() >= 0, name
        assert np.isfinite(day[name]).all(), name
    assert (day["water_fraction"] <= 1).all()
    for name in ("evaporated", "drained", "mineralised", "freed", "leached", "demand", "fixed", "taken"):
        assert np.diff(day[name], axis=1).min(initial=0) >= 0, name
    assert (found.freed <= found.applied).all()
    assert not (found.relative_yield > 1 + 1e-12).any()
    assert not (found.fixed_share > 1).any()


@given(sky=any_weather(), parameters=any_parameters(DRAWS), more=st.floats(0.001, 500))
@settings(max_examples=60, deadline=None)
def test_more_nitrate_never_raises_the_fixed_share(sky, parameters, more):
    weather_of = np.arange(DRAWS) % sky.rows
    one = season_balance(sky, parameters, weather_of=weather_of)
    richer = replace(parameters, mineral_n_at_sowing=parameters.mineral_n_at_sowing + more)
    other = season_balance(sky, richer, weather_of=weather_of)

    assert not (other.fixed_share > one.fixed_share + 1e-9).any()


@given(sky=any_weather(), parameters=any_parameters(DRAWS), more=st.floats(0.001, 2))
@settings(max_examples=60, deadline=None)
def test_better_nodules_never_lower_what_is_fixed_or_held(sky, parameters, more):
    weather_of = np.arange(DRAWS) % sky.rows
    one = season_balance(sky, parameters, weather_of=weather_of)
    other = season_balance(sky, replace(parameters, nodulation=parameters.nodulation + more), weather_of=weather_of)

    assert (other.fixed >= one.fixed - 1e-9).all()
    assert (other.crop_n >= one.crop_n - 1e-9).all()
    assert not (other.relative_yield < one.relative_yield - 1e-9).any()


@pytest.mark.parametrize("chunk", [1, 7, 64, 1000])
@pytest.mark.parametrize("rows", [1, 5, 100])
def test_what_a_chunk_gives_does_not_depend_on_the_others(chunk, rows):
    sky = weather(rows=rows, days=130, rainy=0.5)
    weather_of = None if rows in (1, 100) else np.arange(100) % rows
    parameters = drawn(100, nodulation=np.linspace(0, 1.2, 100)[:, None])
    asked = {
        "weather_of": weather_of,
        "applications": [Application(day=50, rate=40.0, access=0.6, rain_to_free=12.7)],
        "observed": [ObservedStage(day=30, stage=np.where(np.arange(100) % 3, np.nan, 0.2)[:, None])],
        "daily": DAILY,
    }

    whole = season_balance(sky, parameters, chunk=100, **asked)

    same(season_balance(sky, parameters, chunk=chunk, **asked), whole)


@pytest.mark.parametrize("workers", [2, 3, 9])
def test_chunks_side_by_side_give_what_they_give_one_after_the_other(workers):
    sky, parameters = weather(rows=5), drawn(100)
    asked = {"weather_of": np.arange(100) % 5, "daily": DAILY, "chunk": 9}

    same(season_balance(sky, parameters, workers=workers, **asked), season_balance(sky, parameters, **asked))


def test_an_error_in_a_thread_comes_out(monkeypatch):
    def refuse(*_args, **_kept):
        raise ZeroDivisionError("in the chunk")

    monkeypatch.setattr("spadework.agronomy.season.kernel.cells_of", refuse)
    with pytest.raises(ZeroDivisionError, match="in the chunk"):
        season_balance(weather(), drawn(10), chunk=3, workers=2)


def test_a_clock_that_differs_between_draws_is_chunked_alike():
    parameters = drawn(30, base_temperature=np.linspace(0, 3, 30)[:, None])
    sky = weather(rows=4)
    weather_of = np.arange(30) % 4

    whole = season_balance(sky, parameters, weather_of=weather_of, chunk=30)

    same(season_balance(sky, parameters, weather_of=weather_of, chunk=7), whole)
    assert len(set(whole.emerged_on)) > 1


@pytest.mark.parametrize("scaled", [False, True])
def test_draws_are_single_runs_side_by_side(scaled):
    sky, parameters = weather(rainy=0.6), drawn(25)
    found = season_balance(sky, parameters, daily=DAILY, water_limits_yield=scaled)
    for draw in range(25):
        alone = season_balance(sky, Parameters(**single(parameters, draw)), daily=DAILY, water_limits_yield=scaled)
        for name, values in totals(alone).items():
            np.testing.assert_array_equal(values[0], getattr(found, name)[draw], err_msg=name)
        for name, values in alone.daily.items():
            np.testing.assert_array_equal(values[0], found.daily[name][draw], err_msg=name)


def test_the_last_day_of_growth_counts_for_one_as_for_many():
    """Full uptake only at maturity, so that the day of maturity still asks; no other draw grows on that day."""
    sky, parameters = weather(days=200), drawn(6, fastest_uptake_stage=1.4, full_uptake_stage=2.0)
    found = season_balance(sky, parameters, daily=("demand",))

    assert (found.matured_on > 0).all()
    assert found.demand == pytest.approx(found.required * parameters.luxury[:, 0])
    for draw in range(6):
        alone = season_balance(sky, Parameters(**single(parameters, draw)), daily=("demand",))
        np.testing.assert_array_equal(alone.daily["demand"][0], found.daily["demand"][draw])


def test_a_row_of_weather_for_each_draw_is_the_same_as_one_chosen():
    sky, parameters = weather(rows=6), drawn(6)

    same(
        season_balance(sky, parameters, daily=DAILY),
        season_balance(sky, parameters, weather_of=np.arange(6), daily=DAILY),
    )


def test_only_series_asked_for_are_kept():
    found = season_balance(weather(), drawn(3), daily=("fixed", "taken"))

    assert set(found.daily) == {"fixed", "taken"}
    np.testing.assert_array_equal(found.daily["fixed"][:, -1], found.fixed)
    assert found.daily["fixed"].shape == (3, 150)


def test_a_rule_of_thumb_gives_its_total_from_sowing_to_maturity():
    given_total = np.array([[20.0], [40.0]])
    found = season_balance(weather(days=200), drawn(2), rule_of_thumb=given_total, daily=("mineralised",))

    assert (found.matured_on > 0).all()
    for draw in range(2):
        assert found.daily["mineralised"][draw, found.matured_on[draw]] == pytest.approx(given_total[draw, 0])


def test_frozen_soil_gives_nothing_whatever_the_rule_says():
    found = season_balance(weather(mean=-25.0, days=40), middle(), rule_of_thumb=40.0)

    assert found.mineralised == 0


def test_a_crop_that_does_not_emerge_has_no_season():
    found = season_balance(weather(mean=-20.0, days=60), middle(), water_limits_yield=True)

    assert (found.emerged_on, found.matured_on) == (-1, -1)
    assert (found.crop_n, found.fixed, found.taken) == (0, 0, 0)
    for name in ("fixed_share", "gap_at_maturity", "relative_yield", "crop_water_use", "mineral_n_at_maturity"):
        assert np.isnan(getattr(found, name)), name


def test_a_season_cut_short_has_a_gap_by_its_last_day_and_none_at_maturity():
    found = season_balance(weather(days=60), middle(nodulation=0.0, mineral_n_at_sowing=0.0, organic_matter=0.0))

    assert found.matured_on == -1
    assert found.gap == found.demand - found.crop_n > 0
    assert np.isnan(found.gap_at_maturity)


def test_nothing_moves_in_the_crop_after_maturity():
    found = season_balance(weather(days=220), drawn(20), daily=("crop_n", "demand", "evaporated"))

    assert (found.matured_on < 210).all()
    for draw, day in enumerate(found.matured_on):
        for name in ("crop_n", "demand"):
            assert np.ptp(found.daily[name][draw, day:]) == 0
        before = found.daily["evaporated"][draw, found.emerged_on[draw] - 1]
        assert found.crop_water_use[draw] == found.daily["evaporated"][draw, day] - before


def test_a_potential_yield_asks_for_less_n_in_a_dry_season():
    sky = weather(rainy=0.02)
    given_yield = season_balance(sky, middle(expected_yield=5.0))
    potential = season_balance(sky, middle(expected_yield=5.0), water_limits_yield=True)

    assert potential.required < 0.8 * given_yield.required
    assert potential.gap_at_maturity < given_yield.gap_at_maturity


def test_short_days_hold_lentil_back():
    north, equator = (
        season_balance(weather(latitude=latitude, first_day=140), middle(Crop.LENTIL)) for latitude in (55.0, 0.0)
    )

    assert north.flowered_on < equator.flowered_on
    assert north.emerged_on == equator.emerged_on


@pytest.mark.parametrize(
    ("asked", "message"),
    [
        ({"daily": ["nitrogen"]}, "daily must be of stage"),
        ({"weather_of": np.array([0, 1, 2])}, "weather_of must be from 0 to 1"),
        ({"weather_of": np.array([0, -1])}, "weather_of"),
        ({"weather_of": np.zeros((2, 1), dtype=np.intp)}, "weather_of"),
        ({"chunk": 0}, "chunk must be at least 1"),
        ({"workers": 0}, "workers must be at least 1"),
    ],
)
def test_what_does_not_fit_is_refused(asked, message):
    with pytest.raises(DomainError, match=message):
        season_balance(weather(rows=2), middle(), **asked)


def test_weather_and_draws_must_agree():
    with pytest.raises(DomainError, match="weather must be of one row or of 3"):
        season_balance(weather(rows=2), drawn(3))
