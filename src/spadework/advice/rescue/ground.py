"""Where nitrogen is missing and where a check strip runs: the failed part of a field, and the strip through it."""

from __future__ import annotations

import math

from spadework.advice.message import Message
from spadework.advice.rescue.value import CheckStrip, FailedPart, StopPosition
from spadework.advice.value import Verdict
from spadework.agronomy.ground.comparison import least_difference_paired
from spadework.agronomy.ground.parts import Part, guessed_outline, part_about
from spadework.agronomy.ground.plane import Polygons, Position, area_of, polygons_from, without
from spadework.agronomy.ground.strip import Strip, long_side, strip_through
from spadework.knowledge.rows import Knowledge
from spadework.quantity import Grade, Quantity
from spadework.records.types import FieldRecords

__all__ = ["ground_of", "treated_area", "treated_ground", "whole_field"]

_HECTARE = 10_000.0
_POOR = "poor"
_LEAST_PIECE = 10.0
"""Pieces of ground below this are left out; no machine meets them. [m2]"""


def ground_of(
    records: FieldRecords,
    verdict: Verdict | None,
    *,
    implement_width: float | None,
    strip_bearing: float | None,
    knowledge: Knowledge,
) -> tuple[FailedPart | None, CheckStrip]:
    """Draw the part of a field that failed, and lay a check strip through it.

    Parameters
    ----------
    records : FieldRecords
        With ``boundary`` and ``stops`` where they are known.
    verdict : Verdict or None
        Names the poor stops; where the whole field is poor, that is its failed part.
    implement_width, strip_bearing : float or None
        The user's own working width [m] and direction of the passes [deg from north]; else row ``strip.width`` and
        the long side of the field.

    Returns
    -------
    FailedPart or None
        None where nothing failed, or the part cannot be drawn: no outline and fewer than two places, or stops on one
        side of the patch without a position.
    CheckStrip
        Through the failed part, else through the field; without a ring where neither can be drawn.
    """
    part = _failed(records, verdict)
    ground = part if part is not None else whole_field(records)
    row = knowledge.figure("strip.width")
    width = row.quantity() if implement_width is None else Quantity(implement_width, "m")
    if ground is None:
        return part, _unplaced(width, records, knowledge)
    bearing = long_side(_outline(records)[0]) if strip_bearing is None else strip_bearing
    strip = strip_through(polygons_from(ground.rings, ground.holes), width=width.value, bearing=bearing)
    return part, _placed(strip, width, records, knowledge, where="part" if part is not None else "field")


def whole_field(records: FieldRecords) -> FailedPart | None:
    """The whole field as one part; None where its outline is neither drawn nor can be guessed from its stops."""
    outline, drawn = _outline(records)
    if not outline:
        return None
    return _as_told(records, outline, drawn, Part(outline, area_of(outline)), tuple(row.stop for row in records.stops))


def treated_ground(part: FailedPart, strip: CheckStrip | None) -> Polygons:
    """The ground of a part that nitrogen is spread on: all but the check strip."""
    check: Polygons = () if strip is None or strip.ring is None else ((strip.ring,),)
    return without(polygons_from(part.rings, part.holes), check, least=_LEAST_PIECE)


def treated_area(
    records: FieldRecords, part: FailedPart | None, strip: CheckStrip | None, *, in_part: bool
) -> Quantity | None:
    """The area that nitrogen is spread on [ha]; ``in_part`` says that it is meant for a part of the field only.

    Without a map of the field its recorded area, of which the check strip is not taken off. None where neither is
    known, or a part has no map.
    """
    ground = part if part is not None or in_part else whole_field(records)
    if ground is not None:
        return Quantity(area_of(treated_ground(ground, strip)) / _HECTARE, "ha", grade=ground.area.grade)
    return None if in_part or records.field.area is None else Quantity(records.field.area, "ha")


def _failed(records: FieldRecords, verdict: Verdict | None) -> FailedPart | None:
    if verdict is None:
        return None
    if verdict.patch is None:
        if verdict.leading != _POOR:
            return None
        outline, drawn = _outline(records)
        stops = tuple(summary.stop for summary in verdict.stop_summaries)
        return _as_told(records, outline, drawn, Part(outline, area_of(outline)), stops) if outline else None
    places = _places(records)
    poor = [stop for stop in verdict.patch.poor_stops if stop in places]
    good = [stop for stop in verdict.patch.good_stops if stop in places]
    if not poor or not good:
        return None
    outline, drawn = _outline(records)
    if not outline:
        return None
    part = part_about(outline, {stop: places[stop] for stop in (*poor, *good)}, poor)
    # A poor stop may lie so far beyond the fence that other stops are nearer to all of the field.
    return _as_told(records, outline, drawn, part, tuple(poor)) if part.polygons else None


def _places(records: FieldRecords) -> dict[str, Position]:
    return {row.stop: (row.longitude, row.latitude) for row in records.stops}


def _outline(records: FieldRecords) -> tuple[Polygons, bool]:
    """Outline of the field, and whether somebody drew it; empty where it cannot even be guessed."""
    if records.boundary is not None:
        return records.boundary.polygons, True
    places = list(_places(records).values())
    area = records.field.area
    if not places or (area is None and len(set(places)) < 2):
        return (), False
    return guessed_outline(places, area=None if area is None else area * _HECTARE), False


def _as_told(records: FieldRecords, outline: Polygons, drawn: bool, part: Part, stops: tuple[str, ...]) -> FailedPart:
    largest = max(outline, key=lambda rings: area_of((rings,)))
    whole = part.polygons == outline
    return FailedPart(
        area=Quantity(part.area / _HECTARE, "ha", grade=None if whole and drawn else Grade.JUDGEMENT),
        rings=tuple(rings[0] for rings in part.polygons),
        holes=tuple(hole for rings in part.polygons for hole in rings[1:]),
        stops=stops,
        outline=largest[0],
        more_outline=tuple(ring for rings in outline for ring in rings if ring != largest[0]),
        drawn=drawn,
        positions=tuple(
            StopPosition(stop=row.stop, longitude=row.longitude, latitude=row.latitude, failed=row.stop in stops)
            for row in records.stops
        ),
    )


def _placed(strip: Strip, width: Quantity, records: FieldRecords, knowledge: Knowledge, *, where: str) -> CheckStrip:
    stretch = knowledge.figure("strip.stretch").central
    fits = "clear" if strip.clear else "tight"
    return CheckStrip(
        width=width,
        length=Quantity(strip.length, "m"),
        bearing=strip.bearing,
        ring=strip.ring,
        tells=_tells(math.floor(strip.length / stretch), records, knowledge, "strip.stretch"),
        message=Message(f"rescue.strip.{where}.{fits}", {"bearing": strip.bearing}, sources=width.sources),
    )


def _unplaced(width: Quantity, records: FieldRecords, knowledge: Knowledge) -> CheckStrip:
    pairs = round(knowledge.figure("strip.stretches").central)
    return CheckStrip(
        width=width,
        length=None,
        bearing=None,
        ring=None,
        tells=_tells(pairs, records, knowledge, "strip.stretches"),
        message=Message("rescue.strip.unplaced", sources=width.sources),
    )


def _tells(pairs: int, records: FieldRecords, knowledge: Knowledge, counted_by: str) -> Message:
    """The least difference that comparing the strip with the passes on either side can be expected to show."""
    used = ("strip.plot_cv", "strip.power", "planning.interval_level", counted_by)
    stretch = knowledge.figure("strip.stretch").central
    if pairs < 2:
        return Message("rescue.strip.tells.too_short", {"stretch": stretch}, sources=used)
    power = knowledge.figure("strip.power").central
    # The strip has the scatter of one pass, the mean of the two beside it that of half as much variance.
    scatter = knowledge.figure("strip.plot_cv").central * math.sqrt(1 + 1 / 2)
    confidence = knowledge.figure("planning.interval_level").central
    least = least_difference_paired(pairs=pairs, sd=scatter, confidence=confidence, power=power)
    values = {"pairs": pairs, "least": least, "power": power}
    grain = records.field.expected_yield
    if grain is None:
        return Message("rescue.strip.tells.share", values, sources=used)
    return Message("rescue.strip.tells.grain", {**values, "grain": least * grain}, sources=used)
