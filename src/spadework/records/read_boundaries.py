"""From the bytes of boundaries.geojson to outlines, with every fault of every feature.

Follows RFC 7946, but is strict about what would put a field in another place: coordinates are longitude and latitude
on WGS84, in this order, and every ring is closed and does not cross itself.
"""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from typing import Any

import shapely
from shapely import MultiPolygon, Polygon

from spadework.errors import Fault, RecordError
from spadework.records.boundary import BOUNDARY_FILE, FieldBoundary, Polygons, Ring
from spadework.records.dialect import decode
from spadework.records.refusal import Refused, quoted

__all__ = ["read_boundaries"]

_FARTHEST_NORTH = 66.0
"""Latitude up to which a field can lie, as in fields.csv. [deg]"""
_WGS84 = ("crs84", "epsg::4326", "epsg:4326", "epsg/0/4326")
"""Ends of the names by which older files say that they are in longitude and latitude on WGS84."""


def read_boundaries(data: bytes) -> tuple[tuple[FieldBoundary, ...], list[Fault]]:
    """Read the outlines; features without fault come back even where others have some."""
    try:
        features = _features(decode(data, BOUNDARY_FILE))
    except RecordError as error:
        return (), [error.fault]
    found: dict[str, FieldBoundary] = {}
    faults: list[Fault] = []
    for number, feature in enumerate(features, start=1):
        try:
            boundary = _boundary(feature, number)
            if boundary.field in found:
                raise Refused(
                    "boundaries.field.twice",
                    f"This field has an outline already, in feature {found[boundary.field].feature}.",
                    "Take one out; a field in several pieces is one feature with a MultiPolygon.",
                )
            found[boundary.field] = boundary
        except Refused as refused:
            what = f"Feature {number}{_called(feature)}: {refused.what}"
            faults.append(Fault(BOUNDARY_FILE, None, None, refused.kind, what, refused.mend))
    return tuple(found.values()), faults


def _whole(kind: str, what: str, mend: str, line: int | None = None) -> RecordError:
    return RecordError(Fault(BOUNDARY_FILE, line, None, kind, what, mend))


def _not_a_number(text: str) -> float:
    raise ValueError(text)


def _features(text: str) -> list[Any]:
    try:
        document = json.loads(text, parse_constant=_not_a_number)
    except json.JSONDecodeError as error:
        raise _whole(
            "boundaries.json",
            f"This is no JSON: {error.msg} at sign {error.colno} of the line.",
            "Export the outlines again as GeoJSON, or mend the line in an editor.",
            error.lineno,
        ) from error
    except (ValueError, RecursionError) as error:
        raise _whole(
            "boundaries.json",
            f"This is no JSON that can be read: {quoted(str(error))}.",
            "Export the outlines again as GeoJSON; every coordinate is a plain number.",
        ) from error
    kind = document.get("type") if isinstance(document, dict) else None
    if kind != "FeatureCollection" or not isinstance(document.get("features"), list):
        raise _whole(
            "boundaries.not_a_collection",
            f"The file must hold a FeatureCollection, but holds {_shown(kind if kind is not None else document)}.",
            'Export all outlines in one layer as GeoJSON: {"type": "FeatureCollection", "features": [...]}.',
        )
    _check_system(document.get("crs"))
    return list(document["features"])


def _check_system(crs: Any) -> None:
    """Refuse another coordinate system; that of old files which is no other passes."""
    if crs is None:
        return
    properties = crs.get("properties") if isinstance(crs, dict) else None
    name = properties.get("name") if isinstance(properties, dict) else None
    if not (isinstance(name, str) and name.casefold().endswith(_WGS84)):
        raise _whole(
            "boundaries.other_system",
            f"The file names another coordinate system ({_shown(name if name is not None else crs)}).",
            "Export it again in longitude and latitude on WGS84 (EPSG:4326), which is all that GeoJSON allows.",
        )


def _boundary(feature: Any, number: int) -> FieldBoundary:
    if not isinstance(feature, dict) or feature.get("type") != "Feature":
        raise Refused(
            "boundaries.not_a_feature",
            f"It must be a Feature, but is {_shown(feature)}.",
            'Write {"type": "Feature", "properties": {"field": "north-12"}, "geometry": {...}}.',
        )
    field = _field_of(feature)
    geometry = feature.get("geometry")
    kind = geometry.get("type") if isinstance(geometry, dict) else None
    if kind not in ("Polygon", "MultiPolygon") or not isinstance(geometry, dict):
        raise Refused(
            "boundaries.not_a_polygon",
            f"The geometry must be a Polygon or a MultiPolygon, but is {_shown(kind if kind else geometry)}.",
            "Draw the field as an area; a line or a point bounds nothing.",
        )
    pieces = geometry.get("coordinates")
    rings = [pieces] if kind == "Polygon" else pieces
    if not isinstance(rings, list) or not rings:
        raise _no_coordinates(pieces)
    return FieldBoundary(field, _sound([_polygon(piece) for piece in rings]), number)


def _field_of(feature: dict[str, Any]) -> str:
    properties = feature.get("properties")
    field = properties.get("field") if isinstance(properties, dict) else None
    if isinstance(field, int) and not isinstance(field, bool):
        field = str(field)
    if not isinstance(field, str) or not field.strip():
        known = ", ".join(map(str, properties)) if isinstance(properties, dict) and properties else "none"
        raise Refused(
            "boundaries.field.missing",
            f"It does not say which field it is; its properties: {quoted(known)}.",
            'Give it the property "field" with the name of the field in fields.csv.',
        )
    return field.strip()


def _polygon(rings: Any) -> list[Ring]:
    if not isinstance(rings, list) or not rings:
        raise _no_coordinates(rings)
    return [_ring(ring) for ring in rings]


def _no_coordinates(seen: Any) -> Refused:
    return Refused(
        "boundaries.coordinates",
        f"The coordinates must be rings of positions, but are {_shown(seen)}.",
        "Write [[[longitude, latitude], ...]] for a Polygon, with one more bracket for a MultiPolygon.",
    )


def _ring(positions: Any) -> Ring:
    if not isinstance(positions, list):
        raise _no_coordinates(positions)
    ring = tuple(_position(position) for position in positions)
    if len(ring) < 4:
        raise Refused(
            "boundaries.ring.short",
            f"A ring has {len(ring)} positions; it needs 4, of which the last repeats the first.",
            "Draw at least three corners and close the ring.",
        )
    if ring[0] != ring[-1]:
        raise Refused(
            "boundaries.ring.open",
            f"A ring is not closed: it begins at {_place(ring[0])} and ends at {_place(ring[-1])}.",
            "Repeat the first position at the end.",
        )
    longitudes = [longitude for longitude, _ in ring]
    if max(longitudes) - min(longitudes) > 180:
        raise Refused(
            "boundaries.crosses_180",
            f"A ring spans longitudes {min(longitudes):g} to {max(longitudes):g}, across the 180th meridian.",
            "Enter the ground on one side of it as a field of its own.",
        )
    return ring


def _position(position: Any) -> tuple[float, float]:
    if not isinstance(position, list) or len(position) < 2 or not all(map(_is_number, position[:2])):
        raise Refused(
            "boundaries.coordinates",
            f"A position must be [longitude, latitude], but is {_shown(position)}.",
            "Write two plain numbers in degrees; a third, the height, is passed over.",
        )
    longitude, latitude = float(position[0]), float(position[1])
    if abs(longitude) <= 180 and abs(latitude) <= _FARTHEST_NORTH:
        return longitude, latitude
    if abs(longitude) > 180 or abs(latitude) > 180:
        raise Refused(
            "boundaries.other_system",
            f"[{longitude:g}, {latitude:g}] is no longitude and latitude in degrees.",
            "The file is in another coordinate system: export it again in WGS84 (EPSG:4326).",
        )
    if abs(longitude) <= _FARTHEST_NORTH:
        raise Refused(
            "boundaries.swapped",
            f"[{longitude:g}, {latitude:g}] has latitude {latitude:g}; longitude comes first, then latitude.",
            f"If the field lies at latitude {longitude:g}, longitude {latitude:g}, swap the two in every position.",
        )
    raise Refused(
        "boundaries.coordinates",
        f"Latitude {latitude:g} lies beyond {_FARTHEST_NORTH:g}, where none of the crops grows.",
        "Write longitude first and then latitude, in degrees.",
    )


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def _sound(polygons: Sequence[Sequence[Ring]]) -> Polygons:
    """Return the polygons with rings that run the way the standard says, or refuse what bounds no ground."""
    shape = MultiPolygon([Polygon(rings[0], rings[1:]) for rings in polygons])
    if not shape.is_valid or shape.area == 0:
        reason = shapely.is_valid_reason(shape) if not shape.is_valid else "it holds no ground"
        name, _, place = reason.partition("[")
        where = f" near [{place.rstrip(']').replace(' ', ', ')}]" if place else ""
        raise Refused(
            "boundaries.ring.crosses",
            f"The outline is not sound: {name.strip().lower()}{where}.",
            "Draw it again so that no line crosses another, holes lie inside, and pieces do not overlap.",
        )
    oriented = [shapely.orient_polygons(piece) for piece in shape.geoms]
    return tuple(tuple(_plain(ring.coords) for ring in (piece.exterior, *piece.interiors)) for piece in oriented)


def _plain(corners: Sequence[tuple[float, ...]]) -> Ring:
    return tuple((float(corner[0]), float(corner[1])) for corner in corners)


def _called(feature: Any) -> str:
    properties = feature.get("properties") if isinstance(feature, dict) else None
    field = properties.get("field") if isinstance(properties, dict) else None
    return f" (field {quoted(str(field))})" if field else ""


def _place(position: tuple[float, float]) -> str:
    return f"[{position[0]:g}, {position[1]:g}]"


def _shown(value: Any) -> str:
    if isinstance(value, str):
        return quoted(value)
    return "nothing" if value is None else quoted(json.dumps(value, default=str))
