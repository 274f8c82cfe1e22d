"""The value of measured fixation: everything that can be said of one field from its samples."""

from __future__ import annotations

from dataclasses import dataclass

from spadework.advice.message import Message
from spadework.knowledge.rows import Credit as CreditRow
from spadework.knowledge.rows import Crop
from spadework.quantity import Quantity

__all__ = ["Credit", "FieldMeasurement", "Left", "MeasuredShare", "credit_of"]


@dataclass(frozen=True)
class Left:
    """Nitrogen after the grain is taken away, all in kg/ha, with intervals.

    ``net_shoot`` and ``net_whole`` are the fixed nitrogen of the shoot, and of the whole plant, less the grain's.
    """

    fixed_whole: Quantity
    net_shoot: Quantity
    net_whole: Quantity


@dataclass(frozen=True)
class Credit:
    """What the next crop may owe to this one [kg/ha], by one kind of figure; kinds are not added or averaged.

    ``in_soil_test``: a soil test before the next sowing finds it; ``held``: one was taken, and holds it already.
    """

    kind: str
    nitrogen: Quantity
    in_soil_test: bool
    held: bool
    scope: str
    row: str


def credit_of(row: CreditRow, nitrogen: Quantity, *, tested_after: bool) -> Credit:
    """A credit by its row; ``tested_after``: mineral nitrogen was tested after ripeness, so that it is not added."""
    return Credit(
        kind=row.kind,
        nitrogen=nitrogen,
        in_soil_test=row.in_soil_test,
        held=row.in_soil_test and tested_after,
        scope=row.scope,
        row=row.id,
    )


@dataclass(frozen=True)
class MeasuredShare:
    """What one method gives.

    ``share`` is raw: below 0 or above 1 it stays so. It is None where ``refused`` says why. ``quality`` is the class of
    the reference's distance (natural abundance alone), ``index`` the relative ureide index (ureides alone).
    ``fixed_shoot`` is in kg/ha, where the samples carry dry matter and nitrogen.
    """

    method: str
    share: Quantity | None
    standard_error: float | None
    legume_samples: int
    reference_samples: int
    reference: Quantity | None = None
    b_value: Quantity | None = None
    index: Quantity | None = None
    quality: str | None = None
    weighted: bool = False
    fixed_shoot: Quantity | None = None
    left: Left | None = None
    refused: Message | None = None
    sensitivity: tuple[Message, ...] = ()
    warnings: tuple[Message, ...] = ()


@dataclass(frozen=True)
class FieldMeasurement:
    """What the samples of one field give, method by method; methods are not averaged.

    ``grain``, ``residue_shoot`` and ``residue_below_ground`` are nitrogen in kg/ha, fixed or not.
    """

    field: str | None
    crop: Crop
    methods: tuple[MeasuredShare, ...]
    shoot_nitrogen: Quantity | None = None
    grain_nitrogen: Quantity | None = None
    residue_shoot: Quantity | None = None
    residue_below_ground: Quantity | None = None
    credits: tuple[Credit, ...] = ()
    warnings: tuple[Message, ...] = ()

    @property
    def is_answered(self) -> bool:
        """Whether any method gave a share."""
        return any(one.share is not None for one in self.methods)
