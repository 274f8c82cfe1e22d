"""The ways open now, as options with their gains and, where prices are known, their money."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from spadework.advice.rescue.outlook import Effect, Outlook
from spadework.advice.rescue.value import NetAtPrice, RescueOption
from spadework.agronomy.rescue.choice import Weighed, weigh_options
from spadework.agronomy.rescue.money import break_even_gain, net_return, option_cost
from spadework.agronomy.rescue.optimum import optimum_rate
from spadework.agronomy.rescue.products import amount_for, offered_products, placements_of
from spadework.knowledge.rows import Knowledge, Spreading
from spadework.quantity import Grade, Quantity
from spadework.records.types import Prices

__all__ = [
    "ANY_PRODUCT",
    "Market",
    "Offer",
    "Plans",
    "grain_price_that_pays",
    "net_at_prices",
    "nitrogen_price_that_pays",
    "plans",
]

Floats = NDArray[np.float64]

ANY_PRODUCT = "any"
"""Key of the price of nitrogen where the user named no product."""

_COMMON = ("urea_inhibited", "urea", "uan_28")
"""Products that are shown where the user priced none by name."""

_RATES = ("low", "common", "high", "highest")
_MOST, _COMMON_RATE = "rescue.rate.most_advised", "rescue.rate.common"
_STEPS = 16
"""Steps from none to the highest rate, over which the rate that pays best is looked for."""

_SAME_RATE = 1.0
"""Rates nearer than this are one [kg/ha]."""

_GRAIN_PRICES = (0.6, 0.8, 1.0, 1.2, 1.4)


@dataclass(frozen=True, kw_only=True)
class Market:
    """What grain and nitrogen are worth to the user; ``grain_price`` per t, None where not known."""

    grain_price: float | None
    prices: Prices

    @property
    def pass_price(self) -> float:
        """Of one pass over a ha; nothing where the book gives no price."""
        return self.prices.per_pass or 0.0

    def cost(self, offer: Offer, rate: float) -> float:
        """Money per ha of a product at a rate [kg/ha]."""
        return float(option_cost(rate=rate, nitrogen_price=offer.price or 0.0, pass_price=self.pass_price))


@dataclass(frozen=True, kw_only=True)
class Offer:
    """One product at several rates; ``rates`` [kg/ha], ``price`` per kg of nitrogen, None where not known."""

    product: str
    placement: Spreading
    price: float | None
    rates: tuple[float, ...]
    effect: Effect


@dataclass(frozen=True, kw_only=True)
class Plans:
    """All options on one day, ``leave`` first.

    ``gain`` [t/ha] and ``net`` in money per ha have shape (draws, options), ``net`` None without prices; ``best`` is
    the place of the option with the highest expected net return, ``best_apply`` of the best that gives nitrogen, up to
    the most that is ever advised (``advised``, shape (options,)). Without prices that is the product that gains most
    at the common rate. ``offer_of`` says which of ``offers`` an option is of, -1 for ``leave``.
    """

    options: tuple[RescueOption, ...]
    offers: tuple[Offer, ...]
    offer_of: tuple[int, ...]
    gain: Floats
    net: Floats | None
    weighed: Weighed | None
    advised: NDArray[np.bool_]
    best: int
    best_apply: int
    rows: tuple[str, ...]

    @property
    def best_offer(self) -> Offer:
        """The product of the best option that gives nitrogen."""
        return self.offers[self.offer_of[self.best_apply]]


def plans(
    outlook: Outlook, *, on: dt.date, market: Market, level: float, knowledge: Knowledge, only: str | None = None
) -> Plans:
    """Set every product and rate against leaving the crop as it is.

    Products are those that the user priced by name; common ones too where one price holds for any, or none is known;
    or ``only`` one of them. Rates are the common ones, those the user asks for, and the one that pays best.
    """
    rows = [knowledge.figure(f"rescue.rate.{name}") for name in _RATES]
    most = knowledge.figure(_MOST)
    shown = _apart((*(row.central for row in rows), *outlook.rates))
    offers = [
        _offer(outlook, product, price, shown=shown, most=most.central, market=market, knowledge=knowledge)
        for product, price in _priced(market.prices, knowledge)
        if only in (None, product)
    ]
    grain_price = market.grain_price
    priced = grain_price is not None and all(offer.price is not None for offer in offers)
    gain = np.hstack([np.zeros((offers[0].effect.gross.shape[0], 1)), *(offer.effect.gain for offer in offers)])
    costs = np.array([0.0, *(market.cost(offer, rate) for offer in offers for rate in offer.rates)])
    net = weighed = None
    if priced and grain_price is not None:
        net = net_return(gain=gain, grain_price=grain_price, cost=costs)
        weighed = weigh_options(net, level=level)
    rates = np.array([0.0, *(rate for offer in offers for rate in offer.rates)])
    advised = rates <= most.central
    named = advised if net is not None else _nearest(offers, knowledge.figure(_COMMON_RATE).central)
    by = np.where(advised, (gain if net is None else net).mean(axis=0), -np.inf)
    options = [_leave()]
    for offer in offers:
        for place, rate in enumerate(offer.rates):
            options.append(_option(offer, place, rate, on=on, level=level, knowledge=knowledge))
    if weighed is not None and grain_price is not None:
        options = [
            _with_money(option, place, weighed, cost=float(costs[place]), grain_price=grain_price, level=level)
            for place, option in enumerate(options)
        ]
    return Plans(
        options=tuple(options),
        offers=tuple(offers),
        offer_of=(-1, *(number for number, offer in enumerate(offers) for _ in offer.rates)),
        gain=gain,
        net=net,
        weighed=weighed,
        advised=advised,
        best=int(np.argmax(by)),
        best_apply=1 + int(np.argmax(np.where(named, by, -np.inf)[1:])),
        rows=tuple(
            dict.fromkeys((*(row.id for row in rows), most.id, *(row for one in offers for row in one.effect.rows)))
        ),
    )


def grain_price_that_pays(now: Plans, market: Market) -> float | None:
    """Price of grain [per t] from which some option is expected to pay; None where none ever does."""
    gains = now.gain[:, 1:].mean(axis=0)
    costs = np.array([market.cost(offer, rate) for offer in now.offers for rate in offer.rates])
    gaining = (gains > 0) & now.advised[1:]
    return float(np.min(costs[gaining] / gains[gaining])) if np.any(gaining) else None


def nitrogen_price_that_pays(now: Plans, market: Market) -> float | None:
    """Price of a kg of nitrogen in the best product up to which some option is expected to pay.

    All products are taken to grow dearer or cheaper together. None where none pays at any price.
    """
    own = now.best_offer.price or 0.0
    highest = -np.inf
    for place, option in enumerate(now.options):
        offer = now.offers[now.offer_of[place]]
        if option.option == "leave" or not now.advised[place] or (own and not offer.price):
            continue
        left = option.gain.value * (market.grain_price or 0.0) - market.pass_price
        dearer = own / offer.price if own and offer.price else 1.0
        highest = max(highest, left / option.rate.value * dearer)
    return highest if highest > 0 else None


def net_at_prices(now: Plans, market: Market, *, grain_price: float) -> tuple[NetAtPrice, ...]:
    """Expected net return of each rate of the best product, where grain sells for less and for more."""
    offer = now.best_offer
    gains = offer.effect.gain.mean(axis=0)
    return tuple(
        NetAtPrice(
            rate=Quantity(rate, "kg/ha"),
            grain_price=grain_price * times,
            net_return=float(gains[place] * grain_price * times) - market.cost(offer, rate),
        )
        for place, rate in sorted(enumerate(offer.rates), key=lambda pair: pair[1])
        for times in _GRAIN_PRICES
    )


def _nearest(offers: Sequence[Offer], rate: float) -> NDArray[np.bool_]:
    """Which options give, of each product, the rate nearest to one; the first, ``leave``, does not."""
    near = [abs(np.asarray(offer.rates) - rate) for offer in offers]
    return np.concatenate([[False], *(apart == apart.min() for apart in near)])


def _priced(prices: Prices, knowledge: Knowledge) -> list[tuple[str, float | None]]:
    offered = [row.name for row in offered_products(knowledge)]
    of_any = prices.nitrogen.get(ANY_PRODUCT)
    named = [product for product in offered if product in prices.nitrogen]
    common = _COMMON if of_any is not None or not named else ()
    return [(product, prices.nitrogen.get(product, of_any)) for product in dict.fromkeys((*common, *named))]


def _apart(rates: Sequence[float]) -> tuple[float, ...]:
    """Rates in order; of those that are as good as one the first given."""
    kept: list[float] = []
    for rate in rates:
        if all(abs(rate - other) >= _SAME_RATE for other in kept):
            kept.append(rate)
    return tuple(sorted(kept))


def _offer(
    outlook: Outlook,
    product: str,
    price: float | None,
    *,
    shown: Sequence[float],
    most: float,
    market: Market,
    knowledge: Knowledge,
) -> Offer:
    """A product brought in the gentlest way, at the rates shown and the one between them that pays best."""
    placement = placements_of(product, knowledge)[0]
    rates = tuple(shown)
    if market.grain_price is not None and price is not None:
        steps = np.linspace(0.0, max(shown), _STEPS + 1)
        found = outlook.effect(product, placement, steps.tolist(), knowledge)
        wheels = float(outlook.run_down(knowledge).mean())
        gains = found.gain.mean(axis=0) + np.where(steps > 0, wheels, 0.0)
        best = optimum_rate(
            rates=steps,
            gain=gains,
            grain_price=market.grain_price,
            nitrogen_price=price,
            fixed_cost=market.pass_price + wheels * market.grain_price,
            highest=most,
        ).rate
        if best > 0 and min(abs(best - rate) for rate in rates) >= _SAME_RATE:
            rates = tuple(sorted((*rates, best)))
    if outlook.rate_step is not None:
        rates = _settable(rates, product, outlook.rate_step, most=most, knowledge=knowledge)
    return Offer(
        product=product,
        placement=placement,
        price=price,
        rates=rates,
        effect=outlook.effect(product, placement, rates, knowledge),
    )


def _settable(
    rates: Sequence[float], product: str, step: float, *, most: float, knowledge: Knowledge
) -> tuple[float, ...]:
    """Rates of nitrogen of whole steps of the product, each once; none is raised above the most that is advised."""
    one = amount_for(1.0, product, knowledge)
    per_kg = float(np.max(one.mass if one.volume is None else one.volume))
    whole = []
    for rate in rates:
        steps = round(rate * per_kg / step)
        if rate <= most < steps * step / per_kg:
            steps -= 1
        whole.append(max(steps, 1) * step / per_kg)
    return _apart(whole)


def _leave() -> RescueOption:
    return RescueOption(
        option="leave",
        rate=Quantity(0.0, "kg/ha"),
        product=None,
        placement=None,
        product_rate=None,
        on=None,
        lost=None,
        gain=Quantity(0.0, "t/ha"),
        cost=None,
        net_return=None,
        chance_of_loss=None,
        regret=None,
        break_even_gain=None,
    )


def _option(offer: Offer, place: int, rate: float, *, on: dt.date, level: float, knowledge: Knowledge) -> RescueOption:
    amount = amount_for(rate, offer.product, knowledge)
    spread, unit = (amount.mass, "kg/ha") if amount.volume is None else (amount.volume, "L/ha")
    return RescueOption(
        option="apply",
        rate=Quantity(rate, "kg/ha"),
        product=offer.product,
        placement=offer.placement.name,
        product_rate=Quantity(float(np.max(spread)), unit, sources=amount.rows),
        on=on,
        lost=_figure(offer.effect.lost[:, 0], "1", level),
        gain=_figure(offer.effect.gain[:, place], "t/ha", level),
        cost=None,
        net_return=None,
        chance_of_loss=None,
        regret=None,
        break_even_gain=None,
    )


def _with_money(
    option: RescueOption, place: int, weighed: Weighed, *, cost: float, grain_price: float, level: float
) -> RescueOption:
    expected, low, high = (float(values[place]) for values in (weighed.expected, weighed.low, weighed.high))
    return replace(
        option,
        cost=cost,
        net_return=Quantity(expected, "1", low=low, high=high, level=level, grade=Grade.JUDGEMENT),
        chance_of_loss=float(weighed.chance_of_loss[place]),
        regret=float(weighed.regret[place]),
        break_even_gain=None
        if option.option == "leave" or grain_price <= 0
        else Quantity(float(break_even_gain(cost=cost, grain_price=grain_price)), "t/ha"),
    )


def _figure(values: Floats, unit: str, level: float) -> Quantity:
    """Mean of the draws with their interval; the mean is what money is reckoned from."""
    low, high = (float(value) for value in np.quantile(values, ((1 - level) / 2, (1 + level) / 2)))
    mean = float(values.mean())
    return Quantity(mean, unit, low=min(low, mean), high=max(high, mean), level=level, grade=Grade.JUDGEMENT)
