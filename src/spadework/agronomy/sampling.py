"""How many plants: whether a verdict is settled, and how many more plants in how many more stops would settle it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.agronomy.scoring.share import CORRELATIONS, SHARES, SharePosterior, stop_log_likelihood
from spadework.errors import DomainError

__all__ = ["FurtherDigging", "further_digging"]

Floats = NDArray[np.float64]

_COARSE = 4  # cells of the share grid taken together while looking ahead
_LOOK_AHEADS = 150
_STEPS = frozenset(
    {1, 2, 3, 4, 6, 8, 10, 12}
)  # further stops at which the verdict is looked at; more are not told apart


@dataclass(frozen=True)
class FurtherDigging:
    """What more digging would do for a verdict.

    ``settled`` says that one class already holds the probability asked for. Otherwise ``stops`` and
    ``plants`` are the least further digging that settles the verdict with the assurance asked for, and
    ``assurance`` is the chance that it does; ``stops`` is None where even ``most_stops`` would not, and
    ``assurance`` is then the chance with that many. [stops, plants, 1]
    """

    settled: bool
    stops: int | None
    plants: int | None
    assurance: float


def further_digging(
    posterior: SharePosterior,
    *,
    limits: ArrayLike,
    settle_at: float,
    plants_per_stop: int,
    most_stops: int,
    assurance: float,
    rng: np.random.Generator,
) -> FurtherDigging:
    """Look ahead: draw what further stops may show, and see after how many the verdict is settled.

    Parameters
    ----------
    posterior : SharePosterior
        What is known after the stops dug so far.
    limits : array_like
        Rising limits between the classes of the share. [1]
    settle_at : float
        Probability at which a class counts as settled. [1]
    plants_per_stop, most_stops : int
        Size of a further stop, and how many are worth considering.
    assurance : float
        Chance of settling that a recommendation must reach. [1]
    rng : numpy.random.Generator
        Source of the draws; the same state gives the same answer.

    Raises
    ------
    DomainError
        If ``plants_per_stop`` or ``most_stops`` is below 1.

    Notes
    -----
    The draws come from the posterior itself, so the crop's planning variance leads until the visit's own
    stops have spoken.

    References
    ----------
    raiffa1961 (looking ahead before digging)
    """
    for name, number in (("plants_per_stop", plants_per_stop), ("most_stops", most_stops)):
        if number < 1:
            raise DomainError(name, number, "at least 1")
    if posterior.class_probabilities(limits).max() >= settle_at:
        return FurtherDigging(settled=True, stops=0, plants=0, assurance=1.0)
    in_class = _class_of_cells(np.asarray(limits, dtype=float))
    weights = posterior.weights.reshape(len(CORRELATIONS), -1, _COARSE).sum(axis=2)
    with np.errstate(divide="ignore"):
        log_weights = np.broadcast_to(np.log(weights), (_LOOK_AHEADS, *weights.shape))
    likelihood = stop_log_likelihood(plants_per_stop)[:, :, _COARSE // 2 :: _COARSE]
    drawn = rng.choice(posterior.weights.size, size=_LOOK_AHEADS, p=posterior.weights.ravel())
    correlation, share = CORRELATIONS[drawn // len(SHARES)], SHARES[drawn % len(SHARES)]
    reached = 0.0
    for stops in range(1, most_stops + 1):
        log_weights = log_weights + likelihood[_adequate_in_stop(rng, share, correlation, plants_per_stop)]
        if stops not in _STEPS and stops != most_stops:
            continue
        after = np.exp(log_weights - log_weights.max(axis=(1, 2), keepdims=True)).sum(axis=1) @ in_class
        reached = float(np.mean(after.max(axis=1) >= settle_at * after.sum(axis=1)))
        if reached >= assurance:
            return FurtherDigging(settled=False, stops=stops, plants=stops * plants_per_stop, assurance=reached)
    return FurtherDigging(settled=False, stops=None, plants=None, assurance=reached)


def _adequate_in_stop(rng: np.random.Generator, share: Floats, correlation: Floats, plants: int) -> NDArray[np.int64]:
    """Adequate plants of one further stop, a draw for each share and correlation."""
    strength = (1 - correlation) / np.maximum(correlation, 1e-6)
    chance = rng.beta(share * strength, (1 - share) * strength)
    return rng.binomial(plants, np.where(correlation == 0, share, chance))


def _class_of_cells(limits: Floats) -> Floats:
    """Part of each coarse cell of the share grid that lies in each class, shape (cells, classes)."""
    cells = len(SHARES) // _COARSE
    edges = np.linspace(0.0, np.pi / 2, cells + 1)
    cuts = np.concatenate([[0.0], np.arcsin(np.sqrt(limits)), [np.pi / 2]])
    overlap = np.minimum(edges[1:, None], cuts[None, 1:]) - np.maximum(edges[:-1, None], cuts[None, :-1])
    return np.asarray(np.maximum(overlap, 0.0) / (edges[1] - edges[0]))
