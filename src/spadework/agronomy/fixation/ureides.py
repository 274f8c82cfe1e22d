"""Ureides in xylem sap: the relative index, and the share of fixed nitrogen by a calibration line."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.errors import DomainError
from spadework.knowledge.rows import Crop

__all__ = ["UREIDE_EXPORTERS", "fixed_share_ureides", "relative_ureide_index"]

Floats = NDArray[np.float64]

UREIDE_EXPORTERS = frozenset({Crop.SOYBEAN, Crop.COMMON_BEAN, Crop.COWPEA, Crop.MUNG_BEAN})
"""Crops that send fixed nitrogen up as ureides; row ``statement.ureide.exporters``. The others send amides, and their
sap says nothing about fixation."""

_ATOMS = 4.0
"""Nitrogen atoms in one molecule of allantoin or allantoic acid."""


def relative_ureide_index(*, ureides: ArrayLike, nitrate: ArrayLike, amino: ArrayLike) -> Floats:
    """Share of ureide nitrogen in the nitrogen of the sap.

    Parameters
    ----------
    ureides, nitrate, amino : array_like, broadcast together
        Concentrations of ureides (allantoin and allantoic acid), nitrate and amino acids (alpha-amino groups) in the
        sap. [mmol/L; any one unit of amount of substance]

    Returns
    -------
    ndarray of float64
        Index from 0 to 1. NaN in, NaN out. [1]

    Raises
    ------
    DomainError
        If a concentration is negative, or all three are 0.

    Notes
    -----
    Ureide nitrogen over the sum of ureide, nitrate and amino nitrogen, with four atoms of nitrogen a ureide.

    References
    ----------
    herridge1988 (index on a basis of nitrogen), unkovich2008 (four atoms; an identity).
    """
    parts = {"ureides": ureides, "nitrate": nitrate, "amino": amino}
    values = {name: np.asarray(value, dtype=float) for name, value in parts.items()}
    for name, value in values.items():
        if np.any(value < 0):
            raise DomainError(name, float(np.nanmin(value)), "0 or more")
    of_ureides = _ATOMS * values["ureides"]
    total = of_ureides + values["nitrate"] + values["amino"]
    if np.any(total == 0):
        raise DomainError("ureides, nitrate and amino", 0.0, "above 0 in sum: a sap without nitrogen has no index")
    return np.asarray(of_ureides / total)


def fixed_share_ureides(*, index: ArrayLike, intercept: float, slope: float, lowest: float, highest: float) -> Floats:
    """Share of nitrogen from the air, read off a calibration line of the relative ureide index.

    Parameters
    ----------
    index : array_like, shape (...)
        As of ``relative_ureide_index``. [1]
    intercept, slope : float
        Of the line index = intercept + slope x share, for this crop, stage and way of taking sap. [1]
    lowest, highest : float
        Shares between which the line was calibrated. [1]

    Returns
    -------
    ndarray of float64, shape (...)
        Share; NaN in, NaN out, and NaN where the line would be drawn out beyond where it was calibrated. [1]

    Raises
    ------
    DomainError
        If ``slope`` is not above 0, or ``lowest`` not below ``highest``.

    Notes
    -----
    The inverse of the line as printed. No line for a grain legume stands in the tables: none could be read.

    References
    ----------
    herridge1996tree (form of the line; two lines, of shrubs, are met by recomputation).
    """
    if not slope > 0:
        raise DomainError("slope", slope, "above 0: more fixation, more ureides")
    if not lowest < highest:
        raise DomainError("lowest", lowest, f"below highest ({highest})")
    share = (np.asarray(index, dtype=float) - intercept) / slope
    # A rounding error at an end is no step beyond it.
    beyond = (share < lowest - 1e-9) | (share > highest + 1e-9)
    return np.asarray(np.where(beyond, np.nan, share))
