"""How many plants: settled, or how many more, and the fixed plan for a wanted precision."""

from __future__ import annotations

import math

import numpy as np

from spadework.advice.value import Message, Sampling, Timing, Verdict
from spadework.advice.verdict import Scored
from spadework.agronomy.binomial import design_effect, plants_for_share
from spadework.agronomy.sampling import further_digging
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
    further = further_digging(
        share,
        limits=verdict.class_limits,
        settle_at=settle_at,
        plants_per_stop=per_stop,
        most_stops=most_stops,
        assurance=knowledge.figure("planning.assurance").central,
        rng=np.random.default_rng(seed),
    )
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
            share, verdict, timing, plants=further.plants, stops=further.stops, most_stops=most_stops,
            settled=further.settled, assurance=further.assurance,
        ),
    )  # fmt: skip


def _message(
    share: SharePosterior,
    verdict: Verdict,
    timing: Timing,
    *,
    plants: int | None,
    stops: int | None,
    most_stops: int,
    settled: bool,
    assurance: float,
) -> Message:
    sources = ("planning.settle_at", "planning.assurance", "planning.stop_correlation", "planning.most_stops")
    if timing.state in ("too_early", "first_look"):
        return Message("sampling.later")
    if timing.state == "too_late":
        return Message("sampling.too_late")
    if verdict.patch is not None:
        return Message("sampling.patchy", sources=("planning.patch_p",))
    if settled:
        return Message("sampling.settled", sources=sources[:1])
    if plants is not None and stops is not None:
        return Message("sampling.dig_more", {"plants": plants, "stops": stops, "assurance": assurance}, sources)
    first, second = _two_likeliest(share, verdict)
    return Message(
        "sampling.border", {"stops": most_stops, "assurance": assurance, "first": first, "second": second}, sources
    )


def _two_likeliest(share: SharePosterior, verdict: Verdict) -> tuple[str, str]:
    """The two neighbouring classes that hold most of the probability, worse one first."""
    chances = share.class_probabilities(verdict.class_limits)
    lower = int(np.argmax(chances[:-1] + chances[1:]))
    return verdict.classes[lower].name, verdict.classes[lower + 1].name
