"""A posterior share as a figure that carries its interval, sources and grade."""

from __future__ import annotations

from spadework.agronomy.scoring.share import SharePosterior
from spadework.quantity import Grade, Quantity

__all__ = ["share_figure"]


def share_figure(posterior: SharePosterior, *, level: float, sources: tuple[str, ...], grade: Grade) -> Quantity:
    """The mean of a share with its interval; the mean is held inside the interval, which may be cut at 0 or 1."""
    low, high = posterior.interval(level)
    value = min(max(posterior.mean, low), high)
    return Quantity(value=value, unit="1", low=low, high=high, level=level, sources=sources, grade=grade)
