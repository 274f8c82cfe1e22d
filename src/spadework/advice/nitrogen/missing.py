"""Records that a nitrogen balance needs, or that would narrow it."""

from __future__ import annotations

from spadework.advice.message import Message
from spadework.advice.nitrogen.lab_share import LaboratorySeen
from spadework.advice.nitrogen.value import Nitrogen
from spadework.advice.value import Missing
from spadework.records.types import FieldRecords

__all__ = ["laboratory_unused", "missing_for_nitrogen"]


def laboratory_unused(seen: LaboratorySeen, nitrogen: Nitrogen | None) -> tuple[Missing, ...]:
    """Laboratory results that no balance can use, and why; where there is a balance its reasons say so."""
    if nitrogen is not None:
        return ()
    told = seen.said if seen.share is None else (Message("nitrogen.unused.no_balance"),)
    return tuple(
        Missing(record="lab_results", name=Message("record.lab_results"), adds=message)
        for message in told
        if message.id.startswith("nitrogen.unused.")
    )


def missing_for_nitrogen(records: FieldRecords, nitrogen: Nitrogen | None) -> dict[str, bool]:
    """Whether each record is missing, the most telling first: what stands in the way, else what would narrow it."""
    field = records.field
    normals_with_rain = bool(records.normals) and all(row.RAIN is not None for row in records.normals)
    stopped = nitrogen is None
    ready = None not in (field.expected_yield, field.sown_on, field.latitude)
    return {
        "expected_yield": field.expected_yield is None,
        "rain_normals": stopped and ready and bool(records.normals) and not normals_with_rain,
        "nitrate_test": nitrogen is not None and nitrogen.soil_n_from == "not_tested",
        "deeper_nitrate": nitrogen is not None and nitrogen.soil_n_from == "tested_shallow",
        "organic_matter": nitrogen is not None and all(row.organic_matter is None for row in records.soil_tests),
        "soil_texture": nitrogen is not None and field.soil_texture is None,
        "past_weather": nitrogen is not None and nitrogen.weather_from == "normals",
    }
