import numpy as np
import pytest
from tests.agronomy.season.seasons import drawn, weather

from spadework.agronomy.season import Application, field_season, season_balance
from spadework.agronomy.season.run import BANDS, TOTALS
from spadework.errors import DomainError

SPREAD = np.random.default_rng(2).triangular(0.1, 0.5, 1.1, (800, 1))


def test_bands_and_totals_are_quantiles_of_the_draws():
    sky, parameters = weather(days=200), drawn(800, nodulation=SPREAD)
    found = field_season(sky, parameters, levels=(0.1, 0.5, 0.9))
    draws = season_balance(sky, parameters, daily=("demand", "crop_n", "fixed"))

    assert set(found.bands) == set(BANDS)
    assert set(found.totals) == set(TOTALS)
    assert found.share_mature == 1
    np.testing.assert_array_equal(found.totals["fixed"], np.quantile(draws.fixed, (0.1, 0.5, 0.9)))
    np.testing.assert_array_equal(found.bands["fixed"], np.quantile(draws.daily["fixed"], (0.1, 0.5, 0.9), axis=0))
    gap = np.maximum(draws.daily["demand"] - draws.daily["crop_n"], 0)
    np.testing.assert_array_equal(found.bands["gap"][2], np.quantile(gap, 0.9, axis=0))
    np.testing.assert_array_equal(found.matured_on, np.quantile(draws.matured_on, (0.1, 0.5, 0.9)))
    assert found.chance_of_gap(0.15) == np.mean(draws.gap_at_maturity > 0.15 * draws.required)


def test_what_is_least_known_drives_the_width():
    found = field_season(weather(days=200), drawn(800, nodulation=SPREAD))

    assert set(found.drivers) == {"fixed", "gap_at_maturity", "relative_yield"}
    for shares in found.drivers.values():
        assert next(iter(shares)) == "nodulation"
        assert sum(shares.values()) < 1.1


def test_the_weather_ahead_is_one_of_the_inputs():
    years = np.random.default_rng(3).integers(0, 4, 800)
    found = field_season(weather(rows=4, days=200), drawn(800), weather_of=years)

    assert "weather" in found.drivers["fixed"]
    assert "weather" not in field_season(weather(days=200), drawn(800)).drivers["fixed"]


def test_what_becomes_of_nitrogen_applied_is_one_of_the_inputs():
    def share(lost):
        spread = Application(day=50, rate=80.0, access=0.9, volatilised=lost)
        early = Application(day=0, rate=20.0, access=0.8)
        found = field_season(weather(days=200), drawn(800, nodulation=0.05), applications=(early, spread))
        return found.drivers["gap_at_maturity"].get("applied")

    assert share(0.2) is None
    assert share(np.random.default_rng(4).uniform(0.0, 0.9, (800, 1))) > 0.1


def test_a_season_that_never_ripens_has_bands_and_no_totals():
    found = field_season(weather(days=50), drawn(40))

    assert found.share_mature == 0
    assert np.isnan(found.totals["fixed"]).all()
    assert np.isnan(found.matured_on).all()
    assert np.isnan(found.chance_of_gap(0.15))
    assert np.isfinite(found.bands["fixed"]).all()
    assert set(found.drivers["fixed"].values()) == {0}


@pytest.mark.parametrize("levels", [(), (0.5, 1.2)])
def test_levels_are_shares(levels):
    with pytest.raises(DomainError, match="levels must be from 0 to 1"):
        field_season(weather(), drawn(3), levels=levels)
