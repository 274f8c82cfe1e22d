"""What nitrogen given on a day truly does to a simulated field: three worlds that disagree with each other.

- ``as reckoned``: the response that the advice itself reckons with, run with the true figures and the true weather.
- ``bending``: gain against the rate bends as on the one field for which two rates are published, times the true gap,
  times a random size, fading from a random stage at a random pace; no soil, and no window of the tables.
- ``plateau``: grain rises in a straight line with the nitrogen recovered until the gap, by another reckoning of it, is
  filled; other recovery, other grain per kg, other fading.

Losses to burnt leaves and wheels are the same in all of them, drawn once from the tables.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from simulated_fields import SimulatedField
from simulated_roots import KNOWN, drawn
from spadework.agronomy.rescue.losses import LOSS_CHANCES, ammonia_loss, leaf_burn, surface_on, wheel_loss
from spadework.agronomy.rescue.products import placements_of
from spadework.agronomy.rescue.response import GainCurve, gain_curves
from spadework.agronomy.rescue.window import evidence_of, limits_of, limits_that_hold, time_factor

Floats = NDArray[np.float64]

PRODUCT = "urea_inhibited"
PLACEMENT = placements_of(PRODUCT, KNOWN)[0]
_ACCESS = "season.any.access_in_season"
IMPLEMENT_WIDTH = 24.0

# mb2011_heard: 24 % of 31 bushels at 50 lb/ac and 32 % at 100 lb/ac, an exponential through both; 15 bushels lost where
# soybean fails on new land in the same country (grade A, other fields).
MOST_OF_GAP = 11.16 / 15
BENDS_AT = 51.0  # kg/ha
SOAKING, SOON = 12.7, 21  # mm in a day, days


@dataclass(frozen=True)
class OnDay:
    """What nitrogen on one day meets in truth; ``lost`` the share gone as ammonia [1], ``place`` days from sowing."""

    day: dt.date
    place: int
    curve: GainCurve
    factor: Floats
    lost: float


class Truth:
    """What a field yields with nitrogen, in each world; only the simulation may ask it."""

    def __init__(self, field: SimulatedField) -> None:
        self._field = field
        self._chances = field.generator(1).random((LOSS_CHANCES + 6, 1, 1))
        other = field.generator(2)
        self._bending = {
            "size": float(np.exp(0.4 * other.standard_normal())),
            "fades_from": float(other.uniform(0.7, 1.2)),
            "pace": float(other.uniform(0.1, 0.6)),
            "dry": float(other.uniform(0.3, 0.8)),
        }
        self._plateau = {
            "recovery": float(other.triangular(0.35, 0.5, 0.7)),
            "grain": float(other.uniform(0.6, 1.2)),
            "gap": float(other.uniform(0.5, 1.1)),
            "fades_from": float(other.uniform(0.8, 1.2)),
            "gone_by": float(other.uniform(1.4, 1.9)),
            "wet_by": float(other.uniform(10, 30)),
        }
        self._met: dict[dt.date, OnDay] = {}

    def gain(self, world: str, day: dt.date, rates: Floats) -> Floats:
        """Grain more than with none in each zone, harm taken off, shape (zones, rates) [t/ha]."""
        if day not in self._met:
            self._met[day] = self._meet(day)
        return WORLDS[world](self, self._met[day], rates) - self.harm(rates)

    def harm(self, rates: Floats) -> Floats:
        """Grain lost to burnt leaves and wheels, shape (zones, rates) [t/ha]."""
        burn = leaf_burn(PLACEMENT, rate=rates, chance=self._chances[LOSS_CHANCES, 0], knowledge=KNOWN)
        chances = self._chances[LOSS_CHANCES + 1 : LOSS_CHANCES + 3, 0]
        wheels = wheel_loss(implement_width=IMPLEMENT_WIDTH, chances=chances, knowledge=KNOWN)
        return self._field.yield_without[:, None] * (burn.share + np.where(rates > 0, wheels.share, 0.0))

    def _meet(self, day: dt.date) -> OnDay:
        field, place, zones = self._field, self._field.after_sowing(day), len(self._field.zones)
        limits = limits_that_hold(
            limits_of(field.row.crop, KNOWN), flowers_after=float(field.balance.flowered_on[0]), knowledge=KNOWN
        )
        (curve,) = gain_curves(
            field.weather,
            field.parameters,
            weather_of=np.zeros(zones, dtype=np.intp),
            applications=(),
            observed=(),
            of_draw=np.arange(zones),
            days=[place],
            rain_to_free=KNOWN.figure("season.any.rain_to_free").central,
        )
        surface = surface_on(place, weather=field.weather, weather_of=None, knowledge=KNOWN)
        loss = ammonia_loss(PRODUCT, surface, chances=self._chances[:LOSS_CHANCES], knowledge=KNOWN)
        assert loss is not None
        return OnDay(
            day=day,
            place=place,
            curve=curve,
            factor=time_factor(limits, day=place, stage=field.balance.daily["stage"][:, [place]]),
            lost=np.asarray(loss.share).item(),
        )

    def as_reckoned(self, met: OnDay, rates: Floats) -> Floats:
        names = (f"rescue.response.{evidence_of(self._field.row.crop, KNOWN).trials}", _ACCESS, "rescue.response.bent")
        scale, access, bent = (drawn(name, self._chances[-1 - n, 0]) for n, name in enumerate(names))
        common, bends_at = (KNOWN.figure(row).central for row in ("rescue.rate.common", "rescue.response.bends_at"))
        straight = self._along(met, rates * (1 - met.lost) * access)
        at_common = self._along(met, np.array([common]) * (1 - met.lost) * access)
        curved = at_common * np.expm1(-rates / bends_at) / np.expm1(-common / bends_at)
        return self._field.potential * ((1 - bent) * straight + bent * curved) * met.factor * scale

    def bending(self, met: OnDay, rates: Floats) -> Floats:
        own, stage = self._bending, self._field.stage(met.day)
        gap = (self._field.potential - self._field.yield_without)[:, None]
        fading = np.exp(-max(stage - own["fades_from"], 0.0) / own["pace"])
        soaked = np.any(self._rain(met, SOON) >= SOAKING)
        most = gap * MOST_OF_GAP * own["size"] * (1.0 if soaked else own["dry"]) * fading
        return np.minimum(most * -np.expm1(-rates / BENDS_AT), gap)

    def plateau(self, met: OnDay, rates: Floats) -> Floats:
        own, balance = self._plateau, self._field.balance
        per_kg = self._field.potential / balance.required[:, None] * own["grain"]
        wet = np.clip(self._rain(met, 14).sum() / own["wet_by"], 0.3, 1.0)
        recovered = rates * (1 - met.lost) * own["recovery"] * wet
        gap = self._field.potential * (balance.gap_at_maturity / balance.required)[:, None] * own["gap"]
        left = (own["gone_by"] - self._field.stage(met.day)) / (own["gone_by"] - own["fades_from"])
        return np.minimum(recovered * per_kg, gap) * np.clip(left, 0.0, 1.0)

    def _along(self, met: OnDay, reached: Floats) -> Floats:
        """Along the curve of each zone, shape (zones, amounts)."""
        return met.curve.gain(np.tile(reached, (len(self._field.zones), 1)))

    def _rain(self, met: OnDay, days: int) -> Floats:
        return self._field.weather.rain[0, met.place : met.place + days]


WORLDS: Mapping[str, Callable[[Truth, OnDay, Floats], Floats]] = {
    "as reckoned": Truth.as_reckoned,
    "bending": Truth.bending,
    "plateau": Truth.plateau,
}
