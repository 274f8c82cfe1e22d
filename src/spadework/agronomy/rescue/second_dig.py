"""What a dig yet to come may show: the chance of each number of adequate plants, draw by draw."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.errors import DomainError

__all__ = ["chance_of_adequate", "share_of_factor"]

Floats = NDArray[np.float64]


def chance_of_adequate(*, share: ArrayLike, correlation: ArrayLike, plants: int, stops: int) -> Floats:
    """Chance of each number of adequate plants in a dig.

    Parameters
    ----------
    share : array_like, shape (draws,)
        Share of the field's plants that are adequate, 0 to 1. [1]
    correlation : array_like, broadcast to (draws,)
        Intra-stop correlation, 0 to 1. [1]
    plants, stops : int
        Plants to dig, spread over the stops as evenly as can be; at least one a stop.

    Returns
    -------
    ndarray of float64, shape (draws, plants + 1)
        Sums to 1 over the numbers. [1]

    Raises
    ------
    DomainError
        An argument outside its range.

    Notes
    -----
    Exact: beta-binomial at each stop, as ``field_share`` reads a dig, and summed over stops. A stop is dug plant by
    plant: with y of m adequate, the next is adequate with chance ``(share (1 - correlation) + y correlation) /
    (1 - correlation + m correlation)``.

    References
    ----------
    skellam1948 (beta-binomial)
    """
    shares = np.atleast_1d(np.asarray(share, dtype=np.float64))
    alike = np.broadcast_to(np.asarray(correlation, dtype=np.float64), shares.shape)
    if shares.ndim != 1:
        raise DomainError("share", shares.shape, "of shape (draws,)")
    for name, values in (("share", shares), ("correlation", alike)):
        if np.any(wrong := ~((values >= 0) & (values <= 1))):
            at = int(np.flatnonzero(wrong)[0])
            raise DomainError(name, float(values[at]), "from 0 to 1", index=at)
    if stops < 1:
        raise DomainError("stops", stops, "at least 1")
    if plants < stops:
        raise DomainError("plants", plants, f"at least one for each of the {stops} stops")
    fewest, over = divmod(plants, stops)
    of_fewest = _at_a_stop(shares, alike, fewest)
    of_most = _at_a_stop(shares, alike, fewest + 1) if over else of_fewest
    total = np.ones((shares.size, 1))
    for stop in range(stops):
        total = _added(total, of_most if stop < over else of_fewest)
    return total


def share_of_factor(*, factor: ArrayLike, curvature: ArrayLike, poor_activity: ArrayLike) -> Floats:
    """Share adequate of which a nodulation factor is the middle; undoes ``nodulation_factor``.

    Parameters
    ----------
    factor : array_like, broadcast to (...)
        Nodulation factor, 0 or more. [1]
    curvature : array_like, broadcast to (...)
        Above 0. [1]
    poor_activity : array_like, broadcast to (...)
        What the other plants fix beside an adequate one, 0 to below 1. [1]

    Returns
    -------
    ndarray of float64, shape (...)
        0 where the factor is as low as poor plants alone make it or lower, 1 where it is 1 or more. [1]

    Raises
    ------
    DomainError
        An argument outside its range.

    Notes
    -----
    ``z = factor curvature / (1 + curvature - factor)`` and ``share = (z - poor_activity) / (1 - poor_activity)``.
    Judgement, as the step from share to factor is. What a factor is spread by about its middle must be taken off
    first, or the share found is as sure as the factor and a dig seems to tell more than it can.
    """
    factors, bends, poor = (np.asarray(value, dtype=np.float64) for value in (factor, curvature, poor_activity))
    for name, values, wrong, allowed in (
        ("factor", factors, factors < 0, "0 or more"),
        ("curvature", bends, bends <= 0, "above 0"),
        ("poor_activity", poor, (poor < 0) | (poor >= 1), "from 0 to below 1"),
    ):
        if np.any(wrong):
            at = int(np.flatnonzero(wrong)[0])
            raise DomainError(name, float(values.flat[at]), allowed, index=at)
    full = np.minimum(factors, 1.0)
    activity = full * bends / (1 + bends - full)
    return np.asarray(np.clip((activity - poor) / (1 - poor), 0.0, 1.0))


def _at_a_stop(share: Floats, correlation: Floats, plants: int) -> Floats:
    """Chance of each number of adequate plants among those of one stop, shape (draws, plants + 1)."""
    chance = np.zeros((share.size, plants + 1))
    chance[:, 0] = 1.0
    for dug in range(plants):
        met = np.arange(dug + 1) * correlation[:, None]
        others = 1 - correlation + dug * correlation
        # Of the first plant nothing is known but the field, however alike plants of a stop are.
        next_adequate = ((share * (1 - correlation))[:, None] + met) / others[:, None] if dug else share[:, None]
        so_far = chance[:, : dug + 1].copy()
        chance[:, : dug + 1] = so_far * (1 - next_adequate)
        chance[:, 1 : dug + 2] += so_far * next_adequate
    return chance


def _added(one: Floats, other: Floats) -> Floats:
    """Chance of each sum of two numbers that are independent once the draw is known."""
    total = np.zeros((one.shape[0], one.shape[1] + other.shape[1] - 1))
    for number in range(other.shape[1]):
        total[:, number : number + one.shape[1]] += one * other[:, number, None]
    return total
