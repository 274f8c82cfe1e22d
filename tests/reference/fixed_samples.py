"""Invented samples that stand still, some of them on an edge: beside it a small change of a figure shows."""

from collections.abc import Iterator
from dataclasses import dataclass

from spadework.advice.measured.measure import Chosen
from spadework.knowledge.rows import Crop
from spadework.records.laboratory import LabResultRow, SampleKind

MEASURED = ("b_value.", "b_value_spread.", "nitrogen_difference.", "reference.", "ureide.", "below_ground.",
            "grain_nitrogen.", "grain_nitrogen_spread.", "fixed_per_shoot.", "credit.",
            "classes.reference_distance")  # fmt: skip
"""How the ids of rows begin that a laboratory's results rest on."""


@dataclass(frozen=True, eq=False)
class SampleCase:
    """The samples of one field, its crop, and what the user chose."""

    rows: tuple[LabResultRow, ...]
    crop: Crop
    chosen: Chosen


def samples(reference: float, **legume: float) -> tuple[LabResultRow, ...]:
    """Four legumes about a delta of 1 and four references about the one given."""
    away = (-0.04, 0.02, 0.06, -0.04)
    rows = [LabResultRow(sample=f"L{n}", kind=SampleKind.LEGUME, delta_15n=1 + x, **legume) for n, x in enumerate(away)]
    return (
        *rows,
        *(LabResultRow(sample=f"R{n}", kind=SampleKind.REFERENCE, delta_15n=reference + x) for n, x in enumerate(away)),
    )


def side_by_side() -> tuple[LabResultRow, ...]:
    """Two crops by their nitrogen: 150 and 60 kg/ha."""
    return tuple(
        LabResultRow(sample=f"{kind}{n}", kind=kind, shoot_n=2.5, shoot_dry_matter=40 * nitrogen + n)
        for kind, nitrogen in ((SampleKind.LEGUME, 150), (SampleKind.REFERENCE, 60))
        for n in range(4)
    )


def sap(index: float) -> tuple[LabResultRow, ...]:
    """Four saps of one index: with ureide nitrogen of 4, so much nitrate."""
    return tuple(
        LabResultRow(sample=f"L{n}", kind=SampleKind.LEGUME, ureides=1.0, nitrate=4 / index - 4, amino_n=0.0)
        for n in range(4)
    )


def fixed_samples(row_id: str, crop: Crop) -> Iterator[SampleCase]:
    """Samples that may notice a row."""
    own = Chosen(b_value=-1.0, b_spread=0.3)
    if row_id.startswith("b_value."):
        yield SampleCase(samples(6.5), crop, Chosen(b_value=row_id))
        return
    # Distances from air beside 2, 4 and 8 permil; and B just under 1 permil below.
    yield from (SampleCase(samples(distance), crop, own) for distance in (2.01, 4.01, 8.01))
    yield SampleCase(samples(8.05), crop, Chosen(b_value=-1.0))
    yield SampleCase(samples(2.51), crop, Chosen(b_value=1.5, b_spread=0.01))
    # Share 5.5/7.5 of 34 and 20.5 kg a tonne: 24.9 and 15.03.
    harvest = {"shoot_dry_matter": 8000.0, "grain_dry_matter": 2500.0}
    yield from (SampleCase(samples(6.5, shoot_n=percent, **harvest), crop, own) for percent in (3.395, 2.05))
    yield SampleCase(side_by_side(), crop, own)
    yield SampleCase(sap(0.321), crop, own)
