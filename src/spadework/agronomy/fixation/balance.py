"""What is left after harvest: nitrogen fixed in shoots and roots, less the grain's."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.errors import DomainError

__all__ = ["HarvestBalance", "below_ground_factor", "harvest_balance"]

Floats = NDArray[np.float64]


def below_ground_factor(below_ground_share: ArrayLike) -> Floats:
    """Nitrogen of the whole plant over that of its shoot.

    Parameters
    ----------
    below_ground_share : array_like, shape (...)
        Share of the plant's nitrogen that is in roots, nodules and what they shed; rows ``below_ground.*``. [1]

    Returns
    -------
    ndarray of float64, shape (...)
        1 / (1 - share). NaN in, NaN out. [1]

    Raises
    ------
    DomainError
        If a share lies outside 0 to below 1.

    References
    ----------
    khan2002 (shares), einarsson2024 (factors of the same size by another way).
    """
    share = np.asarray(below_ground_share, dtype=float)
    if np.any((share < 0) | (share >= 1)):
        raise DomainError("below_ground_share", share.tolist(), "from 0 to below 1")
    return np.asarray(1 / (1 - share))


@dataclass(frozen=True)
class HarvestBalance:
    """Nitrogen of a crop at harvest, all in kg/ha.

    ``net_shoot`` and ``net_whole`` are the fixed nitrogen, of the shoot alone and of the whole plant, less the
    grain's: which of them is meant often decides the sign, so both are given. ``residue_shoot`` and
    ``residue_below_ground`` are all nitrogen that stays, fixed or not.
    """

    fixed_shoot: Floats
    fixed_whole: Floats
    grain: Floats
    net_shoot: Floats
    net_whole: Floats
    residue_shoot: Floats
    residue_below_ground: Floats


def harvest_balance(
    *, shoot_nitrogen: ArrayLike, fixed_share: ArrayLike, grain_nitrogen: ArrayLike, below_ground_share: ArrayLike
) -> HarvestBalance:
    """Net nitrogen balance of a grain legume after its grain is taken away.

    Parameters
    ----------
    shoot_nitrogen : array_like, shape (...)
        Nitrogen of the shoot with its grain at its peak. [kg/ha]
    fixed_share : array_like, broadcast to (...)
        Share of it from the air, raw; negative shares are carried through. [1]
    grain_nitrogen : array_like, broadcast to (...)
        Nitrogen of the grain taken away. [kg/ha]
    below_ground_share : array_like, broadcast to (...)
        As in ``below_ground_factor``. [1]

    Returns
    -------
    HarvestBalance
        Fields of shape (...). NaN in, NaN out.

    Raises
    ------
    DomainError
        If nitrogen is negative, the grain holds more than the shoot, or a below-ground share is outside 0 to below 1.

    Notes
    -----
    Fixed less grain. Roots are taken to hold fixed nitrogen in the same share as shoots. Nitrogen of the seed that was
    sown (about 5 % of a pea plant in pots) and losses to air and water are not in it.

    References
    ----------
    schwenke1998 (fixed less grain), salvagiotti2008 (with and without roots), jensen1986fr (seed).
    """
    shoot, share, grain = (np.asarray(value, dtype=float) for value in (shoot_nitrogen, fixed_share, grain_nitrogen))
    for name, value in (("shoot_nitrogen", shoot), ("grain_nitrogen", grain)):
        if np.any(value < 0):
            raise DomainError(name, float(np.nanmin(value)), "0 kg/ha or more")
    if np.any(grain > shoot):
        raise DomainError(
            "grain_nitrogen", grain.tolist(), f"at most that of the shoot, which holds the grain ({shoot})"
        )
    factor = below_ground_factor(below_ground_share)
    fixed = shoot * share
    return HarvestBalance(
        fixed_shoot=np.asarray(fixed),
        fixed_whole=np.asarray(fixed * factor),
        grain=grain,
        net_shoot=np.asarray(fixed - grain),
        net_whole=np.asarray(fixed * factor - grain),
        residue_shoot=np.asarray(shoot - grain),
        residue_below_ground=np.asarray(shoot * (factor - 1)),
    )
