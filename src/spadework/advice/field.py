"""The question answered for one field: records and knowledge in, one advice value out."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace

import numpy as np

from spadework.advice.basis import basis_of
from spadework.advice.choose import settle_at_of, target_in_force
from spadework.advice.diagnosis.diagnosis import diagnose
from spadework.advice.evidence.seen import Seen
from spadework.advice.index import index_of
from spadework.advice.missing import missing_records
from spadework.advice.next_step import next_step_of
from spadework.advice.nitrogen.balance import Balance, balance_of, nitrogen_of
from spadework.advice.nitrogen.crop_seen import CropSeen, leaves_seen
from spadework.advice.nitrogen.dig import DigSeen, read_dig
from spadework.advice.nitrogen.lab_share import laboratory_seen
from spadework.advice.nitrogen.missing import laboratory_unused
from spadework.advice.readings import readings_of
from spadework.advice.rescue.decision import Asked, decide
from spadework.advice.sampling import sampling_of
from spadework.advice.timing import timing_of
from spadework.advice.value import Diagnosis, FieldAdvice, Message, Readings, TargetInForce, Timing, Verdict
from spadework.advice.verdict import Scored, score_visit, verdict_of
from spadework.advice.visit import Visit, gather_visit, is_bare
from spadework.agronomy.scoring.share import field_share
from spadework.agronomy.season.nodulation import Calibration, DigReading
from spadework.errors import NotAnswerable
from spadework.knowledge.rows import Caution, Knowledge
from spadework.records.types import DigRow, FieldRecords, Settings

__all__ = ["advise", "dig_in_time"]


def advise(
    records: FieldRecords,
    settings: Settings,
    knowledge: Knowledge,
    today: dt.date,
    *,
    calibration: Calibration | None = None,
) -> FieldAdvice:
    """Say of one field what its records allow: when, how well, how sure, and what is missing.

    The last visit at the right time is judged; the others stand as one line each, and days that follow each other
    closely are one visit. The same records, settings, knowledge and day give the same value, whatever the order of the
    rows. Overrides of the book are already in ``knowledge`` (``knowledge.load.with_overrides``); ``calibration`` is
    what fixation measured in other fields of the book says of digs (``advice.calibration``).

    Raises
    ------
    KnowledgeError
        If the book names a scheme that does not exist or belongs to another crop.
    """
    read = _read_digs(records, settings, knowledge, today)
    last = _to_judge(read)
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
    diagnosis = _diagnosed(last, records, settings, knowledge, today)
    laboratory = laboratory_seen(records, settings, knowledge=knowledge, today=today)
    crop_seen = CropSeen(
        leaves=leaves_seen(diagnosis, dug_on=last.day, in_time=last.timing.in_time),
        measured=laboratory.share,
        laboratory=laboratory.said,
    )

    def balance_by(dig: DigSeen) -> Balance | None:
        return balance_of(
            records,
            replace(dig, measured=laboratory.share is not None),
            knowledge=knowledge,
            seed=settings.seed,
            today=today,
            crop_seen=crop_seen,
            calibration=calibration,
        )

    balance = balance_by(_dig_seen(last, diagnosis, knowledge))
    nitrogen = None
    if balance is not None:
        nitrogen = nitrogen_of(
            balance,
            records,
            knowledge=knowledge,
            seed=settings.seed,
            settle_at=settle_at,
            today=today,
            can_dig=not last.timing.is_closed(today),
        )
    patch = None if last.verdict is None else last.verdict.patch
    decision = decide(
        Asked(
            records=records,
            timing=last.timing,
            verdict=last.verdict,
            sampling=sampling,
            diagnosis=diagnosis,
            balance=balance,
            failed=None
            if patch is None
            else lambda: balance_by(_dig_seen(last, diagnosis, knowledge, stops=patch.poor_stops)),
            today=today,
        ),
        settings=settings,
        knowledge=knowledge,
    )
    earlier = tuple(_in_one_line(dig) for dig in read if dig is not last)
    cautions = tuple(Message(row.message, sources=(row.id,)) for row in knowledge.of(Caution) if row.stands_alone)
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
        diagnosis=diagnosis,
        nitrogen=nitrogen,
        decision=decision,
        next_step=next_step_of(
            timing=last.timing,
            verdict=last.verdict,
            sampling=sampling,
            diagnosis=diagnosis,
            has_plants=last.visit is not None,
            today=today,
            decision=decision,
        ),
        earlier_digs=earlier,
        missing=laboratory_unused(laboratory, nitrogen)
        + missing_records(
            records,
            dig=last.dig,
            visit=last.visit,
            counted=last.counted,
            target=last.target,
            has_verdict=last.verdict is not None,
            nitrogen=nitrogen,
            decision=decision,
        ),
        cautions=cautions,
        basis=basis_of(
            (last.timing, last.verdict, last.readings, index, sampling, diagnosis, nitrogen, decision, cautions),
            knowledge=knowledge,
            settings=settings,
        ),
    )


def dig_in_time(records: FieldRecords, settings: Settings, knowledge: Knowledge, today: dt.date) -> DigSeen | None:
    """What the dig that is judged says of fixation; None where it was not dug in time, or nitrate held nodules back."""
    last = _to_judge(_read_digs(records, settings, knowledge, today))
    if last.visit is None or not last.timing.in_time:
        return None
    dig = _dig_seen(last, _diagnosed(last, records, settings, knowledge, today), knowledge)
    return dig if dig.reading is DigReading.AS_DUG else None


def _diagnosed(dig: _Dig, records: FieldRecords, settings: Settings, knowledge: Knowledge, today: dt.date) -> Diagnosis:
    return diagnose(
        Seen(
            records=records,
            timing=dig.timing,
            visit=dig.visit,
            verdict=dig.verdict,
            readings=dig.readings,
            knowledge=knowledge,
            today=today,
        ),
        settings,
    )


def _dig_seen(
    dig: _Dig, diagnosis: Diagnosis, knowledge: Knowledge, *, stops: tuple[str, ...] | None = None
) -> DigSeen:
    """What the dig that is judged says of fixation, or some stops of it; bare plants fall short of any target."""
    scored, verdict, visit = dig.scored, dig.verdict, dig.visit
    share = None if scored is None else scored.share
    chance, effective = ([], []) if scored is None else (scored.chance.tolist(), scored.effective.tolist())
    colour_seen = verdict is not None and not verdict.by_number_only
    if scored is not None and stops is not None:
        chosen = np.isin(scored.visit.stop_of_plant, [scored.visit.stops.index(stop) for stop in stops])
        chance, effective = scored.chance[chosen].tolist(), scored.effective[chosen].tolist()
        prior = knowledge.figure("planning.stop_correlation").central
        share = field_share(
            stop=scored.visit.stop_of_plant[chosen], chance=scored.chances[:, chosen], prior_correlation=prior
        )
    if share is None and visit is not None and all(map(is_bare, visit.rows)):
        chance = effective = [0.0] * len(visit.plants)
        prior = knowledge.figure("planning.stop_correlation").central
        share = field_share(stop=visit.stop_of_plant, chance=chance, prior_correlation=prior)
        colour_seen = True
    return read_dig(
        share,
        chance=chance,
        effective=effective,
        colour_seen=colour_seen,
        wrong_time=dig.timing.wrong_time,
        evidence=diagnosis.evidence,
    )


def _read_digs(records: FieldRecords, settings: Settings, knowledge: Knowledge, today: dt.date) -> list[_Dig]:
    """Read each visit up to today; one without a day where there is none."""
    same_visit = dt.timedelta(days=knowledge.figure("planning.same_visit_days").central)
    visits = _visits(records, today, same_visit) or [()]
    return [_read_dig(records, days, settings, knowledge, today) for days in visits]


def _visits(records: FieldRecords, today: dt.date, same_visit: dt.timedelta) -> list[tuple[dt.date, ...]]:
    """Days with plants or a dig up to today; days with plants that follow each other closely are one visit."""
    with_plants = {row.date for row in records.plants if row.date <= today}
    visits: list[tuple[dt.date, ...]] = []
    for day in sorted(with_plants | {row.date for row in records.digs if row.date <= today}):
        before = visits[-1] if visits else ()
        if before and day in with_plants and before[-1] in with_plants and day - before[-1] <= same_visit:
            visits[-1] = (*before, day)
        else:
            visits.append((day,))
    return visits


def _to_judge(read: list[_Dig]) -> _Dig:
    """The last visit with plants at the right time, else the last with plants, else the last there is."""
    with_plants = [dig for dig in read if dig.visit is not None]
    in_time = [dig for dig in with_plants if dig.timing.in_time]
    return (in_time or with_plants or read)[-1]


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
    records: FieldRecords, days: tuple[dt.date, ...], settings: Settings, knowledge: Knowledge, today: dt.date
) -> _Dig:
    day = days[-1] if days else None
    digs = sorted((row for row in records.digs if row.date in days), key=lambda row: row.date)
    dig = digs[-1] if digs else None
    stages = [row.stage_bbch for row in digs if row.stage_bbch is not None]
    timing = timing_of(
        records,
        settings=settings,
        knowledge=knowledge,
        dug_on=day,
        stage_seen=stages[-1] if stages else None,
        today=today,
    )
    counted = None if dig is None else dig.counting_unit
    try:
        target = target_in_force(crop=records.field.crop, counted=counted, settings=settings, knowledge=knowledge)
    except NotAnswerable:
        target = None
    visit = gather_visit(records.plants, days) if days else None
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
    kind = dig.timing.wrong_time or "dig"
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
