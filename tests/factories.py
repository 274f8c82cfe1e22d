"""Small records to judge, so that a test states only what matters to it. All of it is invented.

By default: peas sown on 4 May 2026, up on 15 May, dug on 22 June in bud (five and a half weeks up, in the window).
"""

import datetime as dt
import math
from collections.abc import Iterable, Iterator

from spadework.advice.field import advise
from spadework.advice.value import FieldAdvice
from spadework.knowledge.load import load, with_overrides
from spadework.knowledge.rows import Crop
from spadework.records.types import (
    CountRange,
    DigRow,
    FieldRecords,
    FieldRow,
    InoculantForm,
    InoculationRow,
    NormalRow,
    Placement,
    PlantRow,
    Settings,
    SizeClass,
    WeatherRow,
)

SOWN = dt.date(2026, 5, 4)
EMERGED = dt.date(2026, 5, 15)
DUG = dt.date(2026, 6, 22)


def a_book(**changes) -> Settings:
    """Settings of a book; nothing chosen."""
    return Settings(**{"title": "Test", "season": "2026", **changes})


def a_field(**changes) -> FieldRow:
    """Peas in the north, with sowing and emergence known."""
    return FieldRow(
        **{
            "field": "west",
            "crop": Crop.PEA,
            "latitude": 51.0,
            "sown_on": SOWN,
            "emerged_on": EMERGED,
            "station": "hill",
            **changes,
        }
    )


def a_dig(**changes) -> DigRow:
    """A dig in bud."""
    return DigRow(**{"field": "west", "date": DUG, "stage_bbch": 55, "counting_unit": "nodule", **changes})


def count(number: int | tuple[int, int | None] | None) -> CountRange | None:
    """A count, a class ``(11, 20)``, an open class ``(51, None)``, or None for nobody counted."""
    if number is None:
        return None
    return CountRange(*number) if isinstance(number, tuple) else CountRange(number, number)


def a_plant(crown=48, lateral=32, **changes) -> PlantRow:
    """A plant with plenty of nodules, five of them cut and all red."""
    return PlantRow(
        **{
            "field": "west",
            "date": DUG,
            "stop": "1",
            "plant": "1",
            "scorer": "A",
            "crown_nodules": count(crown),
            "lateral_nodules": count(lateral),
            "cut_open": 5,
            "red_pink": 5,
            "white": 0,
            "green_brown": 0,
            "size_class": SizeClass.FROM_2_TO_5_MM,
            "vigour": 4.0,
            **changes,
        }
    )


def a_visit(*stops: Iterable[int], crown_share: float = 0.6, **changes) -> tuple[PlantRow, ...]:
    """Plants given as the nodules on each: ``a_visit([80] * 10, [80] * 10, [3] * 10)`` is three stops of ten.

    Up to five nodules are cut on each plant, all of them red unless ``changes`` say otherwise.
    """
    return tuple(
        a_plant(
            crown=round(total * crown_share),
            lateral=total - round(total * crown_share),
            **{
                "stop": str(stop),
                "plant": str(plant),
                "cut_open": min(total, 5),
                "red_pink": min(total, 5),
                "size_class": SizeClass.FROM_2_TO_5_MM if total else None,
                **changes,
            },
        )
        for stop, totals in enumerate(stops, start=1)
        for plant, total in enumerate(totals, start=1)
    )


GOOD = a_visit([80] * 10, [75] * 10, [90] * 10)
POOR = a_visit([6] * 10, [4] * 10, [8] * 10)
NONE = a_visit([0] * 10, [0] * 10, [0] * 10)


def inoculated(form: str = "peat", placement: str | None = "seed") -> tuple[InoculationRow, ...]:
    """Inoculant that went on, in a form and to a place."""
    return (InoculationRow(field="west", form=InoculantForm(form), placement=placement and Placement(placement)),)


def warmth(day: dt.date, *, mean: float = 11.0, swing: float = 11.0, south: bool = False) -> float:
    """Daily mean [degC] on a sine through the year: warmest in mid July in the north, mid January in the south."""
    return mean + (-swing if south else swing) * math.sin((day.timetuple().tm_yday - 105) / 365 * 2 * math.pi)


def a_season(
    first: dt.date = SOWN, last: dt.date = DUG, *, without: Iterable[dt.date] = (), **climate
) -> tuple[WeatherRow, ...]:
    """Daily weather on the sine of ``warmth``, six degrees either side of it; ``without`` days are not there."""
    absent = set(without)
    return tuple(
        WeatherRow(station="hill", W_DATE=day, TMAX=warmth(day, **climate) + 6, TMIN=warmth(day, **climate) - 6)
        for day in days(first, last)
        if day not in absent
    )


def normals(**climate) -> tuple[NormalRow, ...]:
    """Monthly normals on the same sine."""
    middles = [dt.date(2026, month, 15) for month in range(1, 13)]
    return tuple(
        NormalRow(station="hill", month=day.month, TMAX=warmth(day, **climate) + 6, TMIN=warmth(day, **climate) - 6)
        for day in middles
    )


def days(first: dt.date, last: dt.date) -> Iterator[dt.date]:
    """Every day from the first to the last, both included."""
    return (first + dt.timedelta(number) for number in range((last - first).days + 1))


def records(plants: tuple[PlantRow, ...] = (), **parts) -> FieldRecords:
    """Records of one field: plants, and by default one dig that goes with them; ``field`` is a row or its changes."""
    field = parts.pop("field", {})
    row = field if isinstance(field, FieldRow) else a_field(**field)
    digs = tuple(a_dig(date=day) for day in sorted({plant.date for plant in plants}))
    return FieldRecords(**{"field": row, "digs": digs, "plants": plants, **parts})


def everything(plants: tuple[PlantRow, ...] = GOOD) -> FieldRecords:
    """A field of which all is recorded: two scorers on one plant, weather, normals, inoculation."""
    again = plants[0].model_copy(update={"scorer": "B"})
    return records((*plants, again), weather=a_season(), normals=normals(), inoculation=inoculated())


def advice_on(held: FieldRecords, *, today: dt.date = DUG, **chosen) -> FieldAdvice:
    """Advice on one field, by a book with nothing but ``chosen`` settings."""
    settings = a_book(**chosen)
    return advise(held, settings, with_overrides(load(), settings.overrides), today)
