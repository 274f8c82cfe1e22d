"""The samples of one field as the methods need them: values with nitrogen, plots and plants beside them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.fixation.samples import SampleMean, covariance_of_means, sample_mean
from spadework.records.laboratory import LabResultRow, SampleKind

__all__ = ["Ends", "Samples", "ends", "shoot_nitrogen"]


def shoot_nitrogen(row: LabResultRow) -> float | None:
    """Nitrogen of the shoot of a sample [kg/ha], where both parts of it are recorded."""
    if row.shoot_n is None or row.shoot_dry_matter is None:
        return None
    return row.shoot_dry_matter * row.shoot_n / 100


@dataclass(frozen=True)
class Samples:
    """The rows of one field."""

    rows: Sequence[LabResultRow]

    @cached_property
    def legumes(self) -> tuple[LabResultRow, ...]:
        """Samples of the legume."""
        return tuple(row for row in self.rows if row.kind is SampleKind.LEGUME)

    @cached_property
    def references(self) -> tuple[LabResultRow, ...]:
        """Samples of plants that fix nothing."""
        return tuple(row for row in self.rows if row.kind is SampleKind.REFERENCE)

    def having(self, column: str) -> tuple[tuple[LabResultRow, ...], tuple[LabResultRow, ...]]:
        """Legumes and references for which the laboratory measured this column."""
        return tuple(
            tuple(row for row in rows if getattr(row, column) is not None) for rows in (self.legumes, self.references)
        )  # type: ignore[return-value]

    @cached_property
    def nitrogen(self) -> SampleMean | None:
        """Shoot nitrogen of the legume [kg/ha], over the samples that have it."""
        known = [value for row in self.legumes if (value := shoot_nitrogen(row)) is not None]
        return sample_mean(known) if known else None


@dataclass(frozen=True)
class Ends:
    """Means of the legume and of the reference in one column, and their covariance where they come in pairs."""

    legume: SampleMean
    reference: SampleMean
    covariance: float
    weighted: bool


def ends(legumes: Sequence[LabResultRow], references: Sequence[LabResultRow], column: str) -> Ends:
    """Mean of the legume, weighted by nitrogen where each sample has it, and of the reference, in one column."""
    values = _values(legumes, column)
    amounts = [shoot_nitrogen(row) for row in legumes]
    weights = np.array([amount for amount in amounts if amount is not None])
    weighted = len(weights) == len(legumes) and len(legumes) > 1
    weights = weights if weighted else np.ones(len(legumes))
    return Ends(
        legume=sample_mean(values, weights=weights),
        reference=sample_mean(_values(references, column)),
        covariance=_covariance(legumes, references, column, weights),
        weighted=weighted,
    )


def _values(rows: Sequence[LabResultRow], column: str) -> NDArray[np.float64]:
    return np.array([getattr(row, column) for row in rows], dtype=float)


def _covariance(
    legumes: Sequence[LabResultRow], references: Sequence[LabResultRow], column: str, weights: NDArray[np.float64]
) -> float:
    """Covariance of both means where each plot holds one legume and one reference; else 0, as if independent."""
    plots = [row.plot for row in legumes]
    of_plot = {row.plot: getattr(row, column) for row in references}
    paired = len(set(plots)) == len(legumes) == len(of_plot) == len(references) and set(plots) == set(of_plot)
    if not paired or None in of_plot:
        return 0.0
    return covariance_of_means(_values(legumes, column), [of_plot[plot] for plot in plots], weights=weights)
