"""The share fixed that a laboratory's results give for a field of the book, and what of them is not used, and why."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from spadework.advice.measured.measure import chosen_in, measure
from spadework.advice.measured.value import FieldMeasurement, MeasuredShare
from spadework.advice.message import Message
from spadework.advice.nitrogen.crop_seen import ShareMeasured
from spadework.knowledge.rows import Knowledge
from spadework.records.lab_result import FieldLabResultRow, SampleKind
from spadework.records.types import FieldRecords, Settings
from spadework.records.words import LaboratoryMethod

__all__ = ["LaboratorySeen", "laboratory_seen"]

_TRUSTED = (
    LaboratoryMethod.ISOTOPE_DILUTION,
    LaboratoryMethod.NATURAL_ABUNDANCE,
    LaboratoryMethod.UREIDES,
    LaboratoryMethod.NITROGEN_DIFFERENCE,
)
"""Of several methods the first counts: they are not averaged."""

_LONGEST_SEASON = 400
"""Days from sowing after which samples are of another crop; as in the checks of a book."""

_UPTAKE = "nitrogen_difference.uptake"

Rows = Sequence[FieldLabResultRow]


@dataclass(frozen=True, kw_only=True)
class LaboratorySeen:
    """The share measured, None where the results give none; ``said`` tells why, or what of them was left out."""

    share: ShareMeasured | None = None
    said: tuple[Message, ...] = ()


def laboratory_seen(
    records: FieldRecords, settings: Settings, *, knowledge: Knowledge, today: dt.date
) -> LaboratorySeen:
    """Read the samples of this season, by the book's own B value and ureide line, else those of the tables.

    The share changes as the season goes on, so that the last day of sampling counts alone: legumes of that day, with
    references of its visit (row ``planning.same_visit_days``). Samples without a day stand for ripeness; beside legumes
    with a day they are left out.
    """
    if not records.lab_results:
        return LaboratorySeen()
    rows, day, said = _of_the_season(records, knowledge, today)
    if not rows:
        return LaboratorySeen(said=tuple(said))
    crop = records.field.crop
    (found,) = measure(rows, crop=crop, chosen=chosen_in(settings, crop), knowledge=knowledge)
    known = {one.method: one for one in found.methods if one.share is not None and one.standard_error is not None}
    method = next((method.value for method in _TRUSTED if method.value in known), None)
    if method is None:
        return LaboratorySeen(said=(*_why_unused(found), *said))
    share = _share(known[method], found, day, knowledge)
    said.extend(_passed_over(found, method))
    if day is None:
        said.append(Message("nitrogen.laboratory.undated"))
    fixed = known[method].fixed_shoot
    if fixed is not None:
        values = {"fixed": fixed.value, "low": fixed.low, "high": fixed.high}
        said.append(Message("nitrogen.laboratory.kilograms", values))
    return LaboratorySeen(share=share, said=tuple(said))


def _share(found: MeasuredShare, field: FieldMeasurement, day: dt.date | None, knowledge: Knowledge) -> ShareMeasured:
    share, error = found.share, found.standard_error
    assert share is not None  # noqa: S101 - asked by the caller
    assert error is not None  # noqa: S101 - asked by the caller
    if found.method == LaboratoryMethod.NITROGEN_DIFFERENCE and field.shoot_nitrogen is not None:
        # What both crops took from the soil may differ, which no sample shows.
        error = math.hypot(error, knowledge.figure(_UPTAKE).central / field.shoot_nitrogen.value)
    return ShareMeasured(
        method=found.method, share=share.value, standard_error=error, day=day, rows=tuple(dict.fromkeys(share.sources))
    )


def _passed_over(found: FieldMeasurement, method: str) -> Iterator[Message]:
    """Methods that would have counted before, and why they give no share."""
    order = [one.value for one in _TRUSTED]
    for one in found.methods:
        if one.refused is not None and order.index(one.method) < order.index(method):
            values = {**one.refused.values, "method": one.method.replace("_", " ")}
            values["why"] = one.refused.id.removeprefix("lab.")
            yield Message("nitrogen.laboratory.passed_over", values, one.refused.sources)


def _of_the_season(
    records: FieldRecords, knowledge: Knowledge, today: dt.date
) -> tuple[Rows, dt.date | None, list[Message]]:
    """The rows that count, the day they stand for, and what is said of the others."""
    sown_on = records.field.sown_on
    last = today if sown_on is None else min(today, sown_on + dt.timedelta(days=_LONGEST_SEASON))
    dated = [row for row in records.lab_results if row.date is not None]
    later = [row for row in dated if row.date is not None and row.date > last]
    before = [row for row in dated if row.date is not None and sown_on is not None and row.date < sown_on]
    rows = [row for row in records.lab_results if row not in later and row not in before]
    said = [
        Message(f"nitrogen.laboratory.{kind}", {"samples": len(out), "day": end})
        for kind, out, end in (("of_another_season", before, sown_on), ("later", later, last))
        if out
    ]
    if not rows:
        return (), None, [*map(_unused_for, said)]
    days = [row.date for row in rows if row.kind is SampleKind.LEGUME and row.date is not None]
    if not days:
        return rows, None, said
    day = max(days)
    visit = dt.timedelta(days=knowledge.figure("planning.same_visit_days").central)
    kept = [row for row in rows if _is_of(row, day, visit)]
    undated = [row for row in rows if row.date is None and row not in kept]
    earlier = len(rows) - len(kept) - len(undated)
    if earlier:
        said.append(Message("nitrogen.laboratory.other_days", {"samples": earlier, "day": day}))
    if undated:
        said.append(Message("nitrogen.laboratory.without_day", {"samples": len(undated), "day": day}))
    return kept, day, said


def _is_of(row: FieldLabResultRow, day: dt.date, visit: dt.timedelta) -> bool:
    """Whether a sample is of that visit; a reference without a day is taken to be."""
    if row.kind is SampleKind.REFERENCE:
        return row.date is None or abs(row.date - day) <= visit
    return row.date is not None and day - row.date <= visit


def _unused_for(left_out: Message) -> Message:
    """Say that nothing is used, for what was left out is all there is."""
    why = left_out.id.removeprefix("nitrogen.laboratory.")
    return Message(f"nitrogen.unused.{why}", left_out.values)


def _why_unused(found: FieldMeasurement) -> Iterator[Message]:
    """Why no method gives a share with an error, method by method."""
    if not found.methods:
        why = found.warnings[0].id.removeprefix("lab.")
        yield Message("nitrogen.unused.nothing_measured", {"why": why})
    for one in found.methods:
        name = one.method.replace("_", " ")
        if one.refused is not None:
            values = {**one.refused.values, "method": name, "why": one.refused.id.removeprefix("lab.")}
            yield Message("nitrogen.unused.refused", values, one.refused.sources)
        else:
            values = {"method": name, "legumes": one.legume_samples, "references": one.reference_samples}
            yield Message("nitrogen.unused.one_sample", values)
