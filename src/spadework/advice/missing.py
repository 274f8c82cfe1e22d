"""What is not recorded, and what it would add: unknown is said, never guessed."""

from __future__ import annotations

from spadework.advice.value import Message, Missing
from spadework.advice.visit import Visit
from spadework.records.types import DigRow, FieldRecords

__all__ = ["missing_records"]

_FEW_PLANTS = 10


def missing_records(
    records: FieldRecords,
    *,
    dig: DigRow | None,
    visit: Visit | None,
    counted: str,
    has_target: bool,
    has_verdict: bool,
    has_index: bool,
) -> tuple[Missing, ...]:
    """List the records that would add something, the most telling first."""
    field = records.field
    crop = field.crop.replace("_", " ")
    rows = () if visit is None else visit.rows
    gaps = {
        "plants": not rows,
        "zones": bool(rows) and has_target and not has_verdict,
        "target": bool(rows) and not has_target,
        "stage_bbch": bool(rows) and (dig is None or dig.stage_bbch is None),
        "cut_open": bool(rows) and all(row.cut_open is None and row.red_pink is None for row in rows),
        "sown_on": field.sown_on is None and field.emerged_on is None,
        "emerged_on": field.emerged_on is None,
        "weather": not records.weather,
        "normals": bool(records.weather) and not records.normals,
        "latitude": field.latitude is None,
        "vigour": bool(rows) and all(row.vigour is None for row in rows),
        "index_full": bool(rows) and not has_index and any(row.vigour is not None for row in rows),
        "inoculation": not records.inoculation,
        "second_scorer": len(rows) >= _FEW_PLANTS and visit is not None and len(rows) == len(visit.plants),
    }
    return tuple(
        Missing(record=record, adds=Message(f"missing.{record}", {"crop": crop, "unit": counted}))
        for record, is_missing in gaps.items()
        if is_missing
    )
