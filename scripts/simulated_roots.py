"""Crops of the simulated fields and their roots: ground, plants, and what their nodules truly fix."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.season.draws import triangular
from spadework.agronomy.season.nodulation import nodulation_factor
from spadework.demo.plants import Nodulation
from spadework.knowledge.load import load
from spadework.knowledge.rows import Crop
from spadework.records.types import CountingUnit, SizeClass

Floats = NDArray[np.float64]

KNOWN = load()
PLANTS = 4000  # of which the true share adequate is counted


@dataclass(frozen=True)
class Kind:
    """How a crop is grown: how often, sown in which days of the year, its yields [t/ha], and when it is dug [stage]."""

    often: float
    sown: tuple[int, int]
    yields: tuple[float, float]
    dug: tuple[float, float]
    warm: bool
    target: float
    unit: CountingUnit = CountingUnit.CLUSTER


KINDS: Mapping[Crop, Kind] = {
    Crop.SOYBEAN: Kind(0.3, (130, 150), (1.8, 3.8), (0.95, 1.25), True, 10, CountingUnit.NODULE),
    Crop.PEA: Kind(0.2, (110, 140), (2.0, 4.2), (0.5, 1.0), False, 50, CountingUnit.NODULE),
    Crop.LENTIL: Kind(0.15, (115, 140), (1.0, 2.4), (0.8, 1.08), False, 6),
    Crop.CHICKPEA: Kind(0.15, (115, 140), (1.2, 2.6), (0.8, 1.08), False, 6),
    Crop.FABA_BEAN: Kind(0.1, (110, 135), (2.0, 4.5), (0.8, 1.08), False, 50, CountingUnit.NODULE),
    Crop.COMMON_BEAN: Kind(0.1, (140, 155), (1.5, 3.0), (0.95, 1.2), True, 6),
}


@dataclass(frozen=True)
class Zone:
    """Ground of one kind: its part of the field, and how its roots truly are."""

    part: float
    roots: Nodulation
    share: float  # of plants adequate
    with_nodules: float  # of the plants that are not, the share with any effective nodule


def drawn(row_id: str, chance: Floats) -> Floats:
    """Draw a figure of the tables from its range."""
    row = KNOWN.figure(row_id)
    low, high = row.range
    return triangular(chance, low=low, value=row.central, high=high)


def zones_of(rng: np.random.Generator, state: str, kind: Kind) -> tuple[Zone, ...]:
    """Roots of the field, drawn round its target; a patchy field has bad ground, led by it, and good ground."""
    spread = float(rng.uniform(0.1, 0.5))

    def roots(times: float, k: tuple[float, float], red: tuple[float, float], size: SizeClass) -> Nodulation:
        return Nodulation(
            mean=kind.target * times,
            k=float(rng.uniform(*k)),
            stop_spread=spread,
            crown=float(rng.uniform(0.2, 0.8)),
            red=float(rng.uniform(*red)),
            size=size,
        )

    bad = roots(
        0.0 if rng.random() < 0.3 else float(np.exp(rng.uniform(np.log(0.02), np.log(0.4)))),
        (0.8, 3.0),
        (0.4, 0.85),
        SizeClass.UNDER_2_MM if rng.random() < 0.4 else SizeClass.FROM_2_TO_5_MM,
    )
    middling = roots(float(rng.uniform(0.6, 1.6)), (2.0, 8.0), (0.6, 0.92), SizeClass.FROM_2_TO_5_MM)
    good = roots(float(rng.uniform(1.8, 3.5)), (5.0, 14.0), (0.8, 0.95), SizeClass.FROM_2_TO_5_MM)
    part = float(rng.uniform(0.2, 0.6))
    chosen = {
        "failed": [(1.0, bad)],
        "delayed": [(1.0, bad)],
        "patchy": [(part, bad), (1 - part, good)],
        "middling": [(1.0, middling)],
        "good": [(1.0, good)],
    }[state]
    return tuple(Zone(of, one, *_share(rng, one, kind.target)) for of, one in chosen)


def _share(rng: np.random.Generator, roots: Nodulation, target: float) -> tuple[float, float]:
    """True share of plants with red nodules enough, and of the others the share with any, by the plants of the demo."""
    means = roots.mean * np.exp(roots.stop_spread * rng.standard_normal(PLANTS) - roots.stop_spread**2 / 2)
    total = rng.poisson(rng.gamma(roots.k, means / roots.k)) if roots.mean > 0 else np.zeros(PLANTS, dtype=int)
    alike = 1 / 0.12 - 1
    effective = rng.binomial(total, rng.beta(roots.red * alike, (1 - roots.red) * alike, PLANTS))
    enough = effective >= target
    others = effective[~enough]
    return float(enough.mean()), float(np.mean(others > 0)) if others.size else 1.0


def factors_of(rng: np.random.Generator, zones: tuple[Zone, ...]) -> Floats:
    """True nodulation factor of each zone, shape (zones, 1), from its true share by the step that the tables give."""
    chance, deviation = rng.random((3, 1)), rng.standard_normal()
    curvature, poor, spread = (
        drawn(f"nodulation.{name}", one)
        for name, one in zip(("curvature", "poor_activity", "spread"), chance, strict=True)
    )
    middle = nodulation_factor(
        share=[zone.share for zone in zones],
        curvature=curvature,
        poor_activity=poor * np.array([zone.with_nodules for zone in zones]),
    )
    highest = KNOWN.figure("nodulation.highest").central
    return np.clip(middle * np.exp(spread * deviation), 0.0, highest)[:, None]
