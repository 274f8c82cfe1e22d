"""Which part of a field its stops speak for: the ground that is nearer to them than to any other stop."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import shapely
from shapely import MultiPoint, Point
from shapely.geometry.base import BaseGeometry

from spadework.agronomy.ground.plane import (
    Plane,
    Polygons,
    Position,
    area_of,
    geometry_of,
    plane_about,
    polygons_of,
)
from spadework.errors import DomainError

__all__ = ["Part", "guessed_outline", "part_about", "parts_of"]

_SAME_PLACE = 1.0
"""Metres within which two stops count as one place; a telephone tells places apart no better."""
_LEAST_MARGIN = 25.0
"""Metres by which a guessed outline reaches beyond its stops at least."""


@dataclass(frozen=True)
class Part:
    """Part of a field: its polygons, and their area in m2."""

    polygons: Polygons
    area: float


def guessed_outline(stops: Sequence[Position], *, area: float | None = None) -> Polygons:
    """A guess at the outline of a field from its stops: their hull, let out on all sides.

    Parameters
    ----------
    stops : sequence of (longitude, latitude)
        Where plants were dug, at least one. [deg]
    area : float, optional
        Area of the field. The hull is let out until it holds that much; without it, by half the mean distance of
        a stop to its nearest neighbour. [m2]

    Returns
    -------
    Polygons
        One polygon. Never less than 25 m beyond the stops, even where that gives more than ``area``.

    Raises
    ------
    DomainError
        With no stop, with stops farther apart than fields are wide, or with a single place and no area.

    Notes
    -----
    A convex hull of area A and perimeter P, let out by d, holds A + P d + pi d^2 (Steiner's formula).
    """
    plane = plane_about(stops)
    places = _places(plane, stops)[0]
    hull = MultiPoint(places).convex_hull
    if area is not None:
        # The length of a line counts twice, there and back.
        around = 2 * hull.length if hull.geom_type == "LineString" else hull.length
        lacking = max(area - hull.area, 0.0)
        margin = (math.sqrt(around**2 + 4 * math.pi * lacking) - around) / (2 * math.pi)
    elif len(places) > 1:
        nearest = [min(here.distance(there) for there in places if there is not here) for here in places]
        margin = math.fsum(nearest) / len(nearest) / 2
    else:
        raise DomainError("stops", len(places), "two places or more where the area of the field is not known")
    return polygons_of(plane.degrees(hull.buffer(max(margin, _LEAST_MARGIN), quad_segs=16)))


def parts_of(field: Polygons, stops: Mapping[str, Position]) -> dict[str, Part]:
    """Part a field among its stops: each piece of ground to the stop that is nearest.

    Parameters
    ----------
    field : Polygons
        Boundary of the field; holes are no part of it.
    stops : mapping of name to (longitude, latitude)
        Where plants were dug. A stop outside the boundary has the ground inside that is nearest to it, if any.
        Stops within 1 m of each other share one part between them.

    Returns
    -------
    dict of name to Part
        The parts of stops at different places do not overlap and together are the field.

    Raises
    ------
    DomainError
        Where the boundary is not sound, or a stop lies farther off than 60 km.
    """
    if not stops:
        return {}
    plane, ground = _laid(field)
    places, number = _places(plane, tuple(stops.values()))
    parts = [_part(plane, piece) for piece in _shared_out(ground, places)]
    return {name: parts[place] for name, place in zip(stops, number, strict=True)}


def part_about(field: Polygons, stops: Mapping[str, Position], chosen: Sequence[str]) -> Part:
    """The ground of some stops as one part, its inner borders taken away; arguments as of ``parts_of``.

    A place that several stops share belongs to the part where any of them is chosen. With every stop chosen the
    part is the field itself, as its boundary has it; with none it is empty.
    """
    missing = [name for name in chosen if name not in stops]
    if missing:
        raise DomainError("chosen", missing[0], f"one of the stops ({', '.join(stops)})")
    if not chosen:
        return Part((), 0.0)
    plane, ground = _laid(field)
    places, number = _places(plane, tuple(stops.values()))
    wanted = {place for name, place in zip(stops, number, strict=True) if name in set(chosen)}
    if len(wanted) == len(places):
        return Part(field, area_of(field))
    pieces = _shared_out(ground, places)
    return _part(plane, shapely.union_all([pieces[place] for place in sorted(wanted)]))


def _laid(field: Polygons) -> tuple[Plane, BaseGeometry]:
    plane = plane_about([corner for rings in field for ring in rings for corner in ring])
    return plane, plane.metres(geometry_of(field))


def _places(plane: Plane, stops: Sequence[Position]) -> tuple[list[Point], list[int]]:
    """Places on the plane, none nearer than 1 m to another, and the number of the place of each stop."""
    places: list[Point] = []
    number: list[int] = []
    for stop in stops:
        here = plane.metres(Point(stop))
        same = next((index for index, place in enumerate(places) if place.distance(here) < _SAME_PLACE), None)
        if same is None:
            places.append(here)
        number.append(len(places) - 1 if same is None else same)
    return places, number


def _shared_out(ground: BaseGeometry, places: Sequence[Point]) -> list[BaseGeometry]:
    """The ground nearest to each place (Voronoi cells, clipped)."""
    if len(places) == 1:
        return [ground]
    cells = shapely.voronoi_polygons(MultiPoint(places), extend_to=ground, ordered=True)
    return [ground.intersection(cell) for cell in cells.geoms]


def _part(plane: Plane, piece: BaseGeometry) -> Part:
    polygons = polygons_of(plane.degrees(piece)) if not piece.is_empty else ()
    return Part(polygons, area_of(polygons) if polygons else 0.0)
