"""A new book: the folder that somebody starts from, filled in with an invented example."""

from __future__ import annotations

import datetime as dt
import math
from pathlib import Path

from spadework.errors import Fault, RecordError
from spadework.knowledge.rows import Crop
from spadework.records.book_toml import BOOK_FILE
from spadework.records.boundary import BOUNDARY_FILE, FieldBoundary, boundaries_text
from spadework.records.columns import table_name
from spadework.records.types import (
    TABLES,
    AppliedRow,
    Book,
    CountingUnit,
    CountRange,
    DigRow,
    FieldRow,
    InoculantForm,
    InoculationRow,
    LeafColour,
    NitrogenProduct,
    NormalRow,
    Placement,
    PlantRow,
    RootHealth,
    Settings,
    SizeClass,
    StopRow,
    Texture,
    WeatherRow,
    Wetness,
)
from spadework.records.write import PACKAGE_FILE, package_text, table_text

__all__ = ["example_book", "new_book"]

_BOOK_TOML = """\
# The settings of this book. Text after # is a note; take the # away from a line to use it.
# The rows in the tables are an example of one invented field: write your own over them.

[book]
title = "Example farm"
season = "2026"
# region = "where the fields are"
# The day on which the book is read. Take it out to use the calendar's day.
today = 2026-06-25
# The same seed gives the same figures, to the last digit.
# seed = 1
# What an hour of your work costs, to weigh checks that take time against checks that take money.
# hour_price = 60

# Units of the tables, once for the whole book.
[units]
temperature = "degC"       # or degF
rain = "mm"                # or in
area = "ha"                # or ac (international acre), ac_us (US survey acre)
depth = "cm"               # or in
mass_per_area = "kg/ha"    # or lb/ac

# Dates are written 2026-06-25. If your files have 25/06/2026 (dmy) or 06/25/2026 (mdy), say so.
# [dates]
# order = "dmy"

# Separators and decimal marks are found out from each file. Declare them if a file can be read two ways.
# [files]
# separator = "semicolon"  # or comma, tab
# decimal = "comma"        # or point

# Which published target and dig window hold, by crop. `spadework source --list` names them all.
# [schemes.target]
# pea = "target.pea.fifty_nodules"
# [schemes.window]
# pea = "window.pea.stage"

# A target of your own, for a crop and a region that have none. Without a source it counts as judgement.
# [local_target.lentil]
# value = 30
# counting_unit = "nodule" # or cluster
# source = "trials of the local growers' group, 2024"

# 15N of a crop that lives on air alone [permil], and a calibration line of ureides in the sap, both of your own.
# [local_b_value.pea]
# value = -1.1
# standard_error = 0.3
# source = "pots in clean sand, 2025"
# [local_ureide_line.soybean]
# intercept = 0.08
# slope = 0.7

# When a verdict counts as settled: the probability of its class.
# [sampling]
# settle_at = 0.9

# How the degree-days of a day are worked out.
# [degree_days]
# method = "mean_then_floor"

# How often you have met a cause of poor nodulation, as a share of all fields: from above 0 to below 1.
# [cause_prior]
# dead_inoculant = 0.1

# What a check costs you, in the currency of hour_price.
# [check_price]
# soil_nitrate = 45

# Your own prices, in your own money; none is built in. They say whether nitrogen for a failed crop would pay.
# [prices]
# currency = "orl"         # what your money is called
# pass = 14                # one pass over a hectare
# dig = 60                 # a second dig, for the field
# [prices.grain]           # a tonne of grain
# pea = 310
# [prices.nitrogen]        # a kilogram of nitrogen, not of product, by kind of product; or any = for all of them
# urea_inhibited = 1.45

# How nitrogen would be given.
# [rescue]
# lead_days = 3            # days from the advice until it is on the field
# dig_again_days = 7       # days until a second dig
# rates = [67]             # kg of nitrogen a hectare to weigh beside the usual rates
# rate_step = 5            # step in which the machine can be set: kg/ha of a dry product, L/ha of a liquid one
# implement_width = 24     # working width in metres, which is that of the check strip
# strip_bearing = 90       # direction of the passes in degrees from north
# residue = true           # straw or stubble covers the ground

# Another figure for any row of the knowledge tables; reports say that it was changed.
# [overrides."target.pea.fifty_nodules"]
# value = 40
"""

_SOWN = dt.date(2026, 5, 4)
_DUG = dt.date(2026, 6, 24)
_FIELD = "north-12"
_STATION = "hill"

# stop, crown, lateral, cut, red, white, green or brown: one line a plant.
_PLANTS = (
    ("1", "14", "11-20", 5, 4, 1, 0),
    ("1", "9", "21-50", 5, 5, 0, 0),
    ("1", "17", "21-50", 5, 4, 1, 0),
    ("1", "6", "11-20", 5, 3, 2, 0),
    ("2", "21", ">50", 5, 5, 0, 0),
    ("2", "12", "21-50", 5, 4, 0, 1),
    ("2", "8", "11-20", 5, 4, 1, 0),
    ("2", "15", "21-50", 5, 5, 0, 0),
    ("3", "4", "1-10", 3, 1, 2, 0),
    ("3", "0", "6", 3, 1, 1, 1),
    ("3", "11", "21-50", 5, 4, 1, 0),
    ("3", "13", "11-20", 5, 4, 1, 0),
)
# Corners of the field, 800 m each way, and where the stops lie in it: longitude, latitude.
_CORNERS = ((-32.10572, 51.1964), (-32.09428, 51.1964), (-32.09428, 51.2036), (-32.10572, 51.2036))
_STOPS = (("1", -32.1033, 51.1982), ("2", -32.0987, 51.2001), ("3", -32.0961, 51.2023))
# Mean highs, lows and rain of the months at the invented station.
_NORMALS = (
    (-8.6, -18.9, 14),
    (-5.2, -15.6, 11),
    (1.1, -9.0, 17),
    (10.9, -2.1, 24),
    (18.2, 4.3, 45),
    (22.4, 9.4, 71),
    (25.2, 11.8, 62),
    (25.0, 10.6, 46),
    (18.9, 5.0, 33),
    (11.0, -1.3, 19),
    (0.9, -8.8, 14),
    (-6.3, -16.1, 13),
)


def new_book(folder: Path) -> None:
    """Make a folder with book.toml, all tables and an example in them.

    Raises RecordError where the folder holds anything already, or cannot be made.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        filled = any(folder.iterdir())
    except OSError as error:
        reason = (error.strerror or "unknown reason").lower()
        raise _refused(folder, "book.folder.unusable", f"cannot be made: {reason}") from error
    if filled:
        raise _refused(folder, "book.folder.not_empty", "holds files already, which are left alone")
    book = example_book()
    texts = {table.file: table_text(table, getattr(book, table_name(table)), book.settings) for table in TABLES}
    texts[BOOK_FILE] = _BOOK_TOML
    texts[BOUNDARY_FILE] = boundaries_text(book.boundaries)
    texts[PACKAGE_FILE] = package_text(book.settings, TABLES, outlines=True)
    for name, text in texts.items():
        (folder / name).write_bytes(text.encode("utf-8"))


def _refused(folder: Path, kind: str, what: str) -> RecordError:
    mend = "Name a folder that is empty or not there yet."
    return RecordError(Fault(folder.name, None, None, kind, f"The folder {folder} {what}.", mend))


def example_book() -> Book:
    """Return the example: one invented field, one dig of 12 plants at 3 stops, and the weather up to it."""
    return Book(
        settings=Settings(
            title="Example farm",
            season="2026",
            today=dt.date(2026, 6, 25),
            units={"temperature": "degC", "rain": "mm", "area": "ha", "depth": "cm", "mass_per_area": "kg/ha"},
        ),
        fields=(
            FieldRow(
                field=_FIELD,
                name="North of the windbreak",
                grower="Grower 7",
                crop=Crop.PEA,
                latitude=51.2,
                longitude=-32.1,
                area=64.0,
                sown_on=_SOWN,
                emerged_on=dt.date(2026, 5, 19),
                sowing_depth=5.0,
                station=_STATION,
                host_grown_before=True,
                host_last_year=2021,
                soil_texture=Texture.LOAM,
                expected_yield=3.0,
            ),
        ),
        digs=(
            DigRow(
                field=_FIELD,
                date=_DUG,
                stage_bbch=61,
                scorer="A",
                counting_unit=CountingUnit.NODULE,
                soil_wetness=Wetness.MOIST,
                conditions="overcast, calm",
            ),
        ),
        plants=_plants(),
        weather=_weather(),
        normals=tuple(
            NormalRow(station=_STATION, month=month, TMAX=high, TMIN=low, RAIN=float(rain))
            for month, (high, low, rain) in enumerate(_NORMALS, start=1)
        ),
        inoculation=(
            InoculationRow(
                field=_FIELD,
                form=InoculantForm.PEAT,
                placement=Placement.SEED,
                rhizobia_group="pea and lentil",
                lot="L-204",
                expires_on=dt.date(2026, 12, 31),
                hours_to_sowing=6.0,
            ),
        ),
        applied=(AppliedRow(field=_FIELD, date=_SOWN, product=NitrogenProduct.AMMONIUM_PHOSPHATE, nitrogen=8.0),),
        stops=tuple(
            StopRow(field=_FIELD, stop=stop, latitude=latitude, longitude=longitude)
            for stop, longitude, latitude in _STOPS
        ),
        boundaries=(FieldBoundary(_FIELD, (((*_CORNERS, _CORNERS[0]),),)),),
    )


def _plants() -> tuple[PlantRow, ...]:
    return tuple(
        PlantRow(
            field=_FIELD,
            date=_DUG,
            stop=stop,
            plant=str(number % 4 + 1),
            scorer="A",
            crown_nodules=_count(crown),
            lateral_nodules=_count(lateral),
            cut_open=cut,
            red_pink=red,
            white=white,
            green_brown=green_brown,
            size_class=SizeClass.FROM_2_TO_5_MM if cut == 5 else SizeClass.UNDER_2_MM,
            vigour=4.0 if cut == 5 else 2.5,
            leaf_old=LeafColour.GREEN if cut == 5 else LeafColour.PALE,
            leaf_young=LeafColour.GREEN,
            root_health=RootHealth.HEALTHY,
        )
        for number, (stop, crown, lateral, cut, red, white, green_brown) in enumerate(_PLANTS)
    )


def _count(text: str) -> CountRange:
    if text.startswith(">"):
        return CountRange(int(text[1:]) + 1, None)
    low, _, high = text.partition("-")
    return CountRange(int(low), int(high or low))


def _weather() -> tuple[WeatherRow, ...]:
    """Return an even, invented spring: it warms from sowing to the dig, with rain every sixth day."""
    rows = []
    for day in range((_DUG - _SOWN).days):
        mean = 9.0 + 0.14 * day + 3.0 * math.sin(day / 2.5)
        rows.append(
            WeatherRow(
                station=_STATION,
                W_DATE=_SOWN + dt.timedelta(days=day),
                TMAX=round(mean + 6.5, 1),
                TMIN=round(mean - 6.0, 1),
                RAIN=float(4 + day % 7) if day % 6 == 2 else 0.0,
            )
        )
    return tuple(rows)
