"""Types of what people write down. Units here are the inside ones: SI, hectares, degrees Celsius.

Every column carries its description, unit and an example, so that the table schemas, the help and
the checks are made from this one place. ``None`` always means "nobody wrote it down", never zero or no.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated, Any, ClassVar

from pydantic import Field

from spadework.errors import DomainError
from spadework.knowledge.rows import Crop
from spadework.records.boundary import FieldBoundary
from spadework.records.lab_result import FieldLabResultRow
from spadework.records.record import Day, FieldId, Name, Note, Record, ShortName, Text
from spadework.records.words import (
    MAX_COUNT,
    Column,
    CountingUnit,
    CountRange,
    InoculantForm,
    LeafColour,
    NitrogenProduct,
    PhMethod,
    Placement,
    RootHealth,
    SizeClass,
    Sunlight,
    Texture,
    Wetness,
)

__all__ = [
    "MAX_COUNT",
    "TABLES",
    "AppliedRow",
    "Book",
    "Column",
    "CountRange",
    "CountingUnit",
    "DigRow",
    "FieldBoundary",
    "FieldLabResultRow",
    "FieldRecords",
    "FieldRow",
    "HandlingRow",
    "InoculantForm",
    "InoculationRow",
    "LeafColour",
    "LocalBValue",
    "LocalTarget",
    "LocalUreideLine",
    "NitrogenProduct",
    "NormalRow",
    "ObservationRow",
    "PhMethod",
    "Placement",
    "PlantRow",
    "Prices",
    "Record",
    "RescuePlan",
    "RootHealth",
    "Settings",
    "SizeClass",
    "SoilTestRow",
    "StopRow",
    "Sunlight",
    "Texture",
    "WeatherRow",
    "Wetness",
]


def _column(description: str, example: str, *, unit: str | None = None, measure: str | None = None) -> Any:
    return Column(description=description, example=example, unit=unit, measure=measure)


_KEPT = "; kept, not used yet"
_FOR_DIAGNOSIS = "; used for the diagnosis, not for the verdict"
_FOR_INDEX = "; used for the three-factor index and the diagnosis, not for the verdict"
_FOR_POSITION = "; used for the diagnosis and to read where the nodules sit, not for the verdict"


class FieldRow(Record):
    """One crop in one place in one season."""

    file: ClassVar[str] = "fields.csv"
    title: ClassVar[str] = "Fields"
    key: ClassVar[tuple[str, ...]] = ("field",)

    field: FieldId
    name: Annotated[Text | None, _column("Name that the grower uses", "North of the windbreak")] = None
    grower: Annotated[Text | None, _column("Whose field it is", "Grower 7")] = None
    crop: Annotated[Crop, _column("Crop", "pea")]
    latitude: Annotated[float | None, Field(ge=-66, le=66), _column("Latitude, south negative", "51.2", unit="deg")] = (
        None
    )
    longitude: Annotated[
        float | None, Field(ge=-180, le=180), _column("Longitude, west negative", "-32.1", unit="deg")
    ] = None
    area: Annotated[float | None, Field(gt=0, le=20000), _column("Area sown", "64", unit="ha", measure="area")] = None
    sown_on: Annotated[Day | None, _column("Day of sowing", "2026-05-04")] = None
    emerged_on: Annotated[Day | None, _column("Day when half of the plants were up", "2026-05-19")] = None
    sowing_depth: Annotated[
        float | None, Field(gt=0, le=20), _column("Sowing depth" + _KEPT, "5", unit="cm", measure="depth")
    ] = None
    station: Annotated[
        Name | None, _column("Weather station whose rows in weather.csv hold for this field", "hill")
    ] = None
    maturity_group: Annotated[Text | None, _column("Soybean maturity group, 000 to X or 10", "00")] = None
    host_grown_before: Annotated[
        bool | None, _column("Whether a crop of the same rhizobia group has grown here before" + _FOR_DIAGNOSIS, "yes")
    ] = None
    host_last_year: Annotated[
        int | None, Field(ge=1900, le=2100), _column("Last year in which it grew here" + _FOR_DIAGNOSIS, "2021")
    ] = None
    soil_texture: Annotated[Texture | None, _column("Soil texture: sand, loam or clay", "loam")] = None
    expected_yield: Annotated[
        float | None,
        Field(gt=0, le=15),
        _column("Grain that the season is thought to give if nitrogen is no limit", "3.0", unit="t/ha"),
    ] = None
    note: Note = None


class DigRow(Record):
    """A visit with a spade."""

    file: ClassVar[str] = "digs.csv"
    title: ClassVar[str] = "Digs"
    key: ClassVar[tuple[str, ...]] = ("field", "date")

    field: FieldId
    date: Annotated[Day, _column("Day of the dig", "2026-06-24")]
    stage_bbch: Annotated[
        int | None, Field(ge=0, le=99), _column("Growth stage seen in the field, BBCH code", "61")
    ] = None
    scorer: Annotated[Name | None, _column("Who dug", "A")] = None
    counting_unit: Annotated[
        CountingUnit | None,
        _column("What was counted: nodule (each one) or cluster (a bunch from one root point)", "nodule"),
    ] = None
    soil_wetness: Annotated[
        Wetness | None, _column("Soil at the dig: dry, moist, wet or waterlogged" + _FOR_DIAGNOSIS, "moist")
    ] = None
    conditions: Annotated[Text | None, _column("Weather and anything that made scoring hard" + _KEPT, "light rain")] = (
        None
    )
    note: Note = None


class PlantRow(Record):
    """One plant as one scorer saw it."""

    file: ClassVar[str] = "plants.csv"
    title: ClassVar[str] = "Plants"
    key: ClassVar[tuple[str, ...]] = ("field", "date", "stop", "plant", "scorer")

    field: FieldId
    date: Annotated[Day, _column("Day of the dig", "2026-06-24")]
    stop: Annotated[ShortName, _column("Place in the field where the plant was dug", "1")]
    plant: Annotated[ShortName, _column("Number of the plant within its stop", "4")]
    scorer: Annotated[Name | None, _column("Who scored it; a plant scored by two people has two rows", "A")] = None
    crown_nodules: Annotated[
        CountRange | None,
        _column("Nodules (or clusters) on the crown and upper tap root: a count or a class such as 11-20 or >50", "14"),
    ] = None
    lateral_nodules: Annotated[
        CountRange | None, _column("Nodules (or clusters) on the other roots: a count or a class", "11-20")
    ] = None
    cut_open: Annotated[int | None, Field(ge=0, le=500), _column("How many nodules were cut open", "5")] = None
    red_pink: Annotated[int | None, Field(ge=0, le=500), _column("How many of those were red or pink inside", "4")] = (
        None
    )
    white: Annotated[int | None, Field(ge=0, le=500), _column("How many of those were white or grey inside", "1")] = (
        None
    )
    green_brown: Annotated[
        int | None, Field(ge=0, le=500), _column("How many of those were green, brown or mushy inside", "0")
    ] = None
    size_class: Annotated[
        SizeClass | None,
        _column(
            "Size of most nodules: under_2_mm, 2_to_5_mm or over_5_mm; used for the diagnosis, and where the target "
            "counts by size",
            "2_to_5_mm",
        ),
    ] = None
    vigour: Annotated[
        float | None,
        Field(ge=0, le=5),
        _column("Growth of the plant beside the best nearby: 0 dead to 5 strong; halves are allowed" + _FOR_INDEX, "4"),
    ] = None
    leaf_old: Annotated[
        LeafColour | None, _column("Colour of the oldest leaves: green, pale or yellow" + _FOR_DIAGNOSIS, "green")
    ] = None
    leaf_young: Annotated[
        LeafColour | None, _column("Colour of the youngest leaves: green, pale or yellow" + _FOR_DIAGNOSIS, "green")
    ] = None
    root_health: Annotated[
        RootHealth | None,
        _column("Washed root: healthy, discoloured, rotten, galled or pruned" + _FOR_DIAGNOSIS, "healthy"),
    ] = None
    note: Note = None


class WeatherRow(Record):
    """One day at one station; names of the open ICASA list."""

    file: ClassVar[str] = "weather.csv"
    title: ClassVar[str] = "Daily weather"
    key: ClassVar[tuple[str, ...]] = ("station", "W_DATE")

    station: Annotated[Name, _column("Weather station", "hill")]
    W_DATE: Annotated[Day, _column("Day", "2026-05-04")]
    TMAX: Annotated[
        float | None,
        Field(ge=-60, le=60),
        _column("Highest air temperature of the day", "17.5", unit="degC", measure="temperature"),
    ] = None
    TMIN: Annotated[
        float | None,
        Field(ge=-70, le=45),
        _column("Lowest air temperature of the day", "4.0", unit="degC", measure="temperature"),
    ] = None
    RAIN: Annotated[
        float | None,
        Field(ge=0, le=600),
        _column("Rain and melted snow" + _FOR_DIAGNOSIS, "3.2", unit="mm", measure="rain"),
    ] = None
    SRAD: Annotated[float | None, Field(ge=0, le=50), _column("Solar radiation" + _KEPT, "18.1", unit="MJ/m2")] = None


class NormalRow(Record):
    """A month's usual weather at a station."""

    file: ClassVar[str] = "normals.csv"
    title: ClassVar[str] = "Monthly normals"
    key: ClassVar[tuple[str, ...]] = ("station", "month")

    station: Annotated[Name, _column("Weather station", "hill")]
    month: Annotated[int, Field(ge=1, le=12), _column("Month, 1 to 12", "6")]
    TMAX: Annotated[
        float, Field(ge=-60, le=60), _column("Mean of the daily highs", "21.4", unit="degC", measure="temperature")
    ]
    TMIN: Annotated[
        float, Field(ge=-70, le=45), _column("Mean of the daily lows", "8.9", unit="degC", measure="temperature")
    ]
    RAIN: Annotated[
        float | None, Field(ge=0, le=3000), _column("Rain of the month", "61", unit="mm", measure="rain")
    ] = None


class SoilTestRow(Record):
    """A laboratory result for one depth."""

    file: ClassVar[str] = "soil_tests.csv"
    title: ClassVar[str] = "Soil tests"
    key: ClassVar[tuple[str, ...]] = ("field", "date", "depth_top")

    field: FieldId
    date: Annotated[Day, _column("Day of sampling", "2026-04-11")]
    depth_top: Annotated[
        float, Field(ge=0, le=200), _column("Upper end of the sampled depth", "0", unit="cm", measure="depth")
    ]
    depth_bottom: Annotated[
        float, Field(gt=0, le=300), _column("Lower end of the sampled depth", "15", unit="cm", measure="depth")
    ]
    ph: Annotated[float | None, Field(ge=2.5, le=11), _column("pH" + _FOR_DIAGNOSIS, "6.1")] = None
    ph_method: Annotated[PhMethod | None, _column("How pH was measured: water or cacl2", "water")] = None
    nitrate_n: Annotated[
        float | None,
        Field(ge=0, le=1000),
        _column("Nitrate nitrogen in that depth" + _FOR_DIAGNOSIS, "32", unit="kg/ha", measure="mass_per_area"),
    ] = None
    ec: Annotated[
        float | None,
        Field(ge=0, le=60),
        _column("Electrical conductivity of the saturation extract" + _FOR_DIAGNOSIS, "0.6", unit="dS/m"),
    ] = None
    organic_matter: Annotated[
        float | None, Field(ge=0, le=60), _column("Organic matter; 1.72 times organic carbon", "3.4", unit="%")
    ] = None
    note: Note = None


class InoculationRow(Record):
    """What was put on the seed or in the furrow."""

    file: ClassVar[str] = "inoculation.csv"
    title: ClassVar[str] = "Inoculation"
    key: ClassVar[tuple[str, ...]] = ("field", "form", "placement", "lot")

    field: FieldId
    form: Annotated[
        InoculantForm, _column("Form: peat, liquid, granule, or none when nothing was used" + _FOR_POSITION, "peat")
    ]
    placement: Annotated[Placement | None, _column("Where it went: seed or furrow" + _FOR_POSITION, "seed")] = None
    rhizobia_group: Annotated[
        Text | None, _column("Rhizobia group printed on the label" + _FOR_DIAGNOSIS, "pea and lentil")
    ] = None
    strain: Annotated[Text | None, _column("Strain printed on the label" + _FOR_DIAGNOSIS, "strain 1")] = None
    lot: Annotated[Name | None, _column("Lot number" + _KEPT, "L-204")] = None
    expires_on: Annotated[Day | None, _column("Expiry date on the package" + _FOR_DIAGNOSIS, "2026-12-31")] = None
    seed_treatment: Annotated[Text | None, _column("Active ingredient on the seed" + _FOR_DIAGNOSIS, "metalaxyl")] = (
        None
    )
    hours_to_sowing: Annotated[
        float | None,
        Field(ge=0, le=10000),
        _column("Hours from treating the seed to sowing it" + _FOR_DIAGNOSIS, "6", unit="h"),
    ] = None
    note: Note = None


class HandlingRow(Record):
    """One step of the way from the maker to the soil."""

    file: ClassVar[str] = "handling.csv"
    title: ClassVar[str] = "Handling"
    key: ClassVar[tuple[str, ...]] = ("field", "step")

    field: FieldId
    step: Annotated[int, Field(ge=1, le=99), _column("Number of the step, from 1", "2")]
    what: Annotated[Text, _column("What happened" + _FOR_DIAGNOSIS, "stood in the truck")]
    hours: Annotated[
        float | None, Field(ge=0, le=20000), _column("How long it took" + _FOR_DIAGNOSIS, "3", unit="h")
    ] = None
    temperature: Annotated[
        float | None,
        Field(ge=-40, le=80),
        _column("Temperature during the step" + _FOR_DIAGNOSIS, "24", unit="degC", measure="temperature"),
    ] = None
    sunlight: Annotated[Sunlight | None, _column("In shade or sun" + _FOR_DIAGNOSIS, "shade")] = None
    partner: Annotated[
        Text | None, _column("What it was mixed with, by active ingredient or kind" + _FOR_DIAGNOSIS, "zinc sulphate")
    ] = None
    note: Note = None


class ObservationRow(Record):
    """Anything else that was seen."""

    file: ClassVar[str] = "observations.csv"
    title: ClassVar[str] = "Observations"
    key: ClassVar[tuple[str, ...]] = ("field", "date", "subject", "stop")

    field: FieldId
    date: Annotated[Day, _column("Day", "2026-06-24")]
    stop: Annotated[ShortName | None, _column("Stop, when it holds for one stop only", "2")] = None
    subject: Annotated[
        Text, _column("What was looked at: a finding of the diagnosis, pattern, or anything else", "hollow nodules")
    ]
    value: Annotated[Text, _column("What was seen: yes or no of a finding, the name of a pattern, or a remark", "yes")]
    note: Note = None


class AppliedRow(Record):
    """Nitrogen that was applied to the crop, or before it for its sake."""

    file: ClassVar[str] = "applied.csv"
    title: ClassVar[str] = "Nitrogen applied"
    key: ClassVar[tuple[str, ...]] = ("field", "date", "product")

    field: FieldId
    date: Annotated[Day, _column("Day of the application", "2026-05-04")]
    product: Annotated[
        NitrogenProduct,
        _column(
            "Kind of product: urea, urea_inhibited (with a urease inhibitor), dissolved_urea, uan_28 or uan_32 (urea "
            "ammonium nitrate of known strength), urea_ammonium_nitrate (of unknown), ammonium_nitrate, "
            "calcium_ammonium_nitrate, ammonium_sulphate, ammonium_phosphate, anhydrous_ammonia, manure or other",
            "ammonium_phosphate",
        ),
    ]
    nitrogen: Annotated[
        float,
        Field(ge=0, le=500),
        _column("Nitrogen in it, not the weight of product", "8", unit="kg/ha", measure="mass_per_area"),
    ]
    note: Note = None


class StopRow(Record):
    """Where a stop lies, so that the part of the field it speaks for can be drawn."""

    file: ClassVar[str] = "stops.csv"
    title: ClassVar[str] = "Positions of the stops"
    key: ClassVar[tuple[str, ...]] = ("field", "stop")

    field: FieldId
    stop: Annotated[ShortName, _column("Stop, named as in plants.csv", "1")]
    latitude: Annotated[
        float, Field(ge=-66, le=66), _column("Latitude on WGS84, south negative; 5 decimals", "51.20312", unit="deg")
    ]
    longitude: Annotated[
        float, Field(ge=-180, le=180), _column("Longitude on WGS84, west negative; 5 decimals", "-32.10408", unit="deg")
    ]
    note: Note = None


TABLES: tuple[type[Record], ...] = (
    FieldRow,
    DigRow,
    PlantRow,
    WeatherRow,
    NormalRow,
    SoilTestRow,
    InoculationRow,
    HandlingRow,
    ObservationRow,
    AppliedRow,
    FieldLabResultRow,
    StopRow,
)
"""The tables of a book, in the order in which they are read and documented."""


@dataclass(frozen=True)
class LocalTarget:
    """A target of the user's own for one crop; stands as judgement unless a source is named."""

    value: float
    counting_unit: CountingUnit = CountingUnit.NODULE
    source: str | None = None


@dataclass(frozen=True)
class LocalBValue:
    """15N of a crop that lives on air alone, of the user's own [permil]; judgement unless a source is named.

    Without its ``standard_error`` [permil] that of the tables is taken.
    """

    value: float
    standard_error: float | None = None
    source: str | None = None


@dataclass(frozen=True)
class LocalUreideLine:
    """A calibration line of the user's own: index = intercept + slope x share [1]; judgement unless a source is named.

    It holds between the shares ``lowest`` and ``highest``. Raises DomainError where it cannot be one.
    """

    intercept: float
    slope: float
    lowest: float = 0.0
    highest: float = 1.0
    source: str | None = None

    def __post_init__(self) -> None:
        if not -1 <= self.intercept <= 1:
            raise DomainError("intercept", self.intercept, "from -1 to 1: shares are meant, so that 8 % is 0.08")
        if not 0 < self.slope <= 2:
            raise DomainError("slope", self.slope, "above 0 and up to 2: shares are meant, so that 70 % is 0.7")
        if not 0 <= self.lowest < self.highest <= 1:
            raise DomainError(
                "lowest and highest",
                (self.lowest, self.highest),
                "shares from 0 to 1, not per cent, the lowest below the highest",
            )


@dataclass(frozen=True, kw_only=True)
class Prices:
    """The user's own prices, in ``currency``; nothing is built in, and None or absent means not given.

    ``grain`` per t by crop; ``nitrogen`` per kg of N by product kind, under ``any`` what it costs in a product that
    is not named; ``per_pass`` one pass over a ha; ``dig`` a second dig, per field.
    """

    currency: str = ""
    grain: Mapping[Crop, float] = field(default_factory=dict)
    nitrogen: Mapping[str, float] = field(default_factory=dict)
    per_pass: float | None = None
    dig: float | None = None


@dataclass(frozen=True, kw_only=True)
class RescuePlan:
    """How nitrogen would be given; both numbers of days are judgement.

    ``lead_days`` from the advice until nitrogen is on the field, ``dig_again_days`` until a second dig;
    ``rates`` [kg/ha] are weighed beside those that always are; ``rate_step`` is the step in which the machine can be
    set [kg/ha of a dry product, L/ha of a liquid one]; ``implement_width`` [m] and ``strip_bearing`` [deg from north]
    lay out the check strip; ``residue`` whether straw or stubble covers the ground, None where nobody said.
    """

    lead_days: int = 3
    dig_again_days: int = 7
    rates: tuple[float, ...] = ()
    rate_step: float | None = None
    implement_width: float | None = None
    strip_bearing: float | None = None
    residue: bool | None = None


@dataclass(frozen=True)
class Settings:
    """What book.toml holds.

    ``units`` maps a measure (temperature, rain, area, depth, mass_per_area) to the unit of the book's
    files. ``target_scheme`` and ``window_scheme`` map a crop to the id of a knowledge row.
    ``overrides`` maps a row id to the figures that replace its own. ``date_order`` is ``iso``, ``dmy``
    or ``mdy``; ``separator`` is ``comma``, ``semicolon`` or ``tab`` and ``decimal_mark`` ``point`` or
    ``comma``, both ``None`` where each file may show its own. ``settle_at`` is the class probability at
    which a verdict counts as settled. ``cause_prior`` maps a cause to the probability that it acts before
    anything is known of the field, ``check_price`` a check to what it costs, in the currency of ``hour_price``,
    which is what an hour of the adviser costs. ``prices`` and ``rescue`` are for nitrogen given in the season.
    """

    title: str
    season: str
    region: str | None = None
    today: dt.date | None = None
    seed: int = 1
    units: Mapping[str, str] = field(default_factory=dict)
    date_order: str = "iso"
    separator: str | None = None
    decimal_mark: str | None = None
    target_scheme: Mapping[Crop, str] = field(default_factory=dict)
    window_scheme: Mapping[Crop, str] = field(default_factory=dict)
    local_target: Mapping[Crop, LocalTarget] = field(default_factory=dict)
    local_b_value: Mapping[Crop, LocalBValue] = field(default_factory=dict)
    local_ureide_line: Mapping[Crop, LocalUreideLine] = field(default_factory=dict)
    degree_day_method: str | None = None
    settle_at: float | None = None
    cause_prior: Mapping[str, float] = field(default_factory=dict)
    check_price: Mapping[str, float] = field(default_factory=dict)
    hour_price: float | None = None
    overrides: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    prices: Prices = field(default_factory=Prices)
    rescue: RescuePlan = field(default_factory=RescuePlan)


@dataclass(frozen=True)
class FieldRecords:
    """Everything that the book holds about one field."""

    field: FieldRow
    digs: tuple[DigRow, ...] = ()
    plants: tuple[PlantRow, ...] = ()
    weather: tuple[WeatherRow, ...] = ()
    normals: tuple[NormalRow, ...] = ()
    soil_tests: tuple[SoilTestRow, ...] = ()
    inoculation: tuple[InoculationRow, ...] = ()
    handling: tuple[HandlingRow, ...] = ()
    observations: tuple[ObservationRow, ...] = ()
    applied: tuple[AppliedRow, ...] = ()
    lab_results: tuple[FieldLabResultRow, ...] = ()
    stops: tuple[StopRow, ...] = ()
    boundary: FieldBoundary | None = None


@dataclass(frozen=True)
class Book:
    """A season's records: settings, one tuple of rows a table, and the outlines of fields."""

    settings: Settings
    fields: tuple[FieldRow, ...]
    digs: tuple[DigRow, ...] = ()
    plants: tuple[PlantRow, ...] = ()
    weather: tuple[WeatherRow, ...] = ()
    normals: tuple[NormalRow, ...] = ()
    soil_tests: tuple[SoilTestRow, ...] = ()
    inoculation: tuple[InoculationRow, ...] = ()
    handling: tuple[HandlingRow, ...] = ()
    observations: tuple[ObservationRow, ...] = ()
    applied: tuple[AppliedRow, ...] = ()
    lab_results: tuple[FieldLabResultRow, ...] = ()
    stops: tuple[StopRow, ...] = ()
    boundaries: tuple[FieldBoundary, ...] = ()

    def by_field(self) -> dict[str, FieldRecords]:
        """Group all rows by field, in the order of the fields table; one pass over each table."""
        own = {
            name: _grouped(getattr(self, name), "field")
            for name in (
                "digs",
                "plants",
                "soil_tests",
                "inoculation",
                "handling",
                "observations",
                "applied",
                "lab_results",
                "stops",
            )
        }
        at_station = {name: _grouped(getattr(self, name), "station") for name in ("weather", "normals")}
        outlines = {boundary.field: boundary for boundary in self.boundaries}
        return {
            row.field: FieldRecords(
                field=row,
                boundary=outlines.get(row.field),
                **{name: tuple(groups.get(row.field, ())) for name, groups in own.items()},
                **{name: tuple(groups.get(row.station or "", ())) for name, groups in at_station.items()},
            )
            for row in self.fields
        }


def _grouped(rows: tuple[Any, ...], column: str) -> dict[str, list[Any]]:
    groups: dict[str, list[Any]] = {}
    for row in rows:
        groups.setdefault(getattr(row, column), []).append(row)
    return groups
