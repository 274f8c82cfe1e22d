"""What a check is expected to tell before it is made."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.diagnosis.network import Posterior, state_weights
from spadework.agronomy.diagnosis.sets import cause_sets, sum_over_sets
from spadework.errors import DomainError

__all__ = ["Gain", "expected_gain", "expected_right"]

Floats = NDArray[np.float64]
Places = NDArray[np.intp]

_TINY = float(np.finfo(float).tiny)


@dataclass(frozen=True)
class Gain:
    """What a check is worth on average over its possible answers.

    ``bits`` is the mutual information of its answers and the causes [bit]. ``right_now`` and ``right_then`` are the
    chances that the best choice is the right one, without and with the answer [1].
    """

    bits: float
    right_now: float
    right_then: float


def expected_gain(state: Posterior, findings: tuple[int, ...], course_of_set: Places) -> Gain:
    """Expected gain of settling some findings at once.

    Parameters
    ----------
    state : Posterior
    findings : tuple of int
        Places of the findings that the check settles; those known for sure already gain nothing.
    course_of_set : ndarray of int, shape (sets,)
        The right course of action for each set of causes, counted from 0.

    Raises
    ------
    DomainError
        If a finding is none of the network's, or there is not one course for each set.

    Notes
    -----
    Groups are independent once the causes are known, so what the causes leave open is summed over the groups.
    """
    _refuse_unknown(state, findings, course_of_set)
    asked = [_answers(state, group, findings) for group in state.network.groups if set(findings) & set(group)]
    causes = tuple(sorted(set().union(*(bearing for _, bearing in asked))))
    of_course = _course_weights(state, causes, course_of_set)
    of_set = of_course.sum(axis=0)
    joint = np.ones((1, len(of_set)))
    open_still = 0.0
    for answers, bearing in asked:
        open_still += float(state.network.laid_out(_entropy(answers), bearing, among=causes) @ of_set)
        one = state.network.laid_out(answers, bearing, among=causes, axis=1)
        joint = (joint[:, None, :] * one[None, :, :]).reshape(-1, len(of_set))
    value = sum_over_sets(joint, of_course.T).T
    bits = float(_entropy(value.sum(axis=0))) - open_still
    now, then = expected_right(value)
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


def _answers(state: Posterior, group: tuple[int, ...], findings: tuple[int, ...]) -> tuple[Floats, tuple[int, ...]]:
    """Chance of each answer on the findings asked of a group, given what is known, then of none of them.

    Shape (answers, sets), for the sets of the causes that bear on the group; with it, these causes.
    """
    shared = state.network.group(group)
    states = shared.chances * state_weights(state.answers[list(group)])[:, None]
    total = states.sum(axis=0)
    # What is known rules some sets out; they weigh nothing, whatever their answers.
    np.divide(states, total, out=states, where=total > 0)
    asked = [number for number, place in enumerate(group) if place in findings]
    others = [number for number in range(len(group) + 1) if number not in asked]
    return np.stack([*states[asked], states[others].sum(axis=0)]), shared.causes


def _course_weights(state: Posterior, causes: tuple[int, ...], course_of_set: Places) -> Floats:
    """Probability of each course together with each set of some causes. Shape (courses, sets)."""
    courses, sets = int(course_of_set.max()) + 1, len(cause_sets(len(causes), state.network.most_together))
    both = course_of_set * sets + state.network.sets_of(causes)
    return np.asarray(np.bincount(both, weights=state.weights, minlength=courses * sets), float).reshape(courses, sets)


def _entropy(chances: Floats) -> Floats:
    """Entropy over the first axis [bit]."""
    return np.asarray(-(chances * np.log2(np.maximum(chances, _TINY))).sum(axis=0))


def _refuse_unknown(state: Posterior, findings: tuple[int, ...], course_of_set: Places) -> None:
    count, sets = len(state.answers), len(state.weights)
    for place in findings:
        if not 0 <= place < count:
            raise DomainError("findings", place, f"places from 0 to {count - 1}")
    if course_of_set.shape != (sets,):
        raise DomainError("shape of course_of_set", course_of_set.shape, f"{(sets,)}, one course for each set")
