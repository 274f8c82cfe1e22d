"""What was seen or measured on the crop, held against the draws of its balance: which of them fit, and how well."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.errors import DomainError

__all__ = ["chance_of_pale", "effective_draws", "fit_of_share", "fit_of_sign", "resampled"]

Floats = NDArray[np.float64]


def chance_of_pale(
    shortfall: ArrayLike, *, shows_from: float, shows_by: float, without_shortage: float, with_shortage: float
) -> Floats:
    """Chance that old leaves look pale for want of nitrogen.

    Parameters
    ----------
    shortfall : array_like, shape (...)
        Share of the nitrogen that the crop should hold and does not, 0 to 1. [1]
    shows_from, shows_by : float
        Shortfall at which leaves may begin to pale, and by which they have; even between. [1]
    without_shortage, with_shortage : float
        Chance of pale leaves put down to nitrogen where none is short, and where it is plainly so. [1]

    Returns
    -------
    ndarray of float64, shape (...)
        Rises with the shortfall. NaN in, NaN out. [1]

    Raises
    ------
    DomainError
        Limits or chances that do not rise, or chances that reach 0 or 1.

    Notes
    -----
    Judgement.
    """
    if not 0 <= shows_from < shows_by:
        raise DomainError("shows_by", shows_by, f"above shows_from ({shows_from})")
    if not 0 < without_shortage <= with_shortage < 1:
        raise DomainError("with_shortage", with_shortage, f"from without_shortage ({without_shortage}) to below 1")
    seen = np.clip((np.asarray(shortfall, dtype=np.float64) - shows_from) / (shows_by - shows_from), 0.0, 1.0)
    return np.asarray(without_shortage + (with_shortage - without_shortage) * seen)


def fit_of_sign(chance: Floats, *, sure: float) -> Floats:
    """Weights of draws by a sign, mean 1: what they were where it is not there, and by their chance where it is.

    Parameters
    ----------
    chance : ndarray, shape (draws,)
        Of the sign in each draw, above 0. [1]
    sure : float
        How sure it is that the sign is there, 0 to 1. [1]

    Returns
    -------
    ndarray of float64, shape (draws,)
        ``(1 - sure) + sure * chance / mean``. A surer sign moves weight to the draws with the higher chance. [1]

    Raises
    ------
    DomainError
        ``sure`` outside 0 to 1.

    References
    ----------
    jeffrey1965 (evidence that is itself uncertain)
    """
    if not 0 <= sure <= 1:
        raise DomainError("sure", sure, "from 0 to 1")
    return np.asarray((1 - sure) + sure * chance / chance.mean())


def fit_of_share(share: Floats, *, measured: float, error: float) -> Floats:
    """Weights of draws by a share fixed that was measured, normal about it, greatest 1 where one agrees.

    Parameters
    ----------
    share : ndarray, shape (draws,)
        Share of crop N from fixation in each draw; NaN where there is no crop yet. [1]
    measured, error : float
        What was measured, and its standard error with that of the balance, above 0. [1]

    Returns
    -------
    ndarray of float64, shape (draws,)
        0 where there is no crop. [1]

    Raises
    ------
    DomainError
        An error not above 0.
    """
    if not error > 0:
        raise DomainError("error", error, "above 0")
    return np.nan_to_num(np.exp(-0.5 * ((share - measured) / error) ** 2), nan=0.0)


def effective_draws(weights: Floats) -> float:
    """Number of even draws that weighted ones are worth; 0 where none weighs anything.

    References
    ----------
    kish1965
    """
    squares = float(np.sum(weights**2))
    return float(np.sum(weights)) ** 2 / squares if squares > 0 else 0.0


def resampled(weights: Floats) -> NDArray[np.intp]:
    """As many draws as there were, each as often as its weight asks for, without chance.

    Parameters
    ----------
    weights : ndarray, shape (draws,)
        0 or more, not all 0.

    Returns
    -------
    ndarray of int, shape (draws,)
        Places of the draws, in the order of their weights.

    Raises
    ------
    DomainError
        A weight below 0 or NaN, or none above 0.
    """
    if not np.all(weights >= 0) or not np.any(weights > 0):
        raise DomainError("weights", weights.tolist(), "0 or more, not all 0")
    order = np.argsort(weights, kind="stable")
    # Over the largest first: weights near the smallest number there is would round to nothing.
    passed = np.cumsum(weights[order] / weights.max())
    steps = (np.arange(weights.size) + 0.5) / weights.size * passed[-1]
    return np.asarray(order[np.searchsorted(passed, steps)])
