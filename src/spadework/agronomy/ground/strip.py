"""Where a check strip runs: one pass of the machine, as long as the ground lets it be."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Point, Polygon
from shapely.affinity import rotate
from shapely.geometry.base import BaseGeometry

from spadework.agronomy.ground.plane import Polygons, Ring, area_of, geometry_of, plane_about, polygons_of
from spadework.errors import DomainError

__all__ = ["Strip", "long_side", "strip_through"]

_PLACES = 81
"""How many places across the ground are tried; the longest strip of them is within some metres of the best."""
_ALIKE = 0.95
"""Share of the greatest length that is as good: what is more is not worth moving a strip away from the middle."""

Interval = tuple[float, float]


@dataclass(frozen=True)
class Strip:
    """A strip on the ground: its ring, ``length`` and ``width`` [m], ``area`` [m2], ``bearing`` of its long side.

    ``bearing`` is from north, 0 to below 180. [deg] ``clear`` says that it keeps its own width away from the edge
    of the ground all round.
    """

    ring: Ring
    length: float
    width: float
    area: float
    bearing: float
    clear: bool


def long_side(field: Polygons) -> float:
    """Bearing of the long side of the smallest rectangle around a field: degrees from north, 0 to below 180."""
    plane = plane_about(_corners(field))
    around = shapely.minimum_rotated_rectangle(plane.metres(geometry_of(field)))
    corners = np.asarray(around.exterior.coords)
    sides = np.diff(corners, axis=0)[:2]
    east, north = sides[int(np.argmax(np.round(np.hypot(sides[:, 0], sides[:, 1]), 3)))]
    return round(math.degrees(math.atan2(east, north)), 6) % 180


def strip_through(ground: Polygons, *, width: float, bearing: float) -> Strip:
    """Lay a strip through a piece of ground so that it is long.

    Parameters
    ----------
    ground : Polygons
        The failed part, or the field.
    width : float
        Working width of the machine, above 0. [m]
    bearing : float
        Direction of the passes. [deg from north]

    Returns
    -------
    Strip
        A rectangle that keeps its own width away from the edge where the ground is wide enough, else one that only
        stays inside. Where the ground is narrower than one pass, that pass clipped to the ground. Of strips within a
        twentieth of the greatest length the one nearest to the middle is taken.

    Raises
    ------
    DomainError
        If ``width`` is not above 0, a figure is not finite, or the ground is empty or not sound.
    """
    if not (math.isfinite(width) and width > 0):
        raise DomainError("width", width, "above 0")
    if not math.isfinite(bearing):
        raise DomainError("bearing", bearing, "a finite number")
    if not ground:
        raise DomainError("ground", ground, "one polygon or more")
    plane = plane_about(_corners(ground))
    # Turned so that the passes run along the x axis. A bearing just below 0 is 180.0 after one division, hence two.
    turn = bearing - 90.0
    turned = rotate(plane.metres(geometry_of(ground)), turn, origin=(0, 0))
    shape, clear = _rectangle_inside(turned.buffer(-width, join_style="mitre"), width), True
    if shape is None:
        shape, clear = _rectangle_inside(turned, width), False
    if shape is None:
        shape = _clipped(turned, width)
    west, _, east, _ = shape.bounds
    laid = polygons_of(plane.degrees(rotate(shape, -turn, origin=(0, 0))))
    ring = laid[0][0]
    return Strip(ring, east - west, width, area_of(laid), bearing % 180 % 180, clear)


def _corners(polygons: Polygons) -> list[tuple[float, float]]:
    return [corner for rings in polygons for corner in rings[0]]


def _rectangle_inside(ground: BaseGeometry, width: float) -> Polygon | None:
    """A rectangle of this width along the x axis in the ground, long and near its middle; None where none fits."""
    if ground.is_empty:
        return None
    _, south, _, north = ground.bounds
    if north - south < width:
        return None
    middle = ground.centroid
    runs = [
        (float(y), run)
        for y in _places(south + width / 2, north - width / 2, middle.y)
        if (run := _longest_run(ground, y - width / 2, y + width / 2)) is not None
    ]
    if not runs:
        return None
    longest = max(east - west for _, (west, east) in runs)
    y, (west, east) = min(
        ((y, run) for y, run in runs if run[1] - run[0] >= _ALIKE * longest),
        key=lambda found: math.hypot(found[0] - middle.y, sum(found[1]) / 2 - middle.x),
    )
    return shapely.box(west, y - width / 2, east, y + width / 2)


def _places(lowest: float, highest: float, middle: float) -> NDArray[np.float64]:
    """Where middles of strips are tried: evenly across, and through the middle of the ground itself."""
    return np.append(np.linspace(lowest, highest, _PLACES), min(max(middle, lowest), highest))


def _longest_run(ground: BaseGeometry, south: float, north: float) -> Interval | None:
    """The longest stretch along x in which the whole band between south and north lies in the ground."""
    west, _, east, _ = ground.bounds
    band = shapely.box(west, south, east, north)
    outside = shapely.get_parts(band.difference(ground))
    # What lies outside, seen along the band: the strip must fit between two of these.
    taken = sorted((piece.bounds[0], piece.bounds[2]) for piece in outside)
    longest: Interval | None = None
    reached = west
    for start, end in (*taken, (east, east)):
        if start > reached and (longest is None or start - reached > longest[1] - longest[0]):
            longest = (reached, start)
        reached = max(reached, end)
    return longest


def _clipped(ground: BaseGeometry, width: float) -> Polygon:
    """One pass through the middle of ground that is too narrow or too ragged for a rectangle, clipped to it."""
    middle: Point = ground.representative_point()
    west, _, east, _ = ground.bounds
    passed = ground.intersection(shapely.box(west, middle.y - width / 2, east, middle.y + width / 2))
    pieces = [piece for piece in shapely.get_parts(passed) if isinstance(piece, Polygon)]
    return max(pieces, key=lambda piece: float(piece.area))
