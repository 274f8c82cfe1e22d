"""Outlines of fields, as a book keeps them: one GeoJSON file (RFC 7946), a feature a field."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Iterable
from typing import Any

__all__ = ["BOUNDARY_FILE", "FieldBoundary", "Polygons", "Ring", "boundaries_text", "boundary_resource"]

BOUNDARY_FILE = "boundaries.geojson"

Ring = tuple[tuple[float, float], ...]
"""Longitude and latitude of the corners on WGS84, the first repeated at the end. [deg]"""
Polygons = tuple[tuple[Ring, ...], ...]
"""Polygons, each its outer ring (anticlockwise) and then its holes (clockwise)."""


@dataclasses.dataclass(frozen=True)
class FieldBoundary:
    """The outline of one field. ``feature`` is its number in the file it came from, for messages only."""

    field: str
    polygons: Polygons
    feature: int | None = dataclasses.field(default=None, compare=False)


def boundaries_text(boundaries: Iterable[FieldBoundary]) -> str:
    """Return outlines as a GeoJSON FeatureCollection, a feature a line."""
    features = ",\n".join(
        json.dumps(
            {"type": "Feature", "properties": {"field": boundary.field}, "geometry": _geometry(boundary.polygons)},
            ensure_ascii=False,
        )
        for boundary in boundaries
    )
    return f'{{"type": "FeatureCollection", "features": [\n{features}\n]}}\n'


def _geometry(polygons: Polygons) -> dict[str, Any]:
    if len(polygons) == 1:
        return {"type": "Polygon", "coordinates": polygons[0]}
    return {"type": "MultiPolygon", "coordinates": polygons}


def boundary_resource() -> dict[str, Any]:
    """Return what a Data Package says of the file."""
    return {
        "name": "boundaries",
        "title": "Boundaries of the fields",
        "path": BOUNDARY_FILE,
        "format": "geojson",
        "mediatype": "application/geo+json",
        "encoding": "utf-8",
    }
