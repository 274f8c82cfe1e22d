"""Whether the stops of a visit differ more than chance allows, and which of them are the poor ones."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import rankdata

__all__ = ["PatchResult", "find_patch"]

Floats = NDArray[np.float64]

_SHUFFLES = 1999
_LEAST_DIFFERENCE = 0.3
"""Least difference of the share adequate between poor and good stops that is worth telling; judgement."""


@dataclass(frozen=True)
class PatchResult:
    """Stops that differ: the p value of chance, and the stops of the poor and of the good part."""

    p_value: float
    poor: tuple[int, ...]
    good: tuple[int, ...]


def find_patch(
    *, stop: NDArray[np.intp], adequate: Floats, effective: Floats, rng: np.random.Generator, limit: float
) -> PatchResult | None:
    """Look for stops that differ more than the shuffling of plants between stops explains.

    Parameters
    ----------
    stop : ndarray of int, shape (plants,)
        Stop of each plant.
    adequate : ndarray, shape (plants,)
        Probability that each plant is adequate. [1]
    effective : ndarray, shape (plants,)
        Effective nodules of each plant. [nodules/plant]
    rng : numpy.random.Generator
        Source of the shuffles.
    limit : float
        p value under which stops are told apart; row ``planning.patch_p``. [1]

    Returns
    -------
    PatchResult or None
        None with fewer than two stops of two plants, where chance explains the difference, or where the
        difference is too small to matter.

    Notes
    -----
    The statistic is the larger of the between-stop sums of squares of the ranks of effective nodules and of the
    adequate plants, each over its mean under shuffling. Plants are sorted first, so that their order never
    matters. Likeness of plants that is usual within a field is more than chance, too: a small p value says that
    the stops differ, not why; the guard on the size of the difference keeps small unlikeness out.
    """
    names, index, plants = np.unique(stop, return_inverse=True, return_counts=True)
    if len(names) < 2 or np.count_nonzero(plants >= 2) < 2:
        return None
    order = np.lexsort((effective, adequate, index))
    index, adequate, effective = index[order], adequate[order], effective[order]
    scores = np.column_stack([_centred(rankdata(effective)), _centred(adequate)])
    p_value = _chance_of(scores, index, plants, rng)
    if p_value >= limit:
        return None
    shares = np.bincount(index, adequate) / plants
    poor = _poorer_part(np.bincount(index, scores[:, 0]) / plants, plants)
    difference = np.average(shares[~poor], weights=plants[~poor]) - np.average(shares[poor], weights=plants[poor])
    if difference < _LEAST_DIFFERENCE:
        return None
    return PatchResult(
        p_value=p_value,
        poor=tuple(int(name) for name in names[poor]),
        good=tuple(int(name) for name in names[~poor]),
    )


def _centred(values: Floats) -> Floats:
    return np.asarray(values - values.mean())


def _chance_of(scores: Floats, index: NDArray[np.intp], plants: NDArray[np.intp], rng: np.random.Generator) -> float:
    """Share of shuffles with stops at least as unlike as seen, the visit itself counted as one."""
    shuffled = np.argsort(rng.random((_SHUFFLES, len(index))), axis=1)
    shuffles = np.concatenate([np.arange(len(index))[None, :], shuffled])
    starts = np.concatenate([[0], np.cumsum(plants)[:-1]])
    between = [(np.add.reduceat(column[shuffles], starts, axis=1) ** 2 / plants).sum(axis=1) for column in scores.T]
    usual = [np.maximum(column.mean(), 1e-12) for column in between]
    statistic = np.max([column / mean for column, mean in zip(between, usual, strict=True)], axis=0)
    return float(np.mean(statistic >= statistic[0] - 1e-9))


def _poorer_part(means: Floats, plants: NDArray[np.intp]) -> NDArray[np.bool_]:
    """The poor one of the two groups of stops that differ most (largest sum of squares between them)."""
    order = np.argsort(means, kind="stable")
    below = np.cumsum((means * plants)[order])[:-1]
    number = np.cumsum(plants[order])[:-1]
    above, rest = (means * plants).sum() - below, plants.sum() - number
    cut = int(np.argmax(below**2 / number + above**2 / rest))
    poor = np.zeros(len(means), dtype=bool)
    poor[order[: cut + 1]] = True
    return poor
