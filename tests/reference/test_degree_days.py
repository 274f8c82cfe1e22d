"""Degree-day rules, running totals and calendar windows against their published forms; sources in cases/."""

import datetime as dt
import tomllib
from pathlib import Path

import numpy as np
import pytest

from spadework.agronomy.clock import (
    daily_temperature,
    degree_days,
    dig_window,
    estimate_stages,
    running_total,
)
from spadework.knowledge.rows import DigWindow
from spadework.quantity import Grade

CASES = Path(__file__).parent / "cases"


def cases(*names):
    found = []
    for name in names:
        table = tomllib.loads((CASES / f"{name}.toml").read_text("utf-8"))
        half_digit = 0.5 * 10 ** -table.get("digits", 0)
        for at, case in enumerate(table["case"]):
            found.append(pytest.param(case, half_digit, id=f"{name}:{case.get('id', at)}"))
    return found


RULES = ("mean_then_floor", "floor_each", "quarter", "capped_mean", "capped_each", "capped_each_floor_highest")


@pytest.mark.parametrize(("case", "half_digit"), cases("mcmaster_wilhelm1997", "quarter_rule", "capped_rules"))
def test_rules_of_means(case, half_digit):
    day = {name: case[name] for name in ("tmin", "tmax", "t_base", "t_cap") if name in case}
    told = [rule for rule in RULES if rule in case]
    assert told
    for rule in told:
        assert degree_days(**day, method=rule) == pytest.approx(case[rule], abs=half_digit)


@pytest.mark.parametrize(("case", "half_digit"), cases("zalom1983"))
def test_curves(case, half_digit):
    day = {name: case[name] for name in ("tmin", "tmax", "t_base", "t_cap", "method") if name in case}
    assert degree_days(**day) == pytest.approx(case["degree_days"], abs=half_digit)


@pytest.mark.parametrize(("case", "half_digit"), cases("zalom1983"))
def test_curves_against_quadrature(case, half_digit):
    """The area between the curve and its limits, added up without our closed forms."""
    share_of_day = (np.arange(200_000) + 0.5) / 200_000
    if case["method"].startswith("sine"):
        curve = np.sin(2 * np.pi * share_of_day)
    else:
        curve = 1 - 2 * np.abs(2 * share_of_day - 1)
    temperature = (case["tmin"] + case["tmax"]) / 2 + (case["tmax"] - case["tmin"]) / 2 * curve

    def over(limit):
        return np.mean(np.maximum(temperature - limit, 0))

    expected = over(case["t_base"])
    if "t_cap" in case:
        expected -= (2 if case["method"].endswith("intermediate") else 1) * over(case["t_cap"])
    assert case["degree_days"] == pytest.approx(max(expected, 0), abs=half_digit)


@pytest.mark.parametrize(("case", "half_digit"), cases("running_totals"))
def test_day_on_which_a_sum_is_reached(case, half_digit):
    first = case["anchor"] + dt.timedelta(days=1)
    days = [first + dt.timedelta(days=at) for at in range(len(case["tmin"]))]
    series = daily_temperature(
        first_day=first, last_day=days[-1], observed_days=days, tmin=case["tmin"], tmax=case["tmax"]
    )
    running = running_total(series, t_base=case["t_base"], method="mean_then_floor")
    anchor = case["anchor"].toordinal()
    reached = running.day_reaching(after=anchor, target=case["target"])
    assert dt.date.fromordinal(reached) == case["reached_on"]
    whole = running.between(after=anchor, through=days[-1].toordinal())
    assert whole == pytest.approx(case["total"], abs=half_digit)


@pytest.mark.parametrize(("case", "half_digit"), cases("dig_calendar"))
def test_calendar_of_a_window(case, half_digit):
    window = DigWindow(
        id="window.case",
        anchor="emergence",
        unit="d",
        opens_days=case["opens_days"],
        closes_days=case["closes_days"],
        scope="a case",
        source="grdc_gc110",
        grade=Grade.READ,
    )
    anchor = case["anchor"]
    # Warm days all along, so that cold moves nothing.
    days = [anchor + dt.timedelta(days=at) for at in range(100)]
    series = daily_temperature(
        first_day=anchor, last_day=days[-1], observed_days=days, tmin=[15] * 100, tmax=[25] * 100
    )
    stages = estimate_stages(
        series=series, rows=(), sown_on=None, emerged_on=anchor, relative_range=0.15, forecast_shift=1.5
    )
    dates = dig_window(stages, days_window=window, stage_window=None, infection_days=14, cold_limit=10)
    assert (dates.opens.low, dates.opens.high) == (case["opens"], case["opens"])
    assert (dates.closes.low, dates.closes.high) == (case["closes"], case["closes"])
