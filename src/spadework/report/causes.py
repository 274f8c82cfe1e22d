"""The page of causes: why nodulation failed, what speaks for it, what to do, and what to check next."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from spadework.advice.diagnosis.value import CauseAdvice, CheckAdvice, Diagnosis, Evidence, Pallor
from spadework.advice.messages import fill, render
from spadework.advice.value import FieldAdvice
from spadework.quantity import Quantity
from spadework.report.display import format_number, format_share
from spadework.report.labels import Labels
from spadework.report.verdict import share_row

__all__ = [
    "causes_page",
    "causes_title",
    "explains",
    "fell_short",
    "first_check",
    "marks",
    "named_cause",
    "sentence",
    "why_in_short",
    "with_range",
]

_IN_DETAIL = 3
_NAMED = ("likely", "very_likely", "suppressed", "wrong_time")
_MARKS = (3.0, 10.0)
"""Odds moved by these factors or more earn a second and a third mark; the legend of the page says so."""


def explains(advice: FieldAdvice) -> bool:
    """Whether there is anything to explain, so that the field has a page of causes.

    There is where the diagnosis names a cause or the leaves are pale; a dig at the wrong time, which page 1 tells, is
    none by itself. Where it cannot tell there is, if anything at all is known, a plant was dug or a cause is worth a
    check, and the verdict is not that nodulation is adequate.
    """
    found = advice.diagnosis
    if found.state == "wrong_time":
        return len(found.causes) > 1 or bool(found.pallor.causes)
    if found.pallor.causes or found.state in _NAMED:
        return True
    if found.state == "nothing_wrong" or not found.evidence or _is_adequate(advice):
        return False
    return advice.timing.dug_on is not None or bool(found.causes)


def named_cause(advice: FieldAdvice) -> CauseAdvice | None:
    """The likeliest cause, where the diagnosis stands by it."""
    found = advice.diagnosis
    return found.causes[0] if found.state in _NAMED and found.causes else None


def first_check(advice: FieldAdvice) -> CheckAdvice | None:
    """The best check, where something is open: a cause to find, or a verdict short of adequate with none known."""
    found = advice.diagnosis
    open_question = explains(advice) or (fell_short(advice) and found.state != "nothing_wrong")
    return found.checks[0] if open_question and found.checks else None


def fell_short(advice: FieldAdvice) -> bool:
    """Whether the field was dug at the right time and is not adequate."""
    return advice.verdict is not None and advice.timing.in_time and not _is_adequate(advice)


def _is_adequate(advice: FieldAdvice) -> bool:
    verdict = advice.verdict
    return (
        verdict is not None
        and advice.timing.in_time
        and verdict.patch is None
        and verdict.leading == verdict.classes[-1].name
    )


def sentence(text: str) -> str:
    """The text with a capital first."""
    return text[:1].upper() + text[1:]


def why_in_short(advice: FieldAdvice, texts: Labels, language: str) -> dict[str, str] | None:
    """What page 1 says of the causes: the likeliest, and the best check where the next step does not name it."""
    if not explains(advice):
        return None
    words, found, check = texts["causes"], advice.diagnosis, first_check(advice)
    parts = [render(found.headline, language)]
    if found.pallor.causes:
        parts.append(render(found.pallor.headline, language))
    if check is not None and all(message.id != "next.first_check" for message in advice.next_step.messages):
        parts.append(fill(words["check_first"], {"check": render(check.name, language)}))
    return {"title": causes_title(advice, texts), "text": " ".join(parts), "page": words["next_page"]}


def causes_title(advice: FieldAdvice, texts: Labels) -> str:
    """What the causes stand under: only a crop that fell short has failed."""
    failed = fell_short(advice) and advice.diagnosis.state not in ("suppressed", "nothing_wrong", "wrong_time")
    return texts["causes"]["failed" if failed else "title"]


def causes_page(advice: FieldAdvice, texts: Labels, language: str) -> dict[str, Any] | None:
    """Everything that the page of causes shows; None where there is nothing to explain."""
    if not explains(advice):
        return None
    found, words = advice.diagnosis, texts["causes"]
    return {
        "title": causes_title(advice, texts),
        "headline": render(found.headline, language),
        "bars": _bars(found, words, language),
        "others": _others(found, words),
        "notes": _notes(found, words, language),
        "causes": [_in_detail(cause, language) for cause in found.causes[:_IN_DETAIL]],
        "cautions": _cautions(advice, language),
        "checks": [_check(check, words, language) for check in found.checks if found.state != "nothing_wrong"],
        "evidence": _evidence(found, language),
        "pallor": _pallor(found.pallor, language) if found.pallor.causes else None,
        "unread": [render(message, language) for message in found.unread],
    }


def _bars(found: Diagnosis, words: Mapping[str, str], language: str) -> list[dict[str, Any]]:
    """One bar a cause with its range, and a last one for nothing wrong; none where no cause is worth one."""
    if not found.causes:
        return []
    bars = [
        _bar(sentence(render(cause.name, language)), cause.probability, number=place if place <= _IN_DETAIL else None)
        for place, cause in enumerate(found.causes, start=1)
    ]
    return [*bars, _bar(words["nothing"], found.nothing, number=None) | {"nothing": True}]


def _bar(label: str, probability: Quantity, *, number: int | None) -> dict[str, Any]:
    return {"number": "" if number is None else str(number), "label": label, **_chance_row(probability)}


def _chance_row(probability: Quantity) -> dict[str, Any]:
    """A chance with its range in words, which is left out where both its ends read alike."""
    row, low, high = share_row(probability), probability.low, probability.high
    alike = low is not None and high is not None and format_share(low) == format_share(high)
    return row | {"interval": ""} if alike else row


def _others(found: Diagnosis, words: Mapping[str, str]) -> str:
    """The causes that are not drawn in one line, and that chances need not add up."""
    if not found.causes:
        return fill(words["nothing_line"], {"nothing": with_range(found.nothing)})
    if not found.others:
        return words["adding_up"]
    most = max(one.probability for one in found.others)
    rest = fill(words["others"], {"n": len(found.others), "most": most})
    return f"{rest} {words['adding_up']}"


def _notes(found: Diagnosis, words: Mapping[str, str], language: str) -> list[str]:
    """What acts together, how robust the order is, what was assumed, and that figures are judged."""
    of_order = (found.together, found.robust) if found.causes else ()
    told = [message for message in (*of_order, found.priors) if message is not None]
    return [*(render(message, language) for message in told), words["judgement"]]


def with_range(probability: Quantity) -> str:
    """``64 % (49 to 79 %)``."""
    row = _chance_row(probability)
    return f"{row['text']} ({row['interval']})" if row["interval"] else str(row["text"])


def _in_detail(cause: CauseAdvice, language: str) -> dict[str, str]:
    return {
        "name": sentence(render(cause.name, language)),
        "chance": format_share(cause.probability.value),
        "confirm": render(cause.confirm, language),
        "this_season": render(cause.this_season, language),
        "next_season": render(cause.next_season, language),
    }


def _cautions(advice: FieldAdvice, language: str) -> list[str]:
    """Cautions of all causes whose measures stand on the page, each once, less those on the last page."""
    found = advice.diagnosis
    told = [*found.causes[:_IN_DETAIL], *found.pallor.causes[:1]]
    elsewhere = {render(caution, language) for caution in advice.cautions}
    cautions = dict.fromkeys(render(caution, language) for cause in told for caution in cause.cautions)
    return [caution for caution in cautions if caution not in elsewhere]


def _check(check: CheckAdvice, words: Mapping[str, str], language: str) -> dict[str, str]:
    cost = words["laboratory"] if check.laboratory else ""
    if check.price is not None:
        cost = format_number(check.price, 0 if check.price == round(check.price) else 2)
    return {
        "name": sentence(render(check.name, language)),
        "minutes": fill(words["minutes"], {"n": format_number(check.minutes, 0)}),
        "wait": fill(words["days"], {"n": round(check.waits_days)}) if check.waits_days else "",
        "cost": cost,
        "reason": render(check.reason, language),
    }


def _evidence(found: Diagnosis, language: str) -> dict[str, Any]:
    """What is known: what moves one of the causes in detail, the strongest first; the rest; what is set aside."""
    factors = [
        {one.finding: one.odds_factor for one in (*cause.speaks_for, *cause.speaks_against)}
        for cause in found.causes[:_IN_DETAIL]
    ]

    def weight(one: Evidence) -> float:
        return max((abs(math.log(of_cause.get(one.finding, 1.0))) for of_cause in factors), default=0.0)

    counted = [one for one in found.evidence if one.silent is None]
    moving = sorted((one for one in counted if weight(one) > 0), key=weight, reverse=True)
    return {
        "rows": [
            {
                "text": render(one.message, language),
                "marks": [marks(of_cause.get(one.finding, 1.0)) for of_cause in factors],
            }
            for one in moving
        ],
        "rest": [render(one.message, language) for one in counted if weight(one) == 0],
        "aside": _set_aside(found.evidence, language),
    }


def _set_aside(evidence: Sequence[Evidence], language: str) -> list[dict[str, Any]]:
    """Findings that say nothing at the time of the dig, under the reason that they share."""
    by_reason: dict[str, list[str]] = {}
    for one in evidence:
        if one.silent is not None:
            by_reason.setdefault(render(one.silent, language), []).append(render(one.message, language))
    return [{"reason": reason, "items": items} for reason, items in by_reason.items()]


def marks(odds_factor: float) -> str:
    """One to three marks, plus for a finding that makes the cause likelier and minus for one that makes it less."""
    if odds_factor == 1:
        return ""
    strength = max(odds_factor, 1 / odds_factor) if odds_factor > 0 else math.inf
    return ("+" if odds_factor > 1 else "−") * (1 + sum(strength >= step for step in _MARKS))


def _pallor(pallor: Pallor, language: str) -> dict[str, Any]:
    """Look-alikes: which it is, why not nitrogen, the ranking, and the first of them in detail."""
    first = pallor.causes[0]
    return {
        "nitrogen": pallor.state == "nitrogen",
        "headline": render(pallor.headline, language),
        "not_nitrogen": render(pallor.not_nitrogen, language) if pallor.not_nitrogen else "",
        "ranks": [
            {"name": sentence(render(cause.name, language)), **_chance_row(cause.probability)}
            for cause in pallor.causes
        ],
        "arguments": [
            f"{marks(one.odds_factor)} {render(one.message, language)}"
            for one in (*first.speaks_for, *first.speaks_against)
        ],
        "first": _in_detail(first, language),
    }
