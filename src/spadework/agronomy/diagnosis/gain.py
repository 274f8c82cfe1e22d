"""What a check is expected to tell before it is made."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.diagnosis.network import Posterior, state_weights

__all__ = ["Gain", "expected_gain", "expected_right"]

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Gain:
    """What a check is worth on average over its possible answers.

    ``bits`` is the mutual information of its answers and the causes [bit]. ``right_now`` and ``right_then`` are the
    chances that the best choice is the right one, without and with the answer [1].
    """

    bits: float
    right_now: float
    right_then: float


def expected_gain(state: Posterior, findings: tuple[int, ...], course_of_set: NDArray[np.intp]) -> Gain:
    """Expected gain of settling some findings at once.

    Parameters
    ----------
    state : Posterior
    findings : tuple of int
        Places of the findings that the check settles; those known already gain nothing.
    course_of_set : ndarray of int, shape (sets,)
        The right course of action for each set of causes.
    """
    answers = _answer_chances(state, findings)
    spread = _entropy(state.weights @ answers)
    bits = float(spread - state.weights @ _entropy(answers))
    of_course = np.zeros((int(course_of_set.max()) + 1, len(course_of_set)))
    of_course[course_of_set, np.arange(len(course_of_set))] = state.weights
    now, then = expected_right(of_course @ answers)
    return Gain(bits=max(0.0, bits), right_now=now, right_then=max(then, now))


def expected_right(value: Floats) -> tuple[float, float]:
    """Value of the best choice without and with the answer.

    Parameters
    ----------
    value : ndarray, shape (choices, answers)
        Value of each choice summed over the states of the world, each weighted with its joint probability with
        the answer. Chances of being right are the case in which a choice is worth 1 where it is right, else 0.

    References
    ----------
    raiffa1968 (value of an imperfect test).
    """
    return float(value.sum(axis=1).max()), float(value.max(axis=0).sum())


def _answer_chances(state: Posterior, findings: tuple[int, ...]) -> Floats:
    """Chance of each answer for each set of causes, given what is known. Shape (sets, answers)."""
    joint = np.ones((len(state.weights), 1))
    for group in state.network.groups:
        asked = [place for place in group if place in findings]
        if not asked:
            continue
        places = list(group)
        so = state.chances[:, places]
        states = np.column_stack([so, 1 - so.sum(axis=1)]) * state_weights(state.answers[places])
        states /= states.sum(axis=1, keepdims=True)
        of_asked = states[:, [places.index(place) for place in asked]]
        one = np.column_stack([of_asked, np.maximum(1 - of_asked.sum(axis=1), 0.0)])
        joint = (joint[:, :, None] * one[:, None, :]).reshape(len(joint), -1)
    return joint


def _entropy(chances: Floats) -> Floats:
    """Entropy along the last axis. [bit]"""
    logs = np.log2(chances, out=np.zeros_like(chances), where=chances > 0)
    return np.asarray(-(chances * logs).sum(axis=-1))
