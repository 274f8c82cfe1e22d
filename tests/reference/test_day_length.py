"""Day length against printed figures and an independent solar library; sources in cases/."""

import datetime as dt
import tomllib
from pathlib import Path

import pytest
from astral import Observer
from astral.sun import daylight

from spadework.agronomy.clock import day_length

CASES = Path(__file__).parent / "cases"


def cases(name):
    table = tomllib.loads((CASES / f"{name}.toml").read_text("utf-8"))
    half_digit = 0.5 * 10 ** -table["digits"]

    def label(case):
        return f"{name}:{case['latitude']}:{case['day_of_year']}:{case['sun_below_horizon']}"

    return [pytest.param(case, half_digit, id=label(case)) for case in table["case"]]


def ours(case):
    return day_length(
        latitude=case["latitude"],
        day_of_year=case["day_of_year"],
        sun_below_horizon=case["sun_below_horizon"],
    )


@pytest.mark.parametrize(("case", "half_digit"), cases("forsythe1995"))
def test_model_in_print(case, half_digit):
    assert ours(case) == pytest.approx(case["hours"], abs=half_digit)


@pytest.mark.parametrize(("case", "half_digit"), cases("fao56"))
def test_handbook_example(case, half_digit):
    # Another formula of the sun's declination: beside the rounding the two differ by 0.05 h on this day.
    assert ours(case) == pytest.approx(case["hours"], abs=half_digit + 0.05)


# The model knows the day of the year only, so it slides against the sun by up to a day within four years.
# The paper gives its error as up to 7 minutes, 0.12 h, at 60 degrees (from its abstract, by memory).
@pytest.mark.parametrize(("latitude", "within"), [(0, 0.02), (-20, 0.04), (33.87, 0.06), (-45, 0.08), (59.9, 0.12)])
@pytest.mark.parametrize("year", [2024, 2026])
def test_solar_library(year, latitude, within):
    for day_of_year in range(1, 366, 13):
        day = dt.date(year, 1, 1) + dt.timedelta(days=day_of_year - 1)
        sunrise, sunset = daylight(Observer(latitude, 0.0), day)
        hours = (sunset - sunrise).total_seconds() / 3600
        assert day_length(latitude=latitude, day_of_year=day_of_year) == pytest.approx(hours, abs=within), day
