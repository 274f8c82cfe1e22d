"""Mean of a measured value over a field whose plants were dug in stops, with an honest interval.

Plants of a stop are alike: value = field mean + stop effect + plant effect, both normal. The share of the variance
between stops (the intra-stop correlation) is not known and is averaged over; given it, the field mean follows a t
distribution.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import stdtr

from spadework.errors import DomainError

__all__ = ["ClusteredMean", "clustered_mean"]

Floats = NDArray[np.float64]

_PLANNING_WEIGHT = 2.0
"""Degrees of freedom that the planning standard deviation counts for beside the visit's own plants."""


@dataclass(frozen=True)
class ClusteredMean:
    """Posterior of a field mean: t distributions, one for each correlation, with their weights.

    ``centre`` and ``scale`` have shape (correlations,); ``degrees`` of freedom are common to all. ``mean`` is
    the plain mean of the plants dug: that of the posterior may fall when a plant of an uneven visit improves,
    for it then trusts the stops differently.
    """

    mean: float
    centre: Floats
    scale: Floats
    weights: Floats
    degrees: float

    def below(self, limits: ArrayLike) -> Floats:
        """Probability that the field mean lies below each limit."""
        limit = np.atleast_1d(np.asarray(limits, dtype=float))[:, None]
        return np.asarray(stdtr(self.degrees, (limit - self.centre) / self.scale) @ self.weights)

    def quantile(self, probabilities: ArrayLike) -> Floats:
        """Field mean below which each probability lies, by bisection to a millionth of the widest scale."""
        wanted = np.atleast_1d(np.asarray(probabilities, dtype=float))
        reach = 1e4 * self.scale.max()
        low, high = np.full(wanted.shape, self.centre.min() - reach), np.full(wanted.shape, self.centre.max() + reach)
        for _ in range(50):
            middle = (low + high) / 2
            under = self.below(middle) < wanted
            low, high = np.where(under, middle, low), np.where(under, high, middle)
        return np.asarray((low + high) / 2)

    def interval(self, level: float) -> tuple[float, float]:
        """Central interval of the field mean."""
        low, high = self.quantile([(1 - level) / 2, (1 + level) / 2])
        return float(low), float(high)

    def class_probabilities(self, limits: ArrayLike) -> Floats:
        """Probability of each class between rising limits, lowest class first; sums to 1."""
        return np.asarray(np.diff(np.concatenate([[0.0], self.below(limits), [1.0]])))


def clustered_mean(
    *, values: ArrayLike, stop: ArrayLike, correlation: Floats, weights: Floats, planning_sd: float
) -> ClusteredMean:
    """Posterior of the field mean of a value measured on plants in stops.

    Parameters
    ----------
    values : array_like, shape (plants,)
        Measured values, none missing.
    stop : array_like of int, shape (plants,)
        Stop of each plant.
    correlation, weights : ndarray, shape (correlations,)
        Grid of the intra-stop correlation and its prior weights. [1]
    planning_sd : float
        Standard deviation between plants that is expected before any was dug; it weighs as much as two plants
        and keeps a few equal plants from looking certain. [unit of the values]

    Raises
    ------
    DomainError
        If there is no plant, a value is not finite, or ``planning_sd`` is not above 0.

    Notes
    -----
    Flat prior on the mean, scaled inverse chi-squared on the variance. With R the correlation matrix of the
    plants and S the weighted sum of squares about the weighted mean m, m has a t distribution with
    n - 1 + 2 degrees of freedom, and the correlation the likelihood
    ``|R|^-1/2 (1' R^-1 1)^-1/2 (2 planning_sd^2 + S)^-(n + 1)/2``. Stops are independent, so R^-1 is known in closed
    form and only stop totals are needed.

    References
    ----------
    kish1965 (plants of one stop), box1973 (t distribution given the correlation).
    """
    y, at = np.asarray(values, dtype=float), np.asarray(stop)
    if y.size == 0 or not np.all(np.isfinite(y)):
        raise DomainError("values", y.tolist()[:5], "finite numbers, at least one")
    if not planning_sd > 0:
        raise DomainError("planning_sd", planning_sd, "above 0")
    _, index = np.unique(at, return_inverse=True)
    plants = np.bincount(index).astype(float)
    about = y - y.mean()
    totals, squares = np.bincount(index, about), float(about @ about)
    rho = np.minimum(correlation, 1 - 1e-9)[:, None]
    inflation = 1 - rho + plants * rho
    precision = (plants / inflation).sum(axis=1)
    offset = (totals / inflation).sum(axis=1) / precision
    between = (rho / inflation * totals**2).sum(axis=1)
    spread = (squares - between) / (1 - rho[:, 0]) - precision * offset**2
    degrees = y.size - 1 + _PLANNING_WEIGHT
    pooled = (_PLANNING_WEIGHT * planning_sd**2 + np.maximum(spread, 0.0)) / degrees
    log_determinant = ((plants - 1) * np.log1p(-rho) + np.log(inflation)).sum(axis=1)
    log_weight = np.log(np.maximum(weights, 1e-300)) - 0.5 * (
        log_determinant + np.log(precision) + degrees * np.log(pooled)
    )
    posterior = np.exp(log_weight - log_weight.max())
    return ClusteredMean(
        mean=float(y.mean()),
        centre=y.mean() + offset,
        scale=np.sqrt(pooled / precision),
        weights=posterior / posterior.sum(),
        degrees=degrees,
    )
