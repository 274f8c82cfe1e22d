"""The question answered for one field: records and knowledge in, one advice value out."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from spadework.advice.basis import basis_of
from spadework.advice.choose import settle_at_of, target_in_force
from spadework.advice.index import index_of
from spadework.advice.missing import missing_records
from spadework.advice.next_step import next_step_of
from spadework.advice.readings import readings_of
from spadework.advice.sampling import sampling_of
from spadework.advice.timing import timing_of
from spadework.advice.value import FieldAdvice, Message, Readings, TargetInForce, Timing, Verdict
from spadework.advice.verdict import Scored, score_visit, verdict_of
from spadework.advice.visit import Visit, gather_visit
from spadework.errors import NotAnswerable
from spadework.knowledge.rows import Caution, Knowledge
from spadework.records.types import DigRow, FieldRecords, Settings

__all__ = ["advise"]


def advise(records: FieldRecords, settings: Settings, knowledge: Knowledge, today: dt.date) -> FieldAdvice:
    """Say of one field what its records allow: when, how well, how sure, and what is missing.

    The last dig up to ``today`` is judged; earlier ones stand as one line each. The same records, settings,
    knowledge and day give the same value, whatever the order of the rows. Overrides of the book are already in
    ``knowledge`` (``knowledge.load.with_overrides``).

    Raises
    ------
    KnowledgeError
        If the book names a scheme that does not exist or belongs to another crop.
    """
    dates = {row.date for row in records.digs} | {row.date for row in records.plants}
    days: list[dt.date | None] = [day for day in sorted(dates) if day <= today]
    read = [_read_dig(records, day, settings, knowledge, today) for day in days or [None]]
    last = read[-1]
    settle_at = settle_at_of(settings, knowledge)
    index = None
    if last.visit is not None:
        index = index_of(last.visit, target=last.target, counted=last.counted, knowledge=knowledge, timing=last.timing)
    sampling = None
    if last.scored is not None and last.verdict is not None:
        sampling = sampling_of(
            last.scored,
            verdict=last.verdict,
            timing=last.timing,
            knowledge=knowledge,
            settle_at=settle_at,
            seed=settings.seed,
        )
    earlier = tuple(_in_one_line(dig) for dig in read[:-1])
    cautions = tuple(Message(row.message, sources=(row.id,)) for row in knowledge.of(Caution))
    return FieldAdvice(
        field=records.field.field,
        name=records.field.name,
        grower=records.field.grower,
        crop=records.field.crop,
        advised_on=today,
        timing=last.timing,
        verdict=last.verdict,
        readings=last.readings,
        index=index,
        sampling=sampling,
        next_step=next_step_of(
            timing=last.timing,
            verdict=last.verdict,
            sampling=sampling,
            has_plants=last.visit is not None,
            today=today,
        ),
        earlier_digs=earlier,
        missing=missing_records(
            records,
            dig=last.dig,
            visit=last.visit,
            counted=last.counted,
            target=last.target,
            has_verdict=last.verdict is not None,
        ),
        cautions=cautions,
        basis=basis_of(
            (last.timing, last.verdict, last.readings, index, sampling, cautions),
            knowledge=knowledge,
            settings=settings,
        ),
    )


@dataclass(frozen=True)
class _Dig:
    """One dig read: what there is of it."""

    day: dt.date | None
    dig: DigRow | None
    timing: Timing
    visit: Visit | None
    counted: str
    target: TargetInForce | None
    scored: Scored | None
    verdict: Verdict | None
    readings: Readings | None


def _read_dig(
    records: FieldRecords, day: dt.date | None, settings: Settings, knowledge: Knowledge, today: dt.date
) -> _Dig:
    dig = next((row for row in records.digs if row.date == day), None)
    timing = timing_of(
        records,
        settings=settings,
        knowledge=knowledge,
        dug_on=day,
        stage_seen=None if dig is None else dig.stage_bbch,
        today=today,
    )
    counted = None if dig is None else dig.counting_unit
    try:
        target = target_in_force(crop=records.field.crop, counted=counted, settings=settings, knowledge=knowledge)
    except NotAnswerable:
        target = None
    visit = gather_visit(records.plants, day) if day is not None else None
    visit = visit if visit is not None and visit.rows else None
    settle_at = settle_at_of(settings, knowledge)
    scored = verdict = readings = None
    if visit is not None:
        readings = readings_of(visit, records=records, timing=timing, knowledge=knowledge)
    if visit is not None and target is not None:
        scored = score_visit(visit, target=target, knowledge=knowledge)
        verdict = verdict_of(
            scored,
            records=records,
            timing=timing,
            knowledge=knowledge,
            settle_at=settle_at,
            seed=settings.seed,
        )
    return _Dig(
        day=day,
        dig=dig,
        timing=timing,
        visit=visit,
        counted=str(counted or "nodule"),
        target=target,
        scored=scored,
        verdict=verdict,
        readings=readings,
    )


def _in_one_line(dig: _Dig) -> Message:
    """What an earlier dig found; of one at the wrong time no class is told."""
    if dig.verdict is None or dig.readings is None:
        return Message("earlier.no_verdict", {"day": dig.day})
    verdict, red = dig.verdict, dig.readings.colour.red_pink
    kind = {"too_early": "early", "first_look": "early", "too_late": "late"}.get(dig.timing.state, "dig")
    return Message(
        f"earlier.{kind}_{'not_cut' if red is None else 'cut'}",
        {
            "day": dig.day,
            "leading": verdict.leading,
            "probability": verdict.probability,
            "share": verdict.share.value,
            "red": None if red is None else red.value,
        },
    )
