"""Prices and rates as the command line gives them, in the units of --units, put over those of a book."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import typer

from spadework.cli.choices import number

if TYPE_CHECKING:
    from spadework.cli.choices import UnitSystem
    from spadework.knowledge.rows import Crop, Knowledge
    from spadework.records.types import Prices, RescuePlan, Settings

__all__ = ["Said", "with_said"]


@dataclass(frozen=True, kw_only=True)
class Said:
    """What the options say; money and rates in the units of the system asked for, None where nothing was said."""

    grain: float | None = None
    nitrogen: Sequence[str] = ()
    per_pass: float | None = None
    dig: float | None = None
    rates: Sequence[float] = ()
    lead_days: int | None = None
    dig_again_days: int | None = None


def with_said(settings: Settings, said: Said, *, crop: Crop, units: UnitSystem, knowledge: Knowledge) -> Settings:
    """Return the settings of a book with what was said in place of its own.

    Prices of nitrogen replace all of the book's. Raises BadParameter for what cannot be taken.
    """
    return dataclasses.replace(
        settings,
        prices=_prices(settings.prices, said, crop=crop, units=units, knowledge=knowledge),
        rescue=_plan(settings.rescue, said, units=units),
    )


def _prices(own: Prices, said: Said, *, crop: Crop, units: UnitSystem, knowledge: Knowledge) -> Prices:
    from spadework.report.display import UnitSystem as ReportUnits
    from spadework.report.display import grain_price, money_per_land, nitrogen_price

    shown_in = ReportUnits(units.value)
    prices = own
    if said.grain is not None:
        per_tonne = _sum(said.grain, "--price-grain", above=True) / grain_price(1.0, shown_in, crop)[0]
        prices = dataclasses.replace(prices, grain={**own.grain, crop: per_tonne})
    if said.nitrogen:
        per_shown = nitrogen_price(1.0, shown_in)[0]
        named = [_price_of_product(text, knowledge) for text in said.nitrogen]
        prices = dataclasses.replace(prices, nitrogen={product: price / per_shown for product, price in named})
    if said.per_pass is not None:
        per_ha = _sum(said.per_pass, "--pass-cost") / money_per_land(1.0, shown_in)
        prices = dataclasses.replace(prices, per_pass=per_ha)
    if said.dig is not None:
        prices = dataclasses.replace(prices, dig=_sum(said.dig, "--dig-cost"))
    return prices


def _plan(own: RescuePlan, said: Said, *, units: UnitSystem) -> RescuePlan:
    from spadework.quantity import Quantity
    from spadework.records.setting_checks import HIGHEST_RATE, Wrong, as_rates
    from spadework.report.display import UnitSystem as ReportUnits
    from spadework.report.display import shown

    plan = own
    if said.rates:
        one = shown(Quantity(1.0, "kg/ha"), ReportUnits(units.value))
        highest = math.floor(HIGHEST_RATE * one.value)
        wrong_rate = next((rate for rate in said.rates if not 0 < rate / one.value <= HIGHEST_RATE), None)
        if wrong_rate is not None:
            allowed = f"above 0 and up to {highest} {one.unit} of nitrogen"
            raise typer.BadParameter(
                f"A rate must be {allowed}, but is {wrong_rate:g}. Say nitrogen, not product.", param_hint="--rate"
            )
        try:
            plan = dataclasses.replace(plan, rates=as_rates([rate / one.value for rate in said.rates]))
        except Wrong as wrong:
            raise typer.BadParameter(f"{wrong.what} {wrong.mend}", param_hint="--rate") from None
    if said.lead_days is not None:
        plan = dataclasses.replace(plan, lead_days=said.lead_days)
    if said.dig_again_days is not None:
        plan = dataclasses.replace(plan, dig_again_days=said.dig_again_days)
    return plan


def _price_of_product(text: str, knowledge: Knowledge) -> tuple[str, float]:
    """Read ``1.3`` as a price that holds for any product, ``uan_28=1.5`` as that of one kind."""
    from spadework.advice.rescue.options import ANY_PRODUCT
    from spadework.cli.named_rows import priced_products, what_is_wrong_with_product

    name, equals, figure = text.rpartition("=")
    product = name.strip().lower().replace(" ", "_").replace("-", "_") if equals else ANY_PRODUCT
    known = priced_products(knowledge)
    if product not in known:
        what, mend = what_is_wrong_with_product(product, known, knowledge)
        raise typer.BadParameter(f"{what} {mend}", param_hint="--price-n")
    try:
        price = number(figure)
    except typer.BadParameter:
        raise typer.BadParameter(
            f"{text!r} is no price. Write it with a decimal point: 1.3, or with the kind of product "
            "urea_inhibited=1.45.",
            param_hint="--price-n",
        ) from None
    return product, _sum(price, "--price-n")


def _sum(value: float, option: str, *, above: bool = False) -> float:
    if not math.isfinite(value) or value < 0 or (above and value == 0):
        allowed = "above 0" if above else "0 or more"
        raise typer.BadParameter(f"It must be a price {allowed}, but is {value:g}.", param_hint=option)
    return value
