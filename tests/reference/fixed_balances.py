"""Invented fields with an expected yield, so that the rows of the nitrogen balance and of the check strip have a say.

They stand still. Some are set on an edge on purpose: beside it a small change of a figure shows.
"""

import datetime as dt
import math
from collections.abc import Callable, Iterator, Mapping
from functools import cache, partial
from types import MappingProxyType

from pyproj import Geod
from tests.reference.fixed_fields import AROUND_FIFTY, DUG, SOWN, SPARSE, THRIVING, Case, in_stops, settings

from spadework.advice.nitrogen.balance import balance_of
from spadework.advice.nitrogen.crop_seen import CropSeen
from spadework.advice.nitrogen.dig import DigSeen
from spadework.advice.nitrogen.lab_share import laboratory_seen
from spadework.agronomy.season.nodulation import DigReading
from spadework.knowledge.load import load
from spadework.knowledge.rows import Crop
from spadework.records.boundary import FieldBoundary
from spadework.records.lab_result import FieldLabResultRow
from spadework.records.types import (
    AppliedRow,
    DigRow,
    FieldRecords,
    FieldRow,
    LeafColour,
    NitrogenProduct,
    NormalRow,
    PlantRow,
    Prices,
    SoilTestRow,
    StopRow,
    WeatherRow,
)

KNOWN = load()
PLACE = (-32.1, 51.2)  # longitude, latitude
RAINLESS = dt.date(2026, 6, 10)  # in the middle of a gap, where there is one


# ---- Weather, soil and crop


def mean_temperature(day: dt.date) -> float:
    """Warmest in mid July. [degC]"""
    return 11 + 11 * math.sin((day.timetuple().tm_yday - 105) / 365 * 2 * math.pi)


def sky(first: dt.date, last: dt.date, *, shift: float = 0.0, rain: float = 14.0, gap: int = 0) -> list[WeatherRow]:
    """Days with rain every fourth; a gauge that was not read for some days from ``RAINLESS`` on."""
    days = (first + dt.timedelta(n) for n in range((last - first).days + 1))
    unread = {RAINLESS + dt.timedelta(n) for n in range(gap)}
    return [
        WeatherRow(
            station="hill",
            W_DATE=day,
            TMIN=mean_temperature(day) + shift - 6,
            TMAX=mean_temperature(day) + shift + 6,
            RAIN=None if day in unread else rain if day.toordinal() % 4 == 0 else 0.0,
        )
        for day in days
    ]


def past(years: int) -> list[WeatherRow]:
    """Whole years before the one of the book, warmer or cooler and wetter or drier than each other."""
    return [
        row
        for year in range(SOWN.year - years, SOWN.year)
        for row in sky(dt.date(year, 1, 1), dt.date(year, 12, 31), shift=year % 5 - 2, rain=8 + 3 * (year % 4))
    ]


def normals(shift: float = 0.0) -> tuple[NormalRow, ...]:
    means = {month: mean_temperature(dt.date(2026, month, 15)) + shift for month in range(1, 13)}
    return tuple(
        NormalRow(station="hill", month=month, TMIN=mean - 6, TMAX=mean + 6, RAIN=80.0) for month, mean in means.items()
    )


def soil(nitrate: float | None, top: float, bottom: float, *, day: dt.date = SOWN, **more) -> SoilTestRow:
    return SoilTestRow(field="f", date=day, depth_top=top, depth_bottom=bottom, nitrate_n=nitrate, **more)


def given(product: NitrogenProduct, day: dt.date) -> AppliedRow:
    return AppliedRow(field="f", date=day, product=product, nitrogen=60.0)


def balanced(
    name: str,
    plants=(),
    *,
    stage: int | None = 61,
    day: dt.date = DUG,
    today: dt.date = DUG,
    field: Mapping[str, object] = MappingProxyType({}),
    real: bool = False,
    elsewhere: tuple[float, ...] = (),
    prices: Prices | None = None,
    **parts,
) -> Case:
    """A field of which 3 t/ha are expected; ``real`` where its own diagnosis is to be made."""
    row = FieldRow(
        **{
            "field": "f",
            "crop": Crop.PEA,
            "sown_on": SOWN,
            "station": "hill",
            "latitude": PLACE[1],
            "expected_yield": 3.0,
            **field,
        }
    )
    digs = (DigRow(field="f", date=day, stage_bbch=stage),) if stage is not None else ()
    held = {"weather": tuple(sky(SOWN, today)), "normals": normals(), "digs": digs, **parts}
    records = FieldRecords(row, plants=tuple(plants), **held)
    chosen = {} if prices is None else {"prices": prices}
    return Case(name, records, today, settings(**chosen), for_diagnosis=real, measured_elsewhere=elsewhere)


def leaves(plants, old: LeafColour, young: LeafColour, vigour: float) -> list[PlantRow]:
    return [row.model_copy(update={"leaf_old": old, "leaf_young": young, "vigour": vigour}) for row in plants]


def samples(excess: float, scatter: float) -> tuple[FieldLabResultRow, ...]:
    """Four legumes and four references by isotope dilution; beside 0.4 atom % an excess of 0.2 is a share of 0.5."""
    away = (-1.0, 0.5, 1.5, -1.0)
    return tuple(
        FieldLabResultRow(field="f", sample=f"{kind}{n}", kind=kind, date=DUG, atom_percent_excess=middle + x * scatter)
        for kind, middle in (("legume", excess), ("reference", 0.4))
        for n, x in enumerate(away)
    )


HALF = in_stops([(60, 30, 5, 5), (4, 3, 5, 5)] * 6)
UNCUT = in_stops([(*row[:2], None, None) for row in AROUND_FIFTY])
BARE = in_stops([(0, 0, None, None)] * 12)
FEW = in_stops(SPARSE)


# ---- How the nodules may be read


def of_nodules() -> Iterator[Case]:
    yield balanced("half of the plants adequate", HALF)
    yield balanced("colour unseen", UNCUT)


def thriving() -> Iterator[Case]:
    yield balanced("thriving", in_stops(THRIVING))


def measured_elsewhere() -> Iterator[Case]:
    yield balanced("measured in two other fields", HALF, elsewhere=(-0.3, 0.1))


def by_reading(reading: str) -> Iterator[Case]:
    if reading == "too_early":
        yield balanced("too early", FEW, stage=14)
    elif reading == "too_late":
        yield balanced("too late", FEW, stage=79)
    elif reading == "high_nitrate":
        yield balanced("under nitrate", FEW, soil_tests=(soil(190, 0, 60),), real=True)
    else:
        yield balanced("not dug", stage=None)


# ---- What the crop shows


def of_leaves() -> Iterator[Case]:
    yield balanced("pale", leaves(BARE, LeafColour.YELLOW, LeafColour.GREEN, 2.0), real=True)
    yield balanced("green", leaves(HALF, LeafColour.GREEN, LeafColour.GREEN, 5.0), real=True)


def measured() -> Iterator[Case]:
    yield balanced("measured weakly", HALF, lab_results=samples(0.2, 0.06))
    yield balanced("measured exactly", HALF, lab_results=samples(0.2, 0.002))


def hardly_any_fits() -> Iterator[Case]:
    """A share measured with which just so many draws agree as are asked for (``leaves.least_draws``)."""
    least = KNOWN.figure("leaves.least_draws").central
    nothing = DigSeen(share=None, reading=DigReading.NONE_DUG, poor_with_nodules=1.0, colour_seen=True, measured=True)
    for step in range(60):
        case = balanced("hardly any fits", stage=None, lab_results=samples(0.02 + 0.002 * step, 0.002))
        share = laboratory_seen(case.records, case.settings, knowledge=KNOWN, today=case.today).share
        seen = CropSeen(measured=share)
        found = balance_of(
            case.records, nothing, knowledge=KNOWN, seed=case.settings.seed, today=case.today, crop_seen=seen
        )
        if least <= found.season.effective < 1.02 * least:
            yield case
            return
    raise AssertionError("no share is met by so many draws")


# ---- Soil, what was applied, weather


def of_soil() -> Iterator[Case]:
    yield balanced("tested shallow", HALF, soil_tests=(soil(40, 0, 30),))
    yield balanced("tested deep", HALF, soil_tests=(soil(60, 0, 100),))
    yield balanced("tested in the deep alone", HALF, soil_tests=(soil(20, 30, 60),))
    last = SOWN + dt.timedelta(KNOWN.figure("soil_n.test_after_sowing").central)
    yield balanced("tested on the last day", HALF, soil_tests=(soil(60, 0, 60, day=last),))
    yield balanced("organic matter", HALF, soil_tests=(soil(None, 0, 15, organic_matter=3.5),))


def of_texture(texture: str) -> Iterator[Case]:
    yield balanced(texture, HALF, field={"soil_texture": texture})


def of_applied() -> Iterator[Case]:
    for product in (NitrogenProduct.MANURE, NitrogenProduct.OTHER):
        for days in (-10, 25):
            day = SOWN + dt.timedelta(days)
            # Showers too light for one of them to free all of it.
            light = tuple(sky(SOWN, DUG, rain=5.0))
            yield balanced(f"{product} {days} days after sowing", HALF, applied=(given(product, day),), weather=light)


def of_weather() -> Iterator[Case]:
    yield balanced("normals alone", HALF)
    for gap in (1, 2, 3, 4):
        yield balanced(f"{gap} days without rain", HALF, weather=tuple(sky(SOWN, DUG, gap=gap)))
    # As many as show how weather varies, and as few as are taken at all.
    for name in ("least", "few"):
        years = round(KNOWN.figure(f"weather_ahead.{name}_years").central)
        yield balanced(f"{years} past years", HALF, weather=(*past(years), *sky(SOWN, DUG)))


# ---- The ground


def outline(width: float, height: float) -> FieldBoundary:
    """A rectangle so many metres from west to east and from south to north."""
    x, y = width / 2, height / 2
    geod = Geod(ellps="WGS84")
    corners = [(-x, -y), (x, -y), (x, y), (-x, y), (-x, -y)]
    ring = tuple(
        geod.fwd(*PLACE, math.degrees(math.atan2(east, north)), math.hypot(east, north))[:2] for east, north in corners
    )
    return FieldBoundary(field="f", polygons=((ring,),))


def stops(*east: float) -> tuple[StopRow, ...]:
    """Stops in a row through the middle, so many metres east of it."""
    places = (Geod(ellps="WGS84").fwd(*PLACE, 90.0, metres)[:2] for metres in east)
    return tuple(StopRow(field="f", stop=str(n), longitude=x, latitude=y) for n, (x, y) in enumerate(places, start=1))


def for_nitrogen(name: str, plants, *, field: Mapping[str, object] = MappingProxyType({}), **more) -> Case:
    """Soybean dug as it begins to flower, in time for nitrogen, with prices in an invented money."""
    sown_on = dt.date(2026, 5, 4)
    parts = {
        "field": {"crop": Crop.SOYBEAN, "sown_on": sown_on, "soil_texture": "loam", "area": 10.0, **field},
        "weather": tuple(sky(sown_on, DUG, shift=3.0)),
        "normals": normals(3.0),
        "soil_tests": (soil(25, 0, 100, organic_matter=2.5),),
        "prices": Prices(currency="mk", grain=dict.fromkeys(Crop, 900.0), nitrogen={"urea": 1.2}, per_pass=10.0),
    }
    return balanced(name, plants, **{**parts, **more})


def of_strips() -> Iterator[Case]:
    yield for_nitrogen("failed, nobody knows where", BARE)
    # One pass inside the fence the strip is just over three stretches long.
    width, stretch = (KNOWN.figure(f"strip.{name}").central for name in ("width", "stretch"))
    yield for_nitrogen("failed as a whole", BARE, boundary=outline(3.01 * stretch + 2 * width, 300))
    rows = [plant for three in zip(THRIVING, THRIVING, [(0, 0, None, None)] * 12, strict=True) for plant in three]
    yield for_nitrogen("failed in a part", in_stops(rows), boundary=outline(900, 400), stops=stops(-300, 0, 300))


# ---- Which fields may notice a row

READINGS = ("too_early", "too_late", "high_nitrate", "not_dug")
TEXTURES = ("sand", "loam", "clay")

FIELDS: Mapping[str, Callable[[], Iterator[Case]]] = MappingProxyType(
    {
        **{f"nodulation.{reading}": partial(by_reading, reading) for reading in READINGS},
        "nodulation.highest": thriving,
        "nodulation.dig_misleads": measured,
        "nodulation.measured_error": measured_elsewhere,
        "nodulation.": of_nodules,
        "leaves.least_draws": hardly_any_fits,
        "leaves.": of_leaves,
        "measured_share.": measured,
        "soil_n.": of_soil,
        **{f"available_water.{texture}": partial(of_texture, texture) for texture in TEXTURES},
        "applied_n.": of_applied,
        "season.any.access_": of_applied,
        "season.any.rain_to_free": of_applied,
        "weather_ahead.": of_weather,
        "weather.rain_fill_days": of_weather,
        "stage_seen.": of_nodules,
        "gap.": of_nodules,
        "grain_dry_share.": of_nodules,
        "strip.": of_strips,
    }
)
"""How the ids of rows begin that a balance or a strip rests on, the longer before the shorter."""

BALANCED = tuple(FIELDS)


@cache
def fixed_balances(begins: str) -> tuple[Case, ...]:
    """Fields that may notice the rows whose ids begin so."""
    return tuple(FIELDS[begins]())
