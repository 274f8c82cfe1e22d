"""The report of a season: every field on one list, what needs attention first."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

from spadework.advice.messages import fill, render
from spadework.advice.next_step import attention_order
from spadework.advice.value import DateRange, FieldAdvice, SourceUsed, Verdict
from spadework.knowledge.rows import Crop
from spadework.report.causes import named_cause
from spadework.report.decision import decision_cell, of_part
from spadework.report.display import UnitSystem, format_quantity, format_share
from spadework.report.labels import Labels, labels, word
from spadework.report.timeline import short_days
from spadework.report.typeset import typeset
from spadework.report.verdict import class_chances, class_rank, field_name, leading_rank, share_row
from spadework.report.working import source_rows

__all__ = ["season_page", "season_report"]


def season_report(
    fields: Sequence[FieldAdvice], *, title: str, season: str, paper: str, units: UnitSystem, language: str = "en"
) -> bytes:
    """Typeset the report of a season: a tagged PDF of as many pages as it takes; same advice, same bytes.

    Parameters
    ----------
    fields : sequence of FieldAdvice
        One a field, in any order: the order of the page is its own.
    title, season : str
        What the book is called, and which season it is.
    paper : str
        ``a4`` or ``letter``.
    units : UnitSystem
        Units on the page.
    language : str
        Language of labels and sentences.
    """
    data = season_page(fields, title=title, season=season, units=units, language=language)
    date = max((advice.advised_on for advice in fields), default=None)
    return typeset("season.typ", data, paper=paper, date=date)


def season_page(
    fields: Sequence[FieldAdvice], *, title: str, season: str, units: UnitSystem, language: str = "en"
) -> dict[str, Any]:
    """Everything that the season's pages show, as texts and places between 0 and 1."""
    texts = labels(language)
    words = texts["season"]
    ordered = sorted(fields, key=attention_order)
    judged = sum(advice.verdict is not None and advice.timing.in_time for advice in ordered)
    return {
        "language": language,
        "labels": texts,
        "title": title,
        "season": season,
        "date": _date(ordered, texts),
        "facts": fill(words["facts"], {"fields": len(ordered), "judged": judged}),
        "counts": _counts(ordered, texts),
        "rows": [_row(advice, texts, units) for advice in ordered],
        "decided": any(advice.decision is not None for advice in ordered),
        "groups": _groups(ordered, texts),
        "figure_note": _figure_note(ordered, texts),
        "again": [
            {"name": _full_name(advice), "what": _what_to_do(advice, language)}
            for advice in ordered
            if advice.next_step.dig_again
        ],
        "cautions": list(dict.fromkeys(render(one, language) for advice in ordered for one in advice.cautions)),
        "sources": _sources(ordered, texts),
        "basis": _basis(ordered, texts),
    }


def _full_name(advice: FieldAdvice) -> str:
    name = field_name(advice)
    return name if name == advice.field else f"{name} ({advice.field})"


def _counts(fields: Sequence[FieldAdvice], texts: Labels) -> list[dict[str, Any]]:
    """How many fields lead with each class; how many were dug at the wrong time, have no verdict, are not settled."""
    words = texts["season"]
    with_verdict = [advice for advice in fields if advice.verdict is not None]
    in_time = [advice for advice in with_verdict if advice.timing.in_time]
    leading = Counter(advice.verdict.leading for advice in in_time if advice.verdict is not None)
    ranks = {
        one.name: class_rank(place, len(verdict.classes))
        for verdict in (advice.verdict for advice in with_verdict)
        if verdict is not None
        for place, one in enumerate(verdict.classes)
    }
    cells: list[dict[str, Any]] = [
        {"word": word(texts, "class", name), "n": leading[name], "rank": rank} for name, rank in ranks.items()
    ]
    unsettled = sum(advice.sampling is not None and not advice.sampling.settled for advice in in_time)
    return [
        *cells,
        {"word": words["count_unsettled"], "n": unsettled},
        {"word": words["count_wrong_time"], "n": len(with_verdict) - len(in_time)},
        {"word": words["count_none"], "n": len(fields) - len(with_verdict)},
    ]


def _row(advice: FieldAdvice, texts: Labels, units: UnitSystem) -> dict[str, Any]:
    words, verdict, timing = texts["season"], advice.verdict, advice.timing
    dug = words["not_dug"] if timing.dug_on is None else short_days(DateRange(timing.dug_on, timing.dug_on), texts)
    heat = timing.degree_days
    decision, by = decision_cell(advice.decision, texts)
    row = {
        "decision": decision,
        "by": by,
        "where": texts["decision"]["part"] if of_part(advice) else "",
        "name": field_name(advice),
        "crop": word(texts, "crop", advice.crop),
        "dug": dug,
        "time": word(texts, "state", timing.state),
        "heat": "" if heat is None or heat.missing_days else format_quantity(heat.total, units, interval=False),
        "enough": _enough(advice, texts),
        "cause": _cause(advice, words),
    }
    if verdict is None:
        return row | {"class": words["count_none"], "probability": "", "share": "", "interval": ""}
    share = share_row(verdict.share)
    return row | {
        "rank": leading_rank(verdict),
        "class": _class_text(advice, verdict, texts),
        "in_time": advice.timing.in_time,
        "probability": format_share(verdict.probability),
        "share": share["text"],
        "interval": share["interval"],
    }


def _class_text(advice: FieldAdvice, verdict: Verdict, texts: Labels) -> str:
    name = word(texts, "class", verdict.leading)
    if advice.timing.in_time:
        return name
    return fill(texts["season"]["late" if advice.timing.state == "too_late" else "so_far"], {"class": name})


def _cause(advice: FieldAdvice, words: Mapping[str, str]) -> str:
    """The likeliest cause with its probability, where the diagnosis stands by one and no other column tells it."""
    cause = named_cause(advice)
    if cause is None or advice.diagnosis.state == "wrong_time":
        return ""
    return fill(words["cause"], {"cause": cause.cause, "p": cause.probability.value})


def _enough(advice: FieldAdvice, texts: Labels) -> str:
    words, sampling = texts["season"], advice.sampling
    if sampling is None or not advice.timing.in_time:
        return ""
    if sampling.settled:
        return words["settled"]
    return fill(words["more"], {"n": sampling.more_plants}) if sampling.more_plants else words["more_unknown"]


def _groups(fields: Sequence[FieldAdvice], texts: Labels) -> list[dict[str, Any]]:
    """Fields of one crop below one another, in the order of the crops and then of attention."""
    groups = []
    for crop in Crop:
        of_crop = [advice for advice in fields if advice.crop is crop and advice.verdict is not None]
        if of_crop:
            verdict = of_crop[0].verdict
            assert verdict is not None  # noqa: S101 - chosen so above
            name = word(texts, "crop", crop)
            groups.append(
                {
                    "crop": name,
                    "alt": fill(texts["season"]["figure_alt"], {"crop": name}),
                    "classes": class_chances(verdict.classes, texts),
                    "limits": list(verdict.class_limits),
                    "rows": [_strip(advice, texts) for advice in of_crop],
                }
            )
    return groups


def _strip(advice: FieldAdvice, texts: Labels) -> dict[str, Any]:
    verdict = advice.verdict
    assert verdict is not None  # noqa: S101 - only fields with a verdict are drawn
    return {
        "name": field_name(advice),
        "share": share_row(verdict.share),
        "rank": leading_rank(verdict),
        "class": _class_text(advice, verdict, texts),
        "patch": texts["season"]["patch"] if verdict.patch else "",
    }


def _date(fields: Sequence[FieldAdvice], texts: Labels) -> str:
    if not fields:
        return ""
    return fill(texts["page"]["advised_on"], {"day": max(advice.advised_on for advice in fields)})


def _what_to_do(advice: FieldAdvice, language: str) -> str:
    messages = advice.next_step.messages or (advice.timing.headline,)
    return " ".join(render(message, language) for message in messages)


def _figure_note(fields: Sequence[FieldAdvice], texts: Labels) -> str:
    return fill(texts["season"]["figure_note"], {"level": fields[0].basis.level}) if fields else ""


def _sources(fields: Sequence[FieldAdvice], texts: Labels) -> dict[str, Any]:
    """Every row used in the season once, with the number of fields it was used for."""
    used: dict[SourceUsed, int] = {}
    for advice in fields:
        for row in advice.basis.rows:
            used[row] = used.get(row, 0) + 1
    ordered = sorted(used, key=lambda row: (row.grade, row.row, row.figure))
    rows = source_rows(ordered, texts)
    for shown, row in zip(rows["rows"], ordered, strict=True):
        shown["fields"] = used[row]
    return rows


def _basis(fields: Sequence[FieldAdvice], texts: Labels) -> str:
    if not fields:
        return texts["page"]["brand"]
    basis = fields[0].basis
    values = {"brand": texts["page"]["brand"], "version": basis.version, "hash": basis.knowledge_hash}
    return fill(texts["season"]["basis"], values | {"n": len(fields)})
