"""What the dig that was judged says of fixation."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from spadework.advice.diagnosis.value import Evidence
from spadework.agronomy.scoring.share import SharePosterior
from spadework.agronomy.season.nodulation import DigReading
from spadework.knowledge.rows import Knowledge

__all__ = ["DigSeen", "nodulation_rows", "read_dig"]

_WRONG_TIME = (DigReading.TOO_EARLY, DigReading.TOO_LATE)

_COMMON = ("nodulation.curvature", "nodulation.poor_activity", "nodulation.spread", "nodulation.highest")


@dataclass(frozen=True, kw_only=True)
class DigSeen:
    """Posterior of the share adequate, and how it may be read; see ``draw_nodulation``.

    ``measured`` says that fixation of the field itself was measured, which then chooses among what the dig allows.
    """

    share: SharePosterior | None
    reading: DigReading
    poor_with_nodules: float
    colour_seen: bool
    measured: bool = False

    @property
    def came_at_wrong_time(self) -> bool:
        """Whether the dig leaves a guess at fixation, and nothing was measured: nothing is settled with it."""
        return self.reading in _WRONG_TIME and not self.measured

    @property
    def is_read(self) -> bool:
        """Whether the plants dug say anything of fixation."""
        return self.share is not None and self.reading not in (DigReading.NONE_DUG, DigReading.TOO_EARLY)

    @property
    def source(self) -> str:
        """What the nodulation factor comes from, as a word."""
        return "measured" if self.measured else str(self.reading)


def read_dig(
    share: SharePosterior | None,
    *,
    chance: Sequence[float],
    effective: Sequence[float],
    colour_seen: bool,
    wrong_time: str | None,
    evidence: Sequence[Evidence],
) -> DigSeen:
    """Say how a dig may be read.

    Parameters
    ----------
    share : SharePosterior or None
        None where no plant could be held against a target.
    chance, effective : sequence of float, one a plant
        Chance of being adequate [1] and effective nodules; NaN where not known.
    colour_seen : bool
        Whether any nodule was cut open, or there was none to cut.
    wrong_time : {"early", "late", None}
    evidence : sequence of Evidence
        Of the diagnosis: high nitrate is read there.
    """
    known, nodules = np.asarray(chance, dtype=float), np.asarray(effective, dtype=float)
    there = ~(np.isnan(known) | np.isnan(nodules))
    short = (1 - known[there]).sum()
    with_nodules = ((1 - known[there]) * (nodules[there] > 0)).sum()
    if share is None:
        reading = DigReading.NONE_DUG
    elif wrong_time == "early":
        reading = DigReading.TOO_EARLY
    elif wrong_time == "late":
        reading = DigReading.TOO_LATE
    elif any(one.finding == "high_nitrate" and one.sure > 0.5 for one in evidence):
        reading = DigReading.HIGH_NITRATE
    else:
        reading = DigReading.AS_DUG
    return DigSeen(
        share=share,
        reading=reading,
        poor_with_nodules=float(with_nodules / short) if short > 0 else 1.0,
        colour_seen=colour_seen,
    )


def nodulation_rows(dig: DigSeen, knowledge: Knowledge) -> tuple[str, ...]:
    """Rows that the nodulation factor is drawn from."""
    if dig.reading is DigReading.NONE_DUG or (dig.measured and dig.reading is DigReading.TOO_EARLY):
        return ("nodulation.not_dug",)
    if dig.reading is DigReading.TOO_EARLY:
        return ("nodulation.too_early",)
    rows = _COMMON if dig.colour_seen else (*_COMMON, "nodulation.red_full", "nodulation.red_uncut")
    if dig.reading is not DigReading.AS_DUG:
        rows = (*rows, f"nodulation.{dig.reading}")
    if dig.measured:
        rows = (*rows, "nodulation.dig_misleads", "nodulation.not_dug")
    return tuple(knowledge.row(row).id for row in rows)
