"""One field in sentences: what the report page says, for the terminal."""

from __future__ import annotations

from collections.abc import Iterator

from spadework.advice.messages import fill, render
from spadework.advice.value import FieldAdvice, Scalar, Timing
from spadework.cli.source import grade_in_words
from spadework.quantity import Grade
from spadework.report.display import UnitSystem, format_quantity
from spadework.report.labels import labels, word

__all__ = ["field_sections"]


def field_sections(advice: FieldAdvice, units: UnitSystem) -> Iterator[tuple[str, list[str]]]:
    """Yield title and sentences of each part, the decision first; a part without sentences is empty."""
    verdict = advice.verdict
    yield "Verdict", [render((verdict or advice.timing).headline)]
    yield "What to do next", [render(message) for message in advice.next_step.messages]
    yield "Why", _why(advice)
    yield "When", list(_when(advice.timing, units))
    yield "How many", [render(advice.sampling.message)] if advice.sampling else []
    yield "Three-factor index", [render(advice.index.message)] if advice.index else []
    yield "Earlier digs", [render(message) for message in advice.earlier_digs]
    yield "What would add to it", [f"{render(part.name)}: {render(part.adds)}" for part in advice.missing]
    yield "Cautions", [render(message) for message in advice.cautions]
    yield "Rests on", list(_rests_on(advice))


def _why(advice: FieldAdvice) -> list[str]:
    verdict, readings = advice.verdict, advice.readings
    messages = [] if verdict is None else [*verdict.reasons]
    if readings is not None:
        messages += [readings.colour.message, readings.position.message]
    if verdict is not None and verdict.patch is not None:
        messages.append(verdict.patch.message)
    if readings is not None and readings.agreement is not None:
        messages.append(readings.agreement.message)
    return list(dict.fromkeys(render(message) for message in messages))


def _when(timing: Timing, units: UnitSystem) -> Iterator[str]:
    yield render(timing.headline)
    yield f"{word(labels(), 'why', 'means')}: {render(timing.a_poor_reading_means)}"
    yield f"{word(labels(), 'why', 'does_not_mean')}: {render(timing.a_poor_reading_does_not_mean)}"
    heat = timing.degree_days
    if heat is not None:
        days: dict[str, Scalar] = {"first": heat.from_date, "last": heat.to_date, "missing": heat.missing_days}
        span = fill("from {first:date} to {last:date}", days)
        missing = fill("{missing:plural:day|days} missing", days)
        yield f"{format_quantity(heat.total, units)} {span}; rule: {heat.method_name}; {missing}."
    for note in timing.notes:
        yield render(note)


def _rests_on(advice: FieldAdvice) -> Iterator[str]:
    own = [row.row for row in advice.basis.rows if row.overridden]
    if own:
        yield f"The book's own figures: {', '.join(own)}."
    for grade in Grade:
        rows = [row.row for row in advice.basis.rows if row.grade is grade and not row.overridden]
        if rows:
            yield f"{grade_in_words(grade)}: {', '.join(rows)}."
    yield "`spadework source ID` tells more of each."
