"""Ten fields made by hand, with their weather, for the nitrogen balance. All of it is invented."""

import datetime as dt

from tests.factories import DUG, GOOD, NONE, POOR, SOWN, a_dig, a_visit, days, normals, records, warmth

from spadework.knowledge.rows import Crop
from spadework.records.types import AppliedRow, NitrogenProduct, SoilTestRow, WeatherRow

RAIN = 12.0
"""Rain of every fourth day [mm]."""

GOOD_SOYBEAN = a_visit(*[[30] * 10] * 3)


def sky(first=SOWN, last=DUG, *, shift=0.0, rain=RAIN, **climate):
    """Daily weather on the sine of the factories, with rain every fourth day."""
    return tuple(
        WeatherRow(
            station="hill",
            W_DATE=day,
            TMAX=warmth(day, **climate) + shift + 6,
            TMIN=warmth(day, **climate) + shift - 6,
            RAIN=rain if day.toordinal() % 4 == 0 else 0.0,
        )
        for day in days(first, last)
    )


def usual(rain=90.0, **climate):
    """Monthly normals with rain."""
    return tuple(row.model_copy(update={"RAIN": rain}) for row in normals(**climate))


def past(years=range(2016, 2026)):
    """Whole past years, warmer or cooler and wetter or drier than each other."""
    return tuple(
        row
        for year in years
        for row in sky(dt.date(year, 1, 1), dt.date(year, 12, 31), shift=(year % 5) - 2.0, rain=6.0 + 2 * (year % 4))
    )


def soil_test(nitrate, *, bottom=100, day=dt.date(2026, 4, 20), **more):
    """A soil test from the surface down."""
    return (SoilTestRow(field="west", date=day, depth_top=0, depth_bottom=bottom, nitrate_n=nitrate, **more),)


def applied(nitrogen, day=SOWN, product=NitrogenProduct.UREA):
    """One application."""
    return (AppliedRow(field="west", date=day, product=product, nitrogen=nitrogen),)


def a_balance_field(plants=(), **parts):
    """Peas of which 3 t/ha are expected, in a wet enough season with normals."""
    field = {"expected_yield": 3.0, "soil_texture": "loam", **parts.pop("field", {})}
    return records(plants, **{"field": field, "weather": sky(), "normals": usual(), **parts})


SOYBEAN = {"crop": Crop.SOYBEAN, "expected_yield": 2.6, "maturity_group": "0"}
WARM = {"mean": 13.0, "swing": 12.0}

FIELDS = {
    "failed pea": a_balance_field(NONE, soil_tests=soil_test(30, organic_matter=2.5)),
    "failed pea that was given nitrogen": a_balance_field(
        NONE, soil_tests=soil_test(30, organic_matter=2.5), applied=applied(120)
    ),
    "poor pea": a_balance_field(POOR),
    "good pea": a_balance_field(GOOD, soil_tests=soil_test(40, organic_matter=3.5)),
    "good soybean": a_balance_field(
        GOOD_SOYBEAN,
        field=SOYBEAN,
        weather=sky(**WARM),
        normals=usual(**WARM),
        soil_tests=soil_test(60, organic_matter=4.0),
        digs=(a_dig(stage_bbch=61),),
    ),
    "high nitrate": a_balance_field(POOR, soil_tests=soil_test(170, bottom=60)),
    "not dug": a_balance_field(),
    "too early": a_balance_field(POOR, digs=(a_dig(stage_bbch=14),)),
    "too late": a_balance_field(
        POOR, digs=(a_dig(date=DUG, stage_bbch=79),), field={"sown_on": dt.date(2026, 4, 1), "emerged_on": None},
        weather=sky(dt.date(2026, 4, 1)),
    ),
    "failed chickpea on rich soil": a_balance_field(
        NONE, field={"crop": Crop.CHICKPEA, "expected_yield": 1.0}, soil_tests=soil_test(90, organic_matter=4.0)
    ),
}  # fmt: skip
