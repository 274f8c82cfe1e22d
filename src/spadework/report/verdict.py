"""The verdict as rows of figures: classes with their chances, stops and fields against the class bands."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from spadework.advice.messages import fill
from spadework.advice.value import ClassProbability, FieldAdvice, StopSummary, TargetInForce, Verdict
from spadework.quantity import Grade, Quantity
from spadework.report.display import format_number, format_share
from spadework.report.labels import Labels, word

__all__ = [
    "class_chances",
    "class_rank",
    "field_name",
    "grade_word",
    "grades_text",
    "leading_rank",
    "share_row",
    "stop_rows",
    "target_text",
]


def field_name(advice: FieldAdvice) -> str:
    """The name of the field; its short name where it has no other."""
    return (advice.name or "").strip() or advice.field


def class_rank(place: int, classes: int) -> int:
    """0 for the worst class, 2 for the best, 1 for any between: the key to shade and mark."""
    return 0 if place == 0 else 2 if place == classes - 1 else 1


def leading_rank(verdict: Verdict) -> int:
    """Rank of the most probable class."""
    names = [one.name for one in verdict.classes]
    return class_rank(names.index(verdict.leading), len(names))


def class_chances(classes: Sequence[ClassProbability], texts: Labels) -> list[dict[str, Any]]:
    """Classes from worst to best, each with its rank, word and probability."""
    return [
        {
            "word": word(texts, "class", one.name),
            "rank": class_rank(place, len(classes)),
            "probability": one.probability,
            "text": format_share(one.probability),
        }
        for place, one in enumerate(classes)
    ]


def share_row(share: Quantity) -> dict[str, Any]:
    """A share as a dot with its line; without an interval the line has no length."""
    low = share.value if share.low is None else share.low
    high = share.value if share.high is None else share.high
    interval = "" if share.low is None else f"{format_share(low).removesuffix(' %')} to {format_share(high)}"
    return {"at": share.value, "low": low, "high": high, "text": format_share(share.value), "interval": interval}


def stop_rows(verdict: Verdict, texts: Labels) -> list[dict[str, Any]]:
    """One row a stop, in the order of the advice."""
    return [_stop_row(stop, texts) for stop in verdict.stop_summaries]


def _stop_row(stop: StopSummary, texts: Labels) -> dict[str, Any]:
    words = texts["stops"]
    if stop.adequate is None:
        count = words["not_scored"]
    else:
        adequate = format_number(stop.adequate, 0 if stop.adequate == round(stop.adequate) else 1)
        count = fill(words["count"], {"adequate": adequate, "plants": stop.plants})
    return {
        "stop": stop.stop,
        "label": fill(words["stop"], {"name": stop.stop}),
        "plants": stop.plants,
        "count": count,
        "share": None if stop.share is None else share_row(stop.share),
        "mean": "" if stop.mean_effective is None else format_number(stop.mean_effective, 1),
        "patch": "" if stop.in_patch is None else word(texts, "patch", stop.in_patch),
        "poor_patch": stop.in_patch == "poor",
    }


def target_text(target: TargetInForce, texts: Labels) -> str:
    """What a plant was held against and by which scheme."""
    value = format_number(target.value, 0 if target.value == round(target.value) else 1)
    return fill(
        texts["stops"]["target"],
        {
            "comparison": word(texts, "comparison", target.comparison),
            "value": value,
            "unit": word(texts, "counting_unit", target.counting_unit),
            "sizes": word(texts, "counts", target.counts),
            "scheme": target.scheme,
            "chosen": word(texts, "chosen_by", target.chosen_by),
        },
    )


def grades_text(verdict: Verdict, texts: Labels, *, in_time: bool) -> str:
    """How well founded the target is, and the interval and probabilities; these are shown only ``in_time``."""
    words = texts["graded"]
    target = fill(words["target"], {"grade": words[verdict.target.grade]})
    share = verdict.share.grade
    if share is None:
        return target
    of = words[share] if share != Grade.JUDGEMENT else words["share_judgement"]
    return f"{target} {fill(words['chances' if in_time else 'interval'], {'grade': of})}"


def grade_word(grade: str, texts: Labels) -> str:
    """``A read at the source``."""
    return word(texts, "grade", grade)
