"""What nitrogen given on a day does to the crop of a field, draw by draw: the balance, the window and the losses."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spadework.advice.nitrogen.balance import Balance
from spadework.agronomy.rescue.losses import (
    LOSS_CHANCES,
    Lost,
    Surface,
    ammonia_loss,
    leaf_burn,
    surface_on,
    wheel_loss,
)
from spadework.agronomy.rescue.response import GainCurve, gain_curves
from spadework.agronomy.rescue.window import StageLimit, time_factor
from spadework.agronomy.season.draws import triangular
from spadework.knowledge.rows import Knowledge, Spreading
from spadework.records.types import RescuePlan

__all__ = ["Effect", "Outlook", "counted_draws", "outlooks"]

Floats = NDArray[np.float64]

_STREAM = 7
"""Beside those of the balance (``streams``): chances of losses, of access, and of the response itself."""

_ACCESS, _RAIN = "season.any.access_in_season", "season.any.rain_to_free"
_COMMON, _BENDS_AT, _BENT = "rescue.rate.common", "rescue.response.bends_at", "rescue.response.bent"


@dataclass(frozen=True, kw_only=True)
class Effect:
    """What some rates of a product do; arrays of shape (draws, rates), by how it is brought to the crop.

    ``gross`` grain won by the nitrogen and ``harm`` grain lost to burnt leaves and wheels [t/ha], ``lost`` the share
    gone as ammonia, shape (draws, 1), ``reached`` what reaches the roots [kg/ha].
    """

    gross: Floats
    harm: Floats
    lost: Floats
    reached: Floats
    rows: tuple[str, ...]

    @property
    def gain(self) -> Floats:
        """Grain more than with none, harm taken off [t/ha]."""
        return self.gross - self.harm


@dataclass(frozen=True, kw_only=True)
class Outlook:
    """What nitrogen on one day meets; arrays over the draws that count and ripen, shape (draws, 1) where not said.

    ``day`` from sowing [d], ``factor`` share of its effect that the time leaves, ``scale`` true over reckoned gain,
    ``bent`` how far the gain bends with the rate as a published one does, and not as the balance has it,
    ``access`` share of what is not lost that ever reaches the roots, ``chances`` of shape (LOSS_CHANCES + 3, draws,
    1) for ammonia, burn and wheels, ``expected_yield`` [t/ha], ``rates`` that the user asks for [kg/ha], ``rate_step``
    in which the machine can be set.
    """

    day: int
    curve: GainCurve
    factor: Floats
    scale: Floats
    bent: Floats
    access: Floats
    chances: Floats
    surface: Surface
    expected_yield: float
    rates: tuple[float, ...]
    rate_step: float | None
    implement_width: float | None
    rows: tuple[str, ...]

    def effect(self, product: str, placement: Spreading, rates: Sequence[float], knowledge: Knowledge) -> Effect:
        """What a product does at some rates of nitrogen [kg/ha]; a rate of 0 costs no pass."""
        rate = np.asarray(rates, dtype=np.float64)[None, :]
        loss = ammonia_loss(product, self.surface, chances=self.chances[:LOSS_CHANCES], knowledge=knowledge)
        lost: Floats = np.zeros_like(self.scale) if loss is None else np.zeros_like(self.scale) + loss.share
        burn = leaf_burn(placement, rate=rate, chance=self.chances[LOSS_CHANCES], knowledge=knowledge)
        wheels = self._wheels(knowledge)
        reached = rate * (1 - lost) * self.access
        common, bends_at = (knowledge.figure(row).central for row in (_COMMON, _BENDS_AT))
        at_common = self.curve.gain(common * (1 - lost) * self.access)
        bent = at_common * np.expm1(-rate / bends_at) / np.expm1(-common / bends_at)
        gain = (1 - self.bent) * self.curve.gain(reached) + self.bent * bent
        return Effect(
            gross=self.expected_yield * gain * self.factor * self.scale,
            harm=self.without * (np.asarray(burn.share) + np.where(rate > 0, wheels.share, 0.0)),
            lost=lost,
            reached=reached,
            rows=(*self.rows, *(() if loss is None else loss.rows), *burn.rows, *wheels.rows),
        )

    @property
    def without(self) -> Floats:
        """Grain with no more nitrogen, shape (draws, 1) [t/ha]."""
        return self.expected_yield * self.curve.relative_yield[:, :1]

    def run_down(self, knowledge: Knowledge) -> Floats:
        """Grain lost under the wheels of one pass, shape (draws, 1) [t/ha]."""
        return np.asarray(self.without * self._wheels(knowledge).share)

    def _wheels(self, knowledge: Knowledge) -> Lost:
        return wheel_loss(
            implement_width=self.implement_width, chances=self.chances[LOSS_CHANCES + 1 :], knowledge=knowledge
        )


def counted_draws(balance: Balance) -> NDArray[np.intp]:
    """Draws of the balance that count and ripen, each as often as its weight asks for."""
    ripe = balance.season.draws.matured_on >= 0
    return np.asarray(balance.season.of_draw[ripe])


def outlooks(
    balance: Balance,
    days: Sequence[int],
    *,
    limits: tuple[StageLimit, ...],
    plan: RescuePlan,
    alkaline: bool | None,
    scale_row: str,
    knowledge: Knowledge,
    seed: int,
) -> tuple[Outlook, ...]:
    """Look at nitrogen given on some days after sowing; the same chances serve all days, products and rates."""
    inputs, counted = balance.inputs, counted_draws(balance)
    draws = balance.nodulation.shape[0]
    weather_of = inputs.sky.met_by(draws)
    scale, access, rain = (knowledge.figure(row) for row in (scale_row, _ACCESS, _RAIN))
    chances = np.random.default_rng([seed, _STREAM]).random((LOSS_CHANCES + 6, draws, 1))[:, counted]
    curves = gain_curves(
        inputs.sky.weather,
        inputs.parameters,
        weather_of=weather_of,
        applications=inputs.applications,
        observed=inputs.observed,
        of_draw=counted,
        days=days,
        rain_to_free=rain.central,
    )
    stage = balance.season.draws.daily["stage"][balance.season.draws.matured_on >= 0]

    def drawn(row_id: str, chance: Floats) -> Floats:
        row = knowledge.figure(row_id)
        low, high = row.range
        return triangular(chance, low=low, value=row.central, high=high)

    return tuple(
        Outlook(
            day=day,
            curve=curve,
            factor=time_factor(limits, day=day, stage=stage[:, [day]]),
            scale=drawn(scale.id, chances[-1]),
            access=drawn(access.id, chances[-2]),
            bent=drawn(_BENT, chances[-3]),
            chances=chances[:-3],
            surface=surface_on(
                day,
                weather=inputs.sky.weather,
                weather_of=None if weather_of is None else weather_of[counted],
                knowledge=knowledge,
                residue=plan.residue,
                alkaline=alkaline,
            ),
            expected_yield=float(np.max(inputs.parameters.expected_yield)),
            rates=plan.rates,
            rate_step=plan.rate_step,
            implement_width=plan.implement_width,
            rows=(scale.id, access.id, rain.id, _COMMON, _BENDS_AT, _BENT, *(limit.row for limit in limits)),
        )
        for day, curve in zip(days, curves, strict=True)
    )
