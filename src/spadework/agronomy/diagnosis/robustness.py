"""How far a diagnosis hangs on the figures behind its words."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.diagnosis.network import Network, posterior

__all__ = ["Robustness", "robustness"]

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Robustness:
    """Probabilities over the bands: ``causes`` of shape (draws, causes), ``nothing`` of shape (draws,)."""

    causes: Floats
    nothing: Floats

    def first(self) -> NDArray[np.intp]:
        """Place of the likeliest cause in each draw. Shape (draws,)."""
        return self.causes.argmax(axis=1)


def robustness(
    low: Network, high: Network, answers: Floats, *, draws: int, rng: np.random.Generator
) -> Robustness:
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
    """
    known = [place for group in low.groups if not np.isnan(answers[list(group)]).all() for place in group]
    low, high, answers = low.only(known), high.only(known), answers[known]
    causes = np.empty((draws, len(low.prior)))
    nothing = np.empty(draws)
    for draw in range(draws):
        drawn = posterior(_between(low, high, rng), answers)
        causes[draw], nothing[draw] = drawn.causes, drawn.nothing
    return Robustness(causes=causes, nothing=nothing)


def _between(low: Network, high: Network, rng: np.random.Generator) -> Network:
    def drawn(name: str) -> Floats:
        ends = getattr(low, name), getattr(high, name)
        place = rng.random() if name == "prior" else rng.random(ends[0].shape)
        return np.asarray(ends[0] + place * (ends[1] - ends[0]))

    return replace(low, **{name: drawn(name) for name in ("prior", "background", "lift", "hold")})
