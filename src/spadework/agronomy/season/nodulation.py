"""What a dig says of fixation: from the share of plants adequate to draws of the nodulation factor.

The factor is what a crop's nodules can fix as a share of what a well nodulated crop's can. No study sets digs beside
the nitrogen fixed on the same plots, so that the step from one to the other is judgement with wide bounds. A class
never becomes a figure here: draws are taken from the whole posterior of the share.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.agronomy.scoring.share import SharePosterior
from spadework.agronomy.season.draws import triangular
from spadework.errors import DomainError
from spadework.knowledge.rows import Knowledge

__all__ = ["Calibration", "DigReading", "calibrated", "draw_nodulation", "drawn_share", "nodulation_factor"]

Floats = NDArray[np.float64]

_COLUMNS = 10
"""Random numbers that each draw takes, whatever is used of them: inputs that change leave the others' draws alone."""

_OF_SHARE = 5
"""Which of them the share adequate is, where there is one."""


class DigReading(StrEnum):
    """What a dig may be read as."""

    AS_DUG = "as_dug"
    NONE_DUG = "none_dug"
    TOO_EARLY = "too_early"
    TOO_LATE = "too_late"
    HIGH_NITRATE = "high_nitrate"


@dataclass(frozen=True, kw_only=True)
class Calibration:
    """What fixation measured in fields says of the step from dig to factor.

    ``logs`` are the logarithms of measured over predicted factor, one a field; ``error`` the standard error of one.
    """

    logs: tuple[float, ...] = ()
    error: float = 0.0

    def __post_init__(self) -> None:
        if not np.all(np.isfinite(self.logs)):
            raise DomainError("logs", self.logs, "finite")
        if self.logs and not self.error > 0:
            raise DomainError("error", self.error, "above 0")

    @property
    def middle(self) -> float:
        """Middle of measured over predicted factor in those fields; 1 without any. [1]"""
        return float(np.exp(np.mean(self.logs))) if self.logs else 1.0


def nodulation_factor(
    *, share: ArrayLike, curvature: ArrayLike, poor_activity: ArrayLike, red: ArrayLike = 1.0
) -> Floats:
    """Middle of the nodulation factor for a share of plants adequate.

    Parameters
    ----------
    share : array_like, broadcast to (...)
        Share of plants adequate, 0 to 1. [1]
    curvature : array_like, broadcast to (...)
        Above 0; small: a few adequate plants are enough. [1]
    poor_activity : array_like, broadcast to (...)
        What the other plants fix beside an adequate one, 0 to 1. [1]
    red : array_like, broadcast to (...)
        What the nodules counted fix beside as many red ones, 0 to 1, where colour is not in ``share``. [1]

    Returns
    -------
    ndarray of float64, shape (...)
        From 0 where nothing fixes to 1 where all plants are adequate. NaN in, NaN out. [1]

    Raises
    ------
    DomainError
        An argument outside its range.

    Notes
    -----
    With activity ``z = red (share + (1 - share) * poor_activity)`` it is ``z (1 + curvature) / (z + curvature)``. Judgement.
    """
    given = {"share": share, "poor_activity": poor_activity, "red": red, "curvature": curvature}
    values = {name: np.asarray(value, dtype=np.float64) for name, value in given.items()}
    for name, value in values.items():
        wrong = value <= 0 if name == "curvature" else (value < 0) | (value > 1)
        if np.any(wrong):
            at = int(np.flatnonzero(wrong)[0])
            raise DomainError(
                name, float(value.flat[at]), "above 0" if name == "curvature" else "from 0 to 1", index=at
            )
    activity = values["red"] * (values["share"] + (1 - values["share"]) * values["poor_activity"])
    return np.asarray(activity * (1 + values["curvature"]) / (activity + values["curvature"]))


def calibrated(*, spread: ArrayLike, calibration: Calibration) -> tuple[Floats, Floats]:
    """Shift and spread of the logarithm of the factor once fixation was measured in some fields.

    Parameters
    ----------
    spread : array_like
        Standard deviation before anything was measured. [1]

    Returns
    -------
    tuple of ndarray
        Mean and standard deviation of the logarithm of true over predicted factor. [1]

    Notes
    -----
    A normal mean with known errors and a prior about 0: n fields narrow the spread to
    ``(1 / spread^2 + n / error^2) ** -0.5``.

    References
    ----------
    box1973 (normal mean with known variances)
    """
    before = np.asarray(spread, dtype=np.float64)
    fields = len(calibration.logs)
    if not fields:
        return np.zeros_like(before), before
    precision = 1 / before**2 + fields / calibration.error**2
    return np.asarray(sum(calibration.logs) / calibration.error**2 / precision), np.asarray(precision**-0.5)


def draw_nodulation(
    share: SharePosterior | None,
    *,
    reading: DigReading,
    poor_with_nodules: float,
    colour_seen: bool,
    knowledge: Knowledge,
    draws: int,
    generator: np.random.Generator,
    measured: bool = False,
    calibration: Calibration | None = None,
) -> Floats:
    """Draw the nodulation factor.

    Parameters
    ----------
    share : SharePosterior or None
        Of the plants adequate; None where there is no dig that could be read.
    reading : DigReading
        A dig too early says nothing. One too late, or under high nitrate, can raise the factor and never lower it:
        few nodules are then age, or nitrate, which acts on fixation by itself.
    poor_with_nodules : float
        Share of the plants short of the target that carry any effective nodule; the others fix nothing. [1]
    colour_seen : bool
        Whether nodules were cut: their colour is then in ``share``; else it is drawn.
    knowledge : Knowledge
        Rows ``nodulation.*``.
    draws : int
        At least 1.
    generator : numpy.random.Generator
        Advanced by the same amount whatever is known.
    measured : bool
        Whether fixation was measured in the field itself, which then chooses among the draws: some are as if nobody
        dug, so that it can overrule a dig that misleads.
    calibration : Calibration, optional
        Fixation that was measured in other fields.

    Returns
    -------
    ndarray of float64, shape (draws, 1)
        0 to the row ``nodulation.highest``. [1]

    Raises
    ------
    DomainError
        No draws, or ``poor_with_nodules`` outside 0 to 1.
    """
    if draws < 1:
        raise DomainError("draws", draws, "at least 1")
    if not 0 <= poor_with_nodules <= 1:
        raise DomainError("poor_with_nodules", poor_with_nodules, "from 0 to 1")
    chance = iter(generator.random((_COLUMNS - 1, draws)))
    deviation = generator.standard_normal(draws)

    def drawn(name: str) -> Floats:
        row = knowledge.figure(f"nodulation.{name}")
        low, high = row.range
        if row.value is None:
            return np.asarray(low + next(chance) * (high - low))
        return triangular(next(chance), low=low, value=row.central, high=high)

    curvature, poor, full, uncut, spread = (
        drawn(name) for name in ("curvature", "poor_activity", "red_full", "red_uncut", "spread")
    )
    if share is None or reading in (DigReading.NONE_DUG, DigReading.TOO_EARLY):
        alone = drawn("too_early" if reading is DigReading.TOO_EARLY and not measured else "not_dug")
        return alone[:, None]
    middle = nodulation_factor(
        share=share.quantile(next(chance)),
        curvature=curvature,
        poor_activity=poor * poor_with_nodules,
        red=1.0 if colour_seen else np.minimum(uncut / full, 1.0),
    )
    shift, spread = calibrated(spread=spread, calibration=calibration or Calibration())
    found = np.clip(middle * np.exp(shift + spread * deviation), 0.0, knowledge.figure("nodulation.highest").central)
    if reading is not DigReading.AS_DUG:
        found = np.maximum(found, drawn(str(reading)))
    else:
        next(chance)
    if measured:
        misled = next(chance) < knowledge.figure("nodulation.dig_misleads").central
        found = np.where(misled, drawn("not_dug"), found)
    return np.asarray(found)[:, None]


def drawn_share(share: SharePosterior, *, draws: int, generator: np.random.Generator) -> Floats:
    """Share adequate that stands behind each draw of ``draw_nodulation`` from a generator in the same state.

    Returns
    -------
    ndarray of float64, shape (draws,)
        [1]
    """
    return np.asarray(share.quantile(generator.random((_COLUMNS - 1, draws))[_OF_SHARE]))
