"""Invented fields that stand still, so that a change of the advice can only come from the knowledge.

Some are set on an edge on purpose (a colour share just short of its limit, a kappa just above): beside an edge a
small change of a figure shows. Figures of the tables are named where a field was made for them.
"""

import datetime as dt
import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from spadework.advice.field import advise
from spadework.agronomy.patch import chance_of_difference
from spadework.knowledge.load import load
from spadework.knowledge.rows import Crop
from spadework.records.types import (
    CountingUnit,
    CountRange,
    DigRow,
    FieldRecords,
    FieldRow,
    NormalRow,
    ObservationRow,
    PlantRow,
    Settings,
    SizeClass,
    WeatherRow,
)

SOWN = dt.date(2026, 4, 20)
DUG = dt.date(2026, 6, 24)


def settings(**chosen) -> Settings:
    return Settings(title="Fixed fields", season="2026", **chosen)


@dataclass(frozen=True, eq=False)
class Case:
    """One field, its book and the day on which it is judged.

    ``measured_elsewhere`` are logarithms of measured over predicted fixation of other fields of the book.
    """

    name: str
    records: FieldRecords
    today: dt.date
    settings: Settings
    for_diagnosis: bool = False
    measured_elsewhere: tuple[float, ...] = ()


# ---- When: fields without plants, looked at on many days; and digs whose stage was noted

SEEN_UP = 16.0  # mean temperature of the spring in which emergence was seen, ten days after sowing [degC]
# Mean temperature of a spring [degC], and how many days after sowing (or a seen emergence) it is looked at.
LOOKS = [(mean, (10, 14, 24, 35, 45, 55, 65, 75, 85, 95, 105, 120, 140, 160)) for mean in (11.0, SEEN_UP, 24.0)]
LOOKS += [(mean / 2, (30, 52, 80, 115, 135)) for mean in range(15, 65, 3)]
LOOKS += [(mean / 2, (30, 60, 66, 72)) for mean in range(53, 66)]  # hot: caps matter
# Emergence takes few days, so a base or cap that moves a little moves it by a day in few springs only.
LOOKS += [(mean / 10, (25,)) for mean in range(71, 331, 2)]
STAGES = (9, 11, 12, 13, 15, 16, 50, 51, 59, 60, 61, 65, 66, 74, 75, 76)


def weather(mean: float, last: dt.date) -> tuple[WeatherRow, ...]:
    """Days up to ``last`` with waves of a week and of a season, and a gap of three days in the fifth week."""
    days = []
    for at in range(1, (last - SOWN).days + 1):
        if 29 <= at < 32:
            continue
        middle = mean + 4 * math.sin(2 * math.pi * (at + mean) / 7.3) + 3 * math.sin(at / 25)
        day = SOWN + dt.timedelta(at)
        days.append(WeatherRow(station="hill", W_DATE=day, TMIN=round(middle - 6, 1), TMAX=round(middle + 6, 1)))
    return tuple(days)


def normals(mean: float) -> tuple[NormalRow, ...]:
    return tuple(NormalRow(station="hill", month=month, TMIN=mean - 6, TMAX=mean + 6) for month in range(1, 13))


def undug(crop: Crop, **chosen) -> Iterator[Case]:
    for mean, looks in LOOKS:
        emerged_on = SOWN + dt.timedelta(10) if mean == SEEN_UP else None
        row = FieldRow(field="f", crop=crop, sown_on=SOWN, emerged_on=emerged_on, station="hill")
        for look in looks:
            today = (emerged_on or SOWN) + dt.timedelta(look)
            records = FieldRecords(row, weather=weather(mean, today), normals=normals(mean))
            yield Case(f"{crop}, mean of {mean} degC, after {look} days", records, today, settings(**chosen))


def dug_at_a_stage(crop: Crop, **chosen) -> Iterator[Case]:
    for stage in STAGES:
        records = FieldRecords(FieldRow(field="f", crop=crop), digs=(DigRow(field="f", date=DUG, stage_bbch=stage),))
        yield Case(f"{crop}, dug at BBCH {stage}", records, DUG, settings(**chosen))


# ---- How well: visits in flower


def counted(value: int | tuple[int, int | None]) -> CountRange:
    """A count, a class ``(11, 20)`` or an open class ``(51, None)``."""
    return CountRange(*value) if isinstance(value, tuple) else CountRange(value, value)


def plant(stop: int, number: int, crown, lateral, **more) -> PlantRow:
    return PlantRow(
        **{"field": "f", "date": DUG, "stop": str(stop), "plant": str(number), "scorer": "A", **more},
        crown_nodules=counted(crown),
        lateral_nodules=counted(lateral),
    )


def visit(name: str, plants, *, crop: Crop = Crop.PEA, unit: str = "nodule", **chosen) -> Case:
    dig = DigRow(field="f", date=DUG, stage_bbch=61, counting_unit=CountingUnit(unit))
    records = FieldRecords(FieldRow(field="f", crop=crop), digs=(dig,), plants=tuple(plants))
    return Case(name, records, DUG, settings(**chosen))


def in_stops(rows, *, stops: int = 3) -> list[PlantRow]:
    """Plants dealt to stops in turn; a row is (crown, lateral, cut open, red of those) and, if seen, vigour."""
    names = ("cut_open", "red_pink", "vigour")
    return [
        plant(at % stops + 1, at // stops + 1, row[0], row[1], **dict(zip(names, row[2:], strict=False)))
        for at, row in enumerate(rows)
    ]


AROUND_FIFTY = [
    (30, 20, 5, 5, 5.0), (35, 30, 5, 4, 4.0), (10, 38, 5, 5, 3.5), (0, 52, 4, 4, 4.5), (60, 31, 5, 3, 5.0),
    (20, 29, 5, 5, 3.0), (44, 12, 5, 5, 4.0), (25, 25, 5, 5, 4.5), (70, 20, 5, 5, 4.0), (31, 17, 3, 3, 4.0),
    (5, 8, 5, 2, 2.5), (41, 13, 5, 5, 3.5),
]  # fmt: skip
SPARSE = [(2, 1, 3, 2, 2.0), (0, 4, 3, 1, 2.5), (6, 3, 5, 3, 3.0), (0, 0, None, None, 1.5), (9, 40, 5, 4, 3.0)] * 2
THRIVING = [(90, 60, 5, 5, 5.0), (75, 40, 5, 5, 5.0), (80, 55, 5, 5, 4.5), (120, 60, 5, 5, 5.0)] * 3
CLUSTERS = [(3, 2, 3, 3, 4.0), (4, 3, 3, 3, 4.5), (1, 3, 2, 2, 3.0), (2, 2, 3, 2, 3.5), (5, 4, 3, 3, 4.0)] * 2
AROUND_TEN = [(6, 4, 5, 5), (7, 4, 5, 5), (4, 5, 5, 5), (3, 4, 5, 5), (2, 5, 5, 4), (9, 9, 5, 5), (4, 4, 3, 3)]
CLASSED = [
    ((11, 20), (31, 50), 5, 4), ((21, 30), (21, 30), None, None), ((51, None), (11, 20), 3, 2), ((1, 10), 12, 5, 4),
    ((11, 20), (21, 30), 2, 2), ((31, 50), (1, 10), None, None),
]  # fmt: skip


def coloured(name: str, red, white, green_brown) -> Case:
    """Plants of sixty nodules with five cut open."""
    colours = [dict(zip(("red_pink", "white", "green_brown"), each, strict=True))
               for each in zip(red, white, green_brown, strict=True)]  # fmt: skip
    return visit(name, [plant(at % 3 + 1, at, 30, 30, cut_open=5, **each) for at, each in enumerate(colours)])


def scored_twice(name: str, first, second) -> Case:
    """Plants whose nodules two people counted, all red."""
    plants = [
        plant(1, at, nodules, 0, cut_open=min(nodules, 3), red_pink=min(nodules, 3), scorer=scorer)
        for scorer, counts in (("A", first), ("B", second))
        for at, nodules in enumerate(counts)
    ]
    return visit(name, plants)


def patchy() -> Case:
    """Stops that differ by just about the limit, with the seed that makes p equal to it (``planning.patch_p``).

    Nothing was cut, so that each plant is adequate or not.
    """
    stops = ([76, 78, 54, 51, 81], [128, 19, 105, 96, 34], [27, 10, 22, 19, 17])
    stop = np.repeat(np.arange(3), 5)
    nodules = np.array(stops, dtype=float).ravel()
    limit = load().figure("planning.patch_p").central

    def chance(seed: int) -> float | None:
        rng = np.random.default_rng(seed)
        return chance_of_difference(stop=stop, adequate=(nodules >= 50) * 1.0, effective=nodules, rng=rng)

    seed = next(seed for seed in range(500) if chance(seed) == limit)
    plants = [plant(at + 1, number, total, 0) for at, totals in enumerate(stops) for number, total in enumerate(totals)]
    return visit("patchy", plants, seed=seed)


def worth_a_few_more_stops() -> Case:
    """A visit that digging settles with just about the chance asked for (``planning.assurance``), by its seed."""
    rows = [(40, 30, 5, 5), (35, 25, 5, 5), (42, 18, 5, 5), (50, 20, 5, 5), (8, 4, 5, 5)] * 6
    wanted = load().figure("planning.assurance").central
    for seed in range(300):
        case = visit("worth a few more stops", in_stops(rows), seed=seed)
        advice = advise(case.records, case.settings, load(), case.today)
        if wanted <= advice.sampling.assurance < 1.02 * wanted:
            return case
    raise AssertionError("no seed gives that chance")


def visits() -> Iterator[Case]:
    yield visit("around the target", in_stops(AROUND_FIFTY))
    yield visit("faba bean around the target", in_stops(AROUND_FIFTY), crop=Crop.FABA_BEAN)
    yield visit("sparse", in_stops(SPARSE))
    yield visit("thriving", in_stops(THRIVING))
    yield visit("clusters", in_stops(CLUSTERS), unit="cluster")
    yield visit("soybean", in_stops(AROUND_TEN), crop=Crop.SOYBEAN)
    large = [row.model_copy(update={"size_class": SizeClass.FROM_2_TO_5_MM}) for row in in_stops(AROUND_TEN)]
    for scheme in ("target.soybean.seven_red_of_2_mm", "target.soybean.seven_to_fourteen"):
        yield visit(scheme, large, crop=Crop.SOYBEAN, target_scheme={Crop.SOYBEAN: scheme})
    yield visit("classed", in_stops(CLASSED))
    # Posterior mean of the red share 0.708, of 0.7 (``colour.mostly_red``).
    yield coloured("mostly red", [4] * 5 + [3] * 3, [1, 0] * 4, [0, 1, 0, 1, 0, 2, 1, 2])
    # Posterior mean of the white share 0.294, of 0.3 (``colour.notable``).
    yield coloured("rather white", [3] * 5 + [4] * 7, [2] * 5 + [1] * 7, [0] * 12)
    # 20.2 % of the nodules on the crown, of 20 % (``position.zone_share``).
    yield visit("few on the crown", in_stops([(20, 79, 5, 5)] * 9))
    yield visit("on the border", in_stops([(40, 30, 5, 5)] * 21 + [(8, 4, 5, 5)] * 9))
    # Weighted kappa 0.6098, of 0.6 (``agreement.kappa_warning``).
    yield scored_twice("nearly a warning", (8, 30, 30, 15, 30, 60, 15, 8), (8, 60, 30, 30, 30, 60, 60, 8))
    # Five plants, as few as say something, each on either side of a limit (``classes.agreement``).
    yield scored_twice("at the limits", (1, 6, 11, 21, 51), (0, 5, 10, 20, 50))
    yield patchy()
    # 30 % more plants adequate at the good stops, just enough (``planning.patch_difference``).
    good, poor = (60, 75, 90, 105, 120, 65, 80, 95, 110, 125), (5, 12, 27, 50, 51, 50, 51, 50, 51, 50)
    rows = [(nodules, 0) for three in zip(good, good, poor, strict=True) for nodules in three]
    yield visit("a patch that just matters", in_stops(rows))
    yield worth_a_few_more_stops()


# ---- Why: fields of which only what was seen is known


def diagnosed() -> Iterator[Case]:
    """Fields with a sign, a history and every word of the evidence among them."""
    all_seen = (
        {"few nodules": "yes", "acid soil": "yes", "no inoculant": "yes", "green tops": "no"},
        {"few nodules": "yes", "hollow nodules": "yes", "no nodules": "no", "host new": "yes"},
    )
    for seen in all_seen:
        rows = tuple(ObservationRow(field="f", date=DUG, subject=name, value=said) for name, said in seen.items())
        held = FieldRecords(field=FieldRow(field="f", crop=Crop.PEA), observations=rows)
        yield Case("diagnosed", held, DUG, settings(), for_diagnosis=True)
