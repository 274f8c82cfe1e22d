"""Which scheme is in force: the book's choice, else the named default. Schemes are never averaged."""

from __future__ import annotations

from dataclasses import dataclass

from spadework.advice.value import TargetInForce
from spadework.errors import KnowledgeError, NotAnswerable
from spadework.knowledge.rows import ANY_CROP, Crop, DigWindow, Knowledge, Target
from spadework.quantity import Grade, worst_grade
from spadework.records.types import CountingUnit, Settings

__all__ = ["WindowInForce", "settle_at_of", "target_in_force", "window_in_force"]


def target_in_force(
    *, crop: Crop, counted: CountingUnit | None, settings: Settings, knowledge: Knowledge
) -> TargetInForce:
    """The target that plants of this crop are held against.

    The book's own figure comes first, then the scheme that the book names, then the default of the crop.
    What was counted (``counted``) must be what the scheme counts; where nobody said, nodules are taken.

    Raises
    ------
    NotAnswerable
        If no scheme for this crop counts what was counted.
    KnowledgeError
        If the book names a scheme that does not exist or belongs to another crop.
    """
    unit = counted or CountingUnit.NODULE
    local = settings.local_target.get(crop)
    if local is not None and local.counting_unit == unit:
        return TargetInForce(
            scheme=f"local_target.{crop}",
            value=local.value,
            counting_unit=unit,
            comparison="at_least",
            counts="any_size",
            chosen_by="local",
            grade=Grade.JUDGEMENT,
            source=local.source or "the book's own figure",
        )
    named = settings.target_scheme.get(crop)
    if named is not None:
        row = knowledge.row(named)
        if not isinstance(row, Target) or row.crop not in (crop, ANY_CROP):
            raise KnowledgeError("target", named, f"is not a target scheme for {crop}; the book may not name it")
        if row.counting_unit == unit:
            return _in_force(row, chosen_by="book")
    for row in sorted(knowledge.of(Target, crop), key=lambda row: row.crop == ANY_CROP):
        if row.default and row.counting_unit == unit:
            return _in_force(row, chosen_by="default")
    raise NotAnswerable(
        f"a target in {unit}s a plant for {crop.replace('_', ' ')}", "the share of plants that are adequate"
    )


def _in_force(row: Target, *, chosen_by: str) -> TargetInForce:
    return TargetInForce(
        scheme=row.id,
        value=row.central,
        counting_unit=row.counting_unit,
        comparison=row.comparison,
        counts=row.counts,
        chosen_by=chosen_by,
        grade=row.grade,
        source=row.source,
    )


@dataclass(frozen=True)
class WindowInForce:
    """The dig window of a crop: a row that counts days and a row that names growth stages; one may be absent."""

    days: DigWindow | None
    stage: DigWindow | None

    @property
    def rows(self) -> tuple[str, ...]:
        """Ids of the rows in force."""
        return tuple(dict.fromkeys(row.id for row in (self.days, self.stage) if row is not None))

    @property
    def grade(self) -> Grade:
        """The weaker grade of the two."""
        return worst_grade(*(row.grade for row in (self.days, self.stage) if row is not None))


def settle_at_of(settings: Settings, knowledge: Knowledge) -> float:
    """Class probability at which a verdict counts as settled: the book's own, else that of the row."""
    return settings.settle_at or knowledge.figure("planning.settle_at").central


def window_in_force(*, crop: Crop, settings: Settings, knowledge: Knowledge) -> WindowInForce:
    """The window scheme that the book names (in its days, its stages or both), else the crop's defaults.

    Raises
    ------
    KnowledgeError
        If the book names a scheme that does not exist or belongs to another crop, or no row is in force.
    """
    rows = sorted(knowledge.of(DigWindow, crop), key=lambda row: row.crop == ANY_CROP)
    days = next((row for row in rows if row.default and row.opens_days is not None), None)
    stage = next((row for row in rows if row.default and row.opens_bbch is not None), None)
    named = settings.window_scheme.get(crop)
    if named is not None:
        row = knowledge.row(named)
        if not isinstance(row, DigWindow) or row.crop not in (crop, ANY_CROP):
            raise KnowledgeError("dig_window", named, f"is not a dig window for {crop}; the book may not name it")
        days = row if row.opens_days is not None else days
        stage = row if row.opens_bbch is not None else stage
    if days is None and stage is None:
        raise KnowledgeError("dig_window", str(crop), "no default window for this crop")
    return WindowInForce(days=days, stage=stage)
