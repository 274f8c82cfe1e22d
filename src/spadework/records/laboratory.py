"""Results of a laboratory: the table, its reading, and an example to fill in for each method."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from enum import StrEnum
from pathlib import Path
from types import MappingProxyType
from typing import Annotated, ClassVar

from pydantic import Field

from spadework.errors import Fault, RecordError
from spadework.records.check import repeated_keys
from spadework.records.columns import columns_of
from spadework.records.dialect import read_bytes
from spadework.records.tables import read_table
from spadework.records.types import Column, Day, Name, Note, Record, Settings, ShortName, Text

__all__ = ["LabResultRow", "LaboratoryMethod", "SampleKind", "check_laboratory", "laboratory_template"]


class SampleKind(StrEnum):
    """What a sample is of."""

    LEGUME = "legume"
    REFERENCE = "reference"


class LaboratoryMethod(StrEnum):
    """How fixation is measured."""

    NATURAL_ABUNDANCE = "natural_abundance"
    ISOTOPE_DILUTION = "isotope_dilution"
    NITROGEN_DIFFERENCE = "nitrogen_difference"
    UREIDES = "ureides"


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


def check_laboratory(path: Path, settings: Settings) -> tuple[tuple[LabResultRow, ...] | None, tuple[Fault, ...]]:
    """Read laboratory results and list all faults; no rows where one is an error.

    ``settings`` are those of the book that the results go with, for units and marks.
    """
    try:
        reading = read_table(LabResultRow, read_bytes(path), file=path.name, settings=settings)
    except RecordError as error:
        return None, (error.fault,)
    faults = [*reading.faults, *repeated_keys(LabResultRow, reading.rows, path.name)]
    if reading.usable and not reading.columns["sample"]:
        faults.append(
            Fault(
                path.name,
                None,
                None,
                "table.no_rows",
                "There is a heading line but no row below it.",
                "Add a row for each sample.",
            )
        )
    places = {plan.name: place for place, plan in enumerate(columns_of(LabResultRow))}
    listed = tuple(sorted(faults, key=lambda fault: (fault.line or 0, places.get(fault.column or "", -1), fault.kind)))
    return (None if any(fault.severity == "error" for fault in listed) else reading.rows), listed


_HARVEST = ("shoot_n", "shoot_dry_matter", "grain_dry_matter", "grain_n")
_MEASURED: Mapping[LaboratoryMethod, tuple[str, ...]] = MappingProxyType(
    {
        LaboratoryMethod.NATURAL_ABUNDANCE: ("delta_15n", *_HARVEST),
        LaboratoryMethod.ISOTOPE_DILUTION: ("atom_percent_excess", *_HARVEST),
        LaboratoryMethod.NITROGEN_DIFFERENCE: ("shoot_n", "shoot_dry_matter", "soil_mineral_n", *_HARVEST[2:]),
        LaboratoryMethod.UREIDES: ("ureides", "nitrate", "amino_n", *_HARVEST),
    }
)
"""Columns of each method; those of the harvest may stay empty, and then give no kilograms."""

# Invented samples of one field: legume and reference of four plots.
_LEGUMES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "delta_15n": ("0.8", "1.3", "0.4", "1.0"),
        "atom_percent_excess": ("0.121", "0.140", "0.109", "0.131"),
        "shoot_n": ("2.6", "2.5", "2.7", "2.6"),
        "shoot_dry_matter": ("7300", "6900", "7600", "7100"),
        "soil_mineral_n": ("24", "21", "26", "23"),
        "ureides": ("4.1", "3.6", "4.4", "3.9"),
        "nitrate": ("2.2", "2.9", "1.8", "2.4"),
        "amino_n": ("3.0", "3.2", "2.8", "3.1"),
        "grain_dry_matter": ("2600", "2450", "2700", "2500"),
        "grain_n": ("3.8", "3.8", "3.9", "3.7"),
    }
)
_REFERENCES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "plant": ("ryegrass", "thistle", "ryegrass", "thistle"),
        "delta_15n": ("6.4", "5.7", "6.9", "5.9"),
        "atom_percent_excess": ("0.398", "0.421", "0.385", "0.410"),
        "shoot_n": ("1.3", "1.4", "1.3", "1.2"),
        "shoot_dry_matter": ("4600", "4300", "4800", "4500"),
        "soil_mineral_n": ("19", "17", "20", "18"),
    }
)


def laboratory_template(method: LaboratoryMethod) -> str:
    """Return a table to write over, as CSV: the columns of a method, with invented samples of one field."""
    of_method = _MEASURED[method]
    headings = ("sample", "kind", "field", "date", "plot", "plant", *of_method)
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(headings)
    kinds = [(SampleKind.LEGUME, _LEGUMES)]
    if method is not LaboratoryMethod.UREIDES:
        kinds.append((SampleKind.REFERENCE, _REFERENCES))
    for kind, values in kinds:
        for place in range(4):
            name = f"{kind[0].upper()}{place + 1}"
            measured = [values.get(heading, [""] * 4)[place] for heading in ("plant", *of_method)]
            writer.writerow([name, kind.value, "north-12", "2026-07-08", place + 1, *measured])
    return text.getvalue()
