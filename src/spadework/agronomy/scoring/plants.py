"""From what was recorded of a plant to the probability that it is adequate.

A plant is adequate when its effective nodules (those red or pink inside) reach the target. A count class
says only between which numbers the count lies, and a few cut nodules say only roughly what share of all is red;
both enter as the likelihoods they are, never as mid-points. Of plants with nothing cut, the share red is
what the visit's other plants say; where nothing was cut in the whole visit, the count alone is judged.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import betainc, betaln, gammaln

from spadework.agronomy.scoring.share import CORRELATIONS, SHARES, SharePosterior, correlation_prior, log_likelihood_of
from spadework.errors import DomainError

__all__ = ["ColourShare", "PlantCounts", "PlantReading", "colour_share", "read_plants"]

Floats = NDArray[np.float64]

_RED_POINTS = 8
"""Points at which the posterior of the visit's red share is taken."""

_OPEN_CLASS_FACTOR = 4.0
"""An open class (over 50) is taken to end at this many times its lower bound, and 10 above it at least."""


@dataclass(frozen=True)
class PlantCounts:
    """Plants of one visit; one entry a plant and scorer.

    All arrays have shape (scorings,). ``low`` and ``high`` bound the count of a zone (equal when it was
    counted, ``inf`` for an open class; 0 and ``inf`` when nobody counted it). ``cut`` and ``red`` are the
    nodules cut open and those red or pink inside, NaN where nobody looked. ``eligible`` is NaN where it is
    unknown whether the plant's nodules have the size that the scheme counts, else 1 or 0.
    """

    crown_low: Floats
    crown_high: Floats
    lateral_low: Floats
    lateral_high: Floats
    cut: Floats
    red: Floats
    eligible: Floats

    def __post_init__(self) -> None:
        for low, high, name in (
            (self.crown_low, self.crown_high, "crown count"),
            (self.lateral_low, self.lateral_high, "lateral count"),
            (np.zeros_like(self.cut), self.red, "red nodules"),
            (self.red, self.cut, "cut nodules"),
        ):
            bad = np.flatnonzero(low > high)
            if bad.size:
                raise DomainError(name, float(high[bad[0]]), f"at least {low[bad[0]]:g}", index=int(bad[0]))

    @property
    def low(self) -> Floats:
        """Fewest nodules the plant can carry."""
        return np.asarray(np.fmax(self.crown_low + self.lateral_low, np.nan_to_num(self.cut)))

    @property
    def high(self) -> Floats:
        """Most nodules the plant can carry, ``inf`` where open."""
        return np.asarray(np.fmax(self.crown_high + self.lateral_high, self.low))


@dataclass(frozen=True)
class ColourShare:
    """Share of nodules of one colour inside, over plants that differ.

    ``cut`` nodules of ``plants`` plants stand behind it.
    """

    posterior: SharePosterior
    cut: int
    plants: int

    @property
    def mean(self) -> float:
        """Posterior mean of the share [1]."""
        return self.posterior.mean

    def shapes(self, points: int) -> list[tuple[float, float]]:
        """Parameters of the beta distribution between plants, at equally likely points of the posterior of its mean."""
        by_share = self.posterior.weights.sum(axis=0)
        running = np.concatenate([[0.0], np.cumsum(by_share)])
        edges = np.linspace(0.0, running[-1], points + 1)
        inside = np.clip(edges[1:, None], running[:-1], running[1:]) - np.clip(
            edges[:-1, None], running[:-1], running[1:]
        )
        part = inside / np.maximum(by_share, 1e-300)
        mean = inside @ SHARES / inside.sum(axis=1)
        correlation = part @ (self.posterior.weights.T @ CORRELATIONS) / inside.sum(axis=1)
        strength = 1 / np.clip(correlation, 0.01, 0.9) - 1
        return [(float(m * s), float((1 - m) * s)) for m, s in zip(mean, strength, strict=True)]


@dataclass(frozen=True)
class PlantReading:
    """What a visit says of each scoring.

    ``chances``, shape (points, scorings), is the probability that the plant is adequate at each equally likely point
    of the visit's red share: 0 or 1 where certain, NaN where either zone was not counted, for its total is then
    unknown. ``effective`` are its expected effective nodules by the plain
    rule, count x red share of those cut; ``crown`` and ``lateral`` the expected counts of the zones; ``red`` is
    None when nothing was cut.
    """

    chances: Floats
    effective: Floats
    crown: Floats
    lateral: Floats
    red_share: Floats
    red: ColourShare | None

    @property
    def adequate(self) -> Floats:
        """Probability that each plant is adequate, over all points."""
        return np.asarray(self.chances.mean(axis=0))


def colour_share(*, cut: Floats, seen: Floats, prior_correlation: float) -> ColourShare | None:
    """Share of nodules of one colour, from the nodules cut on each plant.

    Parameters
    ----------
    cut, seen : ndarray, shape (plants,)
        Nodules cut open and those of the colour among them; NaN or 0 cut where nobody looked. [nodules]
    prior_correlation : float
        Planning value of how alike nodules of one plant are; row ``red.plant_correlation``. [1]

    Returns
    -------
    ColourShare or None
        None when nothing was cut.
    """
    looked = (np.nan_to_num(cut) > 0) & ~np.isnan(seen)
    if not looked.any():
        return None
    log_weights = np.log(np.maximum(correlation_prior(prior_correlation), 1e-300))[:, None] + np.zeros(SHARES.shape)
    pairs, times = np.unique(np.column_stack([cut[looked], seen[looked]]).astype(int), axis=0, return_counts=True)
    for (n, y), repeats in zip(pairs, times, strict=True):
        log_weights = log_weights + repeats * log_likelihood_of(int(n), int(y))
    weights = np.exp(log_weights - log_weights.max())
    posterior = SharePosterior(
        weights=weights / weights.sum(),
        none_seen=bool(np.all(pairs[:, 1] == 0)),
        all_seen=bool(np.all(pairs[:, 1] == pairs[:, 0])),
    )
    return ColourShare(posterior=posterior, cut=int(pairs[:, 0] @ times), plants=int(looked.sum()))


def read_plants(counts: PlantCounts, *, target: float, more_than: bool, prior_red_correlation: float) -> PlantReading:
    """Probability that each plant is adequate, and its expected effective nodules.

    Parameters
    ----------
    counts : PlantCounts
        The visit's plants.
    target : float
        Effective nodules (or clusters) that an adequate plant carries. [nodules/plant]
    more_than : bool
        Whether the target must be exceeded rather than reached.
    prior_red_correlation : float
        See ``colour_share``. [1]
    """
    needed = int(np.floor(target) + 1) if more_than else int(np.ceil(target))
    red = colour_share(cut=counts.cut, seen=counts.red, prior_correlation=prior_red_correlation)
    low, high = counts.low, counts.high
    cut, seen_red = np.nan_to_num(counts.cut), np.nan_to_num(counts.red)
    crown_known = (counts.crown_low > 0) | np.isfinite(counts.crown_high)
    lateral_known = (counts.lateral_low > 0) | np.isfinite(counts.lateral_high)
    known = crown_known & lateral_known
    crown, lateral = (
        _expected_zone(counts.crown_low, counts.crown_high),
        _expected_zone(counts.lateral_low, counts.lateral_high),
    )
    total = crown + lateral

    classed = np.flatnonzero(known & (low < high))
    numbers, weights = _total_weights(counts, low, high, known, classed)
    shapes = [None] if red is None else red.shapes(_RED_POINTS)
    chances = np.array(
        [np.clip((weights * _reach(numbers, cut, seen_red, needed, shape)).sum(axis=1), 0.0, 1.0) for shape in shapes]
    )
    total[classed] = (weights @ numbers)[classed]
    crown, lateral = _as_expected(crown, lateral, total, counts, known)
    share = np.divide(seen_red, cut, out=np.full(cut.shape, 1.0 if red is None else red.mean), where=cut > 0)
    chances = np.where(known, chances, np.nan)
    chances = np.where(counts.eligible == 0, 0.0, np.where(np.isnan(counts.eligible), np.nan, chances))
    effective = np.where(known, total * share, np.nan)
    return PlantReading(
        chances=chances,
        effective=np.where(counts.eligible == 0, 0.0, np.where(np.isnan(counts.eligible), np.nan, effective)),
        crown=np.where(crown_known, crown, np.nan),
        lateral=np.where(lateral_known, lateral, np.nan),
        red_share=share if red is not None else np.full(share.shape, np.nan),
        red=red,
    )


def _as_expected(
    crown: Floats, lateral: Floats, total: Floats, counts: PlantCounts, known: NDArray[np.bool_]
) -> tuple[Floats, Floats]:
    """Bring zones given as classes to the expected total; a zone that was counted stays as it was counted."""
    crown_classed, lateral_classed = counts.crown_low < counts.crown_high, counts.lateral_low < counts.lateral_high
    rest = total - np.where(crown_classed, 0.0, crown) - np.where(lateral_classed, 0.0, lateral)
    classed = np.where(crown_classed, crown, 0.0) + np.where(lateral_classed, lateral, 0.0)
    scale = np.divide(np.maximum(rest, 0.0), classed, out=np.ones_like(total), where=known & (classed > 0))
    return np.where(crown_classed, crown * scale, crown), np.where(lateral_classed, lateral * scale, lateral)


def _expected_zone(low: Floats, high: Floats) -> Floats:
    """Middle of a zone's class; a first value only, scaled later by the total's expectation."""
    return np.where(np.isfinite(high), (low + np.where(np.isfinite(high), high, 0)) / 2, low * 1.5)


def _reach(numbers: Floats, cut: Floats, seen_red: Floats, needed: int, shape: tuple[float, float] | None) -> Floats:
    """Probability that each plant, had it each of ``numbers`` (0, 1, 2, ...) nodules, has ``needed`` red ones.

    The uncut nodules are a Polya urn that starts from the visit's red share and the plant's own cut ones, so
    the chance that the last red one needed turns up at a given draw sums to the chance of having enough.

    Returns
    -------
    ndarray, shape (plants, len(numbers))
    """
    if shape is None:
        return np.broadcast_to(np.asarray(numbers >= needed, dtype=float), (len(cut), len(numbers)))
    a0, b0 = shape
    a, b = (a0 + seen_red)[:, None], (b0 + cut - seen_red)[:, None]
    short = np.maximum(needed - seen_red, 1.0)[:, None]
    draws_before = short - 1 + numbers
    ratio = (draws_before + 1) / (draws_before + 2 - short) * (b + draws_before - short + 1) / (a + b + draws_before)
    first = np.exp(betaln(a + short - 1, b) - betaln(a, b))
    one_short = first * np.concatenate([np.ones_like(first), np.cumprod(ratio[:, :-1], axis=1)], axis=1)
    enough = np.cumsum(one_short * (a + short - 1) / (a + b + draws_before), axis=1)
    last_draw = numbers - cut[:, None] - short
    index = np.clip(last_draw, 0, len(numbers) - 1).astype(int)
    reached = np.where(last_draw >= 0, np.take_along_axis(enough, index, axis=1), 0.0)
    return np.where((needed <= seen_red)[:, None], 1.0, reached)


_MEANS: Floats = np.geomspace(0.3, 400.0, 28)
_KS: Floats = np.array([0.3, 0.7, 1.5, 3.0, 8.0, 40.0])


def _total_weights(
    counts: PlantCounts, low: Floats, high: Floats, known: NDArray[np.bool_], classed: NDArray[np.intp]
) -> tuple[Floats, Floats]:
    """Possible totals and how likely each is for each plant; one certain total where it was counted.

    The visit's own counts, exact and classed, weigh a grid of negative-binomial distributions; their mixture
    says which totals inside a class are likely. A total is split evenly over all its crown-lateral splits, so
    that classes of the two zones combine as they should.

    Returns
    -------
    numbers, weights : ndarray, shapes (totals,) and (plants, totals)
        Each row of ``weights`` sums to 1; rows of plants whose count is not known are 0.
    """
    ends = np.where(np.isfinite(high), high, np.maximum(_OPEN_CLASS_FACTOR * low, low + 10))
    numbers = np.arange(int(ends[known].max(initial=0)) + 1, dtype=float)
    weights = np.where(known[:, None], numbers == low[:, None], 0.0)
    if classed.size:
        mass = _mass(numbers, low[known], high[known])
        crown_low, lateral_low = counts.crown_low[classed, None], counts.lateral_low[classed, None]
        crown_high = np.minimum(counts.crown_high, ends)[classed, None]
        lateral_high = np.minimum(counts.lateral_high, ends)[classed, None]
        splits = np.minimum(crown_high, numbers - lateral_low) - np.maximum(crown_low, numbers - lateral_high) + 1
        inside = (numbers >= low[classed, None]) & (numbers <= ends[classed, None])
        row = mass * np.maximum(splits, 0.0) / (numbers + 1) * inside
        sums = row.sum(axis=1, keepdims=True)
        even = inside / inside.sum(axis=1, keepdims=True)
        weights[classed] = np.where(sums > 0, row / np.where(sums > 0, sums, 1.0), even)
    return numbers, weights


def _mass(numbers: Floats, low: Floats, high: Floats) -> Floats:
    """Probability of each total in this visit: negative binomials weighed by all counts and classes seen."""
    mean, k = (grid.ravel()[:, None] for grid in np.meshgrid(_MEANS, _KS))
    ranges, times = np.unique(np.column_stack([low, high]), axis=0, return_counts=True)

    def at_most(x: Floats) -> Floats:
        finite = np.where(np.isfinite(x), np.maximum(x, 0.0), 0.0)
        chance = 1 - betainc(finite + 1, k, mean / (mean + k))
        return np.where(np.isfinite(x), np.where(x < 0, 0.0, chance), 1.0)

    likelihood = np.maximum(at_most(ranges[:, 1]) - at_most(ranges[:, 0] - 1), 1e-300)
    log_weight = np.log(likelihood) @ times
    weight = np.exp(log_weight - log_weight.max())
    keep = weight > 1e-4
    mean, k, weight = mean[keep], k[keep], weight[keep] / weight[keep].sum()
    log_mass = (
        gammaln(numbers + k) - gammaln(numbers + 1) - gammaln(k)
        + k * np.log(k / (mean + k)) + numbers * np.log(mean / (mean + k))
    )  # fmt: skip
    return np.asarray(weight @ np.exp(log_mass))
