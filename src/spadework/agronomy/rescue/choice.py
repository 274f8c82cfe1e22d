"""One choice among options of which each draw of what is not known gives a net return.

The draws are those of the season balance. An option is best by its mean; what more could be known is worth what the
choice made with it brings beyond the choice made without. All means over draws use the draws' weights, and one set of
draws serves all options, so that what chance does to one it does to all.

References
----------
raiffa1961 (regret, and the value of perfect and of sample information)
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.agronomy.season.signs import effective_draws
from spadework.errors import DomainError

__all__ = ["LookAhead", "Weighed", "chance_no_worse", "look_ahead", "value_of_knowing", "weigh_options"]

Floats = NDArray[np.float64]
Places = NDArray[np.intp]

_DEGREE = 4
"""Of the curve through the ranks of an input: enough for a bend and a counter-bend, too stiff to follow chance."""

_SUM = 1e-9
"""What chances that should sum to 1 may be off by."""


@dataclass(frozen=True, kw_only=True)
class Weighed:
    """Options set against each other; arrays of shape (options,), money per ha.

    ``expected`` net return, ``low`` and ``high`` its interval, ``chance_of_loss`` that it lies below 0, ``regret``
    what is given up on average against the best option of each draw. ``best`` is a place in these arrays, of
    equal ones the first. ``no_worse`` is the chance that it turns out no worse than the next best.
    ``value_of_certainty`` is what it would be worth to know everything before choosing.
    """

    expected: Floats
    low: Floats
    high: Floats
    chance_of_loss: Floats
    regret: Floats
    best: int
    no_worse: float
    value_of_certainty: float


@dataclass(frozen=True, kw_only=True)
class LookAhead:
    """What it is worth to wait for a result and choose then; money per ha.

    Of each result, shape (results,): its ``chance`` and the ``choice`` made at it, the place of an option.
    ``expected`` is the net return of each later option at each result, shape (results, options), NaN where the
    result cannot come. ``now`` is the best expected net return without waiting, ``later`` with it, before ``cost``.
    ``told`` is what the result is worth to the later choice, never below 0; ``given_up`` what the best option loses
    by being later. ``value`` = ``told - given_up - cost`` = ``later - cost - now``; ``error`` is the standard error
    that the number of draws leaves in it.
    """

    chance: Floats
    choice: Places
    expected: Floats
    now: float
    later: float
    told: float
    given_up: float
    cost: float
    error: float

    @property
    def value(self) -> float:
        """What waiting is worth against the best that can be done now, money per ha."""
        return self.told - self.given_up - self.cost

    @property
    def chance_of_choice(self) -> Floats:
        """Chance that each later option is then the choice, shape (options,) [1]."""
        return np.bincount(self.choice, weights=self.chance, minlength=self.expected.shape[1]).astype(np.float64)


def weigh_options(returns: ArrayLike, *, level: float, weights: ArrayLike | None = None) -> Weighed:
    """Set options against each other.

    Parameters
    ----------
    returns : array_like, shape (draws, options)
        Net return of each option in each draw, money per ha.
    level : float
        How often the interval holds, between 0 and 1. [1]
    weights : array_like, shape (draws,), optional
        How much each draw counts, 0 or more; alike where they are not given.

    Raises
    ------
    DomainError
        Returns that are not finite, no draws or options, weights that do not fit, or a level that is none.
    """
    values, counts = _checked(returns, weights)
    if not 0 < level < 1:
        raise DomainError("level", level, "between 0 and 1")
    expected = counts @ values
    best = int(np.argmax(expected))
    others = [place for place in range(expected.size) if place != best]
    # The mean of differences, not the difference of means: what never loses to another then has no regret at all.
    regret = counts @ (values.max(axis=1, keepdims=True) - values)
    low, high = np.quantile(values, ((1 - level) / 2, (1 + level) / 2), axis=0, weights=counts, method="inverted_cdf")
    return Weighed(
        expected=expected,
        low=low,
        high=high,
        chance_of_loss=np.minimum(counts @ (values < 0), 1.0),
        regret=regret,
        best=best,
        no_worse=chance_no_worse(values, option=best, than=others, weights=counts) if others else 1.0,
        value_of_certainty=float(regret[best]),
    )


def chance_no_worse(
    returns: ArrayLike, *, option: int, than: int | list[int], weights: ArrayLike | None = None
) -> float:
    """Chance that an option turns out no worse than another, or than the one of others that is expected to be best.

    Parameters
    ----------
    returns : array_like, shape (draws, options)
        Net returns, money per ha.
    option : int
        Place of the option.
    than : int or list of int
        Place of the other, or of the others.
    weights : array_like, shape (draws,), optional
        How much each draw counts.

    Raises
    ------
    DomainError
        Places that are none, or as ``weigh_options``.
    """
    values, counts = _checked(returns, weights)
    others = [than] if isinstance(than, int) else than
    for name, places in (("option", [option]), ("than", others)):
        if not places or not all(0 <= place < values.shape[1] for place in places):
            raise DomainError(name, places, f"places from 0 to {values.shape[1] - 1}")
    expected = counts @ values
    other = max(others, key=lambda place: expected[place])
    return min(1.0, float(counts @ (values[:, option] >= values[:, other])))


def value_of_knowing(returns: ArrayLike, known: ArrayLike, *, weights: ArrayLike | None = None) -> float:
    """What it would be worth to know one input for sure before choosing.

    Parameters
    ----------
    returns : array_like, shape (draws, options)
        Net returns, money per ha.
    known : array_like, shape (draws,)
        The input in each draw. Whole numbers are names, such as those of years, and are not ordered.
    weights : array_like, shape (draws,), optional
        How much each draw counts; those of 0 are left out.

    Returns
    -------
    float
        Money per ha: 0 for an input that is the same in all draws or changes no choice, at most the value of
        certainty.

    Raises
    ------
    DomainError
        An input that is not finite or of another length, or as ``weigh_options``.

    Notes
    -----
    The expected return given the input is a regression over the draws: of what each option brings beyond the one
    that is best now, on a polynomial of degree 4 in the ranks of the input, or on its whole numbers. With it goes
    all that hangs on the input in the draws. Two errors remain. A curve fitted to few draws follows chance, and the
    best of several curves is then too good: so much of its variance as chance alone would make is taken out
    beforehand, as in ``variance_shares``, which leaves a small error upwards near 0. A curve too stiff for a
    sharp turn errs downwards. Where there are too few draws to tell, 0.

    References
    ----------
    strong2014 (regression in place of nested draws); kelley1935 (correction for chance)
    """
    values, counts = _checked(returns, weights)
    given = np.asarray(known)
    if given.shape != counts.shape:
        raise DomainError("known", given.shape, f"of shape {counts.shape}, one value a draw")
    if not np.all(np.isfinite(given)):
        at = int(np.flatnonzero(~np.isfinite(given))[0])
        raise DomainError("known", float(given[at]), "finite", index=at)
    there = counts > 0
    values, counts, given = values[there], counts[there], given[there]
    basis = _basis(given, counts)
    beyond = values - values[:, [int(np.argmax(counts @ values))]]
    fitted = _fitted(basis, beyond, counts)
    certainty = float(counts @ beyond.max(axis=1))
    return min(max(0.0, float(counts @ fitted.max(axis=1))), certainty)


def look_ahead(
    returns: ArrayLike,
    *,
    chance_of_result: ArrayLike,
    later: ArrayLike | None = None,
    cost: float = 0.0,
    weights: ArrayLike | None = None,
) -> LookAhead:
    """Wait for one of several results and choose then, against choosing now.

    Parameters
    ----------
    returns : array_like, shape (draws, options)
        Net returns of what can be done now, money per ha.
    chance_of_result : array_like, shape (draws, results)
        Chance of each result where a draw is the truth; sums to 1 over the results. [1]
    later : array_like, shape (draws, later options), optional
        Net returns of what can be done once the result is there, other than ``returns`` where waiting costs yield;
        the same where not given.
    cost : float
        Of the result, 0 or more, money per ha.
    weights : array_like, shape (draws,), optional
        How much each draw counts.

    Raises
    ------
    DomainError
        Chances outside 0 to 1 or that do not sum to 1, a cost below 0, or as ``weigh_options``.

    Notes
    -----
    Exact for these draws, by Bayes' rule: at a result each draw weighs in proportion to its weight and its chance of
    the result. ``told`` has no nested draws to be wrong by, but the draws themselves are few: ``error`` is what they
    leave open, and of values within about two of it nobody knows the sign. Of options equally good at a result the
    first is chosen; at a result that cannot come, the one that is best without it.

    References
    ----------
    goodwin_wright (value of imperfect information); raiffa1961
    """
    values, counts = _checked(returns, weights)
    then, _ = (values, counts) if later is None else _checked(later, counts, name="later")
    chances = np.asarray(chance_of_result, dtype=np.float64)
    if chances.ndim != 2 or chances.shape[0] != counts.size:
        raise DomainError("chance_of_result", chances.shape, f"of shape ({counts.size}, results)")
    if not np.all(chances >= 0):
        raise DomainError("chance_of_result", float(chances.min()), "from 0 to 1")
    sums = chances.sum(axis=1)
    if np.any(wrong := ~(np.abs(sums - 1) <= _SUM)):
        at = int(np.flatnonzero(wrong)[0])
        raise DomainError("chance_of_result", float(sums[at]), "such that they sum to 1 over the results", index=at)
    if not 0 <= cost < np.inf:
        raise DomainError("cost", cost, "0 or more")
    joint = (chances * counts[:, None]).T
    chance = joint.sum(axis=1)
    of_each = counts @ then
    alone = int(np.argmax(of_each))
    sums_at = joint @ then
    # Beyond the option best without the result: nothing at all is told where no result would change the choice.
    beyond = joint @ (then - then[:, [alone]])
    told = float(beyond.max(axis=1).sum())
    choice = np.where(chance > 0, beyond.argmax(axis=1), alone)
    of_now = counts @ values
    now = int(np.argmax(of_now))
    of_draw = (chances * then[:, choice]).sum(axis=1) - values[:, now]
    return LookAhead(
        chance=chance,
        choice=choice,
        expected=np.divide(sums_at, chance[:, None], out=np.full(sums_at.shape, np.nan), where=chance[:, None] > 0),
        now=float(of_now[now]),
        later=float(of_each[alone]) + told,
        told=told,
        given_up=float(of_now[now] - of_each[alone]),
        cost=cost,
        error=float(np.sqrt(counts**2 @ (of_draw - counts @ of_draw) ** 2)),
    )


def _basis(given: NDArray[np.generic], counts: Floats) -> Floats:
    """Columns that a regression on an input takes, shape (draws, columns): its values, or a curve in its ranks."""
    distinct, place = np.unique(given, return_inverse=True)
    if np.issubdtype(given.dtype, np.integer):
        return np.asarray(place[:, None] == np.arange(distinct.size), dtype=np.float64)
    held = np.bincount(place, weights=counts)
    even = 2 * (np.cumsum(held) - held / 2)[place] - 1
    return np.asarray(np.polynomial.legendre.legvander(even, min(_DEGREE, distinct.size - 1)), dtype=np.float64)


def _fitted(basis: Floats, outcomes: Floats, counts: Floats) -> Floats:
    """Means of outcomes given the input, shape (draws, outcomes), spread as much as chance is not to blame for."""
    draws, columns = effective_draws(counts), basis.shape[1]
    means = counts @ outcomes
    if draws - columns <= 0:
        return np.broadcast_to(means, outcomes.shape)
    root = np.sqrt(counts)[:, None]
    fitted = basis @ np.linalg.lstsq(basis * root, outcomes * root, rcond=None)[0]
    between = counts @ (fitted - means) ** 2
    by_chance = counts @ (outcomes - fitted) ** 2 * (columns - 1) / (draws - columns)
    kept = np.divide(between - by_chance, between, out=np.zeros_like(between), where=between > by_chance)
    return np.asarray(means + np.sqrt(kept) * (fitted - means))


def _checked(returns: ArrayLike, weights: ArrayLike | None, *, name: str = "returns") -> tuple[Floats, Floats]:
    """Returns, and weights that sum to 1."""
    values = np.asarray(returns, dtype=np.float64)
    if values.ndim != 2 or 0 in values.shape:
        raise DomainError(name, values.shape, "of shape (draws, options), with at least one of each")
    if not np.all(np.isfinite(values)):
        at = int(np.flatnonzero(~np.isfinite(values).all(axis=1))[0])
        raise DomainError(name, values[at].tolist(), "finite", index=at)
    draws = values.shape[0]
    if weights is None:
        return values, np.full(draws, 1 / draws)
    counts = np.asarray(weights, dtype=np.float64)
    if counts.shape != (draws,):
        raise DomainError("weights", counts.shape, f"of shape ({draws},), one a draw")
    if not (np.all(counts >= 0) and 0 < counts.sum() < np.inf):
        raise DomainError("weights", counts.tolist(), "0 or more, finite and not all 0")
    return values, np.asarray(counts / counts.sum())
