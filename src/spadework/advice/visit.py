"""One visit's plant rows as arrays: scorings, the plants they belong to, and the stops of those."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.scoring.plants import PlantCounts
from spadework.records.types import CountRange, PlantRow, SizeClass

__all__ = ["Visit", "gather_visit", "is_bare"]

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Visit:
    """Plants of one visit to a field, in an order that does not depend on the order of the rows.

    ``rows`` are the scorings, sorted by stop, plant and scorer; ``plant_of_row`` and ``stop_of_plant``
    index ``plants`` (pairs of stop and plant) and ``stops``. ``date`` is the last day of the visit.
    """

    date: dt.date
    rows: tuple[PlantRow, ...]
    stops: tuple[str, ...]
    plants: tuple[tuple[str, str], ...]
    plant_of_row: NDArray[np.intp]
    stop_of_plant: NDArray[np.intp]

    def by_plant(self, values: Floats) -> Floats:
        """Mean over the scorers of each plant, of a value given for each scoring; NaN where nobody knows."""
        known = ~np.isnan(values)
        sums = np.bincount(self.plant_of_row, np.where(known, values, 0.0), minlength=len(self.plants))
        times = np.bincount(self.plant_of_row, known, minlength=len(self.plants))
        return np.asarray(np.divide(sums, times, out=np.full(sums.shape, np.nan), where=times > 0))

    def column(self, name: str) -> Floats:
        """A numeric column as an array over scorings, NaN where not recorded."""
        return np.array([np.nan if (value := getattr(row, name)) is None else value for row in self.rows], dtype=float)

    def counts(self, *, counted_sizes: str) -> PlantCounts:
        """Counts and colours as the scoring functions want them; ``counted_sizes`` as in ``Target.counts``."""
        crown_low, crown_high = _bounds([row.crown_nodules for row in self.rows])
        lateral_low, lateral_high = _bounds([row.lateral_nodules for row in self.rows])
        cut, red = np.array([_cut_and_red(row) for row in self.rows]).reshape(-1, 2).T
        return PlantCounts(
            crown_low=crown_low,
            crown_high=crown_high,
            lateral_low=lateral_low,
            lateral_high=lateral_high,
            cut=cut,
            red=red,
            eligible=np.array([_eligible(row, counted_sizes) for row in self.rows]),
        )


def is_bare(row: PlantRow) -> bool:
    """Whether both zones were counted and neither carried a nodule."""
    return all(count is not None and count.high == 0 for count in (row.crown_nodules, row.lateral_nodules))


def gather_visit(plants: Sequence[PlantRow], days: Collection[dt.date]) -> Visit:
    """Collect the rows of one visit, which may take several days; a stop keeps its name, a plant is one of its day."""
    rows = sorted(
        (row for row in plants if row.date in days),
        key=lambda row: (_natural(row.stop), row.date, _natural(row.plant), row.scorer or "", row.model_dump_json()),
    )
    keys = [(row.stop, row.plant if len(days) == 1 else f"{row.plant} on {row.date}") for row in rows]
    names = list(dict.fromkeys(keys))
    stops = list(dict.fromkeys(stop for stop, _ in names))
    index = {key: number for number, key in enumerate(names)}
    stop_index = {stop: number for number, stop in enumerate(stops)}
    return Visit(
        date=max(days),
        rows=tuple(rows),
        stops=tuple(stops),
        plants=tuple(names),
        plant_of_row=np.array([index[key] for key in keys], dtype=np.intp),
        stop_of_plant=np.array([stop_index[stop] for stop, _ in names], dtype=np.intp),
    )


def _natural(text: str) -> tuple[tuple[int, int, str], ...]:
    """Sort key that puts stop 10 after stop 2."""
    return tuple((0, int(part), "") if part.isdecimal() else (1, 0, part) for part in re.split(r"(\d+)", text) if part)


def _bounds(ranges: Sequence[CountRange | None]) -> tuple[Floats, Floats]:
    low = [0 if count is None else count.low for count in ranges]
    high = [np.inf if count is None or count.high is None else count.high for count in ranges]
    return np.array(low, dtype=float), np.array(high, dtype=float)


def _cut_and_red(row: PlantRow) -> tuple[float, float]:
    """Nodules cut and red among them; the missing one of the four numbers follows from the other three."""
    others = None if row.white is None or row.green_brown is None else row.white + row.green_brown
    cut, red = row.cut_open, row.red_pink
    if cut is None and red is not None and others is not None:
        cut = red + others
    if red is None and cut is not None and others is not None:
        red = cut - others
    return (np.nan, np.nan) if cut is None or red is None else (float(cut), float(red))


def _eligible(row: PlantRow, counted_sizes: str) -> float:
    """1 when the plant's nodules have the size that the scheme counts, 0 when not, NaN when unknown.

    A bare root has no nodule to size: its count of none stands as it is.
    """
    if counted_sizes == "any_size" or is_bare(row):
        return 1.0
    if row.size_class is None:
        return np.nan
    return 0.0 if row.size_class is SizeClass.UNDER_2_MM else 1.0
