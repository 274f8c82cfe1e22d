"""What is not recorded, and what it would add: unknown is said, never guessed."""

from __future__ import annotations

import numpy as np

from spadework.advice.nitrogen.missing import missing_for_nitrogen
from spadework.advice.rescue.missing import missing_for_decision
from spadework.advice.value import Decision, Message, Missing, Nitrogen, TargetInForce
from spadework.advice.visit import Visit, is_bare
from spadework.records.types import CountingUnit, DigRow, FieldRecords, PlantRow

__all__ = ["missing_records"]

_FEW_PLANTS = 10


def missing_records(
    records: FieldRecords,
    *,
    dig: DigRow | None,
    visit: Visit | None,
    counted: str,
    target: TargetInForce | None,
    has_verdict: bool,
    nitrogen: Nitrogen | None,
    decision: Decision,
) -> tuple[Missing, ...]:
    """List the records that would add something, the most telling first."""
    field = records.field
    crop = field.crop.replace("_", " ")
    rows = () if visit is None else visit.rows
    scored = any(row.vigour is not None for row in rows)
    no_verdict = target is not None and not has_verdict
    gaps = {
        "plants": not rows,
        "zones": no_verdict and not all(map(_is_counted, rows)),
        "size_class": no_verdict and any(_is_counted(row) and row.size_class is None for row in rows),
        "target": bool(rows) and target is None,
        "stage_bbch": bool(rows) and (dig is None or dig.stage_bbch is None),
        "cut_open": visit is not None and not _is_cut(visit) and not all(map(is_bare, rows)),
        "sown_on": field.sown_on is None and field.emerged_on is None,
        "emerged_on": field.emerged_on is None,
        "weather": not records.weather,
        "normals": bool(records.weather) and not records.normals,
        "latitude": field.latitude is None,
        "vigour": bool(rows) and not scored,
        "index_full": scored and target is None and counted != CountingUnit.CLUSTER,
        "inoculation": not records.inoculation,
        "second_scorer": len(rows) >= _FEW_PLANTS and visit is not None and len(rows) == len(visit.plants),
        **missing_for_nitrogen(records, nitrogen),
        **missing_for_decision(decision),
    }
    return tuple(
        Missing(
            record=record,
            name=Message(f"record.{record}"),
            adds=Message(f"missing.{record}", {"crop": crop, "unit": counted}),
        )
        for record, is_missing in gaps.items()
        if is_missing
    )


def _is_counted(row: PlantRow) -> bool:
    return row.crown_nodules is not None and row.lateral_nodules is not None


def _is_cut(visit: Visit) -> bool:
    return bool(np.nansum(visit.counts(counted_sizes="any_size").cut) > 0)
