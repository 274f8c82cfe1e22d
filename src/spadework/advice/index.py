"""The three-factor index of a visit: vigour, abundance and colour, position."""

from __future__ import annotations

import numpy as np

from spadework.advice.value import ClassProbability, Message, TargetInForce, ThreeFactorIndex, Timing
from spadework.advice.visit import Visit
from spadework.agronomy.clustered_mean import ClusteredMean
from spadework.agronomy.scoring.plants import read_plants
from spadework.agronomy.three_factor import FieldIndex, IndexRule, field_index
from spadework.knowledge.rows import Classes, Knowledge
from spadework.quantity import Grade, Quantity
from spadework.records.types import CountingUnit

__all__ = ["index_of"]

_PLANNING = ("red.plant_correlation", "planning.stop_correlation", "planning.interval_level")
_RULE = ("vigour_max", "abundance_max", "crown_weight", "lateral_weight", "presence_share")
_SPREAD = ("vigour_sd", "abundance_sd", "position_sd", "total_sd")


def index_of(
    visit: Visit, *, target: TargetInForce | None, counted: str, knowledge: Knowledge, timing: Timing
) -> ThreeFactorIndex | None:
    """The index of a visit.

    None where no plant has a vigour score, no number is known to make full marks, or nodules were there and none was
    cut open.

    Clusters make full marks at the number of common practice, single nodules at the target in force. Of a dig at the
    wrong time the message tells no class.
    """
    if counted == CountingUnit.CLUSTER:
        full, full_row = knowledge.figure("index.full_clusters").central, "index.full_clusters"
    elif target is not None:
        full, full_row = target.value, target.scheme
    else:
        return None
    counts = visit.counts(counted_sizes="any_size")
    reading = read_plants(
        counts,
        target=full,
        more_than=False,
        prior_red_correlation=knowledge.figure("red.plant_correlation").central,
    )
    if reading.red is None and np.any(counts.low > 0):
        return None
    red = np.where(np.isnan(reading.red_share), 1.0, reading.red_share)
    index = field_index(
        stop=visit.stop_of_plant,
        vigour=visit.by_plant(visit.column("vigour")),
        effective_crown=visit.by_plant(reading.crown * red),
        effective_lateral=visit.by_plant(reading.lateral * red),
        rule=IndexRule(full=full, **{name: knowledge.figure(f"index.{name}").central for name in (*_RULE, *_SPREAD)}),
        prior_correlation=knowledge.figure("planning.stop_correlation").central,
    )
    return None if index is None else _as_value(index, knowledge, full_row, timing)


def _as_value(index: FieldIndex, knowledge: Knowledge, full_row: str, timing: Timing) -> ThreeFactorIndex:
    level = knowledge.figure("planning.interval_level").central
    classes = knowledge.row("classes.three_factor")
    assert isinstance(classes, Classes)  # noqa: S101 - ids of that name are held to that table by a test
    rows = (full_row, *(f"index.{name}" for name in (*_RULE, *_SPREAD)), "index.position_max", *_PLANNING)
    most = {name: knowledge.figure(f"index.{name}_max").central for name in ("vigour", "abundance", "position")}

    def shown(mean: ClusteredMean, highest: float) -> Quantity:
        low, high = mean.interval(level)
        value = min(max(mean.mean, 0.0), highest)
        return Quantity(
            value=value,
            unit="point",
            low=min(max(low, 0.0), value),
            high=max(min(high, highest), value),
            level=level,
            sources=rows,
            grade=Grade.JUDGEMENT,
        )

    chances = index.total.class_probabilities(classes.limits)
    best = int(np.argmax(chances))
    total = shown(index.total, sum(most.values()))
    told = timing.wrong_time or classes.names[best]
    return ThreeFactorIndex(
        vigour=shown(index.vigour, most["vigour"]),
        abundance_and_colour=shown(index.abundance, most["abundance"]),
        position=shown(index.position, most["position"]),
        total=total,
        classes=tuple(
            ClassProbability(name=name, probability=float(chance))
            for name, chance in zip(classes.names, chances, strict=True)
        ),
        leading=classes.names[best],
        message=Message(
            f"index.{told}",
            {"total": total.value, "most": sum(most.values()), "probability": float(chances[best])},
            sources=(classes.id,),
        ),
    )
