"""Fields set at the edges of the limits: beside an edge a small change of a figure shows."""

import dataclasses
import datetime as dt
from collections.abc import Iterator

from tests.advice.evidence.looking import look_at, on, sight, soil_test
from tests.factories import DUG, EMERGED, GOOD, NONE, POOR, SOWN, a_dig, a_plant, a_visit

from spadework.advice.evidence.seen import Seen
from spadework.knowledge.rows import Knowledge
from spadework.records.types import (
    FieldRecords,
    HandlingRow,
    InoculationRow,
    LeafColour,
    PhMethod,
    RootHealth,
    SizeClass,
    Texture,
    WeatherRow,
)

DAY = dt.timedelta(days=1)


def soils() -> Iterator[FieldRecords]:
    """Nitrate at the limit, over the depth, deep enough, young enough; pH and salt at theirs."""
    for crop, limit in (("pea", 56), ("faba_bean", 55), ("soybean", 45), ("lentil", 56)):
        for more in (0, 1):
            yield on(crop, soil_tests=(soil_test(depth_bottom=30, nitrate_n=limit + more),))
    yield on("pea", soil_tests=(soil_test(depth_bottom=60, nitrate_n=112),))
    yield on("pea", soil_tests=(soil_test(depth_bottom=25, nitrate_n=20),))
    yield on("pea", soil_tests=(soil_test(depth_bottom=30, nitrate_n=20, date=DUG - 240 * DAY),), digs=(a_dig(),))
    readings = [(crop, PhMethod.CACL2, ph) for crop in ("pea", "lentil", "faba_bean", "chickpea", "soybean")
                for ph in (5.4, 5.5)]  # fmt: skip
    readings += [("pea", PhMethod.WATER, ph) for ph in (5.49, 6.5, 7.75, 8.2)]
    readings += [("pea", PhMethod.CACL2, ph) for ph in (6.05, 7.25, 7.5)]
    readings += [("lupin", PhMethod.CACL2, 6.5), ("lupin", PhMethod.WATER, 7.0)]
    for crop, method, ph in readings:
        yield on(crop, soil_tests=(soil_test(ph=ph, ph_method=method),))
    below = soil_test(depth_top=19.9, depth_bottom=40, ph=4.0, ph_method=PhMethod.CACL2)
    yield on("pea", soil_tests=(soil_test(ph=6.0, ph_method=PhMethod.CACL2), below))
    salt = (
        ("common_bean", 1.0),
        ("mung_bean", 1.8),
        ("chickpea", 1.0),
        ("chickpea", 4.05),
        ("pea", 1.0),
        ("pea", 4.05),
    )
    for crop, ec in salt:
        yield on(crop, soil_tests=(soil_test(ec=ec),))
    for texture in Texture:
        yield on("pea", field={"soil_texture": texture})


def roots() -> Iterator[FieldRecords]:
    """Shares of plants and of nodules between their limits."""
    for bare in (3, 7, 10):
        yield on("pea", plants=a_visit([0] * bare + [20] * (10 - bare)))
    for bare in (1, 5, 9):
        yield on("pea", plants=tuple(a_plant(0 if n < bare else 10, 30, plant=str(n)) for n in range(10)))
    for crown in (2, 11, 16, 50):
        yield on("pea", plants=tuple(a_plant(crown, 100 - crown, plant=str(n)) for n in range(10)))
    half_large = tuple(
        row.model_copy(update={"size_class": SizeClass.OVER_5_MM if int(row.plant) % 2 else SizeClass.UNDER_2_MM})
        for row in POOR
    )
    yield on("pea", plants=half_large)
    yield on("pea", plants=a_visit(*[[6] * 10] * 3, size_class=SizeClass.OVER_5_MM))
    for red, white, brown in ((6, 4, 0), (5, 5, 0), (0, 10, 0), (7, 0, 3), (9, 0, 1), (0, 0, 10), (10, 0, 0)):
        colours = {"cut_open": 10, "red_pink": red, "white": white, "green_brown": brown}
        yield on("pea", plants=a_visit(*[[90] * 10] * 3, size_class=SizeClass.UNDER_2_MM, **colours))
    one_cut = {"cut_open": 1, "red_pink": 0, "white": 0, "green_brown": 1}
    yield on("pea", plants=tuple(a_plant(plant=str(n), **one_cut) for n in range(10)))
    yield on("pea", plants=a_visit(*[[80, 60, 45, 52, 70, 30, 55, 90, 48, 61]] * 3))
    yield from (on("pea", plants=plants) for plants in (GOOD, POOR, NONE, a_visit([80] * 10, [3] * 10, [85] * 10)))


def looks() -> Iterator[FieldRecords]:
    """Leaves, growth and washed roots: few, some and most plants."""
    plants = a_visit([80] * 20)
    changes = [("leaf_old", LeafColour.PALE, LeafColour.GREEN), ("leaf_young", LeafColour.PALE, LeafColour.GREEN),
               ("vigour", 2.5, 3.5)]  # fmt: skip
    changes += [("root_health", health, RootHealth.HEALTHY) for health in RootHealth if health != RootHealth.HEALTHY]
    for column, so, not_so in changes:
        for share in (0, 2, 4, 5, 7, 8, 13, 20):
            rows = tuple(
                row.model_copy(
                    update={"leaf_old": LeafColour.GREEN, "vigour": 4.0, column: so if at < share else not_so}
                )
                for at, row in enumerate(plants)
            )
            yield on("pea", plants=rows)
    yield on("pea", plants=a_visit([80] * 5))


def days(rain=None, means=(), *, gone=()) -> tuple[WeatherRow, ...]:
    """Daily rows from three weeks before sowing to the dig; ``rain`` maps days to mm, ``means`` is from sowing on."""
    first = SOWN - 20 * DAY
    return tuple(
        WeatherRow(
            station="hill",
            W_DATE=day,
            TMIN=means[at] - 5 if 0 <= at < len(means) else None,
            TMAX=means[at] + 5 if 0 <= at < len(means) else None,
            RAIN=None if rain is None else rain.get(day, 0.0),
        )
        for day in (first + n * DAY for n in range((DUG - first).days + 1))
        if day not in gone
        for at in [(day - SOWN).days]
    )


def weathers() -> Iterator[FieldRecords]:
    """Cold days, wet spells and dry seedbeds at their limits."""
    crops = (("pea", 10), ("soybean", 15), ("common_bean", 15), ("mung_bean", 15), ("cowpea", 15))
    for crop, limit in crops:
        yield on(crop, weather=days(means=[limit] * 28), digs=(a_dig(),))
    for cold in (8, 12, 28):
        yield on("pea", weather=days(means=[15.0] * (28 - cold) + [5.0] * cold), digs=(a_dig(),))
    yield on("pea", weather=days(means=[5.0] * 20), digs=(a_dig(),))
    spells = ({EMERGED + DAY: 25.0}, {EMERGED + DAY: 80.0}, {SOWN: 10.0}, {SOWN + 8 * DAY: 30.0}, {SOWN - DAY: 4.95},
              {SOWN - 14 * DAY: 5.0}, {})  # fmt: skip
    for rain in spells:
        yield on("pea", weather=days(rain), digs=(a_dig(),))
    yield on("pea", weather=days({}, gone={EMERGED + n * DAY for n in range(8)}), digs=(a_dig(),))
    for wetness in ("dry", "waterlogged"):
        yield on("pea", digs=(a_dig(soil_wetness=wetness),))


def on_the_way() -> Iterator[FieldRecords]:
    """Packs, coated seed, dressings and partners."""

    def made(*steps, **inoculant) -> FieldRecords:
        used = InoculationRow(**{"field": "west", "form": "peat", "placement": "seed", **inoculant})
        way = tuple(
            HandlingRow(**{"field": "west", "step": at, "what": "stood in the shed", **step})
            for at, step in enumerate(steps, start=1)
        )
        return on("pea", inoculation=(used,), handling=way)

    yield made(expires_on=SOWN - DAY)
    yield made({"temperature": 30.3, "hours": 48}, expires_on=SOWN)
    yield made({"temperature": 38, "hours": 13}, expires_on=SOWN)
    yield made({"temperature": -0.05}, expires_on=SOWN)
    yield made({"temperature": 12}, expires_on=SOWN)
    yield from (made(hours_to_sowing=hours) for hours in (3, 15, 30))
    yield made({"what": "seed coated", "temperature": 30.3}, hours_to_sowing=3)
    yield from (made(seed_treatment=dressing) for dressing in ("thiram", "metalaxyl"))
    yield made(seed_treatment="thiram", form="granule", placement="furrow")
    yield from (made({"partner": partner}) for partner in ("urea", "zinc", "nothing"))
    yield from (made(rhizobia_group=label) for label in ("pea", "soybean"))
    yield from (made(strain=strain) for strain in ("one", "one + two"))
    yield made(form="none", placement=None)


def past() -> Iterator[FieldRecords]:
    """The host's history, digs early and late, and two patterns at once."""
    for year in (2022, 2021):
        yield on("pea", field={"host_last_year": year})
    yield from (on("pea", field={"host_grown_before": before}) for before in (True, False))
    yield from (on("pea", plants=GOOD, digs=(a_dig(stage_bbch=stage),)) for stage in (13, 79))
    yield on("pea", observations=(sight("strips", "yes"), sight("low places", "yes")))


def every_field() -> tuple[FieldRecords, ...]:
    """All of them."""
    return (*soils(), *roots(), *looks(), *weathers(), *on_the_way(), *past())


def every_sight(knowledge: Knowledge) -> Iterator[Seen]:
    """What is seen of each, with these tables; and digs of which it is not sure that they were early or late."""
    for held in every_field():
        yield dataclasses.replace(look_at(held), knowledge=knowledge)
    dug = dataclasses.replace(look_at(on("pea", digs=(a_dig(),))), knowledge=knowledge)
    for state in ("too_early", "in_window", "too_late"):
        yield dataclasses.replace(dug, timing=dataclasses.replace(dug.timing, state=state, sure=False))
