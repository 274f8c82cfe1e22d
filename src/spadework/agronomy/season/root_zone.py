"""Mineral nitrogen of the root zone from a soil test that may not hold all of its depths."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.season.draws import triangular
from spadework.errors import DomainError
from spadework.knowledge.rows import Knowledge

__all__ = ["draw_root_zone_n"]

Floats = NDArray[np.float64]


def draw_root_zone_n(
    *,
    tested: float,
    sampled: Sequence[tuple[float, float]],
    root_depth: float,
    knowledge: Knowledge,
    draws: int,
    generator: np.random.Generator,
) -> Floats:
    """Draw the mineral nitrogen of the root zone from a test of some of its depths.

    Parameters
    ----------
    tested : float
        Nitrogen found in the depths sampled, at least 0. [kg/ha]
    sampled : sequence of (top, bottom)
        At least one, apart from each other. What is missing above, between and below is inferred from a fall with
        depth, whose own spread is added. [m]
    root_depth : float
        Above 0. [m]
    knowledge : Knowledge
        Rows ``soil_n.test_spread`` and ``soil_n.depth_scale``.
    draws : int
    generator : numpy.random.Generator
        Advanced by two numbers a draw.

    Returns
    -------
    ndarray of float64, shape (draws, 1)
        [kg/ha]

    Raises
    ------
    DomainError
        An argument outside its range.

    Notes
    -----
    Nitrate in the soil is taken to fall off exponentially with depth, to 0.37 of itself within the scale drawn.
    Judgement.
    """
    for name, value, fits in (
        ("tested", tested, tested >= 0),
        ("sampled", tuple(sampled), bool(sampled) and all(0 <= top < bottom for top, bottom in sampled)),
        ("root_depth", root_depth, root_depth > 0),
    ):
        if not fits:
            allowed = {"tested": "at least 0", "sampled": "one depth or more, each from its top down"}
            raise DomainError(name, value, allowed.get(name, "above 0"))
    row = knowledge.figure("soil_n.depth_scale")
    low, high = row.range
    scale = triangular(generator.random(draws), low=low, value=row.central, high=high)
    error = knowledge.figure("soil_n.test_spread").central * generator.standard_normal(draws)
    found = sum(np.exp(-top / scale) - np.exp(-bottom / scale) for top, bottom in sampled)
    return np.asarray(tested * -np.expm1(-root_depth / scale) / found * np.exp(error))[:, None]
