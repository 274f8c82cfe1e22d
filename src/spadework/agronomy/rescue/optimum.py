"""Rate of nitrogen that pays best, between the rates at which the gain was worked out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.interpolate import PchipInterpolator

from spadework.errors import DomainError

__all__ = ["Optimum", "optimum_rate"]


@dataclass(frozen=True, kw_only=True)
class Optimum:
    """``rate`` that pays best [kg/ha], its ``gain`` [t/ha], ``net_return`` in money per ha; all 0 where none pays."""

    rate: float
    gain: float
    net_return: float


def optimum_rate(
    *,
    rates: ArrayLike,
    gain: ArrayLike,
    grain_price: float,
    nitrogen_price: float,
    fixed_cost: float = 0.0,
    highest: float = np.inf,
) -> Optimum:
    """Rate with the highest net return.

    Parameters
    ----------
    rates : array_like, shape (rates,)
        Rising, from 0. [kg/ha]
    gain : array_like, shape (rates,)
        Expected gain at each rate, 0 at rate 0. [t/ha]
    grain_price : float
        0 or more, money per t.
    nitrogen_price : float
        0 or more, money per kg.
    fixed_cost : float
        What any rate above 0 costs or loses, whatever it is: the pass, wheel marks. 0 or more, money per ha.
    highest : float
        Rate that is not to be exceeded, above 0. [kg/ha]

    Raises
    ------
    DomainError
        Rates that do not rise from 0, lengths that differ, figures that are not finite, or an argument outside its
        range.

    Notes
    -----
    Between the rates the gain follows a piecewise cubic that goes through every point and rises and falls only where
    they do, so that it makes no hump of its own. Its highest net return is found exactly: of the given rates and of
    all rates at which one more kg of nitrogen just pays for itself, the best, the lowest of equals. So the rate moves
    smoothly with prices, which a choice among the given rates would not. It is set against giving none last: a fixed
    cost can turn down a rate at which the last kg pays.

    References
    ----------
    fritsch1980 (the curve); fausti2018 (the last kg just pays for itself)
    """
    at, gains = np.asarray(rates, dtype=np.float64), np.asarray(gain, dtype=np.float64)
    if at.ndim != 1 or at.size < 2 or at[0] != 0 or not np.all(np.diff(at) > 0) or not np.isfinite(at[-1]):
        raise DomainError("rates", at.tolist(), "at least two, rising from 0")
    if gains.shape != at.shape or not np.all(np.isfinite(gains)) or gains[0] != 0:
        raise DomainError("gain", gains.tolist(), f"{at.size} finite figures, the first 0")
    given = {"grain_price": grain_price, "nitrogen_price": nitrogen_price, "fixed_cost": fixed_cost}
    for name, value in given.items():
        if not 0 <= value < np.inf:
            raise DomainError(name, value, "0 or more and finite")
    if not highest > 0:
        raise DomainError("highest", highest, "above 0")
    curve = PchipInterpolator(at, gains)
    turning = curve.derivative().solve(nitrogen_price / grain_price, extrapolate=False) if grain_price > 0 else at[:1]
    top = min(highest, float(at[-1]))
    # A piece as steep as the price ratio all along has no turning point of its own but NaN, which no comparison lets
    # pass; its ends stand for it.
    tried = np.unique(np.concatenate([at, turning, [top]]))
    tried = tried[tried <= top]
    net = grain_price * curve(tried) - nitrogen_price * tried
    best = int(np.argmax(net))
    if not net[best] - fixed_cost > 0:
        return Optimum(rate=0.0, gain=0.0, net_return=0.0)
    return Optimum(rate=float(tried[best]), gain=float(curve(tried[best])), net_return=float(net[best] - fixed_cost))
