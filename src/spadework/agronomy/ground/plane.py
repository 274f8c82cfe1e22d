"""Longitudes and latitudes as metres on a plane about the field, and back."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from pyproj import Geod, Proj
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from spadework.errors import DomainError

__all__ = [
    "STEP",
    "Plane",
    "Polygons",
    "Position",
    "Ring",
    "area_of",
    "geometry_of",
    "ground_within",
    "plane_about",
    "polygons_from",
    "polygons_of",
    "without",
]

Position = tuple[float, float]
"""Longitude and latitude on WGS84. [deg]"""
Ring = tuple[Position, ...]
"""Corners of a ring, the first repeated at the end. [deg]"""
Polygons = tuple[tuple[Ring, ...], ...]
"""Polygons, each its outer ring and then its holes; outer rings run anticlockwise, holes clockwise."""

STEP = 1e-7
"""Step of longitudes and latitudes in files: about a centimetre. [deg]"""

_GRID = 0.01
"""Borders nearer than this are one. [m]"""
_NARROW = 0.1
"""Ground narrower than this is none. [m]"""
_GEOD = Geod(ellps="WGS84")
_FARTHEST = 60_000.0
"""Metres from the middle to which the plane is used: there, lengths across are 15 millionths too long."""


@dataclass(frozen=True)
class Plane:
    """A plane that touches the ellipsoid at a point; bearings and distances from that point are true.

    Azimuthal equidistant projection on WGS84 about ``longitude`` and ``latitude``. [deg]
    """

    longitude: float
    latitude: float

    @cached_property
    def _projection(self) -> Proj:
        return Proj(proj="aeqd", ellps="WGS84", lon_0=self.longitude, lat_0=self.latitude)

    def metres(self, degrees: BaseGeometry) -> BaseGeometry:
        """Lay a geometry in degrees on the plane, in metres.

        Raises DomainError where a corner lies more than 60 km from the middle.
        """

        def lay(corners: NDArray[np.float64]) -> NDArray[np.float64]:
            laid = np.column_stack(self._projection(corners[:, 0], corners[:, 1]))
            far = np.hypot(laid[:, 0], laid[:, 1])
            if not np.all(far <= _FARTHEST):
                worst = int(np.argmax(np.where(np.isfinite(far), far, np.inf)))
                seen = tuple(float(degree) for degree in corners[worst])
                raise DomainError("position", seen, "within 60 km of the middle of the field", index=worst)
            return laid

        return shapely.transform(degrees, lay)

    def degrees(self, metres: BaseGeometry) -> BaseGeometry:
        """Take a geometry on the plane back to degrees."""

        def lift(corners: NDArray[np.float64]) -> NDArray[np.float64]:
            return np.column_stack(self._projection(corners[:, 0], corners[:, 1], inverse=True))

        return shapely.transform(metres, lift)


def plane_about(positions: Sequence[Position]) -> Plane:
    """The plane about the middle of the box around some positions.

    Raises DomainError where there are none, or where they lie on both sides of the 180th meridian.
    """
    if not positions:
        raise DomainError("positions", (), "at least one")
    corners = np.asarray(positions, dtype=np.float64)
    (west, south), (east, north) = corners.min(axis=0), corners.max(axis=0)
    if east - west > 180:
        raise DomainError("longitude", (float(west), float(east)), "all on one side of the 180th meridian")
    return Plane(longitude=float(west + east) / 2, latitude=float(south + north) / 2)


def geometry_of(polygons: Polygons) -> MultiPolygon:
    """Polygons in degrees as one geometry.

    Raises DomainError where a ring crosses itself, a hole lies outside, or polygons overlap.
    """
    shape = MultiPolygon([Polygon(rings[0], rings[1:]) for rings in polygons])
    if not shape.is_valid:
        raise DomainError("polygons", shapely.is_valid_reason(shape), "simple rings that do not cross")
    return shape


def polygons_from(rings: Sequence[Ring], holes: Sequence[Ring] = ()) -> Polygons:
    """Polygons from outer rings and the holes cut out of them, as they are told apart in advice."""
    outer = shapely.union_all([Polygon(ring) for ring in rings])
    return polygons_of(outer.difference(shapely.union_all([Polygon(ring) for ring in holes])))


def polygons_of(geometry: BaseGeometry) -> Polygons:
    """The polygons of a geometry as plain rings, the westernmost first; lines and points in it are left out."""
    pieces = [
        tuple(_ring(ring.coords) for ring in (piece.exterior, *piece.interiors))
        for piece in (shapely.orient_polygons(piece) for piece in _polygons_in(geometry))
    ]
    return tuple(sorted(pieces))


def ground_within(rings: Sequence[Ring]) -> Polygons:
    """The ground that rings bound: each turns what lies in it from ground to none, or back."""
    ground = shapely.MultiPolygon()
    for ring in rings:
        ground = ground.symmetric_difference(Polygon(ring))
    return polygons_of(ground)


def without(polygons: Polygons, taken: Polygons, *, least: float) -> Polygons:
    """What is left of polygons when others are cut out, fit to be written into a file.

    Corners lie on a grid of ``STEP``, and the rings are simple there. Pieces below ``least`` m2, and whatever is
    narrower than a decimetre, are left out: no machine meets them, and shared borders leave hair-thin ones.
    """
    plane = plane_about([corner for rings in polygons for corner in rings[0]])
    cut = shapely.union_all([plane.metres(Polygon(rings[0], rings[1:])) for rings in taken])
    left = plane.metres(geometry_of(polygons)).difference(cut, grid_size=_GRID)
    wide = left.buffer(-_NARROW / 2, join_style="mitre").buffer(_NARROW / 2, join_style="mitre")
    written = shapely.set_precision(plane.degrees(wide), STEP)
    return tuple(rings for rings in polygons_of(written) if area_of((rings,)) >= least)


def area_of(polygons: Polygons) -> float:
    """Area of polygons on the ellipsoid in m2, holes taken off.

    References
    ----------
    karney2013
    """
    geometry = MultiPolygon([shapely.orient_polygons(Polygon(rings[0], rings[1:])) for rings in polygons])
    return float(abs(_GEOD.geometry_area_perimeter(geometry)[0]))


def _polygons_in(geometry: BaseGeometry) -> Iterator[Polygon]:
    for piece in shapely.get_parts(geometry):
        if isinstance(piece, Polygon) and not piece.is_empty:
            yield piece
        elif shapely.get_num_geometries(piece) > 1 or isinstance(piece, MultiPolygon):
            yield from _polygons_in(piece)


def _ring(corners: Sequence[tuple[float, ...]]) -> Ring:
    return tuple((float(corner[0]), float(corner[1])) for corner in corners)
