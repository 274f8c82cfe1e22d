"""Share of nitrogen from the air by dilution of 15N that was given with labelled fertiliser."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.agronomy.fixation.two_pools import share_from_air
from spadework.errors import DomainError

__all__ = ["fixed_share_dilution"]


def fixed_share_dilution(*, excess_legume: ArrayLike, excess_reference: ArrayLike) -> NDArray[np.float64]:
    """Share of the legume's nitrogen that came from the air, by 15N isotope dilution.

    Parameters
    ----------
    excess_legume : array_like, shape (...)
        15N of the legume in excess of the air. [atom %]
    excess_reference : array_like, broadcast to (...)
        The same of plants that fix nothing and were given the same label at the same rate. [atom %]

    Returns
    -------
    ndarray of float64, shape (...)
        Share, not clipped. NaN in, NaN out. [1]

    Raises
    ------
    DomainError
        If ``excess_reference`` is not above 0 anywhere; names the first place.

    Notes
    -----
    1 - legume / reference. The legume and the reference must take up soil nitrogen of the same enrichment: the same
    low rate of label on both, and uptake over the same weeks and depth.

    References
    ----------
    fried1977 (expression), hamilton1991 (what unequal rates of label do).
    """
    reference = np.asarray(excess_reference, dtype=float)
    bad = np.flatnonzero(np.atleast_1d(reference) <= 0)
    if bad.size:
        seen = float(np.atleast_1d(reference).flat[bad[0]])
        raise DomainError(
            "excess_reference", seen, "above 0 atom %: without label nothing is diluted", index=int(bad[0])
        )
    return share_from_air(legume=excess_legume, reference=reference, air=0.0)
