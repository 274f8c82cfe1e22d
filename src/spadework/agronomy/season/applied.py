"""Nitrogen applied."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from spadework.agronomy.season.parameters import Values
from spadework.errors import DomainError

__all__ = ["Application"]


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
