"""A small map: outline of the field, the part that failed, the check strip and the stops, as places in a frame."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from shapely import LineString, Point

from spadework.advice.messages import fill
from spadework.advice.rescue.value import Decision
from spadework.agronomy.ground.plane import plane_about
from spadework.quantity import Quantity
from spadework.report.display import UnitSystem, format_quantity, shown
from spadework.report.reader import Reader

__all__ = ["field_map"]

_BARS = (10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000, 20_000)
_BAR_SHARE = 0.4
"""The scale bar is at most this share of the width of the map."""


def field_map(decision: Decision, reader: Reader) -> dict[str, Any] | None:
    """Lay out the map, north up; None where nothing of it has a position.

    Returns
    -------
    dict
        ``ratio`` of height to width; ``outline``, ``strip`` (lists of places, may be empty) and ``failed`` (a list of
        them); ``stops`` (place, label, failed); ``bar`` (its share of the width, its text); texts of the legend and
        ``alt``. Places run from the left and from the top, both from 0 to 1.
    """
    units, words, part, strip = reader.units, reader.texts["map"], decision.part, decision.strip
    strip_ring = () if strip is None or strip.ring is None else strip.ring
    rings = [strip_ring] if part is None else [part.outline, *part.rings, strip_ring]
    positions = () if part is None else part.positions
    corners = [corner for ring in rings for corner in ring]
    corners += [(stop.longitude, stop.latitude) for stop in positions]
    if not corners:
        return None
    plane = plane_about(corners)

    def laid(ring: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
        geometry = LineString(ring) if len(ring) > 1 else Point(ring[0])
        return [(float(x), float(y)) for x, y in plane.metres(geometry).coords]

    metres = laid([*corners, corners[0]])
    west, east = min(x for x, _ in metres), max(x for x, _ in metres)
    south, north = min(y for _, y in metres), max(y for _, y in metres)
    width, height = max(east - west, 1.0), max(north - south, 1.0)

    def places(ring: Sequence[tuple[float, float]]) -> list[list[float]]:
        return [[round((x - west) / width, 5), round((north - y) / height, 5)] for x, y in laid(ring)] if ring else []

    bar = _bar(width, units)
    return {
        "ratio": height / width,
        "outline": [] if part is None else places(part.outline),
        "drawn": part is None or part.drawn,
        "failed": [] if part is None else [places(ring) for ring in part.rings],
        "strip": places(strip_ring),
        "stops": [
            {"at": places([(stop.longitude, stop.latitude)])[0], "label": stop.stop, "failed": stop.failed}
            for stop in positions
        ],
        "bar": bar,
        "title": words["title"],
        "north": words["north"],
        "legend_failed": ""
        if part is None
        else fill(words["failed"], {"area": format_quantity(part.area, units, interval=False)}),
        "legend_strip": words["strip"] if strip_ring else "",
        "legend_outline": "" if part is None else words["outline" if part.drawn else "guessed"],
        "alt": _alt(decision, reader),
    }


def _bar(width: float, units: UnitSystem) -> dict[str, Any]:
    """The longest round length that takes no more than its share of the width, in metres or feet."""
    seen = shown(Quantity(width, "m"), units)
    length = max((bar for bar in _BARS if bar <= _BAR_SHARE * seen.value), default=_BARS[0])
    return {"share": round(length / seen.value, 5), "text": f"{length} {seen.unit}"}


def _alt(decision: Decision, reader: Reader) -> str:
    part, words = decision.part, reader.texts["map"]
    if part is None:
        return words["alt_strip"]
    values = {"area": format_quantity(part.area, reader.units, interval=False), "stops": ", ".join(part.stops)}
    return fill(words["alt"], values)
