"""Results of a laboratory: the table, its reading, and an example to fill in for each method."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType

from spadework.errors import Fault, RecordError
from spadework.records.check import repeated_keys
from spadework.records.columns import columns_of
from spadework.records.dialect import read_bytes
from spadework.records.lab_result import LabResultRow, SampleKind
from spadework.records.tables import read_table
from spadework.records.types import Settings
from spadework.records.words import LaboratoryMethod

__all__ = ["LabResultRow", "SampleKind", "check_laboratory", "laboratory_template"]


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
