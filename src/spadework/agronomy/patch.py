"""Whether the stops of a visit differ more than chance allows, and which of them are the poor ones."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spadework.errors import DomainError

__all__ = ["PatchResult", "chance_of_difference", "find_patch"]

Floats = NDArray[np.float64]
Integers = NDArray[np.intp]

_SHUFFLES = 1999


@dataclass(frozen=True)
class PatchResult:
    """Stops that differ: the p value of chance, and the stops of the poor and of the good part."""

    p_value: float
    poor: tuple[int, ...]
    good: tuple[int, ...]


def find_patch(
    *, stop: Integers, adequate: Floats, effective: Floats, rng: np.random.Generator, limit: float, least: float
) -> PatchResult | None:
    """Look for stops that differ more than the shuffling of plants between stops explains.

    Parameters
    ----------
    stop, adequate, effective, rng
        As in ``chance_of_difference``.
    limit : float
        p value under which stops are told apart; row ``planning.patch_p``. [1]
    least : float
        Difference of the share adequate between the parts that is worth telling; row ``planning.patch_difference``.
        [1]

    Returns
    -------
    PatchResult or None
        None with fewer than two stops of two plants, where chance explains the difference, or where the
        shares adequate of the poor and of the good part differ too little to matter.

    Notes
    -----
    The poor and the good part are the two groups of stops between which the mean ranks of effective nodules differ
    most (largest sum of squares).
    """
    p_value = chance_of_difference(stop=stop, adequate=adequate, effective=effective, rng=rng)
    if p_value is None or p_value >= limit:
        return None
    names, index, plants = np.unique(stop, return_inverse=True, return_counts=True)
    shares = np.bincount(index, adequate) / plants
    poor = _poorer_part(np.bincount(index, _ranks(effective)) / plants, plants)
    difference = np.average(shares[~poor], weights=plants[~poor]) - np.average(shares[poor], weights=plants[poor])
    if difference < least:
        return None
    return PatchResult(
        p_value=p_value,
        poor=tuple(int(name) for name in names[poor]),
        good=tuple(int(name) for name in names[~poor]),
    )


def chance_of_difference(
    *, stop: Integers, adequate: Floats, effective: Floats, rng: np.random.Generator
) -> float | None:
    """How often plants shuffled between stops make stops as unlike as they are.

    Parameters
    ----------
    stop : ndarray of int, shape (plants,)
        Stop of each plant.
    adequate : ndarray, shape (plants,)
        Probability that each plant is adequate, none missing. [1]
    effective : ndarray, shape (plants,)
        Effective nodules of each plant, none missing. [nodules/plant]
    rng : numpy.random.Generator
        Source of the shuffles; the same state gives the same answer, whatever the order of plants and stops.

    Returns
    -------
    float or None
        p value of 1,999 shuffles and the visit itself; None with fewer than two stops of two plants. [1]

    Raises
    ------
    DomainError
        If a value is missing.

    Notes
    -----
    The statistic is the larger of the between-stop sums of squares of the ranks of effective nodules and of the
    adequate plants, each over its mean under shuffling. The likeness of plants within a stop that is usual in any
    field is more than chance, too: a small p value says that the stops differ, neither by how much nor why.

    References
    ----------
    phipson2010 (the visit itself counts as one of the shuffles)
    """
    for name, values in (("adequate", adequate), ("effective", effective)):
        missing = np.flatnonzero(~np.isfinite(values))
        if missing.size:
            raise DomainError(name, float(values[missing[0]]), "known for every plant", index=int(missing[0]))
    _, index, plants = np.unique(stop, return_inverse=True, return_counts=True)
    if np.count_nonzero(plants >= 2) < 2:
        return None
    ranks = _ranks(effective)
    scores = np.stack([ranks - ranks.mean(), adequate - adequate.mean()])
    seen = _between(np.stack([np.bincount(index, score) for score in scores]), plants)
    # Sorted plants are dealt to stops sorted by size: neither the order of rows nor the names of stops matter.
    pooled, sizes = scores[:, np.lexsort(scores)], np.sort(plants)
    shuffles = rng.permuted(np.tile(np.arange(len(index)), (_SHUFFLES, 1)), axis=1)
    starts = np.cumsum(sizes) - sizes
    dealt = np.stack([_between(np.add.reduceat(score[shuffles], starts, axis=1), sizes) for score in pooled])
    every = np.concatenate([seen[:, None], dealt], axis=1)
    usual = every.mean(axis=1, keepdims=True)
    unlike = (every / np.where(usual > 1e-12, usual, np.inf)).max(axis=0)
    return float(np.mean(unlike >= unlike[0] - 1e-9))


def _between(totals: Floats, plants: Integers) -> Floats:
    """Between-stop sum of squares from the totals of stops, on the last axis."""
    return np.asarray((totals**2 / plants).sum(axis=-1))


def _ranks(values: Floats) -> Floats:
    """Ranks from 1, equal values sharing their mean rank."""
    _, index, times = np.unique(values, return_inverse=True, return_counts=True)
    return np.asarray((np.cumsum(times) - (times - 1) / 2)[index])


def _poorer_part(means: Floats, plants: Integers) -> NDArray[np.bool_]:
    """The poor one of the two groups of stops that differ most (largest sum of squares between them)."""
    order = np.argsort(means, kind="stable")
    below = np.cumsum((means * plants)[order])[:-1]
    number = np.cumsum(plants[order])[:-1]
    above, rest = (means * plants).sum() - below, plants.sum() - number
    cut = int(np.argmax(below**2 / number + above**2 / rest))
    poor = np.zeros(len(means), dtype=bool)
    poor[order[: cut + 1]] = True
    return poor
