"""Nitrogen fixed by difference: what the legume holds beyond a crop that fixes nothing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.errors import DomainError

__all__ = ["NitrogenDifference", "nitrogen_difference"]

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class NitrogenDifference:
    """Nitrogen fixed [kg/ha], its share of the legume's nitrogen [1], and the standard errors of both."""

    fixed: Floats
    share: Floats
    fixed_se: Floats
    share_se: Floats


def nitrogen_difference(
    *,
    legume: ArrayLike,
    reference: ArrayLike,
    soil_legume: ArrayLike = 0.0,
    soil_reference: ArrayLike = 0.0,
    legume_se: ArrayLike = np.nan,
    reference_se: ArrayLike = np.nan,
    soil_se: ArrayLike = 0.0,
) -> NitrogenDifference:
    """Nitrogen fixed, by difference from a reference crop, with the mineral nitrogen that each leaves in the soil.

    Parameters
    ----------
    legume, reference : array_like, broadcast together
        Nitrogen in the legume and in the reference crop. [kg/ha]
    soil_legume, soil_reference : array_like, broadcast together
        Mineral nitrogen left in the root zone at harvest below each; both left out in the short form. [kg/ha]
    legume_se, reference_se, soil_se : array_like, broadcast together
        Standard errors of the two crops and of the difference of the two soils; NaN where not known. [kg/ha]

    Returns
    -------
    NitrogenDifference
        Not clipped: a reference that took up more gives a negative figure. NaN in, NaN out.

    Raises
    ------
    DomainError
        If a nitrogen content is negative, or the legume holds none.

    Notes
    -----
    (legume - reference) + (soil_legume - soil_reference). It takes for granted that both crops took up the same from
    the soil, which fails with much nitrate and where the reference grew poorly. The standard error of the share
    follows the legume's nitrogen through both the difference and the divisor, which move together.

    References
    ----------
    fmicb2023tab10 (both forms).
    """
    names = ("legume", "reference", "soil_legume", "soil_reference")
    contents = [np.asarray(value, dtype=float) for value in (legume, reference, soil_legume, soil_reference)]
    for name, content in zip(names, contents, strict=True):
        if np.any(content < 0):
            raise DomainError(name, float(np.nanmin(content)), "0 kg/ha or more")
    held, other, soil_held, soil_other = contents
    if np.any(held == 0):
        raise DomainError("legume", 0.0, "above 0 kg/ha: a crop without nitrogen has no share")
    errors = [np.asarray(value, dtype=float) for value in (legume_se, reference_se, soil_se)]
    fixed = (held - other) + (soil_held - soil_other)
    share = fixed / held
    # The share is 1 - (reference - soil term) / legume: its slope on the legume is (1 - share) / legume.
    rest = errors[1] ** 2 + errors[2] ** 2
    return NitrogenDifference(
        fixed=np.asarray(fixed),
        share=np.asarray(share),
        fixed_se=np.asarray(np.sqrt(errors[0] ** 2 + rest)),
        share_se=np.asarray(np.sqrt((1 - share) ** 2 * errors[0] ** 2 + rest) / held),
    )
