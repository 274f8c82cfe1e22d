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
    "stop_log_likelihood",
]

Floats = NDArray[np.float64]

CORRELATIONS: Floats = np.array([0.0, 0.02, 0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.65, 0.8])
"""Grid of the intra-stop correlation [1]."""

_CELLS = 180
_EDGES: Floats = np.sin(np.linspace(0.0, np.pi / 2, _CELLS + 1)) ** 2
SHARES: Floats = np.sin((np.arange(_CELLS) + 0.5) * (np.pi / 2 / _CELLS)) ** 2
"""Grid of the share [1], even on the arcsine scale, so that it is finest near 0 and 1."""

_DRAWS = 61
_LATTICE_STEP = 22  # a primitive root of 61 would do as well: its powers visit all steps

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
    chance : array_like, shape (plants,) or (points, plants)
        Probability that the plant is adequate, as ``read_plants`` gives it, for each equally likely point of what
        is not known of the whole visit (its red share); NaN where the plant is unknown. [1]
    prior_correlation : float
        Planning value of the intra-stop correlation. [1]

    Returns
    -------
    SharePosterior or None
        None when every plant is unknown.

    Raises
    ------
    DomainError
        If a chance lies outside 0 to 1.

    Notes
    -----
    Multiple imputation: the number of adequate plants at each stop is drawn from the chances of its plants, the
    posterior is worked out for each draw as if it had been counted, and the posteriors are averaged. The draws
    are points of a fixed lattice, so the same plants always give the same answer.

    References
    ----------
    rubin1987
    """
    chances = np.atleast_2d(np.asarray(chance, dtype=float))
    known = ~np.isnan(chances[0])
    if not known.any():
        return None
    chances, at = chances[:, known], np.asarray(stop)[known]
    bad = np.flatnonzero(((chances < 0) | (chances > 1)).any(axis=0))
    if bad.size:
        raise DomainError("chance", float(chances[0, bad[0]]), "from 0 to 1", index=int(bad[0]))
    stops = sorted((np.sort(chances[:, at == number], axis=1) for number in np.unique(at)), key=_by_content)
    counted, times = np.unique(_draws(stops), axis=0, return_counts=True)
    log_weights = np.log(np.maximum(correlation_prior(prior_correlation), 1e-300))[None, :, None]
    for number, plants in enumerate(stops):
        log_weights = log_weights + stop_log_likelihood(plants.shape[1])[counted[:, number]]
    weights = np.exp(log_weights - log_weights.max(axis=(1, 2), keepdims=True))
    weights /= weights.sum(axis=(1, 2), keepdims=True)
    return SharePosterior(
        weights=np.tensordot(times / times.sum(), weights, axes=1),
        none_seen=bool(np.all(chances == 0)),
        all_seen=bool(np.all(chances == 1)),
    )


def _by_content(stop: Floats) -> tuple[int, bytes]:
    """Sort key of a stop that does not know its name."""
    return stop.shape[1], stop.tobytes()


def _draws(stops: list[Floats]) -> NDArray[np.intp]:
    """Adequate plants of each stop, a row a draw: a lattice over the points of the visit and the stops' chances."""
    lattice = np.arange(_DRAWS)
    points = stops[0].shape[0]
    point = lattice * points // _DRAWS
    drawn = np.empty((_DRAWS, len(stops)), dtype=np.intp)
    step = 1
    for number, plants in enumerate(stops):
        step = step * _LATTICE_STEP % _DRAWS
        level = (lattice * step % _DRAWS + 0.5) / _DRAWS
        up_to = np.array([np.cumsum(_number_adequate(row)) for row in plants])
        drawn[:, number] = (up_to[point] < level[:, None]).sum(axis=1)
    return np.minimum(drawn, [plants.shape[1] for plants in stops])


def _number_adequate(chances: Floats) -> Floats:
    """Distribution of the number of adequate plants among plants with their own chances (Poisson binomial)."""
    terms = np.zeros(len(chances) + 1)
    terms[0] = 1.0
    for done, chance in enumerate(chances):
        terms[1 : done + 2] = terms[1 : done + 2] * (1 - chance) + terms[: done + 1] * chance
        terms[0] *= 1 - chance
    return terms
