"""The report of one field: a page for the grower, causes and nitrogen where there are any to set out, the working."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from spadework.advice.messages import fill, render
from spadework.advice.value import FieldAdvice, Message, Timing, Verdict
from spadework.quantity import Grade
from spadework.report.causes import causes_page, why_in_short
from spadework.report.decision import act_line, weighed
from spadework.report.display import UnitSystem, format_share
from spadework.report.labels import Labels, labels, word
from spadework.report.nitrogen import nitrogen_note, nitrogen_told
from spadework.report.reader import Reader, reader_of
from spadework.report.rescue import rescue_page
from spadework.report.timeline import timeline
from spadework.report.typeset import typeset
from spadework.report.verdict import (
    class_chances,
    field_name,
    grades_text,
    leading_rank,
    share_row,
    stop_rows,
    target_text,
)
from spadework.report.working import working

__all__ = ["field_page", "field_report"]

_MORE_LIKELY_THAN_NOT = 0.5
_OF_NITROGEN = "next.nitrogen."  # the step that the decision asks for, without the amount
_CLASS_LABELS = {"too_early": "class_early", "first_look": "class_early", "too_late": "class_late"}


def field_report(advice: FieldAdvice, *, paper: str, units: UnitSystem, language: str = "en") -> bytes:
    """Typeset the report of one field as a tagged PDF; same advice, same bytes.

    Two pages, one more where ``explains``, and one or more where giving nitrogen was ``weighed``.

    Parameters
    ----------
    advice : FieldAdvice
        The only source of everything printed.
    paper : str
        ``a4`` or ``letter``.
    units : UnitSystem
        Units on the page.
    language : str
        Language of labels and sentences.
    """
    data = field_page(advice, units=units, language=language)
    return typeset("field.typ", data, paper=paper, date=advice.advised_on)


def field_page(advice: FieldAdvice, *, units: UnitSystem, language: str = "en") -> dict[str, Any]:
    """Everything that the pages show, as texts and places between 0 and 1."""
    texts = labels(language)
    decision, reader = advice.decision, reader_of(advice, units, language)
    return {
        "language": language,
        "labels": texts,
        "title": f"{texts['page']['field_report']}: {field_name(advice)}",
        "name": field_name(advice),
        "advised_on": fill(texts["page"]["advised_on"], {"day": advice.advised_on}),
        "facts": _facts(advice, texts),
        "headline": reader.say(_headline(advice) if decision is None else decision.headline),
        "second": "" if decision is None else render(_headline(advice), language),
        "timing_headline": _beside_headline(advice, language),
        "glance": _glance(advice, texts),
        "next": _next(advice, reader),
        "see": texts["decision"]["see_page"] if weighed(advice) else "",
        "verdict": _verdict(advice, texts, language),
        "timeline": timeline(
            advice.timing,
            today=advice.advised_on,
            texts=texts,
            nitrogen=advice.nitrogen,
            decision=decision,
            units=units,
        ),
        "timeline_note": " ".join(
            [_timeline_note(advice, texts), nitrogen_note(advice, units=units, texts=texts)]
        ).strip(),
        "nitrogen": nitrogen_told(advice, texts=texts, language=language),
        "why": _why(advice, texts, language),
        "means": render(advice.timing.a_poor_reading_means, language),
        "does_not_mean": render(advice.timing.a_poor_reading_does_not_mean, language),
        "why_in_short": why_in_short(advice, texts, language),
        "causes": causes_page(advice, texts, language),
        "rescue": rescue_page(advice, reader),
        "working": working(advice, units=units, texts=texts, language=language),
    }


def _next(advice: FieldAdvice, reader: Reader) -> list[str]:
    """What the decision asks for by when, with the amount, before the other steps."""
    line = "" if advice.decision is None else act_line(advice.decision, reader)
    steps = [message for message in advice.next_step.messages if not (line and message.id.startswith(_OF_NITROGEN))]
    return [*filter(None, (line,)), *map(reader.say, steps)]


def _headline(advice: FieldAdvice) -> Message:
    return advice.verdict.headline if advice.verdict else advice.timing.headline


def _beside_headline(advice: FieldAdvice, language: str) -> str:
    """The time of the dig where the headline is another, and that a stage seen overrides the window drawn."""
    by_stage = [note for note in advice.timing.notes if note.id == "timing.by_stage"]
    told = [advice.timing.headline, *by_stage] if advice.verdict else by_stage
    return " ".join(render(message, language) for message in told)


def _timeline_note(advice: FieldAdvice, texts: Labels) -> str:
    """What pale ends mean, and that dates rest on judgement where any does."""
    words = texts["timeline"]
    judged = {row.row for row in advice.basis.rows if row.grade == Grade.JUDGEMENT}
    return " ".join([words["note"], *([words["judgement"]] if judged.intersection(advice.timing.sources) else [])])


def _facts(advice: FieldAdvice, texts: Labels) -> list[list[str]]:
    fact = texts["fact"]
    dug_on = advice.timing.dug_on
    return [
        *([[fact["field"], advice.field]] if field_name(advice) != advice.field else []),
        [fact["crop"], word(texts, "crop", advice.crop)],
        [fact["grower"], advice.grower or fact["not_known"]],
        [fact["dug"], fact["not_dug"] if dug_on is None else fill("{day:date}", {"day": dug_on})],
        [fact["stage"], _stage(advice.timing, texts)],
    ]


def _stage(timing: Timing, texts: Labels) -> str:
    fact, stage = texts["fact"], timing.stage
    if stage is None:
        return fact["not_known"]
    if stage.seen is not None:
        name = stage.name_low if stage.name_low == stage.name_high or stage.seen == stage.low_bbch else stage.name_high
        return fill(fact["stage_seen"], {"name": name, "low": stage.seen})
    name = stage.name_low
    if stage.name_low != stage.name_high:
        name = fill(fact["stage_names"], {"low": stage.name_low, "high": stage.name_high})
    template = "stage_estimated" if stage.low_bbch == stage.high_bbch else "stage_range"
    return fill(fact[template], {"name": name, "low": stage.low_bbch, "high": stage.high_bbch})


def _glance(advice: FieldAdvice, texts: Labels) -> list[dict[str, Any]]:
    """The answer in four cells: class, share, time, enough dug."""
    words, verdict, sampling, timing = texts["glance"], advice.verdict, advice.sampling, advice.timing
    if verdict is None:
        note = words["no_verdict_why"] if advice.missing else ""
        cells: list[dict[str, Any]] = [{"label": words["class"], "value": words["no_verdict"], "note": note}]
    else:
        share = share_row(verdict.share)
        cells = [
            {"label": words[_CLASS_LABELS.get(timing.state, "class")], **_class_cell(advice, verdict, texts)},
            {
                "label": words["share"],
                "value": share["text"],
                "note": _share_note(verdict, share["interval"], words),
            },
        ]
    cells.append(
        {
            "label": words["timing"],
            "value": word(texts, "state", timing.state),
            "note": "" if timing.state == "unknown" else words["timing_sure" if timing.sure else "timing_not_sure"],
        }
    )
    if sampling is not None and advice.timing.in_time:
        settled = words["settled_at"] if sampling.settled or not sampling.more_plants else words["more_plants"]
        cells.append(
            {
                "label": words["settled"],
                "value": words["settled_yes" if sampling.settled else "settled_no"],
                "note": fill(settled, {"p": sampling.settle_at, "n": sampling.more_plants}),
            }
        )
    return cells


def _class_cell(advice: FieldAdvice, verdict: Verdict, texts: Labels) -> dict[str, Any]:
    """The class with its probability; both parts of a patch; no probability where the time was wrong."""
    words, name = texts["glance"], word(texts, "class", verdict.leading)
    if not advice.timing.in_time:
        return {"value": name, "note": words["not_now"], "rank": leading_rank(verdict), "open": True}
    if verdict.patch is not None:
        poor, good = format_share(verdict.patch.poor_share.value), format_share(verdict.patch.good_share.value)
        return {"value": words["patchy"], "note": fill(words["parts"], {"poor": poor, "good": good}), "square": True}
    unlikely = _open(advice, verdict)
    return {
        "value": fill(words["perhaps"], {"class": name}) if unlikely else name,
        "note": fill(words["probability"], {"p": verdict.probability}),
        "rank": leading_rank(verdict),
        "open": unlikely,
    }


def _open(advice: FieldAdvice, verdict: Verdict) -> bool:
    """Whether the leading class is no more than a lead: less likely than all others, or read at the wrong time."""
    return verdict.probability < _MORE_LIKELY_THAN_NOT or not advice.timing.in_time


def _share_note(verdict: Verdict, interval: str, words: Mapping[str, str]) -> str:
    if verdict.none_found:
        return words["none_found"]
    return f"{interval}, {words['by_number']}" if verdict.by_number_only else interval


def _verdict(advice: FieldAdvice, texts: Labels, language: str) -> dict[str, Any] | None:
    verdict = advice.verdict
    if verdict is None:
        return None
    return {
        "classes": class_chances(verdict.classes, texts),
        "chances": advice.timing.in_time,
        "of_average": texts["sure"]["of_average"] if verdict.patch and advice.timing.in_time else "",
        "limits": list(verdict.class_limits),
        "stops": stop_rows(verdict, texts),
        "field": share_row(verdict.share),
        "rank": leading_rank(verdict),
        "open": _open(advice, verdict) or verdict.patch is not None,
        "note": fill(
            texts["stops"]["note" if verdict.patch else "note_plain"],
            {"level": verdict.share.level or advice.basis.level},
        ),
        "patch": render(verdict.patch.message, language) if verdict.patch else "",
        "target": f"{target_text(verdict.target, texts)} {grades_text(verdict, texts, in_time=advice.timing.in_time)}",
        "judgement": verdict.target.grade is Grade.JUDGEMENT,
        "number_only": texts["sure"]["number_only"] if verdict.by_number_only else "",
    }


def _why(advice: FieldAdvice, texts: Labels, language: str) -> dict[str, Any]:
    """Reasons of the verdict, less what stands elsewhere; without one, what was seen and what is missing."""
    if advice.verdict is None:
        seen = () if advice.readings is None else (advice.readings.colour.message, advice.readings.position.message)
        items = [render(message, language) for message in seen]
        items += [f"{render(gap.name, language).capitalize()}: {render(gap.adds, language)}" for gap in advice.missing]
        return {"title": texts["why" if seen else "working"]["seen_title" if seen else "missing_title"], "items": items}
    patch = advice.verdict.patch
    elsewhere = {render(advice.verdict.headline, language)} | ({render(patch.message, language)} if patch else set())
    reasons = [render(reason, language) for reason in advice.verdict.reasons]
    reasons = [reason for reason in reasons if reason not in elsewhere]
    items = [*reasons[:2], *_readings(advice, language), *reasons[2:]]
    return {"title": texts["why"]["title"], "items": list(dict.fromkeys(items))}


def _readings(advice: FieldAdvice, language: str) -> list[str]:
    """What colour and position tell, and that scorers disagree."""
    readings = advice.readings
    if readings is None:
        return []
    number_only = advice.verdict is not None and advice.verdict.by_number_only
    told = [] if number_only else [readings.colour.message]  # that nothing was cut open stands beside the classes
    told.append(readings.position.message)
    if readings.agreement is not None and readings.agreement.warning:
        told.append(readings.agreement.message)
    return [render(message, language) for message in told]
