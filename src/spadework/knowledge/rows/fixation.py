"""Rows of measured fixation and of what a crop leaves: one frozen dataclass a table, checked when built."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from spadework.knowledge.rows.base import Measured
from spadework.quantity import Grade

__all__ = ["BValue", "Credit"]


@dataclass(frozen=True, kw_only=True)
class BValue(Measured):
    """15N of a legume that lives on the air alone [permil].

    ``tissue`` says what was analysed: only the same may be compared. ``default`` marks the row in force for its crop
    where the user names none.
    """

    table: ClassVar[str] = "b_value"

    tissue: str
    default: bool = False

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.unit != "permil":
            raise self.fault(f"unit is {self.unit!r}; B is given in permil")
        if self.default and self.grade is Grade.JUDGEMENT and not self.overridden:
            raise self.fault("a B value on memory or judgement may not be a default")


@dataclass(frozen=True, kw_only=True)
class Credit(Measured):
    """Nitrogen that the next crop owes to a legume, as one kind of figure; kinds are never averaged or added.

    ``kind`` is ``soil_test_difference`` (mineral nitrogen found beyond that after another crop), ``flat_allowance`` (a
    recommendation), ``presumed_release`` or ``fertiliser_saved``. ``per`` is ``hectare``, ``grain`` (t harvested),
    ``residue`` (t of shoot dry matter left) or ``residue_nitrogen``. ``in_soil_test``: a test before the next sowing
    finds it already.
    """

    table: ClassVar[str] = "credit"
    KINDS: ClassVar[tuple[str, ...]] = (
        "soil_test_difference",
        "flat_allowance",
        "presumed_release",
        "fertiliser_saved",
    )
    UNIT_PER: ClassVar[dict[str, str]] = {
        "hectare": "kg/ha",
        "grain": "kg/t",
        "residue": "kg/t",
        "residue_nitrogen": "1",
    }

    kind: str
    per: str
    in_soil_test: bool

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.kind not in self.KINDS:
            raise self.fault(f"kind {self.kind!r} is not one of {', '.join(self.KINDS)}")
        if self.per not in self.UNIT_PER:
            raise self.fault(f"per {self.per!r} is not one of {', '.join(self.UNIT_PER)}")
        if self.unit != self.UNIT_PER[self.per]:
            raise self.fault(f"unit is {self.unit!r}; a credit per {self.per} is in {self.UNIT_PER[self.per]}")
        if self.in_soil_test != (self.kind == "soil_test_difference"):
            raise self.fault("in_soil_test is true for a soil_test_difference, and for it alone")
