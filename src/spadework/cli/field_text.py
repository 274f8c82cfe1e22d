"""One field in sentences: what the report page says, for the terminal."""

from __future__ import annotations

from collections.abc import Iterator

from spadework.advice.diagnosis.value import Diagnosis
from spadework.advice.messages import fill, render
from spadework.advice.rescue.value import Decision
from spadework.advice.value import FieldAdvice, Message, Scalar, Timing
from spadework.cli.questions import takes
from spadework.cli.source import grade_in_words
from spadework.quantity import Grade
from spadework.report.causes import (
    causes_title,
    explains,
    first_check,
    marks,
    named_cause,
    sentence,
    with_range,
)
from spadework.report.decision import act_line, sure_told, weighed
from spadework.report.display import UnitSystem, format_quantity
from spadework.report.labels import labels, word
from spadework.report.left import credit_lines
from spadework.report.nitrogen import nitrogen_rows, nitrogen_told, without_balance
from spadework.report.options import money_of, option_line, option_rows
from spadework.report.reader import Reader, reader_of
from spadework.report.rescue import (
    budget_sections,
    evidence_line,
    information_rows,
    price_lines,
    price_table,
    product_lines,
    strip_lines,
    waiting_lines,
)
from spadework.report.timeline import window_line

__all__ = ["field_sections", "nitrogen_now"]

_FOR_SHOWN = 3
_AGAINST_SHOWN = 2
_CHECKS_SHOWN = 3
_STRENGTHS = {1: "a little", 2: "clearly", 3: "strongly"}


def field_sections(advice: FieldAdvice, units: UnitSystem) -> Iterator[tuple[str, list[str]]]:
    """Yield title and sentences of each part, the decision first; a part without sentences is empty."""
    verdict, reader = advice.verdict, reader_of(advice, units)
    yield "Decision", list(_decision(advice, reader))
    yield "Verdict", [render((verdict or advice.timing).headline)]
    yield "What to do next", [render(message) for message in advice.next_step.messages]
    yield from nitrogen_now(advice, reader)
    yield "Why this verdict", _why(advice)
    yield from _causes(advice)
    yield "Nitrogen", list(_nitrogen(advice, reader))
    if advice.nitrogen is not None:
        left, words = advice.nitrogen.left, reader.texts["left"]
        yield words["title"], [reader.say(message) for message in left.messages]
        yield words["credits_title"], list(credit_lines(left.credits, units=units, texts=reader.texts))
    yield labels()["causes"]["unread_title"], [render(message) for message in advice.diagnosis.unread]
    yield "When", list(_when(advice.timing, units))
    yield "How many", [render(advice.sampling.message)] if advice.sampling else []
    yield "Three-factor index", [render(advice.index.message)] if advice.index else []
    yield "Earlier digs", [render(message) for message in advice.earlier_digs]
    yield "What would add to it", [f"{render(part.name)}: {render(part.adds)}" for part in advice.missing]
    yield "Cautions", list(dict.fromkeys(render(message) for message in _cautions(advice)))
    yield "Rests on", list(_rests_on(advice))


def _decision(advice: FieldAdvice, reader: Reader) -> Iterator[str]:
    """Yield the decision in one sentence, what it asks for by when, why, and what would change it."""
    decision = advice.decision
    if decision is None:
        return
    yield reader.say(decision.headline)
    line = act_line(decision, reader)
    if line:
        yield line
    until = window_line(decision, reader)
    if until:
        yield until
    for message in decision.reasons:
        yield reader.say(message)
    for message in decision.would_change:
        yield f"{reader.texts['rescue']['change_title']}: {reader.say(message)}"


def nitrogen_now(advice: FieldAdvice, reader: Reader) -> Iterator[tuple[str, list[str]]]:
    """Yield the choices with what they bring and cost, and what goes with them, where giving nitrogen was reckoned."""
    decision = weighed(advice)
    if decision is None:
        return
    words, money = reader.texts["rescue"], money_of(decision, reader)
    told = [option_line(row, words, money) for row in option_rows(decision, reader)]
    if decision.sure is not None:
        told.append(sure_told(decision, words))
    yield words["title"], [*told, *price_lines(decision, reader)]
    yield words["evidence_title"], [evidence_line(decision, reader), *product_lines(decision, reader)]
    yield words["waiting_title"], waiting_lines(decision, reader)
    worth = [
        fill(words["information_line"], {"thing": thing, "value": value, "unit": money.unit})
        for thing, value in information_rows(decision, reader)
    ]
    yield words["information_title"], worth
    yield from _money_tables(decision, reader)
    yield words["strip_title"], strip_lines(decision, reader)
    yield words["cautions_title"], [reader.say(message) for message in decision.cautions]


def _money_tables(decision: Decision, reader: Reader) -> Iterator[tuple[str, list[str]]]:
    """Yield the net returns by price and the partial budget, a line a row."""
    words, by_price = reader.texts["rescue"], price_table(decision, reader)
    if by_price is not None:
        prices = [price["text"] for price in by_price["prices"]]
        rows = []
        for row in by_price["rows"]:
            cells = (f"{cell} at {price}" for cell, price in zip(row["cells"], prices, strict=True))
            rows.append(f"{row['rate']}: {', '.join(cells)}")
        yield by_price["title"], rows
    budget = budget_sections(decision, reader)
    if budget is not None:
        lines = []
        for part in budget["sections"].values():
            parts = "; ".join(f"{name}: {amount}" for name, amount in part["lines"]) or words["nothing"]
            lines.append(f"{part['title']}: {part['total']} ({parts})")
        yield budget["title"], [*lines, f"{words['net']}: {budget['net']}"]


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


def _causes(advice: FieldAdvice) -> Iterator[tuple[str, list[str]]]:
    """Yield what lies behind the reading: the causes ranked, what to do about the first, what to check next."""
    if first_check(advice) is None and not explains(advice):
        return
    found, words = advice.diagnosis, labels()["causes"]
    yield causes_title(advice, labels()), [render(found.headline), *_ranking(found)]
    told = (found.together, found.robust if found.causes else None, found.priors)
    yield (
        "How sure of the cause",
        [
            *(render(message) for message in told if message is not None),
            words["judgement"],
        ],
    )
    cause = named_cause(advice)
    if cause is not None:
        measures = (("confirm", cause.confirm), ("this_season", cause.this_season), ("next_season", cause.next_season))
        yield words["do_title"], [f"{words[when]} {render(message)}" for when, message in measures]
    if found.pallor.causes:
        leaves = (found.pallor.headline, found.pallor.not_nitrogen)
        yield words["pallor_title"], [render(message) for message in leaves if message is not None]
    if first_check(advice) is not None:
        yield (
            words["checks_title"],
            [
                f"{sentence(render(check.name))} ({takes(check)}). {render(check.reason)}"
                for check in found.checks[:_CHECKS_SHOWN]
            ],
        )


def _ranking(found: Diagnosis) -> Iterator[str]:
    """Yield a line a cause, and what speaks for and against the first one."""
    if not found.causes:
        return
    for cause in found.causes:
        yield f"{sentence(render(cause.name))}: {with_range(cause.probability)}"
    yield f"{labels()['causes']['nothing']}: {with_range(found.nothing)}"
    first = found.causes[0]
    for argument in (*first.speaks_for[:_FOR_SHOWN], *first.speaks_against[:_AGAINST_SHOWN]):
        side = "for" if argument.odds_factor > 1 else "against"
        yield f"Speaks {side} the first, {_STRENGTHS[len(marks(argument.odds_factor))]}: {render(argument.message)}"


def _nitrogen(advice: FieldAdvice, reader: Reader) -> Iterator[str]:
    """Yield the headline, what it rests on, and the figures; without a balance what is not recorded."""
    found, words = advice.nitrogen, reader.texts["nitrogen"]
    if found is None:
        missing = without_balance(advice, texts=reader.texts)
        if missing:
            yield missing
        return
    yield nitrogen_told(advice, reader)
    for message in found.reasons:
        yield reader.say(message)
    for name, likely, interval in nitrogen_rows(found, crop=advice.crop, units=reader.units, texts=reader.texts):
        yield f"{name}: {likely}{f' ({interval})' if interval else ''}"
    yield fill(words["nodulation_from"], {"source": words[found.nodulation_from]})


def _cautions(advice: FieldAdvice) -> Iterator[Message]:
    yield from advice.cautions
    cause = named_cause(advice)
    if cause is not None:
        yield from cause.cautions


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
