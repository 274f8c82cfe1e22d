"""What each column of a table holds, worked out once from the row types."""

from __future__ import annotations

import datetime as dt
import types
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from typing import Any, Union, get_args, get_origin

from annotated_types import Ge, Gt, Le, MaxLen
from pydantic.fields import FieldInfo

from spadework.records.types import Column, CountRange, Record

__all__ = ["ColumnPlan", "Kind", "columns_of", "table_name"]


class Kind(StrEnum):
    """What a cell of the column is read as."""

    TEXT = "text"
    WHOLE = "whole number"
    NUMBER = "number"
    DATE = "date"
    YES_NO = "yes or no"
    CHOICE = "choice"
    COUNT = "count or count class"


@dataclass(frozen=True)
class ColumnPlan:
    """One column: how to read it, what it may hold (bounds in the inside unit) and what it means.

    ``low_is_open`` says that the lower bound itself is not allowed.
    """

    name: str
    kind: Kind
    required: bool
    meaning: Column
    low: Any = None
    low_is_open: bool = False
    high: Any = None
    max_length: int | None = None
    pattern: str | None = None
    choices: type[StrEnum] | None = None

    @property
    def measure(self) -> str | None:
        """The measure whose unit a book may declare, if any."""
        return self.meaning.measure


@cache
def columns_of(table: type[Record]) -> tuple[ColumnPlan, ...]:
    """Return the columns of a table in the order in which they are written."""
    return tuple(
        _column_plan(name, info)
        for name, info in table.model_fields.items()
        if any(isinstance(item, Column) for item in info.metadata)
    )


def table_name(table: type[Record]) -> str:
    """Return the name of a table, as in ``Book`` and in the ids of faults: its file without the ending."""
    return table.file.removesuffix(".csv")


_KINDS: tuple[tuple[type, Kind], ...] = (
    (StrEnum, Kind.CHOICE),
    (str, Kind.TEXT),
    (bool, Kind.YES_NO),
    (int, Kind.WHOLE),
    (float, Kind.NUMBER),
    (dt.date, Kind.DATE),
    (CountRange, Kind.COUNT),
)


def _column_plan(name: str, info: FieldInfo) -> ColumnPlan:
    python_type, inner = _bare(info.annotation)
    kind = next(kind for base, kind in _KINDS if issubclass(python_type, base))
    facts: dict[str, Any] = {}
    for item in (*inner, *info.metadata):
        match item:
            case Column():
                facts["meaning"] = item
            case Ge():
                facts["low"] = item.ge
            case Gt():
                facts |= {"low": item.gt, "low_is_open": True}
            case Le():
                facts["high"] = item.le
            case MaxLen():
                facts["max_length"] = item.max_length
            case object(pattern=str() as pattern):
                facts["pattern"] = pattern
    if kind is Kind.CHOICE:
        facts["choices"] = python_type
    return ColumnPlan(name=name, kind=kind, required=info.is_required(), **facts)


def _bare(annotation: Any) -> tuple[type, tuple[Any, ...]]:
    """Return the type inside ``Annotated[T, ...] | None`` and the constraints that stood with it."""
    if get_origin(annotation) in (Union, types.UnionType):
        annotation = next(part for part in get_args(annotation) if part is not type(None))
    if hasattr(annotation, "__metadata__"):
        return get_args(annotation)[0], tuple(_constraints(annotation.__metadata__))
    return annotation, ()


def _constraints(metadata: tuple[Any, ...]) -> Iterator[Any]:
    for item in metadata:
        yield from item.metadata if isinstance(item, FieldInfo) else (item,)
