"""Findings from daily weather and the wetness of the soil at the dig: cold, saturated or dry soil."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence

from spadework.advice.diagnosis.value import Evidence
from spadework.advice.evidence.rule import limit_for, ramp, tell
from spadework.advice.evidence.seen import Seen
from spadework.knowledge.rows import Measured
from spadework.records.types import Wetness

__all__ = ["weather"]

_DAY = dt.timedelta(days=1)


def weather(seen: Seen) -> Iterator[Evidence]:
    """All that weather and wetness say, up to the day of the dig."""
    yield from _cold_root_zone(seen)
    yield from _wet_at_the_dig(seen)
    yield from _wet_spell(seen)
    yield from _dry_seedbed(seen)


# ------------------------------------------------------------------ cold
def _cold_root_zone(seen: Seen) -> Iterator[Evidence]:
    """Cold days among the first weeks from sowing; the daily mean of the air stands for the root zone.

    Days without a record leave a range, from none of them cold to all of them; the middle of what its ends say stands.
    """
    sown = seen.records.field.sown_on
    if sown is None:
        return
    limit, days = _cold_limit(seen), limit_for("cold_days", seen)
    span, least, air = (limit_for(name, seen) for name in ("cold_span", "cold_recorded", "cold"))
    last_day = seen.last_day
    first_weeks = _days(sown, sown + (round(span.central) - 1) * _DAY)
    means = {
        row.W_DATE: (row.TMIN + row.TMAX) / 2
        for row in seen.records.weather
        if row.TMIN is not None and row.TMAX is not None and last_day >= row.W_DATE
    }
    recorded = [means[day] for day in first_weeks if day in means]
    if len(recorded) < least.central:
        return
    cold = sum(mean < limit.central for mean in recorded)
    at_most = cold + len(first_weeks) - len(recorded)
    sure = air.central * (ramp(cold, days) + ramp(at_most, days)) / 2
    values = {"cold": cold, "days": len(recorded), "limit": limit.central, "limit_f": limit.central * 9 / 5 + 32}
    yield tell("cold_root_zone", sure, "cold_days", values, (limit, days, span, least, air))


def _cold_limit(seen: Seen) -> Measured:
    """The crop's own limit, else the one of pea and faba bean that the timing of a dig uses, too."""
    own = f"limit.cold_day.{seen.crop}"
    return seen.knowledge.figure(own if own in seen.knowledge.rows else "cold.any")


# ------------------------------------------------------------------ wet
def _wet_at_the_dig(seen: Seen) -> Iterator[Evidence]:
    """Standing water at a dig says yes; dry soil at the dig that was judged says probably no."""
    digs = [row for row in seen.records.digs if row.date <= seen.last_day and row.soil_wetness is not None]
    if any(row.soil_wetness is Wetness.WATERLOGGED for row in digs):
        yield tell("saturated_soil", 1.0, "wetness")
    elif any(row.soil_wetness is Wetness.DRY for row in digs if row.date == seen.timing.dug_on):
        probably_no = limit_for("not_wet", seen)
        yield tell("saturated_soil", probably_no.central, "wetness", rows=(probably_no,), told_as="no")


def _wet_spell(seen: Seen) -> Iterator[Evidence]:
    """The wettest three days since emergence; what other water the soil got is not in the records."""
    if seen.timing.emergence is None:
        return
    limit, probably_yes, probably_no = (limit_for(name, seen) for name in ("wet_rain", "wet", "not_wet"))
    days = _days(seen.timing.emergence.low, seen.last_day)
    rain = _rain(seen)
    spell = max((_three_days(rain, day, since=days[0]) for day in days), default=0.0)
    low, high = limit.range
    values = {"rain": spell}
    if spell >= high:
        yield tell("saturated_soil", probably_yes.central, "wet_spell", values, (limit, probably_yes), told_as="yes")
    elif spell <= low and _well_recorded(rain, days, seen):
        yield tell("saturated_soil", probably_no.central, "wet_spell", values, (limit, probably_no), told_as="no")


# ------------------------------------------------------------------ dry
def _dry_seedbed(seen: Seen) -> Iterator[Evidence]:
    """A seedbed wetted soon after sowing was not dry; one without rain before and after was so probably."""
    sown = seen.records.field.sown_on
    if sown is None:
        return
    names = ("seedbed_rain", "seedbed_days", "before_rain", "before_days", "seedbed_dry")
    wetting, soon, little, before, probably = (limit_for(name, seen) for name in names)
    rain = _rain(seen)
    first_days = _days(sown, min(sown + round(soon.central) * _DAY, seen.last_day))
    wetted = next((day for day in first_days if _three_days(rain, day, since=sown) >= wetting.central), None)
    if wetted is not None:
        values = {"days": (wetted - sown).days, "rain": wetting.central}
        yield tell("dry_seedbed", 0.0, "seedbed", values, (wetting, soon))
        return
    days_before = _days(sown - round(before.central) * _DAY, sown - _DAY)
    fell_before = sum(rain.get(day, 0.0) for day in days_before)
    passed = sown + round(soon.central) * _DAY <= seen.last_day
    known = _well_recorded(rain, first_days, seen) and _well_recorded(rain, days_before, seen)
    if passed and known and fell_before < little.central:
        values = {"days": round(soon.central), "rain": wetting.central}
        rows = (wetting, soon, little, before, probably)
        yield tell("dry_seedbed", probably.central, "seedbed", values, rows, told_as="yes")


# ------------------------------------------------------------------ days and rain
def _days(first: dt.date, last: dt.date) -> list[dt.date]:
    """Every day from the first to the last, both included; none where the last comes before the first."""
    return [first + number * _DAY for number in range((last - first).days + 1)]


def _rain(seen: Seen) -> Mapping[dt.date, float]:
    """Rain of each recorded day up to the dig [mm]."""
    last_day = seen.last_day
    return {row.W_DATE: row.RAIN for row in seen.records.weather if row.RAIN is not None and last_day >= row.W_DATE}


def _three_days(rain: Mapping[dt.date, float], day: dt.date, *, since: dt.date) -> float:
    """Recorded rain of a day and the two before it, none of them before ``since`` [mm]."""
    return sum(rain.get(one, 0.0) for one in _days(max(since, day - 2 * _DAY), day))


def _well_recorded(rain: Mapping[dt.date, float], days: Sequence[dt.date], seen: Seen) -> bool:
    """Whether enough of the days have a record to say that there was no more."""
    return bool(days) and sum(day in rain for day in days) >= limit_for("recorded", seen).central * len(days)
