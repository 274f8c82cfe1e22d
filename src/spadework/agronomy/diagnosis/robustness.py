"""How far a diagnosis hangs on the figures behind its words."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.diagnosis.network import Network, weigh_sets
from spadework.errors import DomainError

__all__ = ["Robustness", "robustness"]

Floats = NDArray[np.float64]

_AT_ONCE = 16
"""Draws worked at once: as many as keep the arrays within a processor's cache."""


@dataclass(frozen=True)
class Robustness:
    """Probabilities over the bands: ``causes`` of shape (draws, causes), ``nothing`` of shape (draws,)."""

    causes: Floats
    nothing: Floats

    def first(self) -> NDArray[np.intp]:
        """Place of the likeliest cause in each draw. Shape (draws,)."""
        return np.asarray(self.causes.argmax(axis=1))


def robustness(low: Network, high: Network, answers: Floats, *, draws: int, rng: np.random.Generator) -> Robustness:
    """Work the diagnosis out again with every figure drawn anew from its band.

    Parameters
    ----------
    low, high : Network
        The ends of the bands; the same groups. Every lift, hold and background is drawn by itself, evenly between
        its ends; the priors move together, since they are one figure.
    answers : ndarray, shape (findings,)
        As for ``posterior``.
    draws : int
        How many times.
    rng : Generator

    Raises
    ------
    DomainError
        If the two networks differ in groups or ``most_together``, ``draws`` is below 1, or ``posterior`` refuses the
        answers.
    """
    if (low.groups, low.most_together) != (high.groups, high.most_together):
        raise DomainError("high", (high.groups, high.most_together), "of the groups and most_together of low")
    if draws < 1:
        raise DomainError("draws", draws, "1 or more")
    causes = np.empty((draws, len(low.prior)))
    nothing = np.empty(draws)
    for start in range(0, draws, _AT_ONCE):
        now = slice(start, min(start + _AT_ONCE, draws))
        network = _between(low, high, now.stop - start, rng)
        _, weights = weigh_sets(network, answers)
        causes[now], nothing[now] = network.sets.causes(weights).T, weights[0]
    return Robustness(causes=causes, nothing=nothing)


def _between(low: Network, high: Network, draws: int, rng: np.random.Generator) -> Network:
    def drawn(name: str) -> Floats:
        ends = getattr(low, name)[..., None], getattr(high, name)[..., None]
        shape = (draws,) if name == "prior" else (*ends[0].shape[:-1], draws)
        return np.asarray(ends[0] + rng.random(shape) * (ends[1] - ends[0]))

    return Network(
        prior=drawn("prior"),
        background=drawn("background"),
        lift=drawn("lift"),
        hold=drawn("hold"),
        groups=low.groups,
        most_together=low.most_together,
    )
