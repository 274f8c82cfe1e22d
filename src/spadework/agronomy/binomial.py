"""Shares of plants: the interval of one sample, and how many plants a wanted precision takes."""

from __future__ import annotations

import math

from scipy.special import betaincinv, ndtri

from spadework.errors import DomainError

__all__ = ["design_effect", "jeffreys_interval", "most_where_none_found", "plants_for_share"]

_ROUNDING = 1e-9
"""What sums of probabilities may be off by. [plants]"""


def jeffreys_interval(adequate: float, plants: int, level: float) -> tuple[float, float]:
    """Interval of a share from independent plants, by the Jeffreys prior.

    Parameters
    ----------
    adequate : float
        Plants that have the property; may be a sum of probabilities. [plants]
    plants : int
        Plants looked at.
    level : float
        How often such intervals hold. [1]

    Returns
    -------
    tuple of float
        Low and high; opened to 0 where no plant has the property and to 1 where all have. [1]

    Raises
    ------
    DomainError
        If ``adequate`` is not from 0 to ``plants``, there is no plant, or the level is none.

    References
    ----------
    brown2001
    """
    if plants < 1:
        raise DomainError("plants", plants, "at least 1")
    if not 0 <= adequate <= plants + _ROUNDING:
        raise DomainError("adequate", adequate, f"from 0 to {plants}")
    _check_level(level)
    a, b = adequate + 0.5, max(plants - adequate, 0.0) + 0.5
    low = 0.0 if adequate < _ROUNDING else float(betaincinv(a, b, (1 - level) / 2))
    high = 1.0 if adequate > plants - _ROUNDING else float(betaincinv(a, b, (1 + level) / 2))
    return low, high


def most_where_none_found(*, plants: float, level: float) -> float:
    """Largest share of a field that may have a property which none of the plants dug shows.

    Parameters
    ----------
    plants : float
        Independent plants looked at, above 0. [plants]
    level : float
        How often such one-sided limits hold; at 0.95 the limit is about 3 / plants. [1]

    Raises
    ------
    DomainError
        If either lies outside its range.

    References
    ----------
    hanley1983
    """
    if not plants > 0:
        raise DomainError("plants", plants, "above 0")
    _check_level(level)
    return float(1 - (1 - level) ** (1 / plants))


def design_effect(*, plants_per_stop: float, correlation: float) -> float:
    """How many plants in stops are worth one plant dug alone.

    Parameters
    ----------
    plants_per_stop : float
        Plants dug at each stop, at least 1.
    correlation : float
        Intra-stop correlation, at most 1. [1]

    Raises
    ------
    DomainError
        If either lies outside its range.

    References
    ----------
    kish1965
    """
    if not plants_per_stop >= 1:
        raise DomainError("plants_per_stop", plants_per_stop, "at least 1")
    if not 0 <= correlation <= 1:
        raise DomainError("correlation", correlation, "from 0 to 1")
    return 1 + (plants_per_stop - 1) * correlation


def plants_for_share(
    *,
    share: float,
    half_width: float,
    level: float | None = None,
    z: float | None = None,
    population: float = math.inf,
    design_effect: float = 1.0,
) -> int:
    """Plants that bring the interval of a share to a wanted half width.

    Parameters
    ----------
    share : float
        Share that is expected; 0.5 is the safe side. [1]
    half_width : float
        Half width of the interval that is wanted. [1]
    level, z : float
        How often the interval shall hold, or the normal deviate itself; exactly one of the two.
    population : float
        Plants there are; matters only for small plots. [plants]
    design_effect : float
        See ``design_effect``. [1]

    Raises
    ------
    DomainError
        If a share, half width or level lies outside (0, 1), the population or design effect is below 1, or not
        exactly one of ``level`` and ``z`` is given.

    Notes
    -----
    The plants that z and the half width ask for are multiplied by the design effect first and corrected for the
    population last, so that no more plants are asked for than there are.

    References
    ----------
    cochran1977
    """
    for name, value in (("share", share), ("half_width", half_width)):
        if not 0 < value < 1:
            raise DomainError(name, value, "between 0 and 1")
    for name, value in (("population", population), ("design_effect", design_effect)):
        if not value >= 1:
            raise DomainError(name, value, "at least 1")
    if z is None and level is not None:
        _check_level(level)
        z = float(ndtri((1 + level) / 2))
    elif z is None or level is not None:
        raise DomainError("level and z", (level, z), "given one and not the other")
    without_end = z**2 * share * (1 - share) / half_width**2 * design_effect
    return math.ceil(without_end / (1 + (without_end - 1) / population) - _ROUNDING)


def _check_level(level: float) -> None:
    if not 0 < level < 1:
        raise DomainError("level", level, "between 0 and 1")
