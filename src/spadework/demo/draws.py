"""Random draws by inverse distribution functions: each value takes one uniform number.

A generator of NumPy may change the way it makes, say, gamma numbers from one version to the next, and
rejection makes the count of numbers used depend on the last bit of a logarithm. One uniform a value keeps
the demo the same everywhere.
"""

from __future__ import annotations

import math
import zlib

import numpy as np
from scipy.special import ndtri

__all__ = ["Draws"]


class Draws:
    """A named stream of draws; the same seed and name give the same numbers, whatever else is drawn."""

    def __init__(self, seed: int, name: str) -> None:
        self._uniform = np.random.Generator(np.random.PCG64([seed, zlib.crc32(name.encode())]))

    def uniform(self, low: float = 0.0, high: float = 1.0) -> float:
        """Draw a number from ``low`` up to, not reaching, ``high``."""
        return low + (high - low) * float(self._uniform.random())

    def chance(self, probability: float) -> bool:
        """Draw yes with this probability."""
        return self.uniform() < probability

    def normal(self) -> float:
        """Draw a standard normal number."""
        return float(ndtri(max(self.uniform(), 1e-12)))

    def exponential(self, mean: float) -> float:
        """Draw a waiting time with this mean."""
        return -mean * math.log1p(-self.uniform())

    def negative_binomial(self, *, mean: float, k: float) -> int:
        """Draw a count with this mean and variance ``mean + mean**2 / k``."""
        left = self.uniform()
        if mean <= 0:
            return 0
        ratio = mean / (mean + k)
        probability = (1 - ratio) ** k
        count = 0
        while left >= probability and count < 10_000:
            left -= probability
            probability *= ratio * (k + count) / (count + 1)
            count += 1
        return count

    def beta_binomial(self, *, trials: int, share: float, correlation: float) -> int:
        """Draw how many of ``trials`` succeed when their common chance varies.

        ``share`` is the mean chance, ``correlation`` how alike the trials of one draw are (0 gives the
        binomial).
        """
        left = self.uniform()
        if share <= 0 or trials == 0:
            return 0
        if share >= 1:
            return trials
        # The chance of each count, from the one before it; a and b are scaled by 1 - correlation so that
        # the binomial needs no case of its own.
        a, b, step = share * (1 - correlation), (1 - share) * (1 - correlation), correlation
        probability = math.prod((b + i * step) / (1 - correlation + i * step) for i in range(trials))
        count = 0
        while left >= probability and count < trials:
            left -= probability
            probability *= (trials - count) / (count + 1) * (a + count * step) / (b + (trials - count - 1) * step)
            count += 1
        return count
