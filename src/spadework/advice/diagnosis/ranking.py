"""Causes ranked, each with the evidence for and against it and what to do about it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from spadework.advice.diagnosis.model import Model
from spadework.advice.diagnosis.value import Argument, CauseAdvice, Evidence
from spadework.advice.message import Message
from spadework.agronomy.diagnosis import Posterior, Robustness
from spadework.knowledge.rows import Cause
from spadework.quantity import Grade, Quantity

__all__ = ["cause_advice", "ranked", "within_bands"]

Floats = NDArray[np.float64]

_WORTH_SAYING = math.log(1.15)
_BAND = (0.05, 0.95)
_NEVER_SURER = 1e-12


def ranked(state: Posterior) -> list[int]:
    """Places of the causes, likeliest first; those alike stay in the order of their table."""
    return [int(place) for place in np.argsort(-state.causes, kind="stable")]


def within_bands(value: float, drawn: Floats, *, sources: tuple[str, ...]) -> Quantity:
    """A probability with the range that it takes over the bands of the figures, the outer draws left out."""
    low, high = np.quantile(drawn, _BAND)
    return Quantity(
        value=value,
        unit="1",
        low=min(float(low), value),
        high=max(float(high), value),
        sources=sources,
        grade=Grade.JUDGEMENT,
    )


def cause_advice(
    places: Sequence[int], *, model: Model, state: Posterior, over_bands: Robustness, evidence: Sequence[Evidence]
) -> tuple[CauseAdvice, ...]:
    """Say of each of these causes how likely it is, why, and what to do."""
    with_all = state.causes
    without = {
        one.finding: state.without(place)
        for one in evidence
        if one.silent is None and (place := model.place(one.finding)) is not None
    }
    return tuple(
        _advice(
            model.causes[place],
            probability=within_bands(
                float(with_all[place]), over_bands.causes[:, place], sources=(model.causes[place].id,)
            ),
            factors={name: _odds(with_all[place]) / _odds(apart[place]) for name, apart in without.items()},
            model=model,
            evidence=evidence,
        )
        for place in places
    )


def _advice(
    cause: Cause,
    *,
    probability: Quantity,
    factors: Mapping[str, float],
    model: Model,
    evidence: Sequence[Evidence],
) -> CauseAdvice:
    arguments = [
        Argument(finding=one.finding, odds_factor=factors[one.finding], message=one.message)
        for one in evidence
        if one.finding in factors
        and model.line(cause, one.finding) is not None
        and abs(math.log(factors[one.finding])) > _WORTH_SAYING
    ]
    arguments.sort(key=lambda one: -abs(math.log(one.odds_factor)))
    text = f"cause.{cause.name}"
    return CauseAdvice(
        cause=cause.name,
        name=Message(f"{text}.name"),
        probability=probability,
        speaks_for=tuple(one for one in arguments if one.odds_factor > 1),
        speaks_against=tuple(one for one in arguments if one.odds_factor < 1),
        confirm=Message(f"{text}.confirm", sources=(cause.id,)),
        this_season=Message(f"{text}.this_season", sources=(cause.id,)),
        next_season=Message(f"{text}.next_season", sources=(cause.id,)),
        cautions=tuple(Message(f"caution.{name}", sources=(f"caution.{name}",)) for name in cause.cautions),
    )


def _odds(probability: float) -> float:
    held = min(max(float(probability), _NEVER_SURER), 1 - _NEVER_SURER)
    return held / (1 - held)
