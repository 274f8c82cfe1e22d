"""Mineral nitrogen of the root zone from a soil test that may not reach as deep."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.season.draws import triangular
from spadework.errors import DomainError
from spadework.knowledge.rows import Knowledge

__all__ = ["draw_root_zone_n"]

Floats = NDArray[np.float64]


def draw_root_zone_n(
    *, tested: float, depth: float, root_depth: float, knowledge: Knowledge, draws: int, generator: np.random.Generator
) -> Floats:
    """Draw the mineral nitrogen of the root zone from a test of the soil down to a depth.

    Parameters
    ----------
    tested : float
        Nitrogen found down to ``depth``, at least 0. [kg/ha]
    depth : float
        Above 0; where it is less than the root depth, the rest is inferred from a fall with depth, and the spread
        grows with what is missing. [m]
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
        ("depth", depth, depth > 0),
        ("root_depth", root_depth, root_depth > 0),
    ):
        if not fits:
            raise DomainError(name, value, "at least 0" if name == "tested" else "above 0")
    row = knowledge.figure("soil_n.depth_scale")
    low, high = row.range
    scale = triangular(generator.random(draws), low=low, value=row.central, high=high)
    error = knowledge.figure("soil_n.test_spread").central * generator.standard_normal(draws)
    reached = np.minimum(depth, root_depth)
    whole = np.expm1(-root_depth / scale) / np.expm1(-reached / scale)
    return np.asarray(tested * whole * np.exp(error))[:, None]
