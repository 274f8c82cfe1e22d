"""One sample that a laboratory analysed: in a table of its own, or in that of a book."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, ClassVar

from pydantic import Field

from spadework.records.record import Day, FieldId, Name, Note, Record, ShortName, Text
from spadework.records.words import Column

__all__ = ["FieldLabResultRow", "LabResultRow", "SampleKind"]


class SampleKind(StrEnum):
    """What a sample is of."""

    LEGUME = "legume"
    REFERENCE = "reference"


_PERCENT = "%"


class LabResultRow(Record):
    """One sample that a laboratory analysed, of the legume or of a reference plant that fixes nothing."""

    file: ClassVar[str] = "lab_results.csv"
    title: ClassVar[str] = "Laboratory results"
    key: ClassVar[tuple[str, ...]] = ("field", "sample")

    sample: Annotated[Name, Column("Name of the sample, as on the bag", "N12-L1")]
    kind: Annotated[SampleKind, Column("Legume, or reference plant that fixes nothing", "legume")]
    field: Annotated[Name | None, Column("Field; may stay empty where all samples are of one", "north-12")] = None
    date: Annotated[Day | None, Column("Day of sampling", "2026-07-08")] = None
    plot: Annotated[ShortName | None, Column("Plot or place; a legume and a reference of one plot are a pair", "1")] = (
        None
    )
    plant: Annotated[Text | None, Column("What plant the reference is", "ryegrass")] = None
    delta_15n: Annotated[
        float | None, Field(ge=-20, le=100), Column("15N of the shoot against air", "0.8", "permil")
    ] = None
    atom_percent_excess: Annotated[
        float | None,
        Field(ge=-0.1, le=99),
        Column("15N of the shoot in excess of air, after labelled fertiliser", "0.121", "atom %"),
    ] = None
    shoot_n: Annotated[
        float | None, Field(gt=0, le=8), Column("Nitrogen of the shoot, of dry matter", "2.6", _PERCENT)
    ] = None
    shoot_dry_matter: Annotated[
        float | None,
        Field(ge=100, le=40000),
        Column("Dry matter of the shoot with its grain", "5800", "kg/ha", "mass_per_area"),
    ] = None
    soil_mineral_n: Annotated[
        float | None,
        Field(ge=0, le=1000),
        Column("Mineral nitrogen left in the root zone at harvest", "24", "kg/ha", "mass_per_area"),
    ] = None
    ureides: Annotated[float | None, Field(ge=0, le=500), Column("Ureides in the xylem sap", "4.1", "mmol/L")] = None
    nitrate: Annotated[float | None, Field(ge=0, le=500), Column("Nitrate in the xylem sap", "2.2", "mmol/L")] = None
    amino_n: Annotated[
        float | None, Field(ge=0, le=500), Column("Alpha-amino nitrogen in the xylem sap", "3.0", "mmol/L")
    ] = None
    grain_dry_matter: Annotated[
        float | None,
        Field(ge=0, le=20000),
        Column("Dry matter of the grain taken away", "2600", "kg/ha", "mass_per_area"),
    ] = None
    grain_n: Annotated[
        float | None, Field(gt=0, le=10), Column("Nitrogen of the grain, of dry matter", "3.8", _PERCENT)
    ] = None
    note: Note = None


class FieldLabResultRow(LabResultRow):
    """One sample that a laboratory analysed, of the legume of a field or of a reference plant that fixes nothing."""

    field: FieldId
