"""Share of a field's plants that are adequate, when plants of one stop are alike.

Plants of a stop share a chance of being adequate; stops draw it from a beta distribution with mean
``share`` and intra-stop correlation ``correlation`` (the beta-binomial). The posterior is computed
on a grid of both, exactly for plants that are only probably adequate: their likelihood is a
polynomial in the stop's chance, and each of its terms integrates in closed form.

References
----------
skellam1948 (beta-binomial), brown2001 (Jeffreys interval and its end points).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import betainc, betaln

from spadework.errors import DomainError

__all__ = [
    "SharePosterior",
    "correlation_prior",
    "field_share",
    "log_likelihood_of",
    "share_posterior",
    "stop_log_likelihood",
]

Floats = NDArray[np.float64]

CORRELATIONS: Floats = np.array([0.0, 0.02, 0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.65, 0.8])
"""Grid of the intra-stop correlation [1]."""

_CELLS = 180
_EDGES: Floats = np.sin(np.linspace(0.0, np.pi / 2, _CELLS + 1)) ** 2
SHARES: Floats = np.sin((np.arange(_CELLS) + 0.5) * (np.pi / 2 / _CELLS)) ** 2
"""Grid of the share [1], even on the arcsine scale, so that it is finest near 0 and 1."""

_MOST_TABLED = 60
"""Plants of a stop (or nodules of a plant) up to which all outcomes are tabled and kept."""


def correlation_prior(mean: float) -> Floats:
    """Prior weights of ``CORRELATIONS``: a Beta(1, 1/mean - 1) cut into cells, summing to 1.

    Parameters
    ----------
    mean : float
        Planning value of the intra-stop correlation, in (0, 1); row ``planning.stop_correlation``. [1]

    Raises
    ------
    DomainError
        If ``mean`` is not inside (0, 1).
    """
    if not 0 < mean < 1:
        raise DomainError("mean", mean, "between 0 and 1")
    edges = np.concatenate([[0.0], (CORRELATIONS[1:] + CORRELATIONS[:-1]) / 2, [1.0]])
    weights = np.diff(betainc(1.0, 1 / mean - 1, edges))
    return np.asarray(weights / weights.sum())


@lru_cache(maxsize=64)
def stop_log_likelihood(plants: int) -> Floats:
    """Log likelihood of one stop for every number of adequate plants.

    Returns
    -------
    ndarray, shape (plants + 1, correlations, shares)
        Log of the integral of ``p^y (1-p)^(plants-y)`` over the stop's chance p, read-only. [1]
    """
    correlation = CORRELATIONS[:, None]
    steps = np.arange(plants)[:, None, None] * correlation
    up = _running(np.log(SHARES * (1 - correlation) + steps))
    down = _running(np.log((1 - SHARES) * (1 - correlation) + steps))
    table = up + down[::-1] - _running(np.log1p(-correlation + steps))[-1]
    table.setflags(write=False)
    return np.asarray(table)


def log_likelihood_of(plants: int, adequate: int) -> Floats:
    """One row of ``stop_log_likelihood``; many plants are not tabled, for their table would fill the memory."""
    if plants <= _MOST_TABLED:
        return np.asarray(stop_log_likelihood(plants)[adequate])
    strength = (1 - CORRELATIONS[1:, None]) / CORRELATIONS[1:, None]
    together = betaln(SHARES * strength + adequate, (1 - SHARES) * strength + plants - adequate)
    alone = adequate * np.log(SHARES) + (plants - adequate) * np.log1p(-SHARES)
    return np.concatenate([alone[None, :], together - betaln(SHARES * strength, (1 - SHARES) * strength)])


def _running(logs: Floats) -> Floats:
    return np.concatenate([np.zeros((1, *logs.shape[1:])), np.cumsum(logs, axis=0)])


@dataclass(frozen=True)
class SharePosterior:
    """Posterior of the share adequate (and the correlation), on the grid of this module.

    ``weights`` has shape (correlations, shares) and sums to 1. ``none_seen`` and ``all_seen`` say that
    no plant, or every plant, was certainly adequate; the interval then reaches to the end of the scale.
    """

    weights: Floats
    none_seen: bool = False
    all_seen: bool = False

    @property
    def mean(self) -> float:
        """Posterior mean of the share [1]."""
        return float(self.weights.sum(axis=0) @ SHARES)

    @property
    def correlation(self) -> float:
        """Posterior mean of the intra-stop correlation [1]."""
        return float(self.weights.sum(axis=1) @ CORRELATIONS)

    def correlation_interval(self, level: float) -> tuple[float, float]:
        """Central interval of the correlation, on its grid [1]."""
        running = np.cumsum(self.weights.sum(axis=1))
        low, high = np.searchsorted(running, [(1 - level) / 2, (1 + level) / 2 - 1e-12])
        last = len(CORRELATIONS) - 1
        return float(CORRELATIONS[min(low, last)]), float(CORRELATIONS[min(high, last)])

    def below(self, limits: ArrayLike) -> Floats:
        """Probability that the share lies below each limit."""
        running = np.concatenate([[0.0], np.cumsum(self.weights.sum(axis=0))])
        return np.asarray(np.interp(_angle(np.asarray(limits, dtype=float)), _angle(_EDGES), running / running[-1]))

    def quantile(self, probabilities: ArrayLike) -> Floats:
        """Share below which the given probability lies."""
        running = np.concatenate([[0.0], np.cumsum(self.weights.sum(axis=0))])
        angles = np.interp(np.asarray(probabilities, dtype=float), running / running[-1], _angle(_EDGES))
        return np.asarray(np.sin(angles) ** 2)

    def interval(self, level: float) -> tuple[float, float]:
        """Central interval of the share; opened to 0 or 1 where nothing, or everything, was adequate."""
        low, high = self.quantile([(1 - level) / 2, (1 + level) / 2])
        return (0.0 if self.none_seen else float(low)), (1.0 if self.all_seen else float(high))

    def class_probabilities(self, limits: ArrayLike) -> Floats:
        """Probability of each class between rising limits, worst class first; sums to 1."""
        return np.asarray(np.diff(np.concatenate([[0.0], self.below(limits), [1.0]])))


def _angle(share: Floats) -> Floats:
    return np.asarray(np.arcsin(np.sqrt(np.clip(share, 0.0, 1.0))))


def field_share(*, stop: ArrayLike, chance: ArrayLike, prior_correlation: float) -> SharePosterior | None:
    """Posterior of the share adequate from each plant's own chance of being adequate.

    Parameters
    ----------
    stop : array_like of int, shape (plants,)
        Stop of each plant.
    chance : array_like, shape (plants,)
        Probability that the plant is adequate, as ``read_plants`` gives it; NaN where unknown. [1]
    prior_correlation : float
        Planning value of the intra-stop correlation. [1]

    Returns
    -------
    SharePosterior or None
        None when every plant is unknown.

    Notes
    -----
    A chance already holds what the visit's other plants say of a doubtful one. Before it enters as a
    likelihood, that common part (the mean chance, with half a plant added on either side) is divided out, so
    that a plant of which nothing is known beyond its neighbours says nothing more.
    """
    chances = np.asarray(chance, dtype=float)
    known = ~np.isnan(chances)
    if not known.any():
        return None
    chances = chances[known]
    common = (chances.sum() + 0.5) / (len(chances) + 1)
    return share_posterior(
        stop=np.asarray(stop)[known],
        adequate=chances / common,
        poor=(1 - chances) / (1 - common),
        prior_correlation=prior_correlation,
    )


def share_posterior(
    *, stop: ArrayLike, adequate: ArrayLike, poor: ArrayLike, prior_correlation: float
) -> SharePosterior:
    """Posterior of the share adequate from plants grouped in stops.

    Parameters
    ----------
    stop : array_like of int, shape (plants,)
        Stop of each plant, 0 to stops - 1.
    adequate, poor : array_like, shape (plants,)
        Likelihood of what was recorded of the plant if it is adequate, and if it is poor: (1, 0) and
        (0, 1) for plants counted exactly, anything between for others; (1, 1) says nothing. [1]
    prior_correlation : float
        Planning value of the intra-stop correlation. [1]

    Raises
    ------
    DomainError
        If a likelihood is negative, or a plant has none under either state.
    """
    stops = np.asarray(stop, dtype=np.intp)
    yes, no = np.asarray(adequate, dtype=float), np.asarray(poor, dtype=float)
    bad = np.flatnonzero((yes < 0) | (no < 0) | ~(yes + no > 0))
    if bad.size:
        index = int(bad[0])
        raise DomainError("adequate and poor", (yes[index], no[index]), "at least 0 and not both 0", index=index)
    scale = np.maximum(yes, no)
    yes, no = yes / scale, no / scale
    log_weights = np.log(np.maximum(correlation_prior(prior_correlation), 1e-300))[:, None] + np.zeros(SHARES.shape)
    for number in np.unique(stops):
        here = stops == number
        log_weights = log_weights + _one_stop(yes[here], no[here])
    weights = np.exp(log_weights - log_weights.max())
    return SharePosterior(
        weights=weights / weights.sum(), none_seen=bool(np.all(yes == 0)), all_seen=bool(np.all(no == 0))
    )


def _one_stop(yes: Floats, no: Floats) -> Floats:
    """Log likelihood of one stop on the grid, but for a constant: certain plants by count, others as a polynomial."""
    certain = int(np.count_nonzero(no == 0))
    unsure = (no > 0) & (yes > 0)
    terms = np.ones(1)
    for a, b in zip(yes[unsure], no[unsure], strict=True):
        terms = np.convolve(terms, [b, a])
        terms /= terms.max()  # or many plants would overflow
    table = stop_log_likelihood(len(yes))[certain : certain + len(terms)]
    if len(terms) == 1:
        return np.asarray(table[0])
    with np.errstate(divide="ignore"):
        logs = table + np.log(terms)[:, None, None]
    top = logs.max(axis=0)
    return np.asarray(top + np.log(np.exp(logs - top).sum(axis=0)))
