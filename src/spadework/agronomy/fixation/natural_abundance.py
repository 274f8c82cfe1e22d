"""Share of nitrogen from the air by 15N natural abundance, and what it hangs on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.agronomy.fixation.two_pools import share_from_air
from spadework.errors import DomainError

__all__ = ["Sensitivity", "fixed_share_natural_abundance", "natural_abundance_sensitivity"]

Floats = NDArray[np.float64]


def fixed_share_natural_abundance(
    *, delta_legume: ArrayLike, delta_reference: ArrayLike, b_value: ArrayLike, least_difference: float
) -> Floats:
    """Share of the legume's nitrogen that came from the air, by 15N natural abundance.

    Parameters
    ----------
    delta_legume : array_like, shape (...)
        delta-15N of the legume shoot. [permil]
    delta_reference : array_like, broadcast to (...)
        delta-15N of plants that fix nothing, of the same place and period. [permil]
    b_value : array_like, broadcast to (...)
        delta-15N of the legume living on air alone; rows ``b_value.*``. [permil]
    least_difference : float
        How far the reference must lie above B; row ``reference.least_above_b``. [permil]

    Returns
    -------
    ndarray of float64, shape (...)
        Share, not clipped: sampling error can carry it below 0 or above 1. NaN in, NaN out. [1]

    Raises
    ------
    DomainError
        If ``delta_reference - b_value`` is below ``least_difference`` anywhere, or that is not above 0; names the first
        place. A reference below B gives shares that look right and run the wrong way.

    Notes
    -----
    (reference - legume) / (reference - B). With one reference the mean of shares is the share of the mean legume; with
    several it is not, and shares weighted by nitrogen are something else again.

    References
    ----------
    ledgard1989igc (expression), shearer1986 (why reference and B must differ at the site).
    """
    _check_difference(delta_reference, b_value, least_difference)
    return share_from_air(legume=delta_legume, reference=delta_reference, air=b_value)


@dataclass(frozen=True)
class Sensitivity:
    """The share [1] if one figure were otherwise, as in ``fixed_share_natural_abundance``.

    NaN where the reference would then lie too close to B.
    """

    b_lower: Floats
    b_higher: Floats
    reference_lower: Floats
    reference_higher: Floats


def natural_abundance_sensitivity(
    *,
    delta_legume: ArrayLike,
    delta_reference: ArrayLike,
    b_value: ArrayLike,
    b_step: ArrayLike,
    reference_step: ArrayLike,
    least_difference: float,
) -> Sensitivity:
    """The share with B, and then the reference, moved down and up by a step.

    Parameters
    ----------
    delta_legume, delta_reference, b_value, least_difference
        As in ``fixed_share_natural_abundance``.
    b_step, reference_step : array_like, broadcast to (...)
        How far each is moved. [permil]

    Raises
    ------
    DomainError
        If a step is below 0, or as in ``fixed_share_natural_abundance`` without any step.

    References
    ----------
    ledgard1989igc.
    """
    legume, reference, b = (np.asarray(value, dtype=float) for value in (delta_legume, delta_reference, b_value))
    steps = {"b_step": np.asarray(b_step, dtype=float), "reference_step": np.asarray(reference_step, dtype=float)}
    for name, step in steps.items():
        if np.any(step < 0):
            raise DomainError(name, float(step.min()), "0 or more")
    _check_difference(reference, b, least_difference)

    def share(reference: Floats, b: Floats) -> Floats:
        found = share_from_air(legume=legume, reference=reference, air=b)
        return np.asarray(np.where(reference - b < least_difference, np.nan, found))

    return Sensitivity(
        b_lower=share(reference, b - steps["b_step"]),
        b_higher=share(reference, b + steps["b_step"]),
        reference_lower=share(reference - steps["reference_step"], b),
        reference_higher=share(reference + steps["reference_step"], b),
    )


def _check_difference(reference: ArrayLike, b: ArrayLike, least: float) -> None:
    if not least > 0:
        raise DomainError("least_difference", least, "above 0")
    difference = np.atleast_1d(np.asarray(reference, dtype=float) - np.asarray(b, dtype=float))
    close = np.flatnonzero(difference < least)
    if close.size:
        seen = float(difference.flat[close[0]])
        raise DomainError(
            "delta_reference - b_value",
            seen,
            f"at least {least:g} permil, or the share means nothing",
            index=int(close[0]),
        )
