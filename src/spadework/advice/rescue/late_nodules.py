"""Nodules that come late by themselves, where what held them back may pass: a second dig would find them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from spadework.advice.diagnosis.value import Diagnosis
from spadework.advice.nitrogen.balance import Balance
from spadework.agronomy.rescue.second_dig import share_of_factor
from spadework.knowledge.rows import Cause, Knowledge

__all__ = ["LateNodules", "late_nodules", "with_late_nodules"]

Floats = NDArray[np.float64]

_STREAM = 8
"""Beside those of the balance and of the losses."""

_ROW, _COMES_TO = "rescue.late_nodules", "nodulation.too_early"


@dataclass(frozen=True, kw_only=True)
class LateNodules:
    """The cause that may pass, and the chance that nodules then come late by themselves."""

    cause: str
    chance: float
    rows: tuple[str, ...] = (_ROW, _COMES_TO)


def late_nodules(diagnosis: Diagnosis, knowledge: Knowledge) -> LateNodules | None:
    """Read a diagnosis; None where the first cause is not likely, or does not pass by itself."""
    if diagnosis.state not in ("likely", "very_likely"):
        return None
    first = diagnosis.causes[0]
    row = knowledge.row(f"cause.{first.cause}")
    if not isinstance(row, Cause) or row.course != "dig_again" or row.of_timing:
        return None
    return LateNodules(cause=first.cause, chance=first.probability.value * knowledge.figure(_ROW).central)


def with_late_nodules(
    balance: Balance, share: Floats, late: LateNodules, *, knowledge: Knowledge, seed: int
) -> tuple[Balance, Floats]:
    """Let nodules come late in some of the draws.

    They then fix what a crop dug too early may, never less than before, and a later dig finds the share adequate that
    goes with it. ``share`` of shape (draws,) is the share adequate behind each draw; returned as a later dig finds it.
    """
    generator = np.random.default_rng([seed, _STREAM])
    draws = balance.nodulation.shape[0]
    come, chance = generator.random(draws) < late.chance, generator.random(draws)
    low, high = knowledge.figure(_COMES_TO).range
    factor = np.where(come, np.maximum(balance.nodulation[:, 0], low + chance * (high - low)), balance.nodulation[:, 0])
    found = share_of_factor(
        factor=np.minimum(factor, 1.0), curvature=knowledge.figure("nodulation.curvature").central, poor_activity=0.0
    )
    inputs = replace(balance.inputs, parameters=replace(balance.inputs.parameters, nodulation=factor[:, None]))
    return (
        replace(balance, inputs=inputs, nodulation=factor[:, None]),
        np.where(come, np.maximum(share, found), share),
    )
