"""The weather that a field has met and may still meet, from the book's own stations."""

from __future__ import annotations

import datetime as dt
from calendar import monthrange
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.clock import MonthlyNormals, daily_temperature
from spadework.agronomy.season.ahead import SkyDays, bridged_rain, days_from_normals, days_from_years
from spadework.agronomy.season.horizon import days_of_warmth, days_to_sum
from spadework.agronomy.season.weather import DailyWeather, daily_weather
from spadework.knowledge.rows import Knowledge
from spadework.records.types import FieldRecords, NormalRow, WeatherRow

__all__ = ["NEVER_LONGER", "Sky", "sky_of"]

NEVER_LONGER = 330
"""Days from sowing within which every crop here is ripe, or never will be."""

_WAYS = 24
"""Ways that a season may go, where they are made from normals."""

_DAY = dt.timedelta(days=1)

Value = TypeVar("Value", np.float64, np.bool_)


@dataclass(frozen=True, kw_only=True)
class Sky:
    """Weather from sowing on, a row for each way that the season may go.

    ``source``: ``known`` where no day from today on is unknown, ``years`` where the days ahead come from past years of
    the station (``few_years`` where they are too few to show how much it varies), ``normals`` where they are made from
    its normals. ``filled`` days before today were not written down, or not whole; ``filled_from`` says what stands for
    the longest gaps of them: the days ``around``, ``years`` or ``normals``. ``rows`` are the knowledge rows used.
    """

    weather: DailyWeather
    source: str
    few_years: bool
    filled: int
    filled_from: str
    rows: tuple[str, ...]

    def met_by(self, draws: int) -> NDArray[np.intp] | None:
        """Which row each draw meets; every row as often as the others. None where there is one row."""
        return None if self.weather.rows == 1 else np.arange(draws, dtype=np.intp) % self.weather.rows


def sky_of(
    records: FieldRecords,
    *,
    sown_on: dt.date,
    latitude: float,
    today: dt.date,
    base: float,
    cap: float,
    needed: float,
    margin: int,
    knowledge: Knowledge,
    generator: np.random.Generator,
) -> Sky | None:
    """Lay observed days, past years or normals from sowing to ripeness; None where some day stays unknown.

    ``base`` and ``cap`` [degC], ``needed`` [degC d] and ``margin`` [d] say when every draw is ripe: the clock of the
    crop, its largest sum from sowing to maturity, and days more for stages seen that lag behind.
    """
    station = _Station.of([row for row in records.weather if today >= row.W_DATE], knowledge)
    season = station.days(sown_on, NEVER_LONGER)
    passed = max((today - sown_on).days, 0)

    def ripe(whole: SkyDays) -> int | None:
        return _ripe(whole, base=base, cap=cap, needed=needed, margin=margin)

    def found(whole: SkyDays, days: int, source: str, *rows: str, few: bool = False) -> Sky:
        so_far = slice(min(days, passed))
        filled = int(np.count_nonzero(~station.written(sown_on, NEVER_LONGER)[so_far]))
        gaps = not season.known[so_far].all()
        return Sky(
            weather=_weather(whole, days, sown_on, latitude),
            source="known" if season.known[passed:days].all() else source,
            few_years=few,
            filled=filled,
            filled_from=source if gaps else "around",
            rows=(*station.rows, *rows),
        )

    observed = _one_way(season)
    days = ripe(observed)
    if days is not None:
        return found(observed, days, "known")

    least, few = (knowledge.figure(f"weather_ahead.{name}_years") for name in ("least", "few"))
    years = [station.days(start, NEVER_LONGER) for start in station.starts(sown_on)]
    lengths = [length for year in years if (length := ripe(_one_way(season.filled_from(year)))) is not None]
    if len(lengths) >= few.central:
        laid = days_from_years(season, years, length=max(lengths))
        if laid is not None and laid.rain.shape[0] >= few.central:
            too_few = laid.rain.shape[0] < least.central
            return found(laid, max(lengths), "years", least.id, *([few.id] if too_few else []), few=too_few)

    if not records.normals:
        return None
    spread, wet = knowledge.figure("normals.sd"), knowledge.figure("weather_ahead.wet_share")
    made = days_from_normals(
        season,
        _usual(records.normals, sown_on),
        rows=_WAYS,
        temperature_spread=spread.central,
        wet_share=wet.central,
        generator=generator,
    )
    days = ripe(made)
    return None if days is None else found(made, days, "normals", spread.id, wet.id, few.id)


def _weather(whole: SkyDays, days: int, sown_on: dt.date, latitude: float) -> DailyWeather:
    return daily_weather(
        latitude=latitude,
        day_of_year=[(sown_on + _DAY * day).timetuple().tm_yday for day in range(days)],
        tmin=whole.tmin[:, :days],
        tmax=whole.tmax[:, :days],
        rain=whole.rain[:, :days],
    )


def _one_way(season: SkyDays) -> SkyDays:
    """Return one season as the only way that it may go, shape (1, days)."""
    return SkyDays(tmin=season.tmin[None, :], tmax=season.tmax[None, :], rain=season.rain[None, :])


def _ripe(whole: SkyDays, *, base: float, cap: float, needed: float, margin: int) -> int | None:
    """Days to follow; None where a day before ripeness is not known."""
    known = whole.known.all(axis=0)
    length = int(known.size if known.all() else np.argmin(known))
    if length == 0:
        return None
    days = {"tmin": whole.tmin[:, :length], "tmax": whole.tmax[:, :length]}
    sum_on = days_to_sum(**days, base=base, cap=cap, needed=needed)
    if sum_on is not None and sum_on + margin <= length:
        return sum_on + margin
    return min(days_of_warmth(**days, base=base, cap=cap) + margin, length) if length == known.size else None


@dataclass(frozen=True)
class _Station:
    """What a station has written down, day by day without a hole in the calendar; short gaps are bridged.

    ``whole`` are the days on which everything was written down, ``rows`` the knowledge rows by which gaps were bridged.
    """

    first_day: dt.date
    known: SkyDays
    whole: NDArray[np.bool_]
    rows: tuple[str, ...]

    @classmethod
    def of(cls, weather: Sequence[WeatherRow], knowledge: Knowledge) -> _Station:
        if not weather:
            none = np.empty(0)
            return cls(dt.date.max, SkyDays(tmin=none, tmax=none, rain=none), np.empty(0, dtype=np.bool_), ())
        ordered = sorted(weather, key=lambda row: row.W_DATE)
        first_day = ordered[0].W_DATE
        columns = {
            name: np.array([np.nan if (value := getattr(row, name)) is None else value for row in ordered])
            for name in ("TMIN", "TMAX", "RAIN")
        }
        longest, longest_rain = (knowledge.figure(f"weather.{name}") for name in ("fill_days", "rain_fill_days"))
        series = daily_temperature(
            first_day=first_day,
            last_day=ordered[-1].W_DATE,
            observed_days=[row.W_DATE for row in ordered],
            tmin=columns["TMIN"],
            tmax=columns["TMAX"],
            longest_gap=int(longest.central),
        )
        written = np.full(series.tmin.size, np.nan)
        written[[(row.W_DATE - first_day).days for row in ordered]] = columns["RAIN"]
        dates = [first_day + _DAY * day for day in range(written.size)]
        rain = bridged_rain(
            written,
            day_of_year=np.array([day.timetuple().tm_yday for day in dates]),
            longest_gap=int(longest_rain.central),
        )
        interpolated = series.origin == 1
        return cls(
            first_day,
            SkyDays(tmin=series.tmin, tmax=series.tmax, rain=rain),
            ~(np.isnan(series.tmin) | np.isnan(series.tmax) | np.isnan(written) | interpolated),
            (
                *([longest.id] if interpolated.any() else []),
                *([longest_rain.id] if np.any(np.isnan(written) & ~np.isnan(rain)) else []),
            ),
        )

    def days(self, start: dt.date, length: int) -> SkyDays:
        """The days from ``start`` on, NaN outside what was written down."""
        return SkyDays(
            **{
                name: self._cut(getattr(self.known, name), np.full(length, np.nan), start)
                for name in ("tmin", "tmax", "rain")
            }
        )

    def written(self, start: dt.date, length: int) -> NDArray[np.bool_]:
        """On which days from ``start`` on everything was written down."""
        return self._cut(self.whole, np.zeros(length, dtype=np.bool_), start)

    def _cut(self, values: NDArray[Value], into: NDArray[Value], start: dt.date) -> NDArray[Value]:
        offset = (start - self.first_day).days
        first, last = max(offset, 0), min(offset + into.size, values.size)
        if first < last:
            into[first - offset : last - offset] = values[first:last]
        return into

    def starts(self, sown_on: dt.date) -> list[dt.date]:
        """The same day in the years before, as far back as the record goes."""
        first = self.first_day.year
        return [_in_year(sown_on, year) for year in range(sown_on.year - 1, first - 1, -1)]


def _in_year(day: dt.date, year: int) -> dt.date:
    return day.replace(year=year, day=min(day.day, monthrange(year, day.month)[1]))


def _usual(normals: Sequence[NormalRow], start: dt.date) -> SkyDays:
    """Normals of the days from ``start`` on; rain as the mean of the month's days, NaN where it is not known."""
    tmin, tmax, rain = (np.full(12, np.nan) for _ in range(3))
    for row in normals:
        tmin[row.month - 1], tmax[row.month - 1] = row.TMIN, row.TMAX
        rain[row.month - 1] = np.nan if row.RAIN is None else row.RAIN
    series = daily_temperature(
        first_day=start,
        last_day=start + _DAY * (NEVER_LONGER - 1),
        observed_days=[],
        tmin=[],
        tmax=[],
        normals=MonthlyNormals(tmin=tmin, tmax=tmax),
    )
    dates = [start + _DAY * day for day in range(NEVER_LONGER)]
    daily = np.array([rain[day.month - 1] / monthrange(day.year, day.month)[1] for day in dates])
    return SkyDays(tmin=series.tmin, tmax=series.tmax, rain=daily)
