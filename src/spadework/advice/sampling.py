"""How many plants: settled, or how many more, and the fixed plan for a wanted precision."""

from __future__ import annotations

import math

import numpy as np

from spadework.advice.value import Message, Sampling, Scalar, Timing, Verdict
from spadework.advice.verdict import Scored
from spadework.agronomy.binomial import design_effect, plants_for_share
from spadework.agronomy.sampling import FurtherDigging, further_digging
from spadework.agronomy.scoring.share import SharePosterior
from spadework.knowledge.rows import Knowledge
from spadework.quantity import Quantity, worst_grade

__all__ = ["sampling_of"]


def sampling_of(
    scored: Scored, *, verdict: Verdict, timing: Timing, knowledge: Knowledge, settle_at: float, seed: int
) -> Sampling:
    """Say whether the visit settles the verdict, and what further digging would do."""
    share = scored.share
    assert share is not None  # noqa: S101 - there is no verdict without it
    level = knowledge.figure("planning.interval_level").central
    per_stop = int(knowledge.figure("planning.plants_per_stop").central)
    most_stops = int(knowledge.figure("planning.most_stops").central)

    def look_ahead(stops: int, wanted: float) -> FurtherDigging:
        return further_digging(
            share,
            limits=verdict.class_limits,
            settle_at=settle_at,
            plants_per_stop=per_stop,
            most_stops=stops,
            assurance=wanted,
            rng=np.random.default_rng(seed),
        )

    few = _stops_short_of_usual(verdict, usual=int(knowledge.figure("planning.stops").central), per_stop=per_stop)
    # By number alone a crop may be called short, but never well nodulated: colour can only make it worse.
    by_number = verdict.by_number_only and verdict.leading != verdict.classes[0].name
    if by_number:
        further = FurtherDigging(settled=False, stops=None, plants=None, assurance=0.0)
    else:
        further = look_ahead(most_stops, knowledge.figure("planning.assurance").central)
    too_few = not by_number and not further.settled and further.stops is None and few > 0
    if too_few:
        assurance = look_ahead(few, 1.0).assurance
        further = FurtherDigging(settled=False, stops=few, plants=few * per_stop, assurance=assurance)
    low, high = share.correlation_interval(level)
    correlation = Quantity(
        value=share.correlation,
        unit="1",
        low=min(low, share.correlation),
        high=max(high, share.correlation),
        level=level,
        sources=("planning.stop_correlation",),
        grade=knowledge.figure("planning.stop_correlation").grade,
    )
    precision = knowledge.figure("planning.precision")
    # Parts that were dug as one field look far more unlike than the stops of either part will be.
    likeness = share.correlation if verdict.patch is None else knowledge.figure("planning.stop_correlation").central
    planned = plants_for_share(
        share=0.5,
        half_width=precision.central,
        level=level,
        design_effect=design_effect(plants_per_stop=per_stop, correlation=likeness),
    )
    planned_stops = math.ceil(planned / per_stop)
    return Sampling(
        settled=further.settled,
        settle_at=settle_at,
        more_plants=further.plants,
        more_stops=further.stops,
        assurance=further.assurance,
        stop_correlation=correlation,
        planned_plants=planned_stops * per_stop,
        planned_stops=planned_stops,
        planned_precision=Quantity(
            value=precision.central,
            unit="1",
            sources=(precision.id, "planning.plants_per_stop"),
            grade=worst_grade(precision.grade, correlation.grade or precision.grade),
        ),
        message=_message(
            share, verdict, timing, further, most_stops=most_stops, too_few=too_few, by_number=by_number,
        ),
    )  # fmt: skip


def _stops_short_of_usual(verdict: Verdict, *, usual: int, per_stop: int) -> int:
    """Stops by which a visit falls short of the usual one; from so few plants nobody can say that they lie on a border.

    A few plants less than usual are no matter.
    """
    short = usual * per_stop - verdict.plants
    return max(math.ceil(short / per_stop) if short >= per_stop else 0, usual - verdict.stops, 0)


def _message(
    share: SharePosterior,
    verdict: Verdict,
    timing: Timing,
    further: FurtherDigging,
    *,
    most_stops: int,
    too_few: bool,
    by_number: bool,
) -> Message:
    sources: tuple[str, ...] = ("planning.settle_at", "planning.stop_correlation")
    if not further.settled:
        sources += ("planning.assurance", "planning.most_stops", "planning.stops", "planning.plants_per_stop")
    if timing.wrong_time is not None:
        return Message(f"sampling.{'later' if timing.wrong_time == 'early' else 'too_late'}", sources=sources)
    if by_number:
        return Message("sampling.cut_open", sources=("statement.colour.pink_red", *sources))
    if verdict.patch is not None or further.settled:
        plain, more = ("settled", ()) if verdict.patch is None else ("patchy", ("planning.patch_p",))
        return Message(f"sampling.{plain}", sources=(*more, *sources))
    # A share of draws is never told as a certainty.
    chance = min(max(further.assurance, 0.001), 0.999)
    values: dict[str, Scalar] = {"plants": further.plants, "stops": further.stops, "assurance": chance}
    if too_few:
        values |= {"dug": verdict.plants, "dug_stops": verdict.stops}
        return Message("sampling.too_few", values, sources)
    if further.stops is not None:
        return Message("sampling.dig_more", values, sources)
    first, second = _two_likeliest(share, verdict)
    return Message("sampling.border", {**values, "stops": most_stops, "first": first, "second": second}, sources)


def _two_likeliest(share: SharePosterior, verdict: Verdict) -> tuple[str, str]:
    """The two neighbouring classes that hold most of the probability, worse one first."""
    chances = share.class_probabilities(verdict.class_limits)
    lower = int(np.argmax(chances[:-1] + chances[1:]))
    return verdict.classes[lower].name, verdict.classes[lower + 1].name
