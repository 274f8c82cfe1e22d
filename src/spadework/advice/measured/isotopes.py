"""Natural abundance and isotope dilution: the share, its interval, what it hangs on, and when none is given."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from spadework.advice.measured.b_value import BInForce
from spadework.advice.measured.samples import Ends, ends
from spadework.advice.measured.value import MeasuredShare
from spadework.advice.message import Message
from spadework.agronomy.fixation.dilution import fixed_share_dilution
from spadework.agronomy.fixation.natural_abundance import (
    fixed_share_natural_abundance,
    natural_abundance_sensitivity,
)
from spadework.agronomy.fixation.two_pools import (
    effective_degrees,
    interval_multiplier,
    share_interval,
    share_standard_error,
)
from spadework.knowledge.rows import BValue, Classes, Crop, Knowledge
from spadework.quantity import Grade, Quantity
from spadework.records.laboratory import LabResultRow
from spadework.records.words import LaboratoryMethod

__all__ = ["isotope_dilution", "natural_abundance"]

_DISTANCE = "classes.reference_distance"
_LEAST = "reference.least_above_b"
_PRECISE = "reference.precise"
_SAMPLES = "reference.samples"
_LEVEL = "planning.interval_level"

Rows = Sequence[LabResultRow]


@dataclass(frozen=True)
class _Interval:
    """Standard error and interval of a share; NaN where the spread of a part is not known."""

    standard_error: float
    low: float
    high: float

    @property
    def known_error(self) -> float | None:
        """The standard error, where it is known."""
        return None if math.isnan(self.standard_error) else self.standard_error


def natural_abundance(
    legumes: Rows, references: Rows, *, crop: Crop, b: BInForce | None, knowledge: Knowledge
) -> MeasuredShare:
    """The share by 15N natural abundance, from rows that carry ``delta_15n``."""
    measured = _nothing_yet(LaboratoryMethod.NATURAL_ABUNDANCE, legumes, references)
    if not references:
        return replace(measured, refused=Message("lab.refused.no_reference"))
    if b is None:
        return replace(measured, refused=_no_b(crop, knowledge))
    means = ends(legumes, references, "delta_15n")
    distance = means.reference.mean
    least = knowledge.figure(_LEAST)
    classes = knowledge.row(_DISTANCE)
    assert isinstance(classes, Classes)  # noqa: S101 - the table of this id
    measured = replace(
        measured,
        reference=Quantity(value=distance, unit="permil"),
        b_value=Quantity(value=b.value, unit="permil", sources=b.rows, grade=b.grade),
        quality=classes.names[int(np.searchsorted(classes.limits, distance, side="right"))],
        weighted=means.weighted,
    )
    seen = {"reference": distance, "b": b.value, "limit": classes.limits[0], "least": least.central}
    if distance - b.value < least.central:
        return replace(measured, refused=Message("lab.refused.close_to_b", seen, (_LEAST,)))
    if measured.quality == classes.names[0]:
        return replace(measured, refused=Message("lab.refused.close_to_air", seen, (_DISTANCE,)))
    share = float(
        fixed_share_natural_abundance(
            delta_legume=means.legume.mean, delta_reference=distance, b_value=b.value, least_difference=least.central
        )
    )
    interval = _interval(means, share, air=b.value, air_se=b.spread, knowledge=knowledge)
    if math.isinf(interval.low):
        return replace(measured, refused=Message("lab.refused.not_told_apart", seen))
    return replace(
        measured,
        share=_share(share, interval, b.rows, b.grade, knowledge),
        standard_error=interval.known_error,
        sensitivity=(*_moved(means, b, least.central), *_by_plant(means, references, b, least.central)),
        warnings=(
            *_of_b(b, legumes, distance, knowledge),
            *_of_samples(legumes, references, knowledge),
            *_of_share(share, interval),
        ),
    )


def _no_b(crop: Crop, knowledge: Knowledge) -> Message:
    remembered = f"b_value.{crop}.remembered"
    name = crop.replace("_", " ")
    if remembered in knowledge.rows:
        return Message("lab.refused.b_remembered", {"crop": name, "row": remembered})
    return Message("lab.refused.b_unknown", {"crop": name})


def isotope_dilution(legumes: Rows, references: Rows, *, knowledge: Knowledge) -> MeasuredShare:
    """The share by 15N isotope dilution, from rows that carry ``atom_percent_excess``."""
    measured = _nothing_yet(LaboratoryMethod.ISOTOPE_DILUTION, legumes, references)
    if not references:
        return replace(measured, refused=Message("lab.refused.no_reference"))
    means = ends(legumes, references, "atom_percent_excess")
    excess = means.reference.mean
    measured = replace(measured, reference=Quantity(value=excess, unit="atom %"), weighted=means.weighted)
    if excess <= 0:
        return replace(measured, refused=Message("lab.refused.no_label", {"reference": excess}))

    def share_with(factor: float) -> float:
        return float(fixed_share_dilution(excess_legume=means.legume.mean, excess_reference=excess * factor))

    share = share_with(1.0)
    interval = _interval(means, share, air=0.0, air_se=0.0, knowledge=knowledge)
    if math.isinf(interval.low):
        return replace(measured, refused=Message("lab.refused.label_weak", {"reference": excess}))
    moved = {"lower": share_with(0.9), "higher": share_with(1.1)}
    return replace(
        measured,
        share=_share(share, interval, (), Grade.READ, knowledge),
        standard_error=interval.known_error,
        sensitivity=(Message("lab.sensitivity.label", moved),),
        warnings=(
            Message("lab.warning.same_label"),
            *_of_samples(legumes, references, knowledge),
            *_of_share(share, interval),
        ),
    )


def _nothing_yet(method: LaboratoryMethod, legumes: Rows, references: Rows) -> MeasuredShare:
    return MeasuredShare(
        method=method.value,
        share=None,
        standard_error=None,
        legume_samples=len(legumes),
        reference_samples=len(references),
    )


def _interval(means: Ends, share: float, *, air: float, air_se: float, knowledge: Knowledge) -> _Interval:
    legume, reference = means.legume, means.reference
    parts = [legume.standard_error**2, ((1 - share) * reference.standard_error) ** 2, (share * air_se) ** 2]
    if any(math.isnan(part) for part in parts):
        return _Interval(math.nan, math.nan, math.nan)
    degrees = effective_degrees(variances=parts, degrees=[legume.samples - 1, reference.samples - 1, np.inf])
    figures = {
        "legume": legume.mean,
        "reference": reference.mean,
        "air": air,
        "legume_se": legume.standard_error,
        "reference_se": reference.standard_error,
        "air_se": air_se,
        "covariance": means.covariance,
    }
    level = knowledge.figure(_LEVEL).central
    low, high = share_interval(**figures, multiplier=interval_multiplier(level=level, degrees=float(degrees)))
    return _Interval(float(share_standard_error(**figures)), float(low), float(high))


def _share(share: float, interval: _Interval, rows: tuple[str, ...], grade: Grade, knowledge: Knowledge) -> Quantity:
    known = not math.isnan(interval.low)
    return Quantity(
        value=share,
        unit="1",
        low=min(interval.low, share) if known else None,
        high=max(interval.high, share) if known else None,
        level=knowledge.figure(_LEVEL).central if known else None,
        sources=tuple(dict.fromkeys(rows)),
        grade=grade,
    )


def _moved(means: Ends, b: BInForce, least: float) -> Iterator[Message]:
    """What one permil of B, and of the reference, makes of the share."""
    found = natural_abundance_sensitivity(
        delta_legume=means.legume.mean,
        delta_reference=means.reference.mean,
        b_value=b.value,
        b_step=1.0,
        reference_step=1.0,
        least_difference=least,
    )
    values = {
        name: float(getattr(found, name)) for name in ("b_lower", "b_higher", "reference_lower", "reference_higher")
    }
    lost = [name for name, value in values.items() if math.isnan(value)]
    if lost:
        kept = {name: value for name, value in values.items() if name in ("b_lower", "reference_higher")}
        yield Message("lab.sensitivity.edge", kept)
    else:
        yield Message("lab.sensitivity.moved", values)


def _by_plant(means: Ends, references: Rows, b: BInForce, least: float) -> Iterator[Message]:
    """The share by each kind of reference plant alone; the lowest and the highest."""
    of_plant: dict[str, list[float]] = {}
    for row in references:
        if row.plant is not None and row.delta_15n is not None:
            of_plant.setdefault(row.plant.casefold(), []).append(row.delta_15n)
    if len(of_plant) < 2:
        return
    shares = {}
    for plant, values in of_plant.items():
        mean = float(np.mean(values))
        if mean - b.value < least:
            yield Message("lab.sensitivity.plant_too_close", {"plant": plant, "reference": mean})
            continue
        shares[plant] = float(
            fixed_share_natural_abundance(
                delta_legume=means.legume.mean, delta_reference=mean, b_value=b.value, least_difference=least
            )
        )
    if len(shares) > 1:
        lowest, highest = min(shares, key=lambda name: shares[name]), max(shares, key=lambda name: shares[name])
        yield Message(
            "lab.sensitivity.plants",
            {"lowest": lowest, "low": shares[lowest], "highest": highest, "high": shares[highest]},
        )


def _of_b(b: BInForce, legumes: Rows, distance: float, knowledge: Knowledge) -> Iterator[Message]:
    precise = knowledge.figure(_PRECISE)
    row = knowledge.rows.get(b.rows[0]) if b.rows else None
    if isinstance(row, BValue) and row.grade is Grade.JUDGEMENT:
        yield Message("lab.warning.b_judgement", {"b": b.value, "row": b.rows[0]}, b.rows)
    if b.tissue is not None and b.tissue != "shoot":
        yield Message("lab.warning.b_tissue", {"tissue": b.tissue}, b.rows)
    lightest = min(row.delta_15n for row in legumes if row.delta_15n is not None)
    if lightest < b.value:
        yield Message("lab.warning.b_not_lowest", {"lightest": lightest, "b": b.value})
    if distance < precise.central and not b.own_spread:
        yield Message("lab.warning.not_precise", {"reference": distance, "precise": precise.central}, (_PRECISE,))


def _of_samples(legumes: Rows, references: Rows, knowledge: Knowledge) -> Iterator[Message]:
    least = knowledge.figure(_SAMPLES)
    counted = {"legumes": len(legumes), "references": len(references)}
    if min(counted.values()) == 1:
        yield Message("lab.warning.one_sample", counted)
    elif min(counted.values()) < least.central:
        yield Message("lab.warning.few_samples", {**counted, "least": int(least.central)}, (_SAMPLES,))
    if len({row.plant.casefold() for row in references if row.plant is not None}) < 2:
        yield Message("lab.warning.one_plant")


def _of_share(share: float, interval: _Interval) -> Iterator[Message]:
    if share < 0 and interval.high < 0:
        yield Message("lab.warning.far_below_zero", {"share": share})
    elif share < 0:
        yield Message("lab.warning.below_zero", {"share": share})
    if share > 1:
        yield Message("lab.warning.above_one", {"share": share})
