"""Rows and seasons that the tests of the clock share. Figures are made up to be worked by hand."""

import datetime as dt

from spadework.agronomy.clock import daily_temperature, estimate_stages
from spadework.knowledge.rows import DigWindow, NodeInterval, ThermalTime
from spadework.quantity import Grade

SCOPE = {"scope": "a test", "source": "own_judgement", "grade": Grade.JUDGEMENT}


def thermal(stage_from, stage_to, value=None, *, low=None, high=None, **clock):
    return ThermalTime(
        id=f"thermal.{stage_from}_{stage_to}",
        crop="pea",
        stage_from=stage_from,
        stage_to=stage_to,
        value=value,
        low=low,
        high=high,
        unit="degC d",
        **{"t_base": 0.0, "method": "mean_then_floor"} | clock,
        **SCOPE,
    )


def nodes(value=None, *, low=None, high=None):
    return NodeInterval(
        id="node.pea",
        crop="pea",
        value=value,
        low=low,
        high=high,
        unit="degC d",
        t_base=0.0,
        method="mean_then_floor",
        **SCOPE,
    )


def window(anchor="emergence", **limits):
    return DigWindow(id="window.test", unit="d", anchor=anchor, **limits, **SCOPE)


# At 10 degrees a day: up after 10 days, flowering 40 days on, pods filling 20 days on, mature 30 days on.
CHAIN = (
    thermal("sowing", "emergence", 100.0),
    thermal("emergence", "first_flower", 400.0),
    thermal("first_flower", "pod_fill", 200.0),
    thermal("pod_fill", "maturity", 300.0),
)


def season(first, means, *, normals=None, days=None):
    """Make a series from the day after ``first`` with the means given, low and high five degrees either side.

    None stands for a day without record.
    """
    start = first + dt.timedelta(days=1)
    known = [(start + dt.timedelta(days=at), mean) for at, mean in enumerate(means) if mean is not None]
    return daily_temperature(
        first_day=start,
        last_day=start + dt.timedelta(days=(days or len(means)) - 1),
        observed_days=[day for day, _ in known],
        tmin=[mean - 5 for _, mean in known],
        tmax=[mean + 5 for _, mean in known],
        normals=normals,
    )


SOWN = dt.date(2026, 5, 1)


def stages_of(**options):
    """Estimate stages from ten degrees every day, sown on 1 May, without widening; options override any part."""
    settings = {
        "series": season(SOWN, [10.0] * 150),
        "rows": CHAIN,
        "sown_on": SOWN,
        "relative_range": 0.0,
        "forecast_shift": 0.0,
    } | options
    return estimate_stages(**settings)


def after(days, first=SOWN):
    """Return the day so many days after sowing."""
    return first + dt.timedelta(days=days)
