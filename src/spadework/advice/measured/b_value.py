"""Which B value is in force: that said with the question, else the book's own, else the crop's; never an average."""

from __future__ import annotations

import math
from dataclasses import dataclass

from spadework.errors import KnowledgeError
from spadework.knowledge.rows import BValue, Crop, Knowledge
from spadework.quantity import Grade, worst_grade
from spadework.records.types import LocalBValue

__all__ = ["BInForce", "b_value_in_force"]

_SPREAD = "b_value_spread.any"


@dataclass(frozen=True)
class BInForce:
    """B [permil] with its standard deviation [permil], the rows that they rest on, and whose they are.

    ``own_spread`` says that the user gave the standard deviation, too.
    """

    value: float
    spread: float
    rows: tuple[str, ...]
    grade: Grade
    tissue: str | None
    own_spread: bool


def b_value_in_force(
    *,
    crop: Crop,
    said: float | str | None,
    said_spread: float | None,
    local: LocalBValue | None = None,
    knowledge: Knowledge,
) -> BInForce | None:
    """B of a crop: ``said`` is the user's own figure [permil] or the id of a row; None where none is in force.

    ``local`` is the book's own, which is judgement unless it names a source.

    The spread is ``said_spread``; else that of the row, a range being taken as even between its ends (standard
    deviation: half the range over the root of 3); else that of the row ``b_value_spread.any``.

    Raises
    ------
    KnowledgeError
        If the row named does not exist or is of another crop.

    References
    ----------
    jcgm100 (standard deviation of an even spread).
    """
    if said is None and local is not None:
        return _of_the_book(local, said_spread, crop, knowledge)
    if isinstance(said, str):
        named = knowledge.rows.get(said)
        if not isinstance(named, BValue) or named.crop != crop:
            raise KnowledgeError("b_value", said, _not_there(crop, knowledge))
        row: BValue | None = named
    elif said is not None:
        row = None
    else:
        row = next((row for row in knowledge.of(BValue, crop) if row.default), None)
        if row is None:
            return None
    spread = said_spread
    rows = () if row is None else (row.id,)
    grades = [Grade.JUDGEMENT if row is None else row.grade]
    if spread is None and row is not None:
        spread = _own_spread(row)
    if spread is None:
        general = knowledge.figure(_SPREAD)
        spread = general.central
        rows, grades = (*rows, general.id), [*grades, general.grade]
    if row is not None:
        value, tissue = row.central, row.tissue
    else:
        assert isinstance(said, int | float)  # noqa: S101 - neither a row nor nothing was said
        value, tissue = float(said), None
    return BInForce(value, spread, rows, worst_grade(*grades), tissue, own_spread=said_spread is not None)


def _of_the_book(local: LocalBValue, said_spread: float | None, crop: Crop, knowledge: Knowledge) -> BInForce:
    rows: tuple[str, ...] = (f"local_b_value.{crop}",)
    grade = Grade.JUDGEMENT if local.source is None else Grade.SECOND_HAND
    spread = local.standard_error if said_spread is None else said_spread
    if spread is not None:
        return BInForce(local.value, spread, rows, grade, None, own_spread=True)
    general = knowledge.figure(_SPREAD)
    rows = (*rows, general.id)
    return BInForce(local.value, general.central, rows, worst_grade(grade, general.grade), None, own_spread=False)


def _not_there(crop: Crop, knowledge: Knowledge) -> str:
    """Say which rows there are, and how to give a figure instead."""
    name = crop.replace("_", " ")
    there = ", ".join(row.id for row in knowledge.of(BValue, crop))
    rows = f"the rows are {there}" if there else "there is no such row"
    own = f"your own figure in permil, as --b-value -0.7 or in the book under [local_b_value] {crop} = -0.7"
    return f"is not a B value of {name}: {rows}; or give {own}"


def _own_spread(row: BValue) -> float | None:
    if row.sd is not None:
        return row.sd
    low, high = row.range
    return (high - low) / 2 / math.sqrt(3) if high > low else None
