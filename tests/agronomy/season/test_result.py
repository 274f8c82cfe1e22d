from dataclasses import fields

import numpy as np
import pytest
from tests.agronomy.season.seasons import drawn, weather

from spadework.agronomy.season import SeasonResult, season_balance
from spadework.agronomy.season.result import DAILY, Totals


def test_a_result_has_one_number_for_each_draw_and_series_by_day():
    found = season_balance(weather(), drawn(7), daily=DAILY)

    for field in fields(SeasonResult):
        value = getattr(found, field.name)
        assert field.name == "daily" or value.shape == (7,), field.name
    assert {values.shape for values in found.daily.values()} == {(7, 150)}
    with pytest.raises(TypeError):
        found.daily["fixed"] = np.zeros(7)


def test_totals_are_the_last_day_of_their_series():
    found = season_balance(weather(rainy=0.7), drawn(7), daily=DAILY)

    for name in set(DAILY) - {"stage", "water_fraction"}:
        np.testing.assert_array_equal(found.daily[name][:, -1], getattr(found, name), err_msg=name)
    np.testing.assert_allclose(found.fixed_share, found.fixed / found.crop_n)
    np.testing.assert_allclose(found.gap_at_maturity, np.maximum(found.required - found.crop_n, 0))


def test_every_total_of_a_draw_is_a_figure_of_the_result():
    assert set(Totals._fields) == {field.name for field in fields(SeasonResult)} - {"applied", "daily"}
