"""A growth stage seen in the field on the clock of the season balance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.season.drivers import drivers
from spadework.agronomy.season.parameters import Parameters
from spadework.agronomy.season.stages import EMERGED, FIRST_FLOWER, MATURE, ROUNDING, ObservedStage
from spadework.agronomy.season.weather import DailyWeather

__all__ = ["draw_stage", "set_clock", "stage_of_code"]

Floats = NDArray[np.float64]

_FIRST_BUD, _BUD_STAGE = 51, 0.85
_FLOWERING, _RIPE = 60, 89
_UP, _FIRST_LEAF = 9, 10
_MOST_CHANGED = 0.3
_NEARLY_RIPE = 1.9
"""Stage beyond which no single day takes a crop on the day of its first flower."""
_SAME = 1e-6
"""Part of a stage by which two ways of reckoning may differ and still agree."""


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

    Emergence, and the last stage seen between it and maturity, are fitted. Maturity seen says no more than that it
    came by that day: it may shorten what follows flower, and never stretches anything. ``weather`` runs from sowing
    on, ``weather_of`` says which of its rows each draw meets, shape (draws,). Sums after emergence become at most
    30 % shorter or longer than they were; what is left is for ``observed`` itself to mend.
    """
    if not observed:
        return parameters
    sky = weather if weather_of is None else weather.chosen(weather_of)
    met = drivers(sky, parameters, slice(None))
    draws = max(parameters.draws, sky.rows, *(np.size(look.stage) for look in observed))
    warmth, towards = (
        np.broadcast_to(np.cumsum(daily.T, axis=0), (weather.days, draws))
        for daily in (met["degree_days"], met["degree_days"] * met["long_day"])
    )
    names = ("sowing_to_emergence", "emergence_to_flower", "flower_to_maturity")
    up_sum, flower_sum, ripe_sum = (np.resize(np.asarray(getattr(parameters, name)), draws) for name in names)

    up = [look for look in observed if _is(look, EMERGED)]
    ripe = [look for look in observed if _is(look, MATURE)]
    between = [look for look in observed if not _is(look, EMERGED) and not _is(look, MATURE)]
    changed: dict[str, Floats] = {}
    if up:
        emerged = np.full(draws, min(up[0].day, weather.days - 1))
        changed[names[0]] = np.maximum(warmth[emerged[0]], 1.0)
    else:
        emerged = _first(warmth, up_sum)
    towards, warmth = (_since(sums, emerged) for sums in (towards, warmth))
    if between:
        stage = np.resize(np.asarray(between[-1].stage, dtype=np.float64), draws)
        scale = _scale(towards, warmth, between[-1].day, stage=stage, to_flower=flower_sum, to_maturity=ripe_sum)
        changed[names[1]] = flower_sum = flower_sum * scale
        changed[names[2]] = np.where(stage > FIRST_FLOWER, ripe_sum * scale, ripe_sum)
    if ripe:
        flowered = _first(towards, flower_sum)
        begun = np.take_along_axis(towards, flowered[None], axis=0)[0] / flower_sum
        gathered = _since(warmth, flowered)[min(ripe[0].day, weather.days - 1)]
        asked = (MATURE - np.clip(begun, FIRST_FLOWER, _NEARLY_RIPE)) * ripe_sum
        most = np.maximum(gathered / asked, 1 - _MOST_CHANGED) * ripe_sum
        changed[names[2]] = np.minimum(changed.get(names[2], ripe_sum), most)
    return replace(parameters, **{name: value[:, None] for name, value in changed.items()})  # type: ignore[arg-type]


def _is(look: ObservedStage, stage: float) -> bool:
    return np.ndim(look.stage) == 0 and look.stage == stage


def _first(sums: Floats, needed: Floats) -> NDArray[np.intp]:
    """Day on which each draw reaches a sum, the last one where none does, shape (draws,)."""
    return np.asarray(np.minimum(np.sum(sums < needed * (1 - ROUNDING), axis=0), sums.shape[0] - 1))


def _since(sums: Floats, days: NDArray[np.intp]) -> Floats:
    """What was gathered after a day of each draw's own, shape (days, draws)."""
    return np.maximum(sums - np.take_along_axis(sums, days[None], axis=0), 0.0)


def _scale(
    towards: Floats, warmth: Floats, day: int, *, stage: Floats, to_flower: Floats, to_maturity: Floats
) -> Floats:
    """By how much the sums must change for each draw to be at a stage on a day; 1 where nothing was seen.

    Day length counts until the day of flower and not after it, and that day hangs on the answer: each day is tried
    as the day of flower, and the one that agrees with what it leads to is taken, the nearest to no change first.
    """
    towards, warmth = towards[: day + 1], warmth[: day + 1]
    ways = (towards / to_flower + (warmth[-1] - warmth) / to_maturity) / np.where(stage > EMERGED, stage, np.nan)
    short = ways - towards / to_flower
    # On the last day flower may still be ahead.
    short[-1] = -np.inf
    before = np.vstack([np.zeros_like(ways[:1]), towards[:-1]]) / to_flower
    off = np.maximum(np.maximum(short, before - ways), 0.0)
    agrees = off <= _SAME
    chosen = np.argmin(np.where(agrees, np.abs(ways - 1), 1 / _SAME + np.nan_to_num(off)), axis=0)
    scale = np.take_along_axis(ways, chosen[None], axis=0)[0]
    scale = np.where(stage < MATURE, scale, np.minimum(scale, 1.0))
    return np.where(np.isnan(scale), 1.0, np.clip(scale, 1 - _MOST_CHANGED, 1 + _MOST_CHANGED))
