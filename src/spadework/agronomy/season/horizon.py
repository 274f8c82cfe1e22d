"""How many days a season must be followed until every draw is ripe."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.clock.degree_days import degree_days

__all__ = ["days_of_warmth", "days_to_sum"]

Floats = NDArray[np.float64]

_NEARLY_ALL = 0.97


def days_to_sum(*, tmin: Floats, tmax: Floats, base: float, cap: float, needed: float) -> int | None:
    """Days from the first one on in which the coolest row gathers a sum.

    Parameters
    ----------
    tmin, tmax : ndarray, shape (rows, days)
        [degC]
    base, cap : float
        Of the crop's clock. [degC]
    needed : float
        [degC d]

    Returns
    -------
    int or None
        None where the days given are not enough.
    """
    total = _gathered(tmin, tmax, base=base, cap=cap)
    return int(np.searchsorted(total, needed)) + 1 if total[-1] >= needed else None


def days_of_warmth(*, tmin: Floats, tmax: Floats, base: float, cap: float) -> int:
    """Days in which the coolest row gathers nearly all that it ever does: after them winter only passes.

    Arguments as in ``days_to_sum``.
    """
    total = _gathered(tmin, tmax, base=base, cap=cap)
    return int(np.searchsorted(total, _NEARLY_ALL * total[-1])) + 1


def _gathered(tmin: Floats, tmax: Floats, *, base: float, cap: float) -> Floats:
    mean = (tmin + tmax) / 2
    daily = degree_days(tmin=mean, tmax=mean, t_base=base, t_cap=cap, method="capped_mean")
    return np.asarray(np.cumsum(daily, axis=1).min(axis=0))
