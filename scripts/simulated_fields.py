"""Fields with a known truth, and the records that an adviser would keep of them. Nothing in them is real.

A field is drawn from its seed and number alone: crop, climate, weather, soil, roots, and what the crop makes of them.
The truth runs on to ripeness; the records end the day before they are read, hold what eyes and laboratories see with
their errors, and are all that the advice gets.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.season import DailyWeather, Parameters, SeasonResult, daily_weather, season_balance
from spadework.agronomy.season.draws import draw_parameters, triangular
from spadework.agronomy.season.nodulation import nodulation_factor
from spadework.agronomy.season.signs import chance_of_pale
from spadework.demo import weather as climate
from spadework.demo.draws import Draws
from spadework.demo.plants import Nodulation, Tops, Writing, dig_plants
from spadework.knowledge.load import load
from spadework.knowledge.rows import Crop
from spadework.records.types import (
    CountingUnit,
    DigRow,
    FieldRecords,
    FieldRow,
    PhMethod,
    PlantRow,
    SizeClass,
    SoilTestRow,
    Texture,
)

Floats = NDArray[np.float64]

KNOWN = load()
DAY = dt.timedelta(days=1)
SEASON = 2026
DAYS_AHEAD = 230  # from sowing, by when every crop here is ripe or the field is drawn anew
PLANTS = 4000  # of which the true share adequate is counted
STATES = {"failed": 0.3, "patchy": 0.15, "middling": 0.25, "good": 0.3}


@dataclass(frozen=True)
class Kind:
    """How a crop is grown: how often, sown in which days of the year, its yields [t/ha], and when it is dug [stage]."""

    often: float
    sown: tuple[int, int]
    yields: tuple[float, float]
    dug: tuple[float, float]
    warm: bool
    target: float
    unit: CountingUnit = CountingUnit.CLUSTER


KINDS: Mapping[Crop, Kind] = {
    Crop.SOYBEAN: Kind(0.3, (130, 150), (1.8, 3.8), (0.95, 1.25), True, 10, CountingUnit.NODULE),
    Crop.PEA: Kind(0.2, (110, 140), (2.0, 4.2), (0.5, 1.0), False, 50, CountingUnit.NODULE),
    Crop.LENTIL: Kind(0.15, (115, 140), (1.0, 2.4), (0.8, 1.08), False, 6),
    Crop.CHICKPEA: Kind(0.15, (115, 140), (1.2, 2.6), (0.8, 1.08), False, 6),
    Crop.FABA_BEAN: Kind(0.1, (110, 135), (2.0, 4.5), (0.8, 1.08), False, 50, CountingUnit.NODULE),
    Crop.COMMON_BEAN: Kind(0.1, (140, 155), (1.5, 3.0), (0.95, 1.2), True, 6),
}


@dataclass(frozen=True)
class Zone:
    """Ground of one kind: its part of the field, and how its roots truly are."""

    part: float
    roots: Nodulation
    share: float  # of plants adequate
    with_nodules: float  # of the plants that are not, the share with any effective nodule


@dataclass(frozen=True)
class SimulatedField:
    """A field with its truth. Only ``records`` may be shown to anybody."""

    seed: int
    number: int
    state: str
    row: FieldRow
    zones: tuple[Zone, ...]
    season: tuple[climate.WeatherRow, ...]
    normals: tuple[climate.NormalRow, ...]
    soil_tests: tuple[SoilTestRow, ...]
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

    def dig(self, day: dt.date, *, stops: int, plants: int) -> tuple[DigRow, tuple[PlantRow, ...]]:
        """Dig on a day: places by chance, plants as they are, leaves as the true shortage makes them look."""
        draws = Draws(self.seed, f"field {self.number} dug on {day}")
        where = [0 if len(self.zones) == 1 or draws.chance(self.zones[0].part) else 1 for _ in range(stops)]
        pale, habits = self._pale(day), self.generator(5).random(4)
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
                nodulation=self.zones[zone].roots,
                tops=tops,
                writing=writing,
            )
            rows += [row.model_copy(update={"stop": str(stop + 1)}) for row in dug]
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
        need = self.balance.daily["demand"][:, place] / np.asarray(self.parameters.luxury).item()
        return np.maximum(1 - self.balance.daily["crop_n"][:, place] / np.maximum(need, 1e-9), 0.0)

    def records(self, today: dt.date, digs: tuple[tuple[DigRow, tuple[PlantRow, ...]], ...]) -> FieldRecords:
        """What the book holds on a day."""
        return FieldRecords(
            field=self.row,
            digs=tuple(dig for dig, _ in digs),
            plants=tuple(plant for _, plants in digs for plant in plants),
            weather=tuple(day for day in self.season if today > day.W_DATE),
            normals=self.normals,
            soil_tests=self.soil_tests,
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


def drawn(row_id: str, chance: Floats) -> Floats:
    """Draw a figure of the tables from its range."""
    row = KNOWN.figure(row_id)
    low, high = row.range
    return triangular(chance, low=low, value=row.central, high=high)


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
    season = climate.daily_weather(station, last_day=sown + DAY * DAYS_AHEAD, seed=seed)
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
    zones = _zones(rng, state, kind)
    thought = float(rng.uniform(*kind.yields))
    group = str(rng.choice(["00", "0", "1"])) if crop is Crop.SOYBEAN else None
    parameters = draw_parameters(
        KNOWN,
        crop,
        draws=1,
        generator=rng,
        known={
            "expected_yield": thought * float(np.exp(0.15 * rng.standard_normal() - 0.15**2 / 2)),
            "nodulation": _factors(rng, zones),
            "available_water": drawn(f"available_water.{texture}", rng.random((1, 1))),
        },
        maturity_group=group,
    )
    balance = season_balance(weather, parameters, daily=("stage", "demand", "crop_n"))
    if np.any(balance.matured_on < 0):
        return None
    stage = balance.daily["stage"][0]
    dug = int(np.argmax(stage >= rng.uniform(*kind.dug)))
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
        normals=climate.monthly_normals(station),
        soil_tests=_soil_tests(rng, parameters, sown) if rng.random() < 0.55 else (),
        weather=weather,
        parameters=parameters,
        balance=balance,
        first_dig=sown + DAY * dug,
        today=sown + DAY * today,
        stops=int(rng.choice([3, 4, 5])),
        each=int(rng.choice([5, 8, 10])),
    )


def _station(rng: np.random.Generator, kind: Kind, *, name: str) -> climate.Station:
    """A climate of the demo's kind, a season in it that is warmer or cooler than usual, and perhaps a dry spell."""
    start = dt.date(SEASON, 1, 1)
    spells = [climate.Spell(start, dt.date(SEASON, 12, 31), warmer_by=float(1.2 * rng.standard_normal()))]
    if rng.random() < 0.35:
        first = start + DAY * int(rng.integers(150, 210))
        spells.append(climate.Spell(first, first + DAY * int(rng.integers(12, 35)), wet=False))
    has_years = rng.random() < 0.5
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
        first_day=dt.date(SEASON - 12 if has_years else SEASON, 3, 1),
        spells=tuple(spells),
    )


def _zones(rng: np.random.Generator, state: str, kind: Kind) -> tuple[Zone, ...]:
    """Roots of the field, drawn round its target; a patchy field has bad ground, led by it, and good ground."""
    spread = float(rng.uniform(0.1, 0.5))

    def roots(times: float, k: tuple[float, float], red: tuple[float, float], size: SizeClass) -> Nodulation:
        return Nodulation(
            mean=kind.target * times,
            k=float(rng.uniform(*k)),
            stop_spread=spread,
            crown=float(rng.uniform(0.2, 0.8)),
            red=float(rng.uniform(*red)),
            size=size,
        )

    bad = roots(
        0.0 if rng.random() < 0.3 else float(np.exp(rng.uniform(np.log(0.02), np.log(0.4)))),
        (0.8, 3.0),
        (0.4, 0.85),
        SizeClass.UNDER_2_MM if rng.random() < 0.4 else SizeClass.FROM_2_TO_5_MM,
    )
    middling = roots(float(rng.uniform(0.6, 1.6)), (2.0, 8.0), (0.6, 0.92), SizeClass.FROM_2_TO_5_MM)
    good = roots(float(rng.uniform(1.8, 3.5)), (5.0, 14.0), (0.8, 0.95), SizeClass.FROM_2_TO_5_MM)
    part = float(rng.uniform(0.2, 0.6))
    chosen = {
        "failed": [(1.0, bad)],
        "patchy": [(part, bad), (1 - part, good)],
        "middling": [(1.0, middling)],
        "good": [(1.0, good)],
    }[state]
    return tuple(Zone(of, one, *_share(rng, one, kind.target)) for of, one in chosen)


def _share(rng: np.random.Generator, roots: Nodulation, target: float) -> tuple[float, float]:
    """True share of plants with red nodules enough, and of the others the share with any, by the plants of the demo."""
    means = roots.mean * np.exp(roots.stop_spread * rng.standard_normal(PLANTS) - roots.stop_spread**2 / 2)
    total = rng.poisson(rng.gamma(roots.k, means / roots.k)) if roots.mean > 0 else np.zeros(PLANTS, dtype=int)
    alike = 1 / 0.12 - 1
    effective = rng.binomial(total, rng.beta(roots.red * alike, (1 - roots.red) * alike, PLANTS))
    enough = effective >= target
    others = effective[~enough]
    return float(enough.mean()), float(np.mean(others > 0)) if others.size else 1.0


def _factors(rng: np.random.Generator, zones: tuple[Zone, ...]) -> Floats:
    """True nodulation factor of each zone, shape (zones, 1), from its true share by the step that the tables give."""
    chance, deviation = rng.random((3, 1)), rng.standard_normal()
    curvature, poor, spread = (
        drawn(f"nodulation.{name}", one)
        for name, one in zip(("curvature", "poor_activity", "spread"), chance, strict=True)
    )
    middle = nodulation_factor(
        share=[zone.share for zone in zones],
        curvature=curvature,
        poor_activity=poor * np.array([zone.with_nodules for zone in zones]),
    )
    highest = KNOWN.figure("nodulation.highest").central
    return np.clip(middle * np.exp(spread * deviation), 0.0, highest)[:, None]


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
