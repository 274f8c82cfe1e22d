"""A growth stage seen in the field on the clock of the season balance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.season.drivers import drivers
from spadework.agronomy.season.parameters import Parameters
from spadework.agronomy.season.stages import EMERGED, FIRST_FLOWER, MATURE, ObservedStage
from spadework.agronomy.season.weather import DailyWeather

__all__ = ["draw_stage", "set_clock", "stage_of_code"]

Floats = NDArray[np.float64]

_FIRST_BUD, _BUD_STAGE = 51, 0.85
_FLOWERING, _RIPE = 60, 89
_UP, _FIRST_LEAF = 9, 10
_MOST_CHANGED = 0.3


def stage_of_code(bbch: int) -> float | None:
    """Stage on the clock (0 emergence, 1 first flower, 2 maturity) of a BBCH code.

    None between first leaf and first bud, where the number of leaves says little of the way to flowering, and before
    emergence. From bud to flower, and from flower to ripeness, codes are taken to pass evenly. Judgement.
    """
    if bbch in (_UP, _FIRST_LEAF):
        return EMERGED
    if bbch < _FIRST_BUD:
        return None
    if bbch < _FLOWERING:
        return _BUD_STAGE + (FIRST_FLOWER - _BUD_STAGE) * (bbch - _FIRST_BUD) / (_FLOWERING - _FIRST_BUD)
    return min(FIRST_FLOWER + (MATURE - FIRST_FLOWER) * (bbch - _FLOWERING) / (_RIPE - _FLOWERING), MATURE)


def draw_stage(*, stage: float, spread: float, draws: int, generator: np.random.Generator) -> Floats:
    """Draw the stage of a whole field about the one seen, held to the clock, shape (draws, 1) [1]."""
    return np.clip(stage + spread * generator.standard_normal((draws, 1)), EMERGED, MATURE)


def set_clock(
    parameters: Parameters,
    weather: DailyWeather,
    *,
    weather_of: NDArray[np.intp] | None,
    observed: Sequence[ObservedStage],
) -> Parameters:
    """Make the sums of the clock fit the stages seen, so that the crop grows towards them instead of jumping.

    Emergence, and the last stage seen after it, are used. ``weather`` runs from sowing on, ``weather_of`` says which
    of its rows each draw meets, shape (draws,). Sums after emergence become at most 30 % shorter or longer than they
    were; what is left is for ``observed`` itself to mend.
    """
    met = drivers(weather, parameters, slice(None))
    warmth = np.cumsum(met["degree_days"], axis=1)
    growing = np.cumsum(met["degree_days"] * met["long_day"], axis=1)

    def on(sums: Floats, day: int) -> Floats:
        values = np.asarray(sums[:, min(day, sums.shape[1] - 1)])
        return (values if weather_of is None or values.size == 1 else values[weather_of])[:, None]

    up = [look for look in observed if np.ndim(look.stage) == 0 and look.stage == EMERGED]
    later = [look for look in observed if not (np.ndim(look.stage) == 0 and look.stage == EMERGED)]
    changed: dict[str, Floats] = {}
    if up:
        changed["sowing_to_emergence"] = np.maximum(on(warmth, up[0].day), 1.0)
    if later:
        look = later[-1]
        if up:
            gathered = on(growing, look.day) - on(growing, up[0].day)
        else:
            gathered = on(growing, look.day) - parameters.sowing_to_emergence
        stage = np.asarray(look.stage)
        beyond = np.maximum(stage - FIRST_FLOWER, 0.0)
        asked = (
            parameters.emergence_to_flower * np.minimum(stage, FIRST_FLOWER) + parameters.flower_to_maturity * beyond
        )
        scale = np.clip(gathered / np.maximum(asked, 1.0), 1 - _MOST_CHANGED, 1 + _MOST_CHANGED)
        changed["emergence_to_flower"] = parameters.emergence_to_flower * scale
        changed["flower_to_maturity"] = parameters.flower_to_maturity * np.where(beyond > 0, scale, 1.0)
    return replace(parameters, **changed)  # type: ignore[arg-type]
