"""Fields with a known truth, and the records that an adviser would keep of them. Nothing in them is real.

A field is drawn from its seed and number alone: crop, climate, weather, soil, roots, and what the crop makes of them.
The truth runs on to ripeness; the records end the day before they are read, hold what eyes and laboratories see with
their errors, and are all that the advice gets.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from simulated_roots import KINDS, KNOWN, Kind, Zone, drawn, factors_of, zones_of
from spadework.agronomy.season import DailyWeather, Parameters, SeasonResult, daily_weather, season_balance
from spadework.agronomy.season.draws import draw_parameters
from spadework.agronomy.season.signs import chance_of_pale
from spadework.demo import weather as climate
from spadework.demo.draws import Draws
from spadework.demo.plants import Nodulation, Tops, Writing, dig_plants
from spadework.knowledge.rows import Crop
from spadework.records.types import (
    DigRow,
    FieldRecords,
    FieldRow,
    NormalRow,
    ObservationRow,
    PhMethod,
    PlantRow,
    SoilTestRow,
    Texture,
    WeatherRow,
)

Floats = NDArray[np.float64]

DAY = dt.timedelta(days=1)
SEASON, YEARS = 2026, 12  # years before, where a station has any
DAYS_AHEAD = 230  # from sowing, by when every crop here is ripe or the field is drawn anew
STATES = {"failed": 0.28, "patchy": 0.14, "delayed": 0.1, "middling": 0.2, "good": 0.28}
PASSING = ("saturated soil", "dry seedbed", "cold root zone")  # what may hold nodules back for a while


@dataclass(frozen=True)
class Delay:
    """Nodules that come late by themselves: the first day with the roots of the zone, and what was there before."""

    until: dt.date
    roots: Nodulation
    balance: SeasonResult


@dataclass(frozen=True)
class SimulatedField:
    """A field with its truth. Only ``records`` may be shown to anybody."""

    seed: int
    number: int
    state: str
    row: FieldRow
    zones: tuple[Zone, ...]
    season: tuple[WeatherRow, ...]
    normals: tuple[NormalRow, ...]
    soil_tests: tuple[SoilTestRow, ...]
    sights: tuple[ObservationRow, ...]
    delay: Delay | None
    weather: DailyWeather
    parameters: Parameters
    balance: SeasonResult
    first_dig: dt.date
    today: dt.date
    stops: int
    each: int

    @property
    def parts(self) -> Floats:
        return np.array([zone.part for zone in self.zones])

    @cached_property
    def yield_without(self) -> Floats:
        """Grain of each zone with no nitrogen given [t/ha]."""
        return self.potential * self.balance.relative_yield

    @property
    def potential(self) -> float:
        """Grain that the season gives where nitrogen is no limit [t/ha]; the record holds what was thought of it."""
        return np.asarray(self.parameters.expected_yield).item()

    def after_sowing(self, day: dt.date) -> int:
        assert self.row.sown_on is not None
        return (day - self.row.sown_on).days

    def stage(self, day: dt.date) -> float:
        return float(self.balance.daily["stage"][0, self.after_sowing(day)])

    def generator(self, stream: int) -> np.random.Generator:
        return np.random.default_rng([self.seed, self.number, stream])

    def dig(
        self, day: dt.date, *, stops: int, plants: int, again: int = 0, hit: float | None = None
    ) -> tuple[DigRow, tuple[PlantRow, ...]]:
        """Dig on a day: places by chance, plants as they are, leaves as the true shortage makes them look.

        ``again`` is the number of digs before it: other places, even on the same day. ``hit`` is the chance that a
        stop lies in the bad ground of a patchy field, where somebody digs there on purpose.
        """
        draws = Draws(self.seed, f"field {self.number} dug on {day}{f', {again} before' if again else ''}")
        bad = self.zones[0].part if hit is None else hit
        where = [0 if len(self.zones) == 1 or draws.chance(bad) else 1 for _ in range(stops)]
        pale, habits = self._pale(day), self.generator(5).random(4)
        late = self.delay is not None and day < self.delay.until
        writing = Writing(cut=0 if habits[0] < 0.1 else 5, uncut=0.3 * (habits[1] < 0.3))
        fewest, over = divmod(plants, stops)
        rows: list[PlantRow] = []
        for stop, zone in enumerate(where):
            short = self.shortfall(day)[zone]
            tops = Tops(
                vigour=float(np.clip(4.2 - 4 * short, 1.0, 4.5)),
                follows=0.3,
                pale_old=0.45 + 0.45 * habits[2] if pale[zone] else 0.02 + 0.18 * habits[3],
            )
            dug = dig_plants(
                draws,
                field=self.row.field,
                date=day,
                stops=1,
                plants_per_stop=fewest + (stop < over),
                nodulation=self.delay.roots if self.delay is not None and late else self.zones[zone].roots,
                tops=tops,
                writing=writing,
            )
            rows += [row.model_copy(update={"stop": f"{again}.{stop + 1}" if again else str(stop + 1)}) for row in dug]
        seen = code_of(self.stage(day) + 0.03 * draws.normal())
        row = DigRow(
            field=self.row.field,
            date=day,
            stage_bbch=seen if draws.chance(0.85) else None,
            scorer="A",
            counting_unit=KINDS[self.row.crop].unit,
        )
        return row, tuple(rows)

    def shortfall(self, day: dt.date) -> Floats:
        """Share of the nitrogen that each zone should hold by a day and lacks [1]."""
        place = self.after_sowing(day)
        so_far = self.delay.balance if self.delay is not None and day < self.delay.until else self.balance
        need = so_far.daily["demand"][:, place] / np.asarray(self.parameters.luxury).item()
        return np.maximum(1 - so_far.daily["crop_n"][:, place] / np.maximum(need, 1e-9), 0.0)

    def records(self, today: dt.date, digs: tuple[tuple[DigRow, tuple[PlantRow, ...]], ...]) -> FieldRecords:
        """What the book holds on a day."""
        return FieldRecords(
            field=self.row,
            digs=tuple({dig.date: dig for dig, _ in reversed(digs)}.values()),
            plants=tuple(plant for _, plants in digs for plant in plants),
            weather=tuple(day for day in self.season if today > day.W_DATE),
            normals=self.normals,
            soil_tests=self.soil_tests,
            observations=self.sights,
        )

    def _pale(self, day: dt.date) -> NDArray[np.bool_]:
        """Whether old leaves of each zone look pale; the same eyes on all days, wrong as often as is thought."""
        chance = self.generator(4).random((3, 1))
        shows_from, shows_by = KNOWN.figure("leaves.shortfall_shows").range
        return chance[0] < chance_of_pale(
            self.shortfall(day),
            shows_from=shows_from,
            shows_by=shows_by,
            without_shortage=float(drawn("leaves.pale_without_shortage", chance[1])[0]),
            with_shortage=float(drawn("leaves.pale_with_shortage", chance[2])[0]),
        )


def code_of(stage: float) -> int:
    """BBCH code that somebody would write down at a stage of the clock."""
    if stage < 0.85:
        return 10 + int(np.clip(stage / 0.85 * 9, 0, 9))
    if stage < 1:
        return 51 + int((stage - 0.85) / 0.15 * 9)
    return min(60 + int((stage - 1) * 29), 89)


def simulated_field(seed: int, number: int) -> SimulatedField:
    """Draw a field; one that would not ripen, or be dug before a frost ends it, is drawn anew."""
    for attempt in range(100):
        found = _field(seed, number, np.random.default_rng([seed, number, 0, attempt]), attempt)
        if found is not None:
            return found
    raise RuntimeError(f"no field came of seed {seed}, number {number}")


def _field(seed: int, number: int, rng: np.random.Generator, attempt: int) -> SimulatedField | None:
    crops = list(KINDS)
    crop = crops[rng.choice(len(crops), p=[KINDS[one].often for one in crops])]
    kind = KINDS[crop]
    station = _station(rng, kind, name=f"place {number} {attempt}")
    sown = dt.date(SEASON, 1, 1) + DAY * int(rng.integers(*kind.sown))
    written = climate.daily_weather(station, last_day=sown + DAY * DAYS_AHEAD, seed=seed)
    begins = dt.date(SEASON, 1, 1) if rng.random() < 0.5 else station.first_day
    season = tuple(row for row in written if begins <= row.W_DATE)
    ahead = [row for row in season if sown <= row.W_DATE]
    weather = daily_weather(
        latitude=station.latitude,
        day_of_year=[row.W_DATE.timetuple().tm_yday for row in ahead],
        tmin=[[row.TMIN for row in ahead]],
        tmax=[[row.TMAX for row in ahead]],
        rain=[[row.RAIN for row in ahead]],
    )
    texture = list(Texture)[rng.choice(3, p=[0.2, 0.5, 0.3])]
    state = list(STATES)[rng.choice(len(STATES), p=list(STATES.values()))]
    comes = state == "delayed" and rng.random() < 0.5
    zones = zones_of(rng, "middling" if comes else state, kind)
    thought = float(rng.uniform(*kind.yields))
    group = str(rng.choice(["00", "0", "1"])) if crop is Crop.SOYBEAN else None
    parameters = draw_parameters(
        KNOWN,
        crop,
        draws=1,
        generator=rng,
        known={
            "expected_yield": thought * float(np.exp(0.15 * rng.standard_normal() - 0.15**2 / 2)),
            "nodulation": factors_of(rng, zones),
            "available_water": drawn(f"available_water.{texture}", rng.random((1, 1))),
        },
        maturity_group=group,
    )
    balance = season_balance(weather, parameters, daily=("stage", "demand", "crop_n"))
    if np.any(balance.matured_on < 0):
        return None
    stage = balance.daily["stage"][0]
    dug = int(np.argmax(stage >= rng.uniform(*kind.dug)))
    delay = None
    if comes:
        before = zones_of(rng, "delayed", kind)
        as_before = replace(parameters, nodulation=factors_of(rng, before))
        delay = Delay(
            until=sown + DAY * (dug + int(rng.integers(2, 9))),
            roots=before[0].roots,
            balance=season_balance(weather, as_before, daily=("demand", "crop_n")),
        )
    today = dug + int(rng.integers(0, 4))
    up = sown + DAY * int(balance.emerged_on[0])
    row = FieldRow(
        field="field",
        crop=crop,
        latitude=station.latitude,
        area=round(float(rng.uniform(15, 90)), 1),
        sown_on=sown,
        emerged_on=up + DAY * int(rng.integers(-1, 2)) if rng.random() < 0.8 else None,
        station=station.station,
        maturity_group=group if rng.random() < 0.7 else None,
        host_grown_before=bool(rng.random() < (0.4 if state == "failed" else 0.85)),
        soil_texture=texture if rng.random() < 0.8 else None,
        expected_yield=round(thought, 2),
    )
    return SimulatedField(
        seed=seed,
        number=number,
        state=state,
        row=row,
        zones=zones,
        season=season,
        normals=tuple(_normals(written)),
        soil_tests=_soil_tests(rng, parameters, sown) if rng.random() < 0.55 else (),
        sights=_sights(rng, state, sown + DAY * dug),
        delay=delay,
        weather=weather,
        parameters=parameters,
        balance=balance,
        first_dig=sown + DAY * dug,
        today=sown + DAY * today,
        stops=int(rng.choice([3, 4, 5])),
        each=int(rng.choice([5, 8, 10])),
    )


def _station(rng: np.random.Generator, kind: Kind, *, name: str) -> climate.Station:
    """A climate of the demo's kind; each year warmer or cooler than usual, and perhaps with a dry spell."""
    spells = []
    for year in range(SEASON - YEARS, SEASON + 1):
        start = dt.date(year, 1, 1)
        spells.append(climate.Spell(start, dt.date(year, 12, 31), warmer_by=float(1.2 * rng.standard_normal())))
        begins, days, dry = start + DAY * int(rng.integers(150, 210)), int(rng.integers(12, 35)), rng.random() < 0.35
        if dry:
            spells.append(climate.Spell(begins, begins + DAY * days, wet=False))
    return climate.Station(
        station=name,
        latitude=float(rng.uniform(45.5, 48) if kind.warm else rng.uniform(49, 52)),
        longitude=0.0,
        mean=float(rng.uniform(7, 9) if kind.warm else rng.uniform(2.8, 5.5)),
        swing=float(rng.uniform(14, 16)),
        warmest=198,
        range_dry=float(rng.uniform(11.5, 14.5)),
        wet_chance=float(rng.uniform(0.2, 0.36)),
        rain_mean=float(rng.uniform(4.5, 9)),
        first_day=dt.date(SEASON - YEARS, 1, 1),
        spells=tuple(spells),
    )


def _normals(written: Sequence[WeatherRow]) -> Iterator[NormalRow]:
    """The usual months as the past years were, dry spells included."""
    past = [row for row in written if row.W_DATE.year < SEASON]
    for month in range(1, 13):
        days = [row for row in past if row.W_DATE.month == month]
        tmax, tmin = (float(np.mean([getattr(row, name) for row in days])) for name in ("TMAX", "TMIN"))
        rain = sum(row.RAIN or 0.0 for row in days) / YEARS
        yield NormalRow(station=days[0].station, month=month, TMAX=tmax, TMIN=tmin, RAIN=rain)


def _sights(rng: np.random.Generator, state: str, day: dt.date) -> tuple[ObservationRow, ...]:
    """Signs of a cause that may pass, nearly always seen where one acts, and now and then where none does."""
    sign = str(rng.choice(PASSING))
    if rng.random() >= (0.9 if state == "delayed" else 0.08):
        return ()
    return (
        ObservationRow(field="field", date=day, subject=sign, value="yes"),
        ObservationRow(field="field", date=day, subject="pattern", value="even over field"),
    )


def _soil_tests(rng: np.random.Generator, parameters: Parameters, sown: dt.date) -> tuple[SoilTestRow, ...]:
    """A test before sowing: part of the root zone, with the errors that tests have."""
    bottom, root = float(rng.choice([30.0, 60.0])), 100 * np.asarray(parameters.root_depth).item()
    scale = 100 * float(drawn("soil_n.depth_scale", rng.random(1))[0])
    part = np.expm1(-min(bottom, root) / scale) / np.expm1(-root / scale)
    wrong = np.exp(KNOWN.figure("soil_n.test_spread").central * rng.standard_normal())
    off = 1 + KNOWN.figure("soil_n.organic_matter_spread").central * rng.standard_normal()
    return (
        SoilTestRow(
            field="field",
            date=sown - DAY * int(rng.integers(5, 25)),
            depth_top=0,
            depth_bottom=bottom,
            ph=round(float(rng.uniform(5.8, 8.1)), 1),
            ph_method=PhMethod.WATER,
            nitrate_n=round(np.asarray(parameters.mineral_n_at_sowing).item() * float(part * wrong), 1),
            organic_matter=round(np.asarray(parameters.organic_matter).item() * float(off), 1),
        ),
    )
