"""What must agree between outlines, stops and the fields and plants they belong to."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence

from pyproj import Geod
from shapely import MultiPolygon, Point, Polygon
from shapely.ops import nearest_points

from spadework.errors import Fault
from spadework.records.boundary import BOUNDARY_FILE, FieldBoundary
from spadework.records.cells import closest
from spadework.records.types import FieldRow, PlantRow, StopRow

__all__ = ["check_boundaries", "check_stops"]

_GEOD = Geod(ellps="WGS84")
_NEAR = 30_000.0
"""Metres within which outline, stops and the position in fields.csv must lie; a village will do for the last."""
_HAND_HELD = 30.0
"""Metres by which a telephone may put a stop beyond its fence."""
_SAME_PLACE = 1.0
_AREA_ALIKE = 1.25
"""How many times larger one of two areas may be: seeded area leaves out headlands, sloughs and yards."""

Position = tuple[float, float]


def check_boundaries(boundaries: Sequence[FieldBoundary], fields: Sequence[FieldRow] | None) -> Iterator[Fault]:
    """Yield the faults between outlines and the fields table; ``fields`` is None where that could not be read."""
    if fields is None:
        return
    by_name = {row.field: row for row in fields}
    for boundary in boundaries:
        row = by_name.get(boundary.field)
        if row is None:
            near = closest(boundary.field, by_name)
            yield _of_outline(
                boundary,
                "boundaries.field.unknown",
                "is not in fields.csv" + ("." if near else "; its outline is passed over."),
                f"Did you mean {near}? Otherwise add it to fields.csv."
                if near
                else "Add it there if it is of the season.",
                severity="error" if near else "warning",
            )
            continue
        yield from _outline_against_field(boundary, row)


def _outline_against_field(boundary: FieldBoundary, row: FieldRow) -> Iterator[Fault]:
    shape = _shape(boundary)
    if row.longitude is not None and row.latitude is not None:
        said = (row.longitude, row.latitude)
        middle = (shape.centroid.x, shape.centroid.y)
        off = _apart(said, middle)
        if off > _NEAR and _swapped_apart(middle, said) <= _NEAR:
            yield _of_outline(
                boundary,
                "boundaries.swapped",
                f"lies {_kilometres(off)} from its position in fields.csv (line {row.line}), but would lie there with "
                "longitude and latitude swapped.",
                "Write longitude first, then latitude, in every position.",
            )
        elif off > _NEAR:
            yield _of_outline(
                boundary,
                "boundaries.far_off",
                f"lies {_kilometres(off)} from its position in fields.csv (line {row.line}).",
                "Correct the position there, or the name of the field here.",
            )
    if row.area is not None:
        drawn = abs(_GEOD.geometry_area_perimeter(shape)[0]) / 1e4
        if not 1 / _AREA_ALIKE <= drawn / row.area <= _AREA_ALIKE:
            yield _of_outline(
                boundary,
                "boundaries.area.differs",
                f"holds {drawn:.3g} ha, but fields.csv (line {row.line}) says {row.area:.3g} ha.",
                "Look at both again; maps of the field use the outline.",
                severity="warning",
            )


def _of_outline(boundary: FieldBoundary, kind: str, what: str, mend: str, severity: str = "error") -> Fault:
    said = f"Feature {boundary.feature}: field {json.dumps(boundary.field, ensure_ascii=False)} {what}"
    return Fault(BOUNDARY_FILE, None, None, kind, said, mend, severity=severity)


def check_stops(
    stops: Sequence[StopRow],
    boundaries: Sequence[FieldBoundary],
    fields: Sequence[FieldRow],
    plants: Sequence[PlantRow],
) -> Iterator[Fault]:
    """Yield the faults between positions of stops and outlines, fields and plants."""
    outlines = {boundary.field: _shape(boundary) for boundary in boundaries}
    by_name = {row.field: row for row in fields}
    dug: dict[str, set[str]] = {}
    for plant in plants:
        dug.setdefault(plant.field, set()).add(plant.stop)
    earlier: dict[str, list[StopRow]] = {}
    for stop in stops:
        before = earlier.setdefault(stop.field, [])
        first = before[0] if before else None
        yield from _stop_in_place(stop, outlines.get(stop.field), by_name.get(stop.field), first)
        yield from _stop_twice(stop, before)
        yield from _stop_undug(stop, dug)
        before.append(stop)


def _stop_in_place(
    stop: StopRow, outline: MultiPolygon | None, field: FieldRow | None, first: StopRow | None
) -> Iterator[Fault]:
    here = (stop.longitude, stop.latitude)
    if outline is not None:
        point = Point(here)
        if outline.covers(point):
            return
        nearest = nearest_points(outline, point)[0]
        target, what = (nearest.x, nearest.y), f"the outline of field {stop.field}"
        allowed = _HAND_HELD
    elif field is not None and field.longitude is not None and field.latitude is not None:
        target, what = (field.longitude, field.latitude), f"the position of field {stop.field} in fields.csv"
        allowed = _NEAR
    elif first is not None:
        target, what = (first.longitude, first.latitude), f"stop {first.stop} of field {stop.field}"
        allowed = _NEAR
    else:
        return
    off = _apart(here, target)
    if abs(here[0] - target[0]) > 180:
        yield Fault(
            StopRow.file,
            stop.line,
            "longitude",
            "stops.crosses_180",
            f"Stop {stop.stop} and {what} lie on both sides of the 180th meridian.",
            "Enter the ground on one side of it as a field of its own.",
        )
        return
    if off <= allowed:
        if outline is not None:
            yield Fault(
                StopRow.file,
                stop.line,
                "latitude",
                "stops.at_the_edge",
                f"Stop {stop.stop} lies {off:.0f} m outside {what}, which a telephone may be wrong by.",
                "Leave it, or correct the position.",
                severity="warning",
            )
        return
    swapped = _swapped_apart(here, target) <= _NEAR
    yield Fault(
        StopRow.file,
        stop.line,
        "latitude",
        "stops.swapped" if swapped else "stops.outside",
        f"Stop {stop.stop} lies {_kilometres(off)} from {what}.",
        "Latitude and longitude look swapped: swap the two."
        if swapped
        else "Correct the position (south and west are negative), or the name of the field.",
    )


def _stop_twice(stop: StopRow, earlier: Sequence[StopRow]) -> Iterator[Fault]:
    for other in earlier:
        if _apart((stop.longitude, stop.latitude), (other.longitude, other.latitude)) < _SAME_PLACE:
            yield Fault(
                StopRow.file,
                stop.line,
                "latitude",
                "stops.same_place",
                f"Stop {stop.stop} of field {stop.field} lies where stop {other.stop} does (line {other.line}).",
                "Correct one of the two positions; as they are, both stops share one part of the field.",
                severity="warning",
            )
            return


def _stop_undug(stop: StopRow, dug: Mapping[str, set[str]]) -> Iterator[Fault]:
    names = dug.get(stop.field, set())
    if not names or stop.stop in names:
        return
    yield Fault(
        StopRow.file,
        stop.line,
        "stop",
        "stops.stop.undug",
        f"No plant of field {stop.field} in plants.csv was dug at stop {stop.stop}.",
        f"If it is a slip, write one of: {', '.join(sorted(names))}.",
        severity="warning",
    )


def _shape(boundary: FieldBoundary) -> MultiPolygon:
    return MultiPolygon([Polygon(rings[0], rings[1:]) for rings in boundary.polygons])


def _apart(here: Position, there: Position) -> float:
    return float(_GEOD.inv(*here, *there)[2])


def _swapped_apart(here: Position, there: Position) -> float:
    """How far apart two places are when the first is read the other way round; without end where it cannot be."""
    longitude, latitude = here[1], here[0]
    return _apart((longitude, latitude), there) if abs(latitude) <= 90 else float("inf")


def _kilometres(metres: float) -> str:
    return f"{metres / 1000:,.0f} km" if metres >= 10_000 else f"{metres:,.0f} m"
