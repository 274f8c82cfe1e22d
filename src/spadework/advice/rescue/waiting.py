"""A second dig, at once or on a later day: what it may show, and what is chosen then."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spadework.advice.rescue.options import Plans
from spadework.advice.rescue.value import DigAgain
from spadework.advice.value import Sampling, Verdict
from spadework.agronomy.rescue.choice import LookAhead, look_ahead
from spadework.agronomy.rescue.second_dig import chance_of_adequate
from spadework.knowledge.rows import Knowledge

__all__ = ["SecondDig", "better_dig", "dig_again_of", "size_of_dig"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class SecondDig:
    """A dig that could still be made: its days, its size and, per ha, what it costs.

    ``share`` is the share adequate behind each draw as that dig would find it, shape (draws,), ``correlation`` how
    alike plants of a stop are; ``at_once`` and ``in_part`` as of ``DigAgain``.
    """

    on: dt.date
    nitrogen_on: dt.date
    plants: int
    stops: int
    share: Floats
    correlation: float
    cost: float
    at_once: bool
    in_part: bool


def dig_again_of(dig: SecondDig, now: Plans, then: Plans) -> DigAgain:
    """Weigh the draws anew by each result that the dig may have, and choose then among leaving it and giving nitrogen.

    ``then`` is what can be done with the result: ``now`` itself where more plants are dug at once. Of it only the
    product that is best now counts: with more options chance would choose.
    """
    found = None
    if now.net is not None and then.net is not None:
        product = now.best_offer.product
        own = [of < 0 or then.offers[of].product == product for of in then.offer_of]
        chances = chance_of_adequate(share=dig.share, correlation=dig.correlation, plants=dig.plants, stops=dig.stops)
        found = look_ahead(
            now.net[:, now.advised], chance_of_result=chances, later=then.net[:, then.advised & own], cost=dig.cost
        )
    return DigAgain(
        on=dig.on,
        nitrogen_on=dig.nitrogen_on,
        plants=dig.plants,
        stops=dig.stops,
        net_return=None if found is None else found.later - found.cost,
        value=None if found is None else found.value,
        error=None if found is None else found.error,
        apply_chance=None if found is None else float(min(found.chance_of_choice[1:].sum(), 1.0)),
        turning_share=None if found is None else _turning_share(found),
        at_once=dig.at_once,
        in_part=dig.in_part,
    )


def better_dig(at_once: DigAgain | None, later: DigAgain | None) -> DigAgain | None:
    """The dig that is worth more; without prices the later one, which is asked for only where it may show more."""
    if at_once is None or later is None:
        return at_once or later
    return at_once if (at_once.value or 0.0) > (later.value or 0.0) else later


def size_of_dig(
    verdict: Verdict | None, sampling: Sampling | None, *, in_part: bool, knowledge: Knowledge
) -> tuple[int, int]:
    """Plants and stops of a second dig.

    Never fewer stops than the last dig had there, nor than a usual visit has; as many plants, or more where the
    verdict on the whole field needs them, up to the most that anybody is asked to dig.
    """
    usual, each, most = (
        int(knowledge.figure(f"planning.{name}").central) for name in ("stops", "plants_per_stop", "most_stops")
    )
    plants, stops = usual * each, usual
    if verdict is not None:
        poor = verdict.patch.poor_stops if in_part and verdict.patch is not None else None
        dug = [one.plants for one in verdict.stop_summaries if poor is None or one.stop in poor]
        plants, stops = max(plants, sum(dug)), max(stops, len(dug))
    if sampling is not None and not in_part:
        plants, stops = max(plants, sampling.more_plants or 0), max(stops, sampling.more_stops or 0)
    return max(min(plants, most * each), stops), stops


def _turning_share(found: LookAhead) -> float | None:
    """Share from which on every result says leave it, where a lesser one says otherwise."""
    leave = found.choice == 0
    if leave.all() or not leave[-1]:
        return None
    last_apply = int(np.flatnonzero(~leave)[-1])
    share: float = (last_apply + 1) / (leave.size - 1)
    return share
