"""What a comparison at harvest can be expected to show."""

from __future__ import annotations

import math

from scipy.optimize import brentq
from scipy.stats import nct, t

from spadework.errors import DomainError

__all__ = ["least_difference_paired"]


def least_difference_paired(*, pairs: int, sd: float, confidence: float, power: float) -> float:
    """The least mean difference that a comparison in pairs can be expected to show.

    Parameters
    ----------
    pairs : int
        Places at which strip and crop beside it are weighed, 2 or more.
    sd : float
        Standard deviation of the difference within a pair, in any unit; not negative.
    confidence : float
        One less the chance of seeing a difference where there is none, two-sided. [1]
    power : float
        Chance of seeing the difference where there is one. [1]

    Returns
    -------
    float
        The true difference, in the unit of ``sd``, that the paired t test finds with that power.

    Raises
    ------
    DomainError
        With fewer than two pairs, or shares that are not between 0 and 1.

    Notes
    -----
    Solves P(|T| > t(1 - (1 - confidence)/2, pairs - 1)) = power for T of noncentral t distribution with
    noncentrality difference / (sd / sqrt(pairs)).

    References
    ----------
    cohen1988
    """
    if pairs < 2:
        raise DomainError("pairs", pairs, "2 or more")
    return _found_with(power, confidence, degrees=pairs - 1, sd=sd) / math.sqrt(pairs)


def _found_with(power: float, confidence: float, *, degrees: int, sd: float) -> float:
    """Difference in standard errors, times ``sd``."""
    for name, share in (("power", power), ("confidence", confidence)):
        if not 0 < share < 1:
            raise DomainError(name, share, "between 0 and 1")
    if not (math.isfinite(sd) and sd >= 0):
        raise DomainError("sd", sd, "0 or more")
    if power <= 1 - confidence:
        raise DomainError("power", power, f"above the chance of a false alarm ({1 - confidence:g})")
    limit = float(t.ppf((1 + confidence) / 2, degrees))

    def lacking(shift: float) -> float:
        wrong_way = float(nct.cdf(-limit, degrees, shift))
        # SciPy gives NaN for some chances of seeing a difference the wrong way round that are far below 1e-8.
        return float(nct.sf(limit, degrees, shift)) + (0.0 if math.isnan(wrong_way) else wrong_way) - power

    highest = limit
    while lacking(highest) < 0:
        highest *= 1.5
    return float(brentq(lacking, 0.0, highest, xtol=1e-10)) * sd
