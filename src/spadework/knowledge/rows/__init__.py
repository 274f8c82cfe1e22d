"""Rows of the knowledge tables: one frozen dataclass a table, checked when built. Reads no files."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from types import MappingProxyType
from typing import TypeVar

from spadework.errors import KnowledgeError
from spadework.knowledge.rows.base import ANY_CROP, COMMON_PRACTICE, UNITS, Crop, Measured, Row, Source
from spadework.knowledge.rows.diagnosis import COURSES, Cause, Check, EvidenceLine, Finding
from spadework.knowledge.rows.fixation import BValue, Credit
from spadework.knowledge.rows.rescue import AmmoniaLoss, Fertiliser, RescueEvidence, RescueLimit, Spreading
from spadework.knowledge.rows.season import TemperatureResponse
from spadework.knowledge.rows.tables import (
    Cardinal,
    Caution,
    Chance,
    Classes,
    Coefficient,
    DigWindow,
    NodeInterval,
    PrincipalStage,
    Statement,
    Target,
    ThermalTime,
    WordList,
)

__all__ = [
    "ANY_CROP",
    "COMMON_PRACTICE",
    "COURSES",
    "TABLES",
    "UNITS",
    "AmmoniaLoss",
    "BValue",
    "Cardinal",
    "Cause",
    "Caution",
    "Chance",
    "Check",
    "Classes",
    "Coefficient",
    "Credit",
    "Crop",
    "DigWindow",
    "EvidenceLine",
    "Fertiliser",
    "Finding",
    "Knowledge",
    "Measured",
    "NodeInterval",
    "PrincipalStage",
    "RescueEvidence",
    "RescueLimit",
    "Row",
    "Source",
    "Spreading",
    "Statement",
    "Target",
    "TemperatureResponse",
    "ThermalTime",
    "WordList",
    "field_names",
]

RowT = TypeVar("RowT", bound=Row)

TABLES: Mapping[str, type[Row]] = MappingProxyType(
    {
        kind.table: kind
        for kind in (
            Coefficient,
            Chance,
            Target,
            Classes,
            Cardinal,
            ThermalTime,
            NodeInterval,
            DigWindow,
            PrincipalStage,
            Statement,
            Caution,
            Finding,
            Cause,
            Check,
            WordList,
            BValue,
            Credit,
            TemperatureResponse,
            Fertiliser,
            Spreading,
            AmmoniaLoss,
            RescueLimit,
            RescueEvidence,
        )
    }
)


@dataclass(frozen=True)
class Knowledge:
    """All rows and sources, immutable; ``content_hash`` stands on every report."""

    rows: Mapping[str, Row]
    sources: Mapping[str, Source]
    content_hash: str

    def row(self, row_id: str) -> Row:
        """Return the row with this id; raises KnowledgeError where there is none."""
        try:
            return self.rows[row_id]
        except KeyError:
            raise KnowledgeError("any", row_id, "there is no such row") from None

    def figure(self, row_id: str) -> Measured:
        """Return a row that carries a figure; raises KnowledgeError for any other."""
        row = self.row(row_id)
        if not isinstance(row, Measured):
            raise row.fault("carries no figure")
        return row

    def of(self, kind: type[RowT], crop: Crop | None = None) -> tuple[RowT, ...]:
        """Return the rows of one table, for one crop (rows for any crop included), in file order."""
        return tuple(
            row
            for row in self.rows.values()
            if isinstance(row, kind) and (crop is None or row.crop in (crop, ANY_CROP))
        )


def field_names(kind: type[Row | Source]) -> tuple[str, ...]:
    """Names of the fields that a row of this table, or a source, may carry in a file."""
    return tuple(field.name for field in fields(kind) if field.name != "overridden")
