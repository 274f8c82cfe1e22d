"""Nitrogen applied, on its way into the mineral pool."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.season.chunk import DayValue, own
from spadework.agronomy.season.parameters import Values
from spadework.errors import DomainError

__all__ = ["Application", "Waiting"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Application:
    """Nitrogen applied on a day (0 is the day of sowing); figures are numbers or of shape (draws, 1).

    ``rate`` [kg/ha]; ``volatilised`` and, of the rest, ``access`` (what ever reaches the mineral pool) are shares
    [1]; ``rain_to_free`` is the rain from that day on that frees all of it, 0 where it is in the soil at once [mm].
    """

    day: int
    rate: Values
    access: Values
    volatilised: Values = 0.0
    rain_to_free: float = 0.0

    def __post_init__(self) -> None:
        for name in ("access", "volatilised"):
            share = np.asarray(getattr(self, name))
            if not np.all((share >= 0) & (share <= 1)):
                raise DomainError(name, getattr(self, name), "from 0 to 1")
        if not np.all(np.isfinite(self.rate) & (np.asarray(self.rate) >= 0)):
            raise DomainError("rate", self.rate, "finite and at least 0")
        if self.day < 0 or not self.rain_to_free >= 0:
            raise DomainError("day and rain_to_free", (self.day, self.rain_to_free), "at least 0")


class Waiting:
    """One application in a chunk of draws, of which rain frees more and more."""

    def __init__(self, application: Application, start: int, stop: int) -> None:
        self._application = application
        pool = own(application.rate, start, stop) * (1 - own(application.volatilised, start, stop))
        self._pool = np.zeros(stop - start) + pool * own(application.access, start, stop)
        self._rain = np.zeros(stop - start)
        self._share = np.zeros(stop - start)

    def freed(self, day: int, rain: DayValue) -> Floats | None:
        """Return what reaches the pool today [kg/ha]; None where nothing can."""
        if day < self._application.day or float(self._share.min()) >= 1.0:
            return None
        self._rain += rain
        needed = self._application.rain_to_free
        share = np.minimum(1.0, self._rain / needed) if needed > 0 else np.ones_like(self._rain)
        gained = (share - self._share) * self._pool
        self._share = share
        return gained
