"""Money of an option: its cost and net return, what it must bring to pay, and the partial budget.

Prices are the user's, in any one currency. Money is per ha.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.errors import DomainError

__all__ = [
    "MoneyLine",
    "PartialBudget",
    "Section",
    "break_even_chance",
    "break_even_gain",
    "net_return",
    "option_cost",
]

Floats = NDArray[np.float64]


class Section(StrEnum):
    """Sections of a partial budget: the first two are gains, the others losses."""

    ADDED_RETURNS = "added_returns"
    REDUCED_COSTS = "reduced_costs"
    ADDED_COSTS = "added_costs"
    REDUCED_RETURNS = "reduced_returns"


_GAINS = (Section.ADDED_RETURNS, Section.REDUCED_COSTS)


@dataclass(frozen=True, kw_only=True)
class MoneyLine:
    """One line of a partial budget; ``amount`` 0 or more, its sign lies in the section."""

    section: Section
    name: str
    amount: float

    def __post_init__(self) -> None:
        if not 0 <= self.amount < np.inf:
            raise DomainError(f"amount of {self.name}", self.amount, "0 or more; a loss goes into a section of losses")


@dataclass(frozen=True, kw_only=True)
class PartialBudget:
    """What changes if the option is taken, and nothing that stays as it is.

    References
    ----------
    csu_3761, sare_pb (the four sections)
    """

    lines: tuple[MoneyLine, ...]

    def total(self, section: Section) -> float:
        """Sum of the lines of a section."""
        return sum(line.amount for line in self.lines if line.section is section)

    @property
    def gains(self) -> float:
        """Added returns and reduced costs."""
        return sum(self.total(section) for section in _GAINS)

    @property
    def losses(self) -> float:
        """Added costs and reduced returns."""
        return sum(self.total(section) for section in Section if section not in _GAINS)

    @property
    def net(self) -> float:
        """Gains less losses."""
        return self.gains - self.losses


def option_cost(*, rate: ArrayLike, nitrogen_price: ArrayLike, pass_price: ArrayLike, other: ArrayLike = 0.0) -> Floats:
    """Cost of giving nitrogen at a rate in one pass.

    Parameters
    ----------
    rate : array_like, broadcast to (...)
        Nitrogen given, 0 or more. [kg/ha]
    nitrogen_price : array_like, broadcast to (...)
        Money per kg of nitrogen, 0 or more.
    pass_price, other : array_like, broadcast to (...)
        Of driving over a ha once, and of what else the pass takes along, 0 or more. Money per ha.

    Returns
    -------
    ndarray, shape (...)
        Money per ha; 0 at rate 0, where nobody drives.

    Raises
    ------
    DomainError
        An argument outside its range.
    """
    given = _at_least_0("rate", rate)
    once = _at_least_0("pass_price", pass_price) + _at_least_0("other", other)
    return np.asarray(np.where(given > 0, given * _at_least_0("nitrogen_price", nitrogen_price) + once, 0.0))


def net_return(*, gain: ArrayLike, grain_price: ArrayLike, cost: ArrayLike) -> Floats:
    """Net return of an option against leaving the crop as it is.

    Parameters
    ----------
    gain : array_like, broadcast to (...)
        Grain more than without it; below 0 where it harms. [t/ha]
    grain_price : array_like, broadcast to (...)
        Money per t, 0 or more.
    cost : array_like, broadcast to (...)
        Money per ha.

    Returns
    -------
    ndarray, shape (...)
        Money per ha.

    Raises
    ------
    DomainError
        A price below 0.
    """
    return np.asarray(np.asarray(gain) * _at_least_0("grain_price", grain_price) - np.asarray(cost))


def break_even_gain(*, cost: ArrayLike, grain_price: ArrayLike) -> Floats:
    """Grain that an option must bring to pay for itself.

    Parameters
    ----------
    cost : array_like, broadcast to (...)
        0 or more, money per ha.
    grain_price : array_like, broadcast to (...)
        Above 0, money per t.

    Returns
    -------
    ndarray, shape (...)
        [t/ha]

    Raises
    ------
    DomainError
        An argument outside its range.
    """
    return np.asarray(_at_least_0("cost", cost) / _above_0("grain_price", grain_price))


def break_even_chance(*, cost: ArrayLike, return_if_it_works: ArrayLike) -> Floats:
    """Chance of success above which an option pays that brings a return or nothing, and costs the same either way.

    Parameters
    ----------
    cost : array_like, broadcast to (...)
        0 or more, money per ha.
    return_if_it_works : array_like, broadcast to (...)
        Worth of the gain, cost not taken off; above 0, money per ha.

    Returns
    -------
    ndarray, shape (...)
        Above 1 where it does not pay even if it is sure to work. [1]

    Raises
    ------
    DomainError
        An argument outside its range.
    """
    return np.asarray(_at_least_0("cost", cost) / _above_0("return_if_it_works", return_if_it_works))


def _at_least_0(name: str, given: ArrayLike) -> Floats:
    return _within(name, given, "0 or more", with_0=True)


def _above_0(name: str, given: ArrayLike) -> Floats:
    return _within(name, given, "above 0", with_0=False)


def _within(name: str, given: ArrayLike, allowed: str, *, with_0: bool) -> Floats:
    values = np.asarray(given, dtype=np.float64)
    wrong = values < 0 if with_0 else values <= 0
    if np.any(wrong):
        at = int(np.flatnonzero(wrong)[0])
        raise DomainError(name, float(values.flat[at]), allowed, index=at if values.ndim else None)
    return values
