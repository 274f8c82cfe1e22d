"""Short gaps in a daily series: filled from both sides, and marked as filled."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.errors import DomainError

__all__ = ["FilledSeries", "fill_gaps"]


@dataclass(frozen=True)
class FilledSeries:
    """A series after filling; ``filled`` is True for the days that were not observed. Both shape (days,)."""

    values: NDArray[np.float64]
    filled: NDArray[np.bool_]


def fill_gaps(values: ArrayLike, longest: int = 3) -> FilledSeries:
    """Fill gaps of at most ``longest`` days on the straight line between the neighbours.

    Parameters
    ----------
    values : array_like, shape (days,)
        One value a day, NaN where none was observed. [any unit]
    longest : int
        Longest gap that may be filled; 0 fills nothing. [d]

    Returns
    -------
    FilledSeries
        Longer gaps, and gaps at either end, stay NaN. One day becomes the mean of its neighbours.

    Raises
    ------
    DomainError
        ``values`` not one series, or ``longest`` negative.

    References
    ----------
    weather_gaps
    """
    series = np.array(values, dtype=np.float64)
    if series.ndim != 1:
        raise DomainError("values", series.shape, "one value a day, shape (days,)")
    if longest < 0:
        raise DomainError("longest", longest, "0 or more days")

    missing = np.isnan(series)
    known = np.flatnonzero(~missing)
    filled = np.zeros(series.shape, dtype=np.bool_)
    if known.size and known.size < series.size:
        # Every inner day lies in a gap between two known days; its length is the distance less one.
        days = np.arange(known[0], known[-1] + 1)
        gap = np.repeat(np.diff(known) - 1, np.diff(known))
        inner = days[:-1]
        fill = inner[missing[inner] & (gap <= longest)]
        series[fill] = np.interp(fill, known, series[known])
        filled[fill] = True
    return FilledSeries(values=series, filled=filled)
