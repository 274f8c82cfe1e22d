"""How well: the share of plants adequate, its class with a probability, and the reasons."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spadework.advice.figures import share_figure
from spadework.advice.value import ClassProbability, Message, Patch, StopSummary, TargetInForce, Timing, Verdict
from spadework.advice.visit import Visit
from spadework.agronomy.binomial import jeffreys_interval, most_where_none_found
from spadework.agronomy.clustered_mean import clustered_mean
from spadework.agronomy.patch import find_patch
from spadework.agronomy.scoring.plants import PlantReading, read_plants
from spadework.agronomy.scoring.share import SharePosterior, field_share
from spadework.knowledge.rows import Classes, Knowledge
from spadework.quantity import Grade, Quantity, worst_grade
from spadework.records.types import FieldRecords, Texture

__all__ = ["Scored", "score_visit", "verdict_of"]

Floats = NDArray[np.float64]

_NONE_LEVEL = 0.95
"""Level of the limit that is told where no plant carried a nodule; the usual one of the rule of three."""


@dataclass(frozen=True)
class Scored:
    """One visit read against one target: a reading of every scoring, and values of every plant.

    ``chances`` (of being adequate) has shape (points, plants), one row a point of the visit's red share;
    ``chance`` is their mean and ``effective`` the effective nodules, shape (plants,); NaN where unknown. ``share``
    is None when nothing is known of any plant.
    """

    visit: Visit
    target: TargetInForce
    reading: PlantReading
    chances: Floats
    effective: Floats
    share: SharePosterior | None

    @property
    def chance(self) -> Floats:
        """Chance of each plant over all points."""
        return np.asarray(self.chances.mean(axis=0))


def score_visit(visit: Visit, *, target: TargetInForce, knowledge: Knowledge) -> Scored:
    """Read every plant of a visit against the target, and the field from its plants."""
    reading = read_plants(
        visit.counts(counted_sizes=target.counts),
        target=target.value,
        more_than=target.comparison == "more_than",
        prior_red_correlation=knowledge.figure("red.plant_correlation").central,
    )
    chances = np.array([visit.by_plant(point) for point in reading.chances])
    return Scored(
        visit=visit,
        target=target,
        reading=reading,
        chances=chances,
        effective=visit.by_plant(reading.effective),
        share=field_share(
            stop=visit.stop_of_plant,
            chance=chances,
            prior_correlation=knowledge.figure("planning.stop_correlation").central,
        ),
    )


def verdict_of(
    scored: Scored, *, records: FieldRecords, timing: Timing, knowledge: Knowledge, settle_at: float, seed: int
) -> Verdict | None:
    """Put the verdict of a visit together; None when no plant could be read against the target."""
    share = scored.share
    if share is None:
        return None
    visit, target = scored.visit, scored.target
    level = knowledge.figure("planning.interval_level").central
    classes = knowledge.row("classes.share_adequate")
    assert isinstance(classes, Classes)  # noqa: S101 - ids of that name are held to that table by a test
    probabilities = share.class_probabilities(classes.limits)
    nothing_found = not np.any(visit.counts(counted_sizes="any_size").low > 0)
    by_number_only = scored.reading.red is None and not nothing_found
    best = int(np.argmax(probabilities))
    leading, probability = classes.names[best], float(probabilities[best])
    patch = _patch(scored, knowledge=knowledge, level=level, seed=seed)
    used = _rows_used(scored, classes.id)
    share_quantity = share_figure(share, level=level, sources=used, grade=_grade_of(used, scored, knowledge))
    known = ~np.isnan(scored.chance)
    return Verdict(
        target=target,
        plants=int(known.sum()),
        stops=len(np.unique(visit.stop_of_plant[known])),
        adequate_as_counted=float(np.nansum(scored.chance)),
        share=share_quantity,
        classes=tuple(
            ClassProbability(name=name, probability=float(chance))
            for name, chance in zip(classes.names, probabilities, strict=True)
        ),
        leading=leading,
        probability=probability,
        none_found=nothing_found,
        by_number_only=by_number_only,
        headline=_headline(
            "none" if nothing_found else leading,
            probability,
            timing=timing,
            by_number_only=by_number_only,
            patch=patch,
            limits=classes.limits,
            settle_at=settle_at,
            plants=int(known.sum()),
        ),
        reasons=_reasons(
            scored,
            share_quantity,
            records=records,
            knowledge=knowledge,
            nothing_found=nothing_found,
            by_number=by_number_only,
            used=used,
        ),
        stop_summaries=_stop_summaries(scored, patch, knowledge=knowledge, level=level),
        mean_effective=_mean_effective(scored, knowledge=knowledge, level=level),
        patch=patch,
        class_limits=classes.limits,
    )


def _grade_of(rows: tuple[str, ...], scored: Scored, knowledge: Knowledge) -> Grade:
    """The weakest grade of the rows; the book's own target brings its own."""
    return worst_grade(
        *(scored.target.grade if row == scored.target.scheme else knowledge.row(row).grade for row in rows)
    )


def _rows_used(scored: Scored, classes: str) -> tuple[str, ...]:
    rows = [scored.target.scheme, classes, "planning.stop_correlation", "planning.interval_level"]
    if scored.reading.red is not None:
        rows.append("red.plant_correlation")
    return tuple(rows)


def _headline(
    found: str,
    probability: float,
    *,
    timing: Timing,
    by_number_only: bool,
    patch: Patch | None,
    limits: tuple[float, ...],
    settle_at: float,
    plants: int,
) -> Message:
    sources = ("planning.patch_p", "planning.settle_at")
    if timing.wrong_time is not None:
        return Message(f"verdict.headline.{timing.wrong_time}.{found}", {"probability": probability}, sources)
    if patch is not None:
        return Message("verdict.headline.patchy.any", patch.message.values, sources)
    state = "settled" if probability >= settle_at else "unsettled"
    if by_number_only:
        found, state = "number", found
    lower, upper = limits
    return Message(
        f"verdict.headline.{found}.{state}",
        {"probability": probability, "lower": lower, "upper": upper, "plants": plants},
        sources,
    )


def _reasons(
    scored: Scored,
    share: Quantity,
    *,
    records: FieldRecords,
    knowledge: Knowledge,
    nothing_found: bool,
    by_number: bool,
    used: tuple[str, ...],
) -> tuple[Message, ...]:
    chance, target = scored.chance, scored.target
    known = ~np.isnan(chance)
    plants = int(known.sum())
    words = {"at_least": "at least {:g}", "more_than": "more than {:g}"}[target.comparison].format(target.value)
    reasons = [
        Message(
            f"verdict.reason.{'counted_number' if by_number else 'counted'}",
            {
                "adequate": float(np.nansum(chance)),
                "plants": plants,
                "target_words": words,
                "unit": target.counting_unit,
            },
            sources=(target.scheme,),
        ),
        Message(
            "verdict.reason.share",
            {"share": share.value, "low": share.low, "high": share.high, "level": share.level, "plants": plants},
            sources=used,
        ),
    ]
    if by_number:
        reasons.append(Message("verdict.reason.number_only"))
    if nothing_found:
        upper = most_where_none_found(plants=plants, level=_NONE_LEVEL)
        reasons.append(Message("verdict.reason.none_upper", {"plants": plants, "high": upper, "level": _NONE_LEVEL}))
    doubtful = int(np.count_nonzero((chance > 0.05) & (chance < 0.95)))
    if doubtful:
        reasons.append(Message("verdict.reason.doubtful", {"plants": doubtful}))
    counted = ~np.isnan(scored.visit.by_plant(scored.reading.crown + scored.reading.lateral))
    for reason, left_out in (("unknown", ~counted), ("size_unknown", counted & ~known)):
        if left_out.any():
            reasons.append(Message(f"verdict.reason.{reason}", {"plants": int(left_out.sum())}))
    if target.grade is Grade.JUDGEMENT:
        own = target.chosen_by == "local" or knowledge.row(target.scheme).overridden
        reasons.append(Message(f"verdict.reason.target_{'own' if own else 'judgement'}", sources=(target.scheme,)))
    if records.field.soil_texture is Texture.SAND:
        reasons.append(Message("verdict.reason.sandy", sources=("statement.score.sandy_fewer",)))
    if len(scored.visit.stops) == 1:
        reasons.append(Message("verdict.reason.one_stop", sources=("planning.stop_correlation",)))
    return tuple(reasons)


def _patch(scored: Scored, *, knowledge: Knowledge, level: float, seed: int) -> Patch | None:
    limit = knowledge.figure("planning.patch_p").central
    known = ~np.isnan(scored.chance)
    found = find_patch(
        stop=scored.visit.stop_of_plant[known],
        adequate=scored.chance[known],
        effective=scored.effective[known],
        rng=np.random.default_rng(seed),
        limit=limit,
        least=knowledge.figure("planning.patch_difference").central,
    )
    if found is None:
        return None
    poor, good = (
        _share_of_stops(scored, group, knowledge=knowledge, level=level) for group in (found.poor, found.good)
    )
    names = scored.visit.stops
    poor_stops = tuple(names[number] for number in found.poor)
    good_stops = tuple(names[number] for number in found.good)
    return Patch(
        p_value=found.p_value,
        poor_stops=poor_stops,
        good_stops=good_stops,
        poor_share=poor,
        good_share=good,
        message=Message(
            "verdict.patch.found",
            {
                "p_value": found.p_value,
                "poor": poor.value,
                "good": good.value,
                "poor_stops": ", ".join(poor_stops),
                "poor_count": len(poor_stops),
                "good_stops": ", ".join(good_stops),
                "good_count": len(good_stops),
            },
            sources=("planning.patch_p", "planning.patch_difference"),
        ),
    )


def _share_of_stops(scored: Scored, stops: tuple[int, ...], *, knowledge: Knowledge, level: float) -> Quantity:
    """Share adequate of some stops taken for themselves."""
    here = np.isin(scored.visit.stop_of_plant, stops)
    posterior = field_share(
        stop=scored.visit.stop_of_plant[here],
        chance=scored.chances[:, here],
        prior_correlation=knowledge.figure("planning.stop_correlation").central,
    )
    assert posterior is not None  # noqa: S101 - callers pass stops with known plants
    used = (scored.target.scheme, "planning.stop_correlation", "planning.interval_level")
    return share_figure(posterior, level=level, sources=used, grade=_grade_of(used, scored, knowledge))


def _stop_summaries(
    scored: Scored, patch: Patch | None, *, knowledge: Knowledge, level: float
) -> tuple[StopSummary, ...]:
    summaries = []
    for number, name in enumerate(scored.visit.stops):
        here = (scored.visit.stop_of_plant == number) & ~np.isnan(scored.chance)
        known = bool(here.any())
        summaries.append(
            StopSummary(
                stop=name,
                plants=int(np.count_nonzero(scored.visit.stop_of_plant == number)),
                adequate=float(scored.chance[here].sum()) if known else None,
                share=_stop_share(scored, here, knowledge, level) if known else None,
                mean_effective=float(scored.effective[here].mean()) if known else None,
                in_patch=None if patch is None else "poor" if name in patch.poor_stops else "good",
            )
        )
    return tuple(summaries)


def _stop_share(scored: Scored, here: NDArray[np.bool_], knowledge: Knowledge, level: float) -> Quantity:
    """Share adequate at one stop as it was dug: the plants there are the sample, nothing is said of the field."""
    chance = scored.chance[here]
    low, high = jeffreys_interval(float(chance.sum()), len(chance), level)
    value = float(chance.mean())
    used = (scored.target.scheme, "planning.interval_level")
    return Quantity(
        value=value,
        unit="1",
        low=min(low, value),
        high=max(high, value),
        level=level,
        sources=used,
        grade=_grade_of(used, scored, knowledge),
    )


def _mean_effective(scored: Scored, *, knowledge: Knowledge, level: float) -> Quantity:
    known = ~np.isnan(scored.effective)
    values = scored.effective[known]
    sparse = scored.share is not None and scored.share.mean < 0.5
    spread = "planning.count_cv_sparse" if sparse else "planning.count_cv"
    posterior = clustered_mean(
        values=values,
        stop=scored.visit.stop_of_plant[known],
        prior_correlation=knowledge.figure("planning.stop_correlation").central,
        planning_sd=max(knowledge.figure(spread).central * float(values.mean()), 0.5),
    )
    low, high = posterior.interval(level)
    return Quantity(
        value=float(values.mean()),
        unit=f"{scored.target.counting_unit}/plant",
        low=max(min(low, float(values.mean())), 0.0),
        high=max(high, float(values.mean())),
        level=level,
        sources=(spread, "planning.stop_correlation"),
        grade=Grade.JUDGEMENT,
    )
