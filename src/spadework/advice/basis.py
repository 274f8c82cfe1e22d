"""What an advice stands on: every knowledge row that a figure or sentence of it names."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass

from spadework import __version__
from spadework.advice.value import Basis, Decision, Message, Nitrogen, SourceUsed, TargetInForce, Timing
from spadework.knowledge.rows import Crop, Knowledge, Measured, Row
from spadework.quantity import Grade, Quantity
from spadework.records.types import LocalBValue, LocalTarget, Settings

__all__ = ["basis_of"]

_USERS_OWN = "The user's own figure, in the book."


def basis_of(parts: tuple[object, ...], *, knowledge: Knowledge, settings: Settings) -> Basis:
    """Collect the rows named anywhere in the parts of an advice, in the order of their first use."""
    names = dict.fromkeys(name for part in parts for name in _named_rows(part))
    return Basis(
        version=__version__,
        knowledge_hash=knowledge.content_hash,
        seed=settings.seed,
        level=knowledge.figure("planning.interval_level").central,
        rows=tuple(_used(name, knowledge, settings) for name in names),
    )


def _named_rows(value: object) -> Iterator[str]:
    if isinstance(value, Quantity | Message):
        yield from value.sources
    if isinstance(value, TargetInForce):
        yield value.scheme
    if isinstance(value, Timing):
        yield from value.window_scheme.split(" + ")
        yield from value.sources
    if isinstance(value, Nitrogen | Decision):
        yield from value.rows
    if is_dataclass(value) and not isinstance(value, type):
        for item in fields(value):
            yield from _named_rows(getattr(value, item.name))
    elif isinstance(value, tuple):
        for item in value:
            yield from _named_rows(item)
    elif isinstance(value, Mapping):
        for item in value.values():
            yield from _named_rows(item)


def _used(name: str, knowledge: Knowledge, settings: Settings) -> SourceUsed:
    if name.startswith("local_"):
        return _local(name, settings)
    row = knowledge.row(name)
    if name == "planning.settle_at" and settings.settle_at is not None:
        return SourceUsed(
            row=name,
            figure=f"{settings.settle_at:g}",
            grade=Grade.JUDGEMENT,
            citation=_USERS_OWN,
            overridden=True,
        )
    return SourceUsed(
        row=name,
        figure=_figure(row),
        grade=row.grade,
        citation=knowledge.sources[row.source].citation,
        overridden=row.overridden,
    )


def _local(name: str, settings: Settings) -> SourceUsed:
    """A figure of the book's own; laboratory figures that name a source stand on more than judgement."""
    setting, crop = name.split(".")
    local = getattr(settings, setting)[Crop(crop)]
    if isinstance(local, LocalTarget):
        figure, grade = f"{local.value:g} {local.counting_unit}/plant", Grade.JUDGEMENT
    else:
        if isinstance(local, LocalBValue):
            error = "" if local.standard_error is None else f", standard error {local.standard_error:g}"
            figure = f"{local.value:g} permil{error}"
        else:
            figure = f"{local.intercept:g} + {local.slope:g} x share, {local.lowest:g} to {local.highest:g}"
        grade = Grade.JUDGEMENT if local.source is None else Grade.SECOND_HAND
    return SourceUsed(row=name, figure=figure, grade=grade, citation=local.source or _USERS_OWN, overridden=True)


def _figure(row: Row) -> str:
    """The row's figure in a few characters; its scope where it carries none."""
    if not isinstance(row, Measured):
        return row.scope
    span = "" if row.low is None or row.high is None else f" ({row.low:g} to {row.high:g})"
    return f"{row.central:g}{span} {row.unit}".removesuffix(" 1")
