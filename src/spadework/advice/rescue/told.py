"""The decision on nitrogen in sentences: what to do, why, and what would change it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spadework.advice.diagnosis.value import Diagnosis
from spadework.advice.message import Message, Scalar
from spadework.advice.rescue.gates import Gate
from spadework.advice.rescue.late_nodules import LateNodules
from spadework.advice.rescue.options import Market, Plans, grain_price_that_pays, nitrogen_price_that_pays
from spadework.advice.rescue.outlook import Outlook
from spadework.advice.rescue.value import DigAgain
from spadework.knowledge.rows import Knowledge

__all__ = ["Reckoned", "changes_of", "changes_of_gate", "headline_of", "reasons_of"]

Floats = NDArray[np.float64]

_SOON = 7.0
"""Days within which a soaking rain comes in time."""

_SELDOM = 0.05
_WORTH_SAYING = 0.95
_LATE = 0.5
_LEAST_FIXATION = 0.5

_PATCH = "planning.patch_p"


@dataclass(frozen=True, kw_only=True)
class Reckoned:
    """All that the sentences are told from, where options were weighed.

    ``turning_share`` is the share adequate from which more plants dug at once would say leave it; ``patch``: the part
    that failed was weighed, and not the field; ``area_assumed`` [ha] where a dig is spread over no area known.
    """

    kind: str
    why: str
    now: Plans
    outlook: Outlook
    market: Market
    again: DigAgain | None
    turning_share: float | None
    late: LateNodules | None
    sure: float | None
    patch: bool
    area_assumed: float | None = None

    @property
    def grain_per_kg(self) -> float:
        """Grain won by a kg of nitrogen at the best option that gives it [kg/kg]."""
        option = self.now.options[self.now.best_apply]
        return 1000.0 * option.gain.value / option.rate.value


def headline_of(found: Reckoned) -> Message:
    """The decision in one sentence."""
    option = found.now.options[found.now.best_apply]
    values: dict[str, Scalar] = {
        "rate": option.rate.value,
        "product": option.product,
        "day": option.on,
        "sure": found.sure,
        "gain": option.gain.value,
        "gain_low": option.gain.low,
        "gain_high": option.gain.high,
        "grain_per_kg": found.grain_per_kg,
    }
    how = ""
    if found.why == "pays":
        share = found.turning_share
        values |= {"share": share, "price": grain_price_that_pays(found.now, found.market)}
        how = f".{_where(found)}.{'price' if share is None else 'share'}"
    elif found.why == "does_not_pay":
        values["price"] = grain_price_that_pays(found.now, found.market)
        how = ".never" if values["price"] is None else ".price"
    elif found.why == "no_prices":
        how, values["price"] = _price_lacking(found)
    elif found.why == "no_gain":
        values["factor"] = _factor(found)
        how = ".late" if _is_late(found) else ".not_short"
    elif found.why == "waiting_pays" and found.again is not None:
        again = found.again
        values |= {"day": again.on, "value": again.value, "chance": again.apply_chance, "share": again.turning_share}
        values |= {"plants": again.plants, "stops": again.stops}
        how = f".{_when(again)}.{_where(found)}.{'always' if again.turning_share is None else 'share'}"
    return Message(f"rescue.headline.{found.why}{how}", values)


def _price_lacking(found: Reckoned) -> tuple[str, float | None]:
    """Which price is not known, and what it must be where the other is."""
    if found.market.grain_price is not None:
        pays = nitrogen_price_that_pays(found.now, found.market)
        return (".both", None) if pays is None else (".nitrogen", pays)
    priced = all(offer.price is not None for offer in found.now.offers)
    pays = grain_price_that_pays(found.now, found.market) if priced else None
    return (".both", None) if pays is None else (".grain", pays)


def reasons_of(found: Reckoned, *, knowledge: Knowledge) -> tuple[Message, ...]:
    """Why: what the crop comes to without nitrogen, what nitrogen brings, and what takes it away."""
    return tuple(_reasons(found, knowledge))


def _reasons(found: Reckoned, knowledge: Knowledge) -> Iterator[Message]:
    now, outlook = found.now, found.outlook
    offer, option = now.best_offer, now.options[now.best_apply]
    place = offer.rates.index(option.rate.value)
    reached = offer.effect.reached[:, [place]]
    if found.patch:
        yield Message("rescue.reason.part", sources=(_PATCH,))
    if found.late is not None:
        yield Message(
            "rescue.reason.late_nodules", {"cause": found.late.cause, "chance": found.late.chance}, found.late.rows
        )
    low, high = _ends(outlook.without[:, 0], option.gain.level)
    yield Message("rescue.reason.without", {"low": low, "high": high, "yield": outlook.expected_yield})
    values: dict[str, Scalar] = {"rate": option.rate.value, "product": option.product, "gain": option.gain.value}
    yield Message("rescue.reason.gain", {**values, "low": option.gain.low, "high": option.gain.high})
    low, high = _ends(outlook.curve.recovered(reached)[:, 0] / option.rate.value, option.gain.level)
    lost = float(offer.effect.lost.mean())
    yield Message(
        "rescue.reason.recovered",
        {"rate": option.rate.value, "lost": lost, "low": max(low, 0.0), "high": max(high, 0.0)},
    )
    if _factor(found) < _WORTH_SAYING:
        yield Message("rescue.reason.late", {"day": option.on, "factor": _factor(found)})
    less = outlook.curve.fixation_lost(reached)[:, 0]
    if float(less.mean()) >= _LEAST_FIXATION:
        low, high = _ends(less, option.gain.level)
        yield Message("rescue.reason.nodules", {"low": max(low, 0.0), "high": high})
    if found.market.grain_price is not None and found.market.prices.per_pass is None:
        yield Message("rescue.reason.pass_unpriced")
    again = found.again
    if again is not None and again.told is not None:
        values = {"day": again.on, "value": abs(again.value or 0.0)}
        yield Message(f"rescue.reason.digging.{_when(again)}.{again.told}", values)
        if found.market.prices.dig is None:
            row = knowledge.figure("rescue.second_dig.grain")
            yield Message("rescue.reason.dig_unpriced", {"grain": row.central}, (row.id,))
        if found.area_assumed is not None:
            yield Message("rescue.reason.area_unknown", {"area": found.area_assumed}, ("rescue.second_dig.area",))


def changes_of(found: Reckoned, *, soaking: float) -> tuple[Message, ...]:
    """What would change the decision: prices, a second dig, rain of at least ``soaking`` [mm] in a day."""
    return tuple(_changes(found, soaking))


def _changes(found: Reckoned, soaking: float) -> Iterator[Message]:
    now, market = found.now, found.market
    if now.net is not None and found.kind in ("leave", "apply"):
        leaves = found.kind == "leave"
        grain = grain_price_that_pays(now, market)
        if grain is not None:
            yield Message(f"rescue.change.grain_price.{'above' if leaves else 'below'}", {"price": grain})
        nitrogen = nitrogen_price_that_pays(now, market)
        if nitrogen is not None:
            way = "below" if leaves else "above"
            yield Message(f"rescue.change.nitrogen_price.{way}", {"price": nitrogen, "product": now.best_offer.product})
        yield from _rain(found, now.net[:, now.best_apply], soaking)
    again = found.again
    if found.kind == "apply" and found.turning_share is not None:
        yield Message(f"rescue.change.share.more.now.{_where(found)}", {"share": found.turning_share})
    elif again is not None and again.turning_share is not None:
        less = "less" if found.kind == "leave" else "more"
        name = f"rescue.change.share.{less}.{_when(again)}.{_where(found)}"
        yield Message(name, {"day": again.on, "share": again.turning_share})
    if found.why == "no_gain":
        yield Message(f"rescue.change.{'nothing' if _is_late(found) else 'pale'}")


def _when(again: DigAgain) -> str:
    return "now" if again.at_once else "later"


def _where(found: Reckoned) -> str:
    return "part" if found.patch else "field"


def _factor(found: Reckoned) -> float:
    """Share of its effect that nitrogen given now still has."""
    return float(found.outlook.factor.mean())


def _is_late(found: Reckoned) -> bool:
    """Whether the hour, more than the crop, is why nitrogen brings nothing."""
    return _factor(found) < _LATE


def _rain(found: Reckoned, net: Floats, soaking: float) -> Iterator[Message]:
    """Rain in time or none, where it turns the sign of what is expected."""
    soon = np.broadcast_to(found.outlook.surface.delay <= _SOON, (net.size, 1))[:, 0]
    share = float(soon.mean())
    if not _SELDOM < share < 1 - _SELDOM:
        return
    wet, dry = float(net[soon].mean()), float(net[~soon].mean())
    values: dict[str, Scalar] = {"rain": soaking, "days": int(_SOON), "day": found.now.options[1].on}
    if found.kind == "leave" and wet > 0:
        yield Message("rescue.change.rain.comes", values, ("rescue.soaking_rain",))
    if found.kind == "apply" and dry < 0:
        yield Message("rescue.change.rain.stays_away", values, ("rescue.soaking_rain",))


def changes_of_gate(gate: Gate, diagnosis: Diagnosis, *, sooner: dt.date | None) -> tuple[Message, ...]:
    """What would open a gate that is closed; ``sooner`` is the day by which nitrogen would still be in time."""
    if gate.why == "cause_not_nitrogen" and diagnosis.checks:
        return (Message("rescue.change.check", {"check": diagnosis.checks[0].check}),)
    if gate.why in ("working", "nitrate"):
        return (Message("rescue.change.pale"),)
    if gate.why == "too_late":
        return (Message("rescue.change.nothing" if sooner is None else "rescue.change.sooner", {"day": sooner}),)
    return ()


def _ends(values: Floats, level: float | None) -> tuple[float, float]:
    side = (1 - (level or 0.9)) / 2
    low, high = np.quantile(values, (side, 1 - side))
    return float(low), float(high)
