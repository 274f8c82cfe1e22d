"""What nitrogen given in the season does for yield: gain curves by draw, from the field's own season balance."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.season.applied import Application
from spadework.agronomy.season.kernel import season_balance
from spadework.agronomy.season.parameters import Parameters, Values
from spadework.agronomy.season.stages import ObservedStage
from spadework.agronomy.season.weather import DailyWeather
from spadework.errors import DomainError

__all__ = ["KNOTS", "GainCurve", "gain_curves"]

Floats = NDArray[np.float64]

KNOTS = (0.0, 15.0, 30.0, 60.0, 100.0, 150.0)
"""Nitrogen that reaches the mineral pool, at which the balance is run; straight lines between [kg/ha]."""


@dataclass(frozen=True, kw_only=True)
class GainCurve:
    """Yield and fixation against the nitrogen that reaches the soil's mineral pool from a day on.

    ``relative_yield`` [1], ``fixed`` and ``crop_n`` [kg/ha] have shape (draws, knots).
    """

    relative_yield: Floats
    fixed: Floats
    crop_n: Floats

    def gain(self, reached: Floats) -> Floats:
        """Yield won, as a share of the yield expected; ``reached`` [kg/ha] is of shape (draws, options).

        Beyond the last knot nothing more is won. [1]
        """
        return _between(self.relative_yield, reached) - self.relative_yield[:, :1]

    def fixation_lost(self, reached: Floats) -> Floats:
        """Nitrogen that nodules fix less because of what was given, shape (draws, options) [kg/ha]."""
        return self.fixed[:, :1] - _between(self.fixed, reached)

    def recovered(self, reached: Floats) -> Floats:
        """Nitrogen that the crop holds more at maturity, shape (draws, options) [kg/ha]."""
        return _between(self.crop_n, reached) - self.crop_n[:, :1]


def gain_curves(
    weather: DailyWeather,
    parameters: Parameters,
    *,
    weather_of: NDArray[np.intp] | None,
    applications: Sequence[Application],
    observed: Sequence[ObservedStage],
    of_draw: NDArray[np.intp],
    days: Sequence[int],
    rain_to_free: float,
) -> tuple[GainCurve, ...]:
    """Run the balance with more and more nitrogen given on some days, one curve a day.

    Parameters
    ----------
    weather, parameters, weather_of, applications, observed
        As of ``season_balance``: what the field's own balance ran on.
    of_draw : ndarray of int, shape (counted,)
        Draws that count and ripen, each as often as its weight asks for; the curves follow this order.
    days : sequence of int
        From sowing. [d]
    rain_to_free : float
        Rain that takes all of it into the soil. [mm]

    Raises
    ------
    DomainError
        No days, or as ``season_balance``.

    Notes
    -----
    All knots of all days are draws of one run, so that the price is that of a few runs. Losses are not in it: what
    reaches the soil is for the caller to say.
    """
    if not days:
        raise DomainError("days", tuple(days), "one or more")
    alone, back = np.unique(of_draw, return_inverse=True)
    given = [(0, 0.0), *((place, knot) for place in range(len(days)) for knot in KNOTS[1:])]
    copies, draws = len(given), alone.size

    def own(value: Values) -> Values:
        return np.tile(np.asarray(value)[alone], (copies, 1)) if np.size(value) > 1 else value

    rates = [
        np.repeat([knot if place == number else 0.0 for place, knot in given], draws)[:, None]
        for number in range(len(days))
    ]
    found = season_balance(
        weather,
        _of_copies(parameters, own),
        weather_of=None if weather_of is None else np.tile(weather_of[alone], copies),
        applications=[
            *(
                replace(item, rate=own(item.rate), access=own(item.access), volatilised=own(item.volatilised))
                for item in applications
            ),
            *(
                Application(day=day, rate=rate, access=1.0, rain_to_free=rain_to_free)
                for day, rate in zip(days, rates, strict=True)
            ),
        ],
        observed=[replace(look, stage=own(look.stage)) for look in observed],
    )

    def curve(values: Floats, place: int) -> Floats:
        by_copy = np.broadcast_to(values, (copies * draws,)).reshape(copies, draws)
        first = 1 + place * (len(KNOTS) - 1)
        return np.asarray(by_copy[[0, *range(first, first + len(KNOTS) - 1)]].T[back])

    return tuple(
        GainCurve(
            relative_yield=curve(found.relative_yield, place),
            fixed=curve(found.fixed, place),
            crop_n=curve(found.crop_n, place),
        )
        for place in range(len(days))
    )


def _of_copies(parameters: Parameters, own: Callable[[Values], Values]) -> Parameters:
    """The parameters of all copies of the draws."""
    values = {item.name: getattr(parameters, item.name) for item in fields(parameters)}
    return Parameters(
        **{  # type: ignore[arg-type]
            name: tuple(own(point) for point in value) if isinstance(value, tuple) else own(value)
            for name, value in values.items()
        }
    )


def _between(curve: Floats, reached: Floats) -> Floats:
    """Read each draw's curve at amounts of its own, shape (draws, options)."""
    held = np.clip(reached, KNOTS[0], KNOTS[-1])
    knots = np.asarray(KNOTS)
    left = np.clip(np.searchsorted(knots, held, side="right") - 1, 0, knots.size - 2)
    share = (held - knots[left]) / (knots[left + 1] - knots[left])
    below, above = (np.take_along_axis(curve, left + step, axis=1) for step in (0, 1))
    return np.asarray(below + share * (above - below))
