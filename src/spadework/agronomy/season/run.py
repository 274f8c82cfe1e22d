"""One field with its uncertainty: draws through the balance, bands by day, totals, and what makes them wide."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.season.applied import Application
from spadework.agronomy.season.kernel import season_balance
from spadework.agronomy.season.parameters import Parameters, Values
from spadework.agronomy.season.result import SeasonResult
from spadework.agronomy.season.signs import effective_draws, resampled
from spadework.agronomy.season.stages import ObservedStage
from spadework.agronomy.season.variance import variance_shares
from spadework.agronomy.season.weather import DailyWeather
from spadework.errors import DomainError

__all__ = ["BANDS", "LEVELS", "TOTALS", "FieldSeason", "field_season"]

Floats = NDArray[np.float64]

LEVELS = (0.05, 0.25, 0.5, 0.75, 0.95)
"""Quantiles that are given where none are asked for."""

BANDS = ("demand", "crop_n", "taken", "fixed", "gap", "stage", "water_fraction", "mineral_n")
"""Series of which a field has bands; ``gap`` is demand less crop N, at least 0."""

TOTALS = (
    "fixed",
    "taken",
    "crop_n",
    "required",
    "fixed_share",
    "gap_at_maturity",
    "relative_yield",
    "mineralised",
    "leached",
    "mineral_n_at_maturity",
    "crop_water_use",
)
"""Figures of the whole season of which a field has quantiles, over the draws that came to maturity."""

WEATHER, APPLIED = "weather", "applied"


@dataclass(frozen=True, kw_only=True)
class FieldSeason:
    """Bands and totals of one field.

    ``bands``: arrays of shape (levels, days). ``totals``: arrays of shape (levels,), NaN where no draw came to
    maturity. ``emerged_on``, ``flowered_on``, ``matured_on``: quantiles of the day from sowing over the draws that
    got there, NaN where none did. ``drivers``: for fixed N, gap and relative yield, the share of variance that each
    input makes, largest first; ``weather`` is which row of the weather was met, ``applied`` how much of all nitrogen
    applied can reach the mineral pool. ``draws`` is the result itself; where
    draws were weighed, it holds them as often as their weight asks for, and all figures are of those. ``of_draw`` says
    which draw of the parameters stands behind each, ``effective`` how many even draws the weighted ones are worth.
    """

    levels: tuple[float, ...]
    bands: Mapping[str, Floats]
    totals: Mapping[str, Floats]
    emerged_on: Floats
    flowered_on: Floats
    matured_on: Floats
    share_mature: float
    drivers: Mapping[str, Mapping[str, float]]
    draws: SeasonResult
    of_draw: NDArray[np.intp]
    effective: float

    def chance_of_gap(self, above: float) -> float:
        """Share of the mature draws whose gap at maturity is above a share of what the yield requires [1].

        NaN where no draw came to maturity.
        """
        gap = self.draws.gap_at_maturity
        ripe = ~np.isnan(gap)
        return float(np.mean(gap[ripe] > above * self.draws.required[ripe])) if ripe.any() else float("nan")


def field_season(
    weather: DailyWeather,
    parameters: Parameters,
    *,
    weather_of: NDArray[np.intp] | None = None,
    applications: Sequence[Application] = (),
    observed: Sequence[ObservedStage] = (),
    water_limits_yield: bool = False,
    rule_of_thumb: Values | None = None,
    levels: Sequence[float] = LEVELS,
    bands: Sequence[str] = BANDS,
    weigh: Callable[[SeasonResult], Floats] | None = None,
) -> FieldSeason:
    """Run all draws of one field and draw them together.

    The arguments are those of ``season_balance``; ``levels`` are the quantiles wanted, from 0 to 1,
    ``bands`` the series, and ``weigh`` gives the weights of the draws, shape (draws,), by what was seen of the crop.

    Raises
    ------
    DomainError
        As ``season_balance``; or a level outside 0 to 1.
    """
    if not levels or not all(0 <= level <= 1 for level in levels):
        raise DomainError("levels", tuple(levels), "from 0 to 1, at least one")
    found = season_balance(
        weather,
        parameters,
        weather_of=weather_of,
        applications=applications,
        observed=observed,
        water_limits_yield=water_limits_yield,
        rule_of_thumb=rule_of_thumb,
        daily=sorted({*bands, *(("demand", "crop_n") if "gap" in bands else ())} - {"gap"}),
    )
    inputs: dict[str, NDArray[np.generic]] = dict(parameters.varying())
    if weather_of is not None and np.ptp(weather_of) > 0:
        inputs[WEATHER] = weather_of
    reaches = sum((_reaches(item, found.fixed.size) for item in applications), np.zeros(found.fixed.size))
    if np.ptp(reaches) > 0:
        inputs[APPLIED] = reaches
    weights = np.ones(found.matured_on.size) if weigh is None else weigh(found)
    drivers = {name: variance_shares(inputs, values, weights=weights) for name, values in _outcomes(found).items()}
    of_draw = np.arange(weights.size) if weigh is None else resampled(weights)
    if weigh is not None:
        found = _picked(found, of_draw)
    series = dict(found.daily)
    if "gap" in bands:
        series["gap"] = np.maximum(series["demand"] - series["crop_n"], 0.0)
    ripe = found.matured_on >= 0
    return FieldSeason(
        levels=tuple(levels),
        bands=MappingProxyType({name: np.quantile(series[name], levels, axis=0) for name in bands}),
        totals=MappingProxyType({name: _quantiles(getattr(found, name), ripe, levels) for name in TOTALS}),
        emerged_on=_quantiles(found.emerged_on, found.emerged_on >= 0, levels),
        flowered_on=_quantiles(found.flowered_on, found.flowered_on >= 0, levels),
        matured_on=_quantiles(found.matured_on, ripe, levels),
        share_mature=float(np.mean(ripe)),
        drivers=MappingProxyType(drivers),
        draws=found,
        of_draw=of_draw,
        effective=effective_draws(weights),
    )


def _reaches(application: Application, draws: int) -> Floats:
    """Nitrogen of an application that can reach the mineral pool, shape (draws,) [kg/ha]."""
    amount = np.asarray(application.rate) * (1 - np.asarray(application.volatilised)) * application.access
    return np.broadcast_to(np.ravel(amount), (draws,))


def _outcomes(found: SeasonResult) -> Mapping[str, Floats]:
    return {
        "fixed": np.where(found.matured_on >= 0, found.fixed, np.nan),
        "gap_at_maturity": found.gap_at_maturity,
        "relative_yield": found.relative_yield,
    }


def _picked(found: SeasonResult, of_draw: NDArray[np.intp]) -> SeasonResult:
    values = {field.name: getattr(found, field.name) for field in fields(found) if field.name != "daily"}
    return replace(
        found,
        **{name: value[of_draw] if np.ndim(value) else value for name, value in values.items()},
        daily=MappingProxyType({name: value[of_draw] for name, value in found.daily.items()}),
    )


def _quantiles(values: NDArray[np.generic], counted: NDArray[np.bool_], levels: Sequence[float]) -> Floats:
    if not counted.any():
        return np.full(len(levels), np.nan)
    return np.asarray(np.quantile(values[counted].astype(np.float64), levels))
