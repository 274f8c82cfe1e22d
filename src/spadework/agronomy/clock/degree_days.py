"""Degree-days of single days from their lowest and highest temperature, by rules that are told apart by name.

A total means nothing without the rule, base and cap that made it: two readings of one printed equation differ
exactly on the days whose low is under the base (mcmaster_wilhelm1997).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.errors import DomainError

__all__ = ["KNOWS_NO_CAP", "METHODS", "NEEDS_CAP", "degree_days"]

Floats = NDArray[np.float64]

METHODS: Mapping[str, str] = MappingProxyType(
    {
        "mean_then_floor": "mean of the day, then the base",
        "floor_each": "base applied to low and high, then the mean",
        "capped_mean": "mean of the day, capped, then the base",
        "capped_each": "base and cap applied to low and high, then the mean",
        "capped_each_floor_highest": "cap on low and high, base on the high and on the mean",
        "quarter": "meteorological quarter rule",
        "triangle": "single triangle, horizontal cut-off",
        "triangle_intermediate": "single triangle, intermediate cut-off",
        "sine": "single sine, horizontal cut-off",
        "sine_intermediate": "single sine, intermediate cut-off",
    }
)
"""Ids of the rules and the plain names that stand beside each total."""

NEEDS_CAP = frozenset(
    {"capped_mean", "capped_each", "capped_each_floor_highest", "triangle_intermediate", "sine_intermediate"}
)
"""Rules that cannot do without a cap."""
KNOWS_NO_CAP = frozenset({"quarter"})
"""Rules that have no place for a cap."""


def degree_days(
    *, tmin: ArrayLike, tmax: ArrayLike, t_base: ArrayLike, t_cap: ArrayLike | None = None, method: str
) -> Floats:
    """Degree-days of each day by the averaging rule named.

    Parameters
    ----------
    tmin, tmax : array_like, broadcast to (...)
        Lowest and highest temperature of the day. [degC]
    t_base : array_like, broadcast to (...)
        Temperature under which nothing develops. [degC]
    t_cap : array_like, broadcast to (...), optional
        Temperature above which development gains nothing more; above ``t_base``. ``mean_then_floor`` then caps
        the mean and ``floor_each`` caps low and high. [degC]
    method : str
        One of ``METHODS``.

    Returns
    -------
    ndarray of float64, shape (...)
        0 or more; NaN in, NaN out. [degC d]

    Raises
    ------
    DomainError
        Unknown method (lists those known); ``tmax`` below ``tmin`` (first position, counted flat); ``t_cap`` not
        above ``t_base``, missing where the rule needs it, or given to a rule that has none.

    Notes
    -----
    Horizontal cut-off: area over the base less area over the cap. Intermediate cut-off: twice the area over the
    cap is taken off, and never less than 0 is left.

    References
    ----------
    mcmaster_wilhelm1997 (mean_then_floor, floor_each); capped_rules (the capped rules); quarter_rule
    (quarter); zalom1983, baskerville_emin1969 (triangle, sine, cut-offs; closed forms derived here).
    """
    if method not in METHODS:
        raise DomainError("method", method, f"one of {', '.join(METHODS)}")
    if method in NEEDS_CAP and t_cap is None:
        raise DomainError("t_cap", None, f"given for method {method}")
    if method in KNOWS_NO_CAP and t_cap is not None:
        raise DomainError("t_cap", t_cap, f"left out for method {method}, which has no cap")

    low = np.asarray(tmin, dtype=np.float64)
    high = np.asarray(tmax, dtype=np.float64)
    base = np.asarray(t_base, dtype=np.float64)
    cap = None if t_cap is None else np.asarray(t_cap, dtype=np.float64)
    crossed = np.broadcast_to(high < low, np.broadcast_shapes(high.shape, low.shape))
    if crossed.any():
        position = int(np.flatnonzero(crossed)[0])
        seen = float(np.broadcast_to(high, crossed.shape).flat[position])
        raise DomainError("tmax", seen, "at least tmin of the same day", index=position)
    if cap is not None and np.any(cap <= base):
        raise DomainError("t_cap", t_cap, f"above t_base ({t_base!r})")

    total = _RULES[method](low, high, base, cap)
    unknown = np.isnan(low) | np.isnan(high) | np.isnan(base)
    return np.asarray(np.where(unknown, np.nan, total), dtype=np.float64)


def _from_mean(low: Floats, high: Floats, base: Floats, cap: Floats | None) -> Floats:
    return np.asarray(np.clip((low + high) / 2, base, cap) - base)


def _from_each(low: Floats, high: Floats, base: Floats, cap: Floats | None) -> Floats:
    return np.asarray((np.clip(low, base, cap) + np.clip(high, base, cap)) / 2 - base)


def _floor_highest(low: Floats, high: Floats, base: Floats, cap: Floats | None) -> Floats:
    mean = (np.clip(low, None, cap) + np.clip(high, base, cap)) / 2
    return np.asarray(np.maximum(mean, base) - base)


def _quarter(low: Floats, high: Floats, base: Floats, cap: Floats | None) -> Floats:
    mean = (low + high) / 2
    above_half = (high - base) / 2 - (base - low) / 4
    part = np.where(mean >= base, above_half, (high - base) / 4)
    return np.where(low >= base, mean - base, np.where(high <= base, 0.0, part))


def _over_triangle(low: Floats, high: Floats, limit: Floats) -> Floats:
    span = high - low
    # Held within the day's span, nothing overflows on a day with next to no swing.
    part = np.clip(high - limit, 0.0, span) ** 2 / (2 * np.where(span > 0, span, 1.0))
    return np.where(low >= limit, (low + high) / 2 - limit, part)


def _over_sine(low: Floats, high: Floats, limit: Floats) -> Floats:
    mean, swing = (low + high) / 2, (high - low) / 2
    rise = np.arcsin(np.clip(limit - mean, -swing, swing) / np.where(swing > 0, swing, 1.0))
    part = ((mean - limit) * (np.pi / 2 - rise) + swing * np.cos(rise)) / np.pi
    return np.where(low >= limit, mean - limit, np.where(high <= limit, 0.0, part))


def _cut_off(over: Callable[[Floats, Floats, Floats], Floats], times: float) -> _Rule:
    def rule(low: Floats, high: Floats, base: Floats, cap: Floats | None) -> Floats:
        if cap is None:
            return over(low, high, base)
        return np.maximum(over(low, high, base) - times * over(low, high, cap), 0.0)

    return rule


_Rule = Callable[[Floats, Floats, Floats, Floats | None], Floats]

_RULES: Mapping[str, _Rule] = {
    "mean_then_floor": _from_mean,
    "floor_each": _from_each,
    "capped_mean": _from_mean,
    "capped_each": _from_each,
    "capped_each_floor_highest": _floor_highest,
    "quarter": _quarter,
    "triangle": _cut_off(_over_triangle, 1),
    "triangle_intermediate": _cut_off(_over_triangle, 2),
    "sine": _cut_off(_over_sine, 1),
    "sine_intermediate": _cut_off(_over_sine, 2),
}
