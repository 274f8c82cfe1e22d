"""Nitrogen difference and ureides: what they give, what they take for granted, and when nothing is given."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from spadework.advice.measured.samples import shoot_nitrogen
from spadework.advice.measured.value import MeasuredShare
from spadework.advice.message import Message
from spadework.agronomy.fixation.difference import nitrogen_difference
from spadework.agronomy.fixation.samples import SampleMean, sample_mean
from spadework.agronomy.fixation.two_pools import effective_degrees, interval_multiplier
from spadework.agronomy.fixation.ureides import UREIDE_EXPORTERS, fixed_share_ureides, relative_ureide_index
from spadework.knowledge.rows import Crop, Knowledge
from spadework.quantity import Grade, Quantity
from spadework.records.laboratory import LabResultRow
from spadework.records.types import LocalUreideLine
from spadework.records.words import LaboratoryMethod

__all__ = ["difference", "interval_about", "ureides"]

_SAMPLES = "reference.samples"
_LEVEL = "planning.interval_level"
_EXPORTERS = "statement.ureide.exporters"
_IDLE = "ureide.soybean.without_nodules"
_UPTAKE = "nitrogen_difference.uptake"

Rows = Sequence[LabResultRow]


def interval_about(
    value: float, error: float, *, degrees: float, level: float, unit: str, sources: tuple[str, ...], grade: Grade
) -> Quantity:
    """A figure with its interval to both sides; without one where the error is not known."""
    if math.isnan(error):
        return Quantity(value=value, unit=unit, sources=sources, grade=grade)
    reach = error * interval_multiplier(level=level, degrees=degrees)
    return Quantity(
        value=value, unit=unit, low=value - reach, high=value + reach, level=level, sources=sources, grade=grade
    )


def difference(legumes: Rows, references: Rows, *, knowledge: Knowledge) -> MeasuredShare:
    """Nitrogen difference, from rows that carry shoot nitrogen per area."""
    held, other = (sample_mean([_amount(row) for row in rows]) for rows in (legumes, references))
    with_soil = all(row.soil_mineral_n is not None for row in (*legumes, *references))
    soils = [sample_mean([row.soil_mineral_n or 0.0 for row in rows]) for rows in (legumes, references)]
    soil_se = math.hypot(*(soil.standard_error for soil in soils)) if with_soil else 0.0
    found = nitrogen_difference(
        legume=held.mean,
        reference=other.mean,
        soil_legume=soils[0].mean if with_soil else 0.0,
        soil_reference=soils[1].mean if with_soil else 0.0,
        legume_se=held.standard_error,
        reference_se=other.standard_error,
        soil_se=soil_se,
    )
    share = float(found.share)
    level = knowledge.figure(_LEVEL).central
    uptake = knowledge.figure(_UPTAKE).central
    known = not math.isnan(float(found.fixed_se))

    def figure(value: float, error: float, weight: float, unit: str) -> Quantity:
        parts = [(weight * held.standard_error) ** 2, other.standard_error**2, soil_se**2]
        freedom = [held.samples - 1, other.samples - 1, held.samples + other.samples - 2]
        degrees = float(effective_degrees(variances=parts, degrees=freedom)) if known else math.inf
        return interval_about(
            value, error, degrees=degrees, level=level, unit=unit, sources=(_UPTAKE,), grade=Grade.SECOND_HAND
        )

    return MeasuredShare(
        method=LaboratoryMethod.NITROGEN_DIFFERENCE.value,
        share=figure(share, float(found.share_se), 1 - share, "1"),
        standard_error=float(found.share_se) if known else None,
        legume_samples=len(legumes),
        reference_samples=len(references),
        reference=Quantity(value=other.mean, unit="kg/ha"),
        fixed_shoot=figure(float(found.fixed), float(found.fixed_se), 1.0, "kg/ha"),
        sensitivity=(
            Message("lab.sensitivity.uptake", {"uptake": uptake, "points": 100 * uptake / held.mean}, (_UPTAKE,)),
        ),
        warnings=(
            Message("lab.warning.difference"),
            *(() if with_soil else (Message("lab.warning.no_soil_term"),)),
            *_of_numbers(held, other, knowledge),
            *((Message("lab.warning.difference_negative", {"share": share}),) if share < 0 else ()),
        ),
    )


def ureides(
    rows: Rows, *, crop: Crop, line: LocalUreideLine | None, line_rows: tuple[str, ...] = (), knowledge: Knowledge
) -> MeasuredShare:
    """Relative ureide index, and the share where the user has a calibration line; from rows that carry all three.

    ``line_rows`` name the line where it is the book's.
    """
    method = LaboratoryMethod.UREIDES.value
    if crop not in UREIDE_EXPORTERS:
        refusal = Message("lab.refused.amides", {"crop": crop.replace("_", " ").capitalize()}, (_EXPORTERS,))
        return MeasuredShare(method, None, None, len(rows), 0, refused=refusal)
    parts = {
        name: np.array([getattr(row, column) for row in rows], dtype=float)
        for name, column in (("ureides", "ureides"), ("nitrate", "nitrate"), ("amino", "amino_n"))
    }
    index = sample_mean(relative_ureide_index(**parts))
    level = knowledge.figure(_LEVEL).central
    about = {"degrees": max(index.samples - 1, 1), "level": level, "unit": "1", "grade": Grade.READ}
    shown = interval_about(index.mean, index.standard_error, sources=(_EXPORTERS,), **about)  # type: ignore[arg-type]
    warnings = tuple(_of_index(index, crop, knowledge))
    if line is None:
        refusal = Message("lab.refused.no_line", {"index": index.mean, "crop": crop.replace("_", " ")})
        return MeasuredShare(method, None, None, len(rows), 0, index=shown, refused=refusal, warnings=warnings)
    share = float(
        fixed_share_ureides(
            index=index.mean, intercept=line.intercept, slope=line.slope, lowest=line.lowest, highest=line.highest
        )
    )
    if math.isnan(share):
        values = {"index": index.mean, "lowest": line.lowest, "highest": line.highest}
        refusal = Message("lab.refused.beyond_line", values)
        return MeasuredShare(method, None, None, len(rows), 0, index=shown, refused=refusal, warnings=warnings)
    about["grade"] = Grade.JUDGEMENT if line.source is None else Grade.SECOND_HAND
    error = index.standard_error / line.slope
    return MeasuredShare(
        method=method,
        share=interval_about(share, error, sources=(_EXPORTERS, *line_rows), **about),  # type: ignore[arg-type]
        standard_error=None if math.isnan(error) else error,
        legume_samples=len(rows),
        reference_samples=0,
        index=shown,
        sensitivity=(Message("lab.sensitivity.line", {"points": 100 * 0.05 / line.slope}),),
        warnings=(Message("lab.warning.own_line"), *warnings),
    )


def _amount(row: LabResultRow) -> float:
    amount = shoot_nitrogen(row)
    assert amount is not None  # noqa: S101 - the rows were chosen by it
    return amount


def _of_numbers(held: SampleMean, other: SampleMean, knowledge: Knowledge) -> Iterator[Message]:
    least = knowledge.figure(_SAMPLES)
    counted = {"legumes": held.samples, "references": other.samples}
    if min(counted.values()) == 1:
        yield Message("lab.warning.one_sample", counted)
    elif min(counted.values()) < least.central:
        yield Message("lab.warning.few_samples", {**counted, "least": int(least.central)}, (_SAMPLES,))


def _of_index(index: SampleMean, crop: Crop, knowledge: Knowledge) -> Iterator[Message]:
    idle = knowledge.figure(_IDLE)
    if crop == idle.crop and index.mean <= idle.range[1]:
        yield Message("lab.warning.index_of_idle", {"index": index.mean, "idle": idle.range[1]}, (_IDLE,))
    if crop == Crop.SOYBEAN:
        names = ("ureide.soybean.nitrate_fed", "ureide.soybean.symbiotic")
        ends = [knowledge.figure(name).central for name in names]
        yield Message("lab.warning.index_between", {"fed": ends[0], "symbiotic": ends[1]}, names)
    least = knowledge.figure(_SAMPLES)
    if index.samples < least.central:
        yield Message("lab.warning.few_saps", {"samples": index.samples, "least": int(least.central)}, (_SAMPLES,))
