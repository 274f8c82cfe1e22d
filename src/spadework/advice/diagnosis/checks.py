"""The checks not yet made, ranked by what they are expected to tell for what they take."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from spadework.advice.diagnosis.model import Model
from spadework.advice.diagnosis.ranking import ranked
from spadework.advice.diagnosis.value import CheckAdvice
from spadework.advice.message import Message
from spadework.agronomy.diagnosis import Gain, Posterior, expected_gain
from spadework.knowledge.rows import COURSES, Check, Crop, Knowledge

__all__ = ["rank_checks"]

_OPEN = (0.15, 0.85)
"""A finding read with less doubt than this is taken for settled."""

_IDLE_AFTER_YES = {
    "no_nodules": ("few_nodules", "bare_crown", "lateral_only", "nodules_normal", "few_large_red", "many_small_pale",
                   "green_or_brown", "hollow_nodules"),
    "few_nodules": ("nodules_normal",),
    "bare_crown": ("no_nodules",),
    "nodules_normal": ("no_nodules", "few_nodules", "few_large_red", "many_small_pale", "green_or_brown"),
    "pale_old_leaves": ("pale_young_leaves", "green_tops"),
    "pale_young_leaves": ("pale_old_leaves", "green_tops"),
    "green_tops": ("pale_old_leaves", "pale_young_leaves", "stunted"),
    "no_inoculant": ("wrong_group_label", "pack_old_or_hot", "late_after_coating", "toxic_dressing",
                     "fertiliser_contact", "harmful_partner", "mixed_strains", "lot_count_low"),
}  # fmt: skip
"""What a yes makes idle: nobody cuts nodules that are not there, or reads the label of what was not used."""

_COST_ROWS = tuple(f"diagnosis.{name}_minutes" for name in ("trip", "waiting", "laboratory"))

_LEAST_GAIN = 0.005
_ONE_PERCENT = 0.01


def rank_checks(
    questions: Sequence[tuple[Model, Posterior]],
    *,
    crop: Crop,
    prices: Mapping[str, float],
    hour_price: float | None,
    knowledge: Knowledge,
) -> tuple[CheckAdvice, ...]:
    """Rank what one can still find out, the best first; what is idle or would tell next to nothing is left out.

    ``questions`` are what is asked of the field: why it failed and, where leaves look wrong, why they are pale. A check
    counts for the one that it tells most of. Its worth is the mean of two shares: how much it is expected to take off
    what is open among the causes, and how much off the chance of taking the wrong course for this season's nitrogen.
    It is divided by what the check takes: minutes of work, a laboratory's fee and the days of waiting counted as
    minutes.
    """
    found = []
    for check in knowledge.of(Check):
        if check.crops and crop not in check.crops:
            continue
        price = prices.get(check.name)
        advised = [one for one in (_of_question(check, model, state, price) for model, state in questions) if one]
        if advised:
            worth, advice = max(advised, key=lambda pair: pair[0])
            found.append((worth / _minutes(check, price, hour_price, knowledge), advice))
    found.sort(key=lambda pair: -pair[0])
    return tuple(advice for _, advice in found)


def _of_question(check: Check, model: Model, state: Posterior, price: float | None) -> tuple[float, CheckAdvice] | None:
    """What a check is worth for one question, and the advice to make it; None where it is idle or tells nothing."""
    sure = [row.name for row, answer in zip(model.findings, state.answers, strict=True) if answer >= _OPEN[1]]
    idle = {name for finding in sure for name in _IDLE_AFTER_YES.get(finding, ())}
    places = tuple(
        place
        for name in check.findings
        if name not in idle and (place := model.place(name)) is not None and _is_open(state.answers[place])
    )
    if not places:
        return None
    gain = expected_gain(state, places, _course_of_set(model))
    weights = state.weights[state.weights > 0]
    open_bits = float(-(weights * np.log2(weights)).sum())
    share = gain.bits / open_bits if open_bits > 0 else 0.0
    wrong = 1 - gain.right_now
    worth = (share + ((gain.right_then - gain.right_now) / wrong if wrong > 0 else 0.0)) / 2
    if worth < _LEAST_GAIN:
        return None
    return worth, _advice(check, places, gain, share=share, price=price, model=model, state=state)


def _course_of_set(model: Model) -> NDArray[np.intp]:
    """Course of each set of causes: the most cautious one of its causes; no nitrogen where none acts."""
    each = np.array([COURSES.index(cause.course) for cause in model.causes], dtype=np.intp)
    present = model.central.sets.present
    courses = np.where(present, each, -1).max(axis=1)
    return np.where(courses < 0, COURSES.index("no_nitrogen"), courses)


def _is_open(answer: float) -> bool:
    return bool(np.isnan(answer) or _OPEN[0] < answer < _OPEN[1])


def _minutes(check: Check, price: float | None, hour_price: float | None, knowledge: Knowledge) -> float:
    """What a check takes, all counted as minutes of work."""

    def figure(name: str) -> float:
        return knowledge.figure(f"diagnosis.{name}").central

    minutes = check.minutes + figure("trip_minutes") + check.waits_days * figure("waiting_minutes")
    if price is not None and hour_price:
        return minutes + 60 * price / hour_price
    return minutes + (figure("laboratory_minutes") if check.laboratory else 0.0)


def _advice(
    check: Check,
    places: Sequence[int],
    gain: Gain,
    *,
    share: float,
    price: float | None,
    model: Model,
    state: Posterior,
) -> CheckAdvice:
    findings = tuple(model.findings[place].name for place in places)
    bears_on = [
        cause.name
        for cause in (model.causes[place] for place in ranked(state))
        if any(model.line(cause, name) is not None for name in findings)
    ]
    decides = gain.right_then - gain.right_now >= _ONE_PERCENT
    return CheckAdvice(
        check=check.name,
        name=Message(f"check.{check.name}.name"),
        reason=Message(
            f"diagnosis.reason.{'decides' if decides else 'tells'}",
            {
                "first": bears_on[0],
                "others": len(bears_on) - 1,
                "share": share,
                "now": gain.right_now,
                "then": gain.right_then,
            },
            sources=(check.id, *_COST_ROWS),
        ),
        findings=findings,
        minutes=check.minutes,
        waits_days=check.waits_days,
        laboratory=check.laboratory,
        price=price,
        bits=gain.bits,
        right_now=gain.right_now,
        right_then=gain.right_then,
    )
