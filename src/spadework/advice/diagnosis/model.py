"""From knowledge rows to the network of one crop at one time, with the bands of its figures."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from spadework.advice.diagnosis.value import Evidence
from spadework.agronomy.diagnosis import Network
from spadework.knowledge.rows import Cause, Crop, EvidenceLine, Finding, Knowledge, Measured

__all__ = ["FIGURES", "Model", "model_of"]

FIGURES = (
    "diagnosis.prior",
    "diagnosis.most_together",
    *(f"diagnosis.level.{word}" for word in ("always", "common", "sometimes", "rare", "against", "excludes")),
    *(f"diagnosis.background.{word}" for word in ("seldom", "sometimes", "often", "usual")),
)
"""The rows that turn words into chances."""

Floats = NDArray[np.float64]
_End = Callable[[Measured], float]


@dataclass(frozen=True, eq=False)
class Model:
    """Causes and findings of one question in one crop, with the network at its figures and at both ends of them.

    The causes carry those lines of evidence alone that count in the crop, at the time of the dig.
    """

    causes: tuple[Cause, ...]
    findings: tuple[Finding, ...]
    central: Network
    low: Network
    high: Network

    def place(self, finding: str) -> int | None:
        """Place of a finding by its name; None where no cause here has to do with it."""
        return next((place for place, row in enumerate(self.findings) if row.name == finding), None)

    def answers(self, evidence: Sequence[Evidence]) -> Floats:
        """Lay the evidence out by the places of the findings; NaN where nothing is known. Shape (findings,)."""
        sure = {one.finding: one.sure for one in evidence}
        return np.array([sure.get(row.name, np.nan) for row in self.findings], dtype=np.float64)

    def line(self, cause: Cause, finding: str) -> EvidenceLine | None:
        """What a finding has to do with a cause, None for nothing."""
        return next((line for line in cause.evidence if line.finding == finding), None)


def model_of(
    causes: Sequence[Cause],
    *,
    crop: Crop,
    wrong_time: str | None,
    own_priors: Mapping[str, float],
    knowledge: Knowledge,
) -> Model:
    """Build the network of these causes.

    ``wrong_time`` is early, late or None: findings that are silent then say nothing of any cause but the time
    itself. ``own_priors`` maps cause names to the user's own probabilities; all others get the one flat prior.
    """
    rows = {row.name: row for row in knowledge.of(Finding)}

    def counts(line: EvidenceLine, cause: Cause) -> bool:
        silent = wrong_time in rows[line.finding].silent_when and not cause.of_timing
        return not silent and (not line.crops or crop in line.crops)

    in_force = tuple(
        replace(cause, evidence=tuple(line for line in cause.evidence if counts(line, cause))) for cause in causes
    )
    named = {line.finding for cause in in_force for line in cause.evidence}
    findings = tuple(row for name, row in rows.items() if name in named)
    ends: tuple[_End, ...] = (lambda row: row.central, lambda row: row.range[0], lambda row: row.range[1])
    central, low, high = (_network(in_force, findings, end, own_priors=own_priors, knowledge=knowledge) for end in ends)
    # The trials over the bands are many: in them as few causes act together as the row allows.
    few = int(knowledge.figure("diagnosis.most_together").range[0])
    low, high = (replace(network, most_together=few) for network in (low, high))
    return Model(in_force, findings, central, low, high)


def _network(
    causes: Sequence[Cause],
    findings: Sequence[Finding],
    end: _End,
    *,
    own_priors: Mapping[str, float],
    knowledge: Knowledge,
) -> Network:
    def figure(name: str) -> float:
        return end(knowledge.figure(f"diagnosis.{name}"))

    place = {row.name: number for number, row in enumerate(findings)}
    lift = np.zeros((len(causes), len(findings)))
    hold = np.ones_like(lift)
    for number, cause in enumerate(causes):
        for line in cause.evidence:
            table = lift if line.speaks_for else hold
            table[number, place[line.finding]] = figure(f"level.{line.level}")
    groups: dict[str, list[int]] = {}
    for number, row in enumerate(findings):
        groups.setdefault(row.group or row.id, []).append(number)
    return Network(
        prior=np.array([own_priors.get(cause.name, figure("prior")) for cause in causes]),
        background=np.array([figure(f"background.{row.background}") for row in findings]),
        lift=lift,
        hold=hold,
        groups=tuple(map(tuple, groups.values())),
        most_together=int(knowledge.figure("diagnosis.most_together").central),
    )
