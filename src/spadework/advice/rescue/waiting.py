"""Waiting: a second dig on a day, what it may show, and what is chosen then."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spadework.advice.rescue.options import Plans
from spadework.advice.rescue.value import DigAgain
from spadework.agronomy.rescue.choice import LookAhead, look_ahead
from spadework.agronomy.rescue.second_dig import chance_of_adequate

__all__ = ["SecondDig", "dig_again_of", "turning_share_now"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class SecondDig:
    """A dig that could still be made: its days, its size and, per ha, what it costs.

    ``share`` is the share adequate behind each draw, shape (draws,), ``correlation`` how alike plants of a stop are.
    """

    on: dt.date
    nitrogen_on: dt.date
    plants: int
    stops: int
    share: Floats
    correlation: float
    cost: float


def dig_again_of(dig: SecondDig, now: Plans, later: Plans) -> DigAgain:
    """Weigh the draws anew by each result that the dig may have, and choose then among leaving it and giving nitrogen.

    ``later`` holds the product that is best now: with more options chance would choose.
    """
    if now.net is None or later.net is None:
        return DigAgain(
            on=dig.on,
            nitrogen_on=dig.nitrogen_on,
            plants=dig.plants,
            stops=dig.stops,
            net_return=None,
            value=None,
            apply_chance=None,
            turning_share=None,
        )
    found = look_ahead(now.net, chance_of_result=_chances(dig), later=later.net, cost=dig.cost)
    return DigAgain(
        on=dig.on,
        nitrogen_on=dig.nitrogen_on,
        plants=dig.plants,
        stops=dig.stops,
        net_return=found.later - found.cost,
        value=found.value,
        apply_chance=float(min(found.chance_of_choice[1:].sum(), 1.0)),
        turning_share=_turning_share(found),
    )


def turning_share_now(dig: SecondDig, now: Plans) -> float | None:
    """Share of plants adequate from which more plants dug at once would say leave it; None where none would."""
    if now.net is None:
        return None
    product = now.best_offer.product
    columns = [place for place, of in enumerate(now.offer_of) if of < 0 or now.offers[of].product == product]
    return _turning_share(look_ahead(now.net[:, columns], chance_of_result=_chances(dig)))


def _chances(dig: SecondDig) -> Floats:
    return chance_of_adequate(share=dig.share, correlation=dig.correlation, plants=dig.plants, stops=dig.stops)


def _turning_share(found: LookAhead) -> float | None:
    """Share from which on every result says leave it, where a lesser one says otherwise."""
    leave = found.choice == 0
    if leave.all() or not leave[-1]:
        return None
    last_apply = int(np.flatnonzero(~leave)[-1])
    share: float = (last_apply + 1) / (leave.size - 1)
    return share
