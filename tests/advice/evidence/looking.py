"""What the rules of evidence look at, built from records the way the advice builds it; and what they find there."""

import datetime as dt

from tests.factories import DUG, a_book, records

from spadework.advice.choose import settle_at_of, target_in_force
from spadework.advice.evidence import evidence_of
from spadework.advice.evidence.seen import Seen
from spadework.advice.messages import render
from spadework.advice.readings import readings_of
from spadework.advice.timing import timing_of
from spadework.advice.verdict import score_visit, verdict_of
from spadework.advice.visit import gather_visit
from spadework.errors import NotAnswerable
from spadework.knowledge.load import load, with_overrides
from spadework.records.types import FieldRecords, ObservationRow, SoilTestRow


def look_at(held: FieldRecords, *, today: dt.date = DUG, **chosen) -> Seen:
    """Everything seen of a field whose last dig is the one judged."""
    settings = a_book(**chosen)
    knowledge = with_overrides(load(), settings.overrides)
    dig = max(held.digs, key=lambda row: row.date, default=None)
    timing = timing_of(
        held,
        settings=settings,
        knowledge=knowledge,
        dug_on=None if dig is None else dig.date,
        stage_seen=None if dig is None else dig.stage_bbch,
        today=today,
    )
    visit = verdict = readings = None
    if held.plants and dig is not None:
        visit = gather_visit(held.plants, [dig.date])
        readings = readings_of(visit, records=held, timing=timing, knowledge=knowledge)
        try:
            target = target_in_force(
                crop=held.field.crop, counted=dig.counting_unit, settings=settings, knowledge=knowledge
            )
        except NotAnswerable:
            target = None
        if target is not None:
            verdict = verdict_of(
                score_visit(visit, target=target, knowledge=knowledge),
                records=held,
                timing=timing,
                knowledge=knowledge,
                settle_at=settle_at_of(settings, knowledge),
                seed=1,
            )
    return Seen(held, timing, visit, verdict, readings, knowledge, today)


def found(held: FieldRecords, **changes) -> dict:
    """Evidence by finding; every sentence is held to be one."""
    evidence = evidence_of(look_at(held, **changes))
    for one in evidence:
        text = render(one.message)
        assert text[0].isupper() or text[0].isdigit(), text
        assert text.endswith("."), text
        assert "None" not in text, text
        assert "{" not in text, text
        assert 0 <= one.sure <= 1, one
    assert len({one.finding for one in evidence}) == len(evidence)
    return {one.finding: one for one in evidence}


def sure_of(finding: str, held: FieldRecords, **changes) -> float | None:
    """How sure a finding is; None where it is unknown."""
    one = found(held, **changes).get(finding)
    return None if one is None else one.sure


def told(finding: str, held: FieldRecords, **changes) -> str:
    """The sentence on a finding."""
    return render(found(held, **changes)[finding].message)


def on(crop: str, **parts) -> FieldRecords:
    """A field of a crop that has been dug, of which nothing else is known but ``parts``."""
    field = {"crop": crop, "station": None, **parts.pop("field", {})}
    return records(field=field, **parts)


def soil_test(**changes) -> SoilTestRow:
    """A soil sample of 0 to 15 cm, three weeks before the dig."""
    return SoilTestRow(
        **{"field": "west", "date": DUG - dt.timedelta(days=21), "depth_top": 0, "depth_bottom": 15, **changes}
    )


def sight(subject: str, value: str, **changes) -> ObservationRow:
    """Something written down on the day of the dig."""
    return ObservationRow(**{"field": "west", "date": DUG, "subject": subject, "value": value, **changes})
