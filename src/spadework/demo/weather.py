"""Invented daily weather for the demo: a yearly wave, days that resemble the day before, wet and dry spells.

The figures describe no real place; they are a scenario of the demo's own.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator
from dataclasses import dataclass

from spadework.demo.draws import Draws
from spadework.records.types import NormalRow, WeatherRow

__all__ = ["Spell", "Station", "daily_weather", "monthly_normals"]

_DAY = dt.timedelta(days=1)


@dataclass(frozen=True)
class Spell:
    """Days out of the ordinary: ``warmer_by`` [degC]; ``wet`` days only, dry days only, or as usual (None)."""

    first: dt.date
    last: dt.date
    warmer_by: float = 0.0
    wet: bool | None = None


@dataclass(frozen=True, kw_only=True)
class Station:
    """An invented weather station and the climate round it.

    ``mean`` of the year and ``swing`` between it and the warmest day [degC], which is day ``warmest`` of the
    year; ``range_dry`` between the day's low and high on a dry day [degC]; ``wet_chance`` of rain after a dry
    day [1] and ``rain_mean`` of a wet day [mm]. ``first_day`` begins its record. ``blank_days`` have a row
    without temperatures, ``lost`` days have no row.
    """

    station: str
    latitude: float
    longitude: float
    mean: float
    swing: float
    warmest: int
    range_dry: float
    wet_chance: float
    rain_mean: float
    first_day: dt.date
    spells: tuple[Spell, ...] = ()
    blank_days: tuple[dt.date, ...] = ()
    lost: tuple[tuple[dt.date, dt.date], ...] = ()
    has_normals: bool = True

    def usual_mean(self, day: dt.date) -> float:
        """Mean temperature that the climate expects of a day [degC]."""
        phase = 2 * math.pi * (day.timetuple().tm_yday - self.warmest) / 365.25
        return self.mean + self.swing * math.cos(phase)


_WET_AFTER_WET = 0.5
_PERSISTENCE = 0.7
_SPREAD = 3.0
_WET_RANGE = 0.6
_MONTHS_NORMAL_YEAR = 2025


def _days(first: dt.date, last: dt.date) -> Iterator[dt.date]:
    while first <= last:
        yield first
        first += _DAY


def daily_weather(station: Station, *, last_day: dt.date, seed: int) -> tuple[WeatherRow, ...]:
    """Make a station's daily rows from its first day to ``last_day``, with the gaps that it has."""
    draws = Draws(seed, f"weather {station.station}")
    rows = []
    departure, wet = 0.0, False
    for day in _days(station.first_day, last_day):
        departure = _PERSISTENCE * departure + _SPREAD * math.sqrt(1 - _PERSISTENCE**2) * draws.normal()
        wet = draws.chance(_WET_AFTER_WET if wet else station.wet_chance)
        rain_if_wet = draws.exponential(station.rain_mean)
        spread = station.range_dry * (1 + 0.15 * draws.normal())
        mean = station.usual_mean(day) + departure
        for spell in station.spells:
            if spell.first <= day <= spell.last:
                mean += spell.warmer_by
                wet = wet if spell.wet is None else spell.wet
        half = max(spread * (_WET_RANGE if wet else 1.0), 2.0) / 2
        if any(first <= day <= last for first, last in station.lost):
            continue
        blank = day in station.blank_days
        rows.append(
            WeatherRow(
                station=station.station,
                W_DATE=day,
                TMAX=None if blank else round(mean + half, 1),
                TMIN=None if blank else round(mean - half, 1),
                RAIN=round(rain_if_wet, 1) if wet else 0.0,
            )
        )
    return tuple(rows)


def monthly_normals(station: Station) -> tuple[NormalRow, ...]:
    """Work out a station's usual months from its climate; nothing for a station without normals."""
    if not station.has_normals:
        return ()
    wet_share = station.wet_chance / (1 - _WET_AFTER_WET + station.wet_chance)
    half = station.range_dry * (1 - wet_share + wet_share * _WET_RANGE) / 2
    rows = []
    for month in range(1, 13):
        first = dt.date(_MONTHS_NORMAL_YEAR, month, 1)
        days = list(_days(first, (first + 31 * _DAY).replace(day=1) - _DAY))
        mean = math.fsum(station.usual_mean(day) for day in days) / len(days)
        rain = len(days) * wet_share * station.rain_mean
        rows.append(
            NormalRow(
                station=station.station,
                month=month,
                TMAX=round(mean + half, 1),
                TMIN=round(mean - half, 1),
                RAIN=round(rain),
            )
        )
    return tuple(rows)
