"""Nitrogen of two origins, told apart by 15N: the share of one of them, its standard error and its interval.

The legume lies between plants that live on the soil alone (the reference) and plants that live on the air alone.
Natural abundance and isotope dilution are this one rule with different figures for the air.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtri, stdtrit

from spadework.errors import DomainError

__all__ = ["effective_degrees", "interval_multiplier", "share_from_air", "share_interval", "share_standard_error"]

Floats = NDArray[np.float64]


def share_from_air(*, legume: ArrayLike, reference: ArrayLike, air: ArrayLike) -> Floats:
    """Share of nitrogen from the air, from where the legume lies between the two ends.

    Parameters
    ----------
    legume, reference, air : array_like, broadcast together
        15N of the legume, of a plant on soil nitrogen alone, of a legume on air alone. [one unit for all]

    Returns
    -------
    ndarray of float64
        Share, not clipped. NaN in, NaN out; NaN, too, where both ends are the same. [1]
    """
    legume, reference, air = _floats(legume, reference, air)
    width = reference - air
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(np.where(width == 0, np.nan, (reference - legume) / width))


def share_standard_error(
    *,
    legume: ArrayLike,
    reference: ArrayLike,
    air: ArrayLike,
    legume_se: ArrayLike,
    reference_se: ArrayLike,
    air_se: ArrayLike,
    covariance: ArrayLike = 0.0,
) -> Floats:
    """Standard error of the share by first-order propagation.

    Parameters
    ----------
    legume, reference, air
        As in ``share_from_air``.
    legume_se, reference_se, air_se : array_like, broadcast together
        Standard errors of the three. [the same unit]
    covariance : array_like, broadcast together
        Covariance of the legume's and the reference's mean; above 0 where they were sampled in pairs and soils
        differ from plot to plot. [the same unit, squared]

    Returns
    -------
    ndarray of float64
        Standard error; NaN in, NaN out. [1]

    Notes
    -----
    With the share P the variance is ``(legume_se^2 + (1-P)^2 reference_se^2 + P^2 air_se^2 - 2 (1-P) covariance)`` over
    ``(reference - air)^2``. It is too small where the two ends lie within a few standard errors of each other;
    ``share_interval`` is not.

    References
    ----------
    phillips2001 (propagation with independent errors; the covariance is added here).
    """
    legume, reference, air = _floats(legume, reference, air)
    share = share_from_air(legume=legume, reference=reference, air=air)
    variance = _variance(share, *_floats(legume_se, reference_se, air_se, covariance))
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(np.sqrt(variance) / np.abs(reference - air))


def share_interval(
    *,
    legume: ArrayLike,
    reference: ArrayLike,
    air: ArrayLike,
    legume_se: ArrayLike,
    reference_se: ArrayLike,
    air_se: ArrayLike,
    covariance: ArrayLike = 0.0,
    multiplier: ArrayLike,
) -> tuple[Floats, Floats]:
    """Interval of the share that holds however close the two ends are: the shares that the figures do not rule out.

    Parameters
    ----------
    legume, reference, air, legume_se, reference_se, air_se, covariance
        As in ``share_standard_error``.
    multiplier : array_like, broadcast together
        Quantile of the t or normal distribution that belongs to the level wanted. [1]

    Returns
    -------
    low, high : ndarray of float64
        Ends of the interval, not clipped. Infinite on both sides where the two ends cannot be told apart at this level,
        so that any share is possible. NaN in, NaN out. [1]

    Notes
    -----
    A share p is kept when ``reference - legume - p (reference - air)`` lies within ``multiplier`` standard errors of 0,
    which is a quadratic condition on p. Where the set is not one bounded interval, nothing was measured, and both
    ends are infinite here.

    References
    ----------
    fieller1954 (interval of a ratio), shearer1986 (the ends must differ significantly at the site itself).
    """
    legume, reference, air = _floats(legume, reference, air)
    legume_se, reference_se, air_se, covariance = _floats(legume_se, reference_se, air_se, covariance)
    squared = np.square(np.asarray(multiplier, dtype=float))
    width, above = reference - air, reference - legume
    # Variance of above - p width as a quadratic in p: legume - reference (1 - p) - p air.
    constant = legume_se**2 + reference_se**2 - 2 * covariance
    linear = -2 * reference_se**2 + 2 * covariance
    quadratic = reference_se**2 + air_se**2
    a = width**2 - squared * quadratic
    b = -2 * above * width - squared * linear
    c = above**2 - squared * constant
    with np.errstate(divide="ignore", invalid="ignore"):
        root = np.sqrt(np.maximum(b**2 - 4 * a * c, 0.0))
        low, high = (-b - root) / (2 * a), (-b + root) / (2 * a)
    unknown = np.isnan(a + b + c)
    bounded = a > 0
    return (
        np.asarray(np.where(unknown, np.nan, np.where(bounded, low, -np.inf))),
        np.asarray(np.where(unknown, np.nan, np.where(bounded, high, np.inf))),
    )


def effective_degrees(*, variances: ArrayLike, degrees: ArrayLike) -> Floats:
    """Degrees of freedom of a sum of variances that were each estimated from few samples.

    Parameters
    ----------
    variances : array_like, shape (..., parts)
        Parts of the total variance. [any unit]
    degrees : array_like, broadcast to (..., parts)
        Degrees of freedom of each; infinite where the variance is taken as known. [1]

    Returns
    -------
    ndarray of float64, shape (...)
        Infinite where no part with few degrees has any variance; NaN in, NaN out. [1]

    References
    ----------
    satterthwaite1946.
    """
    parts, freedom = _floats(variances, degrees)
    with np.errstate(divide="ignore", invalid="ignore"):
        known = parts.sum(axis=-1) ** 2 / (parts**2 / freedom).sum(axis=-1)
    return np.asarray(np.where(np.all(parts == 0, axis=-1), np.inf, known))


def interval_multiplier(*, level: float, degrees: float) -> float:
    """How many standard errors an interval reaches to each side: the quantile of the t distribution.

    Parameters
    ----------
    level : float
        How often such intervals hold; row ``planning.interval_level``. [1]
    degrees : float
        Degrees of freedom of the standard error; infinite for the normal distribution. [1]

    Raises
    ------
    DomainError
        If ``level`` is not inside (0, 1) or ``degrees`` not above 0.
    """
    if not 0 < level < 1:
        raise DomainError("level", level, "between 0 and 1")
    if not degrees > 0:
        raise DomainError("degrees", degrees, "above 0")
    upper = (1 + level) / 2
    return float(ndtri(upper) if np.isinf(degrees) else stdtrit(degrees, upper))


def _variance(share: Floats, legume_se: Floats, reference_se: Floats, air_se: Floats, covariance: Floats) -> Floats:
    """Variance of ``legume - (1 - share) reference - share air``."""
    rest = 1 - share
    total = legume_se**2 + rest**2 * reference_se**2 + share**2 * air_se**2 - 2 * rest * covariance
    return np.asarray(np.maximum(total, 0.0))


def _floats(*values: ArrayLike) -> tuple[Floats, ...]:
    return tuple(np.asarray(value, dtype=float) for value in values)
