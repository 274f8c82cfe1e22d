"""From single samples to the mean of a field: weighted by the nitrogen that they stand for, with its error."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.errors import DomainError

__all__ = ["SampleMean", "covariance_of_means", "sample_mean"]

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class SampleMean:
    """Mean of samples, its standard error (NaN with one sample: its spread is not known) and how many there were."""

    mean: float
    standard_error: float
    samples: int


def sample_mean(values: ArrayLike, weights: ArrayLike | None = None) -> SampleMean:
    """Mean of samples, weighted where ``weights`` are given.

    Parameters
    ----------
    values : array_like, shape (samples,)
        Measured values, none missing. [any unit]
    weights : array_like, shape (samples,), optional
        What each sample stands for, such as its nitrogen [kg/ha]. The mean of a share or a delta of a field is
        weighted by nitrogen: plants with much of it count for more.

    Raises
    ------
    DomainError
        If there is no sample, a value is not finite, or a weight is not above 0.

    Notes
    -----
    The error of the weighted mean is that of a ratio of two means (weighted deviations, squared and summed, times
    n/(n - 1)); with equal weights it is the usual standard error.

    References
    ----------
    cochran1977 (error of a ratio of two means).
    """
    y = np.asarray(values, dtype=float)
    if y.ndim != 1 or y.size == 0 or not np.all(np.isfinite(y)):
        raise DomainError("values", y.tolist(), "finite numbers, at least one")
    w = np.ones_like(y) if weights is None else np.asarray(weights, dtype=float)
    if w.shape != y.shape or not np.all(w > 0):
        raise DomainError("weights", w.tolist(), "above 0, one for each value")
    w = w / w.sum()
    mean = float(w @ y)
    n = y.size
    error = float(np.sqrt(n / (n - 1) * np.sum((w * (y - mean)) ** 2))) if n > 1 else np.nan
    return SampleMean(mean=mean, standard_error=error, samples=n)


def covariance_of_means(one: ArrayLike, other: ArrayLike, weights: ArrayLike | None = None) -> float:
    """Covariance of two means over the same plots, from one pair of values a plot.

    Parameters
    ----------
    one, other : array_like, shape (plots,)
        Values of the same plots in the same order. [any unit]
    weights : array_like, shape (plots,), optional
        What each plot counts in the mean of ``one``, as in ``sample_mean``; the mean of ``other`` is plain.

    Returns
    -------
    float
        0 with fewer than three plots: too few to say anything. [product of both units]

    Raises
    ------
    DomainError
        If the lengths differ.
    """
    first, second = np.asarray(one, dtype=float), np.asarray(other, dtype=float)
    w = np.ones_like(first) if weights is None else np.asarray(weights, dtype=float)
    for name, values in (("other", second), ("weights", w)):
        if values.shape != first.shape:
            raise DomainError(name, values.size, f"of the length of one ({first.size})")
    n = first.size
    if n < 3:
        return 0.0
    w = w / w.sum()
    return float(np.sum(w * (first - w @ first) * (second - second.mean())) / (n - 1))
