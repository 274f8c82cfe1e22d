"""The advice value as JSON, and the JSON Schema that it holds to."""

from __future__ import annotations

from functools import cache
from typing import Any

from pydantic import TypeAdapter

from spadework.advice.value import FieldAdvice

__all__ = ["ADVICE_SCHEMA_ID", "advice_json_schema", "to_json"]

ADVICE_SCHEMA_ID = "urn:spadework:field-advice:1"


@cache
def _adapter() -> TypeAdapter[FieldAdvice]:
    return TypeAdapter(FieldAdvice)


def advice_json_schema() -> dict[str, Any]:
    """JSON Schema (2020-12) of a field's advice as it is written out."""
    schema = _adapter().json_schema(mode="serialization")
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "$id": ADVICE_SCHEMA_ID, **schema}


def to_json(advice: FieldAdvice) -> dict[str, Any]:
    """Turn an advice value into plain JSON values: days as ISO dates, tuples as lists, None as null."""
    return dict(_adapter().dump_python(advice, mode="json"))
