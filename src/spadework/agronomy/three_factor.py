"""The three-factor index: vigour (0-5) + abundance and colour (0-5) + position (0-3), by a rule of our own.

The rule is continuous and works on the raw records, so that one nodule more never jumps a plant by a class:

- vigour is the score given beside the best plants nearby;
- abundance and colour is the number of effective nodules over the number that makes full marks, at most 1, times 5;
- position gives 2 for a nodulated crown and 1 for nodulated laterals, each in proportion up to a fifth of the
  number that makes full marks, so that both together are best, then crown alone, then laterals alone.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.clustered_mean import ClusteredMean, clustered_mean
from spadework.errors import DomainError

__all__ = ["FieldIndex", "IndexRule", "field_index", "plant_factors"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class IndexRule:
    """Figures of the rule; rows ``index.*``.

    ``full`` is the number of effective nodules that makes full marks; the ``*_sd`` are by how many points plants of
    a field are expected to differ before any was dug.
    """

    full: float
    vigour_max: float
    abundance_max: float
    crown_weight: float
    lateral_weight: float
    presence_share: float
    vigour_sd: float
    abundance_sd: float
    position_sd: float
    total_sd: float

    def __post_init__(self) -> None:
        for name in ("full", "presence_share", "vigour_sd", "abundance_sd", "position_sd", "total_sd"):
            if not getattr(self, name) > 0:
                raise DomainError(name, getattr(self, name), "above 0")
        for name in ("vigour_max", "abundance_max", "crown_weight", "lateral_weight"):
            if not getattr(self, name) >= 0:
                raise DomainError(name, getattr(self, name), "at least 0, or more nodules would lower the index")


@dataclass(frozen=True)
class FieldIndex:
    """Field means of the three factors and their total, over the plants that have all of them."""

    vigour: ClusteredMean
    abundance: ClusteredMean
    position: ClusteredMean
    total: ClusteredMean
    plants: int


def plant_factors(
    *, vigour: Floats, effective_crown: Floats, effective_lateral: Floats, rule: IndexRule
) -> tuple[Floats, Floats, Floats]:
    """Points of each plant for vigour, abundance and colour, position; NaN where its record lacks something.

    Parameters
    ----------
    vigour : ndarray, shape (plants,)
        Score from 0 to ``rule.vigour_max``. [point]
    effective_crown, effective_lateral : ndarray, shape (plants,)
        Nodules of the zone times the share red inside. [nodules or clusters/plant]
    rule : IndexRule
        The rule's figures.

    Raises
    ------
    DomainError
        If a vigour score lies outside its scale or a count is negative.
    """
    for name, values, highest in (
        ("vigour", vigour, rule.vigour_max),
        ("effective_crown", effective_crown, np.inf),
        ("effective_lateral", effective_lateral, np.inf),
    ):
        bad = np.flatnonzero((values < 0) | (values > highest))
        if bad.size:
            raise DomainError(name, float(values[bad[0]]), f"from 0 to {highest:g}", index=int(bad[0]))
    abundance = rule.abundance_max * np.minimum((effective_crown + effective_lateral) / rule.full, 1.0)
    enough = rule.presence_share * rule.full
    position = rule.crown_weight * np.minimum(effective_crown / enough, 1.0) + rule.lateral_weight * np.minimum(
        effective_lateral / enough, 1.0
    )
    return vigour, abundance, position


def field_index(
    *,
    stop: NDArray[np.intp],
    vigour: Floats,
    effective_crown: Floats,
    effective_lateral: Floats,
    rule: IndexRule,
    prior_correlation: float,
) -> FieldIndex | None:
    """Mean index of a field from its plants; None when no plant has all three factors.

    Parameters
    ----------
    stop : ndarray of int, shape (plants,)
        Stop of each plant.
    vigour, effective_crown, effective_lateral, rule
        As in ``plant_factors``.
    prior_correlation : float
        Planning value of the intra-stop correlation, as in ``clustered_mean``. [1]
    """
    factors = plant_factors(
        vigour=vigour, effective_crown=effective_crown, effective_lateral=effective_lateral, rule=rule
    )
    total = np.sum(factors, axis=0)
    known = ~np.isnan(total)
    if not known.any():
        return None
    means = {
        name: clustered_mean(
            values=values[known],
            stop=stop[known],
            prior_correlation=prior_correlation,
            planning_sd=getattr(rule, f"{name}_sd"),
        )
        for name, values in zip(("vigour", "abundance", "position", "total"), (*factors, total), strict=True)
    }
    return FieldIndex(**means, plants=int(known.sum()))
