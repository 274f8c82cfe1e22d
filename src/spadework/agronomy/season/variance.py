"""Which inputs make an outcome uncertain: first-order shares of its variance."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.season.signs import effective_draws
from spadework.errors import DomainError

__all__ = ["variance_shares"]

FEWEST_BINS, MOST_BINS = 4, 50


def variance_shares(
    inputs: Mapping[str, NDArray[np.generic]],
    outcome: NDArray[np.float64],
    *,
    bins: int | None = None,
    weights: NDArray[np.float64] | None = None,
) -> Mapping[str, float]:
    """Share of the outcome's variance that knowing one input would take away on average.

    The draws are sorted by an input and cut into bins of one size; the variance of the bins' means, less what chance
    alone would make of it, is the share. Inputs of whole numbers are cut by their values, as years of weather are.

    Parameters
    ----------
    inputs : mapping of name to ndarray, shape (draws,)
        Drawn apart from each other.
    outcome : ndarray, shape (draws,)
        NaN where a draw has none; such draws are left out.
    bins : int, optional
        The cube root of the number of draws, 4 to 50, where it is not given.
    weights : ndarray, shape (draws,), optional
        How much each draw counts; those of 0 are left out. Weighing ties inputs to each other, so that a share is
        then what knowing the input and all that goes with it would take away.

    Returns
    -------
    mapping of name to float
        0 to 1, largest first; what is left of 1 is made by inputs together. All 0 where the outcome does not vary.

    Raises
    ------
    DomainError
        Lengths that differ, or bins out of 2 to half the draws.

    References
    ----------
    sobol1993 (the share); kelley1935 (correction for chance); kish1965 (draws that weighted ones are worth)
    """
    there = ~np.isnan(outcome)
    if weights is not None:
        there &= weights > 0
    known = outcome[there]
    if any(values.shape != outcome.shape for values in inputs.values()):
        raise DomainError("inputs", {name: values.shape for name, values in inputs.items()}, f"of {outcome.shape}")
    counts = np.ones(known.size) if weights is None else weights[there]
    draws = effective_draws(counts)
    if bins is None:
        bins = min(max(round(draws ** (1 / 3)), FEWEST_BINS), MOST_BINS)
    elif not 2 <= bins <= known.size // 2:
        raise DomainError("bins", bins, f"from 2 to half the {known.size} draws with an outcome")
    if not draws > 2 * bins or not np.ptp(known) > 0:
        return dict.fromkeys(inputs, 0.0)
    counts = counts / counts.sum()
    away = known - counts @ known
    total = float(counts @ away**2)
    shares = {name: _share(_group(values[there], bins), away, counts, total, draws) for name, values in inputs.items()}
    return dict(sorted(shares.items(), key=lambda item: -item[1]))


def _group(values: NDArray[np.generic], bins: int) -> NDArray[np.intp]:
    """Return the number of the bin of each draw; equal values share a bin where they are whole numbers."""
    if np.issubdtype(values.dtype, np.integer):
        return np.asarray(np.unique(values, return_inverse=True)[1])
    group = np.empty(values.size, dtype=np.intp)
    group[np.argsort(values, kind="stable")] = np.arange(values.size) * bins // values.size
    return group


def _share(
    group: NDArray[np.intp], away: NDArray[np.float64], counts: NDArray[np.float64], total: float, draws: float
) -> float:
    held = np.bincount(group, weights=counts)
    means = np.bincount(group, weights=counts * away) / held
    between = float(held @ means**2)
    apart = draws - held.size
    if apart <= 0:
        return 0.0
    return max(0.0, 1.0 - (total - between) / total * (draws - 1) / apart)
