"""Layers of a soil test: the newest with a figure, which depths they are of and what they hold down to a depth."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from itertools import pairwise

from spadework.records.types import SoilTestRow

__all__ = ["depths_within", "newest_layers", "nitrate_within"]


def newest_layers(tests: Sequence[SoilTestRow], column: str, *, until: dt.date) -> list[SoilTestRow]:
    """Layers with this figure from the newest day on which any was sampled, from the surface down."""
    known = [row for row in tests if getattr(row, column) is not None and row.date <= until]
    newest = max((row.date for row in known), default=None)
    return sorted((row for row in known if row.date == newest), key=lambda row: (row.depth_top, row.depth_bottom))


def nitrate_within(layers: Sequence[SoilTestRow], *, bottom: float) -> tuple[float, float]:
    """Nitrate nitrogen from the surface to a depth [kg/ha], and how much of that depth was sampled [cm].

    A layer is taken to hold its nitrate evenly; where layers overlap, their mean stands.
    """
    edges = sorted({0.0, bottom, *(edge for row in layers for edge in (row.depth_top, row.depth_bottom))})
    nitrate = covered = 0.0
    for top, end in pairwise(edges):
        here = [row for row in layers if row.depth_top <= top and row.depth_bottom >= end]
        if here and end <= bottom:
            per_cm = [(row.nitrate_n or 0.0) / (row.depth_bottom - row.depth_top) for row in here]
            nitrate += (end - top) * sum(per_cm) / len(per_cm)
            covered += end - top
    return nitrate, covered


def depths_within(layers: Sequence[SoilTestRow], *, bottom: float) -> list[tuple[float, float]]:
    """Depths sampled from the surface to a depth, from the top down, those that touch or overlap as one [cm]."""
    found: list[tuple[float, float]] = []
    for row in sorted(layers, key=lambda row: row.depth_top):
        top, end = row.depth_top, min(row.depth_bottom, bottom)
        if found and top <= found[-1][1]:
            top, end = found[-1][0], max(found.pop()[1], end)
        if top < end:
            found.append((top, end))
    return found
