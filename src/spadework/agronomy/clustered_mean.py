"""Mean of a measured value over a field whose plants were dug in stops, with an honest interval.

Plants of a stop are alike: value = field mean + stop effect + plant effect, both normal. The share of the variance
between stops (the intra-stop correlation) is not known and is averaged over; given it, the field mean follows a t
distribution.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import betainc, gammaln, stdtr, stdtrit

from spadework.errors import DomainError

__all__ = ["CORRELATIONS", "ClusteredMean", "clustered_mean", "correlation_weights"]

Floats = NDArray[np.float64]

CORRELATIONS: Floats = np.array(
    [0.0, 0.02, 0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.65, 0.8, 0.9, 0.95, 0.98, 0.99, 0.995, 0.998]
)
"""Grid of the intra-stop correlation [1], close near 1: stops may be even in themselves and far apart."""

_PRIOR_SHAPE = 0.3
"""First parameter of the beta prior of the correlation; judgement. The lower, the likelier are the two ends: stops that
do not differ, and stops that differ in everything."""

_PLANNING_WEIGHT = 2.0
"""Degrees of freedom that the planning standard deviation counts for beside the visit's own plants; judgement."""


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
        """Field mean below which each probability lies, to a millionth of the narrowest scale.

        Newton's steps, halving where one would leave the bracket: a quantile of the mixture lies between those of its
        parts.
        """
        wanted = np.atleast_1d(np.asarray(probabilities, dtype=float))
        if not np.all((wanted > 0) & (wanted < 1)):
            raise DomainError("probabilities", wanted.tolist(), "between 0 and 1")
        parts = self.centre + self.scale * stdtrit(self.degrees, wanted)[:, None]
        low, high, guess = parts.min(axis=1), parts.max(axis=1), parts @ self.weights
        for _ in range(100):
            excess = self.below(guess) - wanted
            low, high = np.where(excess < 0, guess, low), np.where(excess < 0, high, guess)
            step = excess / self._density(guess)
            if np.all(np.minimum(np.abs(step), high - low) < 1e-6 * self.scale.min()):
                break
            guess = np.where((guess - step > low) & (guess - step < high), guess - step, (low + high) / 2)
        return np.asarray(guess)

    def _density(self, at: Floats) -> Floats:
        n = self.degrees
        peak = np.exp(gammaln((n + 1) / 2) - gammaln(n / 2)) / (np.sqrt(n * np.pi) * self.scale)
        standard = (at[:, None] - self.centre) / self.scale
        return np.asarray((1 + standard**2 / n) ** (-(n + 1) / 2) @ (self.weights * peak))

    def interval(self, level: float) -> tuple[float, float]:
        """Central interval of the field mean."""
        low, high = self.quantile([(1 - level) / 2, (1 + level) / 2])
        return float(low), float(high)

    def class_probabilities(self, limits: ArrayLike) -> Floats:
        """Probability of each class between rising limits, lowest class first; sums to 1."""
        return np.asarray(np.diff(np.concatenate([[0.0], self.below(limits), [1.0]])))


@lru_cache(maxsize=16)
def correlation_weights(mean: float) -> Floats:
    """Prior weights of ``CORRELATIONS``: a beta distribution with the given mean, cut into cells, summing to 1.

    Raises
    ------
    DomainError
        If ``mean`` is not inside (0, 1).
    """
    if not 0 < mean < 1:
        raise DomainError("mean", mean, "between 0 and 1")
    edges = np.concatenate([[0.0], (CORRELATIONS[1:] + CORRELATIONS[:-1]) / 2, [1.0]])
    weights = np.diff(betainc(_PRIOR_SHAPE, _PRIOR_SHAPE * (1 / mean - 1), edges))
    weights.setflags(write=False)
    return np.asarray(weights)


def clustered_mean(
    *, values: ArrayLike, stop: ArrayLike, prior_correlation: float, planning_sd: float
) -> ClusteredMean:
    """Posterior of the field mean of a value measured on plants in stops.

    Parameters
    ----------
    values : array_like, shape (plants,)
        Measured values, none missing.
    stop : array_like of int, shape (plants,)
        Stop of each plant.
    prior_correlation : float
        Planning value of the intra-stop correlation; row ``planning.stop_correlation``. [1]
    planning_sd : float
        Standard deviation between plants of a field that is expected before any was dug. Its part within stops
        weighs as much as two plants, and keeps a few equal plants from looking certain. [unit of the values]

    Raises
    ------
    DomainError
        If there is no plant, a value is not finite, ``planning_sd`` is not above 0, or ``prior_correlation`` not
        inside (0, 1).

    Notes
    -----
    Flat prior on the mean, scaled inverse chi-squared on the variance within stops. For a correlation rho with
    correlation matrix R of the plants, let S be the weighted sum of squares about the weighted mean m, and
    ``D = 2 planning_sd^2 (1 - prior_correlation) / (1 - rho)``. Then the field mean has a t distribution about m with
    n - 1 + 2 degrees of freedom and variance ``(D + S) / (n + 1) / (1' R^-1 1)``, and rho has the likelihood
    ``D |R|^-1/2 (1' R^-1 1)^-1/2 (D + S)^-(n + 1)/2``. Stops are independent, so R^-1 is known in closed form and only
    stop totals are needed.

    References
    ----------
    kish1965 (plants of one stop), box1973 (t distribution given the correlation).
    """
    y, at = np.asarray(values, dtype=float), np.asarray(stop)
    if y.size == 0 or not np.all(np.isfinite(y)):
        raise DomainError("values", y.tolist()[:5], "finite numbers, at least one")
    if not planning_sd > 0:
        raise DomainError("planning_sd", planning_sd, "above 0")
    weights = correlation_weights(prior_correlation)
    _, index = np.unique(at, return_inverse=True)
    plants = np.bincount(index).astype(float)
    about = y - y.mean()
    totals = np.bincount(index, about)
    within = max(float(about @ about - (totals**2 / plants).sum()), 0.0)
    rho = CORRELATIONS[:, None]
    inflation = 1 - rho + plants * rho
    precision = (plants / inflation).sum(axis=1)
    offset = (totals / inflation).sum(axis=1) / precision
    between = np.maximum((totals**2 / plants / inflation).sum(axis=1) - precision * offset**2, 0.0)
    planned = _PLANNING_WEIGHT * planning_sd**2 * (1 - prior_correlation) / (1 - CORRELATIONS)
    degrees = y.size - 1 + _PLANNING_WEIGHT
    pooled = (planned + within / (1 - CORRELATIONS) + between) / degrees
    log_determinant = ((plants - 1) * np.log1p(-rho) + np.log(inflation)).sum(axis=1)
    log_weight = (
        np.log(np.maximum(weights, 1e-300))
        + _PLANNING_WEIGHT / 2 * np.log(planned)
        - 0.5 * (log_determinant + np.log(precision) + degrees * np.log(pooled))
    )
    posterior = np.exp(log_weight - log_weight.max())
    return ClusteredMean(
        mean=float(y.mean()),
        centre=y.mean() + offset,
        scale=np.sqrt(pooled / precision),
        weights=posterior / posterior.sum(),
        degrees=degrees,
    )
