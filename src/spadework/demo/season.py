"""The demo season as a book, drawn from the scenario."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from spadework.demo.draws import Draws
from spadework.demo.ground import boundary_of, stops_of
from spadework.demo.places import REGION, STATIONS
from spadework.demo.plants import dig_plants
from spadework.demo.scenario import Situation, Visit
from spadework.demo.situations import SITUATIONS
from spadework.demo.weather import daily_weather, monthly_normals
from spadework.knowledge.rows import Crop
from spadework.records.types import (
    AppliedRow,
    Book,
    DigRow,
    FieldRow,
    HandlingRow,
    InoculantForm,
    InoculationRow,
    LocalTarget,
    ObservationRow,
    PlantRow,
    Prices,
    RescuePlan,
    Settings,
    SoilTestRow,
)

__all__ = ["PRICES", "SEED", "TODAY", "demo_book", "demo_stories"]

SEED = 2026
TODAY = dt.date(2026, 9, 20)
"""The day on which the demo is read: weather is known up to the day before."""

_UNITS = {"temperature": "degC", "rain": "mm", "area": "ha", "depth": "cm", "mass_per_area": "kg/ha"}

_OWN_GROUP = {
    Crop.PEA: "pea and lentil",
    Crop.LENTIL: "pea and lentil",
    Crop.FABA_BEAN: "faba bean",
    Crop.CHICKPEA: "chickpea",
    Crop.COMMON_BEAN: "common bean",
    Crop.SOYBEAN: "soybean",
    Crop.LUPIN: "lupin",
    Crop.MUNG_BEAN: "mung bean and cowpea",
}

# Winter crops of the south are dug by the weeks since sowing, as is usual there.
_WINTER_WINDOW = "window.any.ten_to_twelve_weeks_from_sowing"
_WINTER_CROPS = (Crop.FABA_BEAN, Crop.CHICKPEA, Crop.LUPIN)

_CHICKPEA_TARGET = LocalTarget(value=12.0, source="the invented district's own figure, for the demo only")

PRICES = Prices(
    currency="orl",
    grain={
        Crop.PEA: 340.0,
        Crop.LENTIL: 560.0,
        Crop.CHICKPEA: 590.0,
        Crop.FABA_BEAN: 340.0,
        Crop.COMMON_BEAN: 700.0,
        Crop.SOYBEAN: 520.0,
        Crop.LUPIN: 330.0,
        Crop.MUNG_BEAN: 800.0,
    },
    nitrogen={"urea_inhibited": 1.45, "uan_28": 1.6},
    per_pass=14.0,
    dig=40.0,
)
"""Prices in the orl, the money of the invented place, at which nitrogen pays in some fields and not in others."""

_PLAN = RescuePlan(lead_days=2, dig_again_days=5, implement_width=24.0)


def demo_book(seed: int = SEED) -> Book:
    """Make the demo season: about forty invented fields in two invented districts.

    Nothing in it is real (see ``spadework.demo.places``). The same seed gives the same book everywhere; another
    seed gives other weather and other plants for the same scenario.

    Parameters
    ----------
    seed : int
        Not negative. Each field and station draws from a stream of its own, so that changing one
        situation leaves the others as they are.
    """
    settings = Settings(
        title="Demo season",
        season="2026",
        region=REGION,
        today=TODAY,
        seed=seed,
        units=_UNITS,
        window_scheme=dict.fromkeys(_WINTER_CROPS, _WINTER_WINDOW),
        local_target={Crop.CHICKPEA: _CHICKPEA_TARGET},
        prices=PRICES,
        rescue=_PLAN,
    )
    fields = tuple(_field(situation, seed) for situation in SITUATIONS)
    visits = [(situation, visit) for situation in SITUATIONS for visit in situation.visits]
    return Book(
        settings=settings,
        fields=fields,
        digs=tuple(_dig(situation, visit) for situation, visit in visits),
        plants=tuple(row for situation, visit in visits for row in _plants(situation, visit, seed)),
        weather=tuple(
            row
            for station in STATIONS
            for row in daily_weather(station, last_day=TODAY - dt.timedelta(days=1), seed=seed)
        ),
        normals=tuple(row for station in STATIONS for row in monthly_normals(station)),
        soil_tests=tuple(row for situation in SITUATIONS for row in _soil_tests(situation)),
        inoculation=tuple(row for situation in SITUATIONS for row in _inoculation(situation)),
        handling=tuple(row for situation in SITUATIONS for row in _handling(situation)),
        observations=tuple(row for situation in SITUATIONS for row in _observations(situation)),
        applied=tuple(row for situation in SITUATIONS for row in _applied(situation)),
        stops=tuple(stop for row in fields for stop in stops_of(row)),
        boundaries=tuple(boundary for row in fields if (boundary := boundary_of(row)) is not None),
    )


def demo_stories() -> dict[str, str]:
    """Return what each field of the demo is there to show, in plain words, by field id."""
    return {situation.field: situation.story for situation in SITUATIONS}


def _field(situation: Situation, seed: int) -> FieldRow:
    """Place the field within some ten kilometres of its station, or nowhere when it has none."""
    draws = Draws(seed, f"place {situation.field}")
    north, east = draws.uniform(-0.09, 0.09), draws.uniform(-0.09, 0.09)
    station = next((station for station in STATIONS if station.station == situation.station), None)
    return FieldRow(
        field=situation.field,
        name=situation.called,
        grower=situation.grower,
        crop=situation.crop,
        latitude=None if station is None else round(station.latitude + north, 3),
        longitude=None if station is None else round(station.longitude + east, 3),
        area=situation.area,
        sown_on=situation.sown,
        emerged_on=situation.up,
        sowing_depth=situation.depth,
        station=situation.station,
        maturity_group=situation.maturity_group,
        host_grown_before=situation.host_before,
        host_last_year=situation.host_last_year,
        soil_texture=situation.texture,
        expected_yield=situation.expected_yield,
        note=situation.note,
    )


def _dig(situation: Situation, visit: Visit) -> DigRow:
    return DigRow(
        field=situation.field,
        date=visit.on,
        stage_bbch=visit.stage,
        scorer="A",
        counting_unit=visit.unit,
        soil_wetness=visit.wetness,
        conditions=visit.conditions,
    )


def _plants(situation: Situation, visit: Visit, seed: int) -> Iterator[PlantRow]:
    return dig_plants(
        Draws(seed, f"dig {situation.field} {visit.on}"),
        field=situation.field,
        date=visit.on,
        stops=visit.stops,
        plants_per_stop=visit.each,
        nodulation=visit.roots,
        tops=visit.tops,
        writing=visit.writing,
    )


def _soil_tests(situation: Situation) -> Iterator[SoilTestRow]:
    for test in situation.soil:
        yield SoilTestRow(
            field=situation.field,
            date=test.on,
            depth_top=test.top,
            depth_bottom=test.bottom,
            ph=test.ph,
            ph_method=test.method,
            nitrate_n=test.nitrate,
            ec=test.ec,
            organic_matter=test.organic_matter,
        )


def _inoculation(situation: Situation) -> Iterator[InoculationRow]:
    for used in situation.inoculants:
        own_group = None if used.form is InoculantForm.NONE else _OWN_GROUP[situation.crop]
        yield InoculationRow(
            field=situation.field,
            form=used.form,
            placement=used.placement,
            rhizobia_group=used.group or own_group,
            lot=used.lot,
            expires_on=used.expires_on,
            seed_treatment=used.seed_treatment,
            hours_to_sowing=used.hours_to_sowing,
        )


def _handling(situation: Situation) -> Iterator[HandlingRow]:
    for number, step in enumerate(situation.handling, start=1):
        yield HandlingRow(
            field=situation.field,
            step=number,
            what=step.what,
            hours=step.hours,
            temperature=step.temperature,
            sunlight=step.sunlight,
            partner=step.partner,
        )


def _observations(situation: Situation) -> Iterator[ObservationRow]:
    for sight in situation.sights:
        yield ObservationRow(
            field=situation.field,
            date=situation.visits[0].on,
            stop=sight.stop,
            subject=sight.subject,
            value=sight.value,
        )


def _applied(situation: Situation) -> Iterator[AppliedRow]:
    for dressing in situation.applied:
        yield AppliedRow(field=situation.field, date=dressing.on, product=dressing.product, nitrogen=dressing.nitrogen)
