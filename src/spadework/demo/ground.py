"""Where some fields of the demo lie: outlines and stops, in metres about the position of the field.

Five fields have them: two patches, two whole failures (one with a pond in it), and one whose stops alone are known, so
that its outline is guessed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from shapely import Point, Polygon

from spadework.agronomy.ground.plane import Plane, polygons_of
from spadework.records.types import FieldBoundary, FieldRow, StopRow

__all__ = ["GROUNDS", "Ground", "boundary_of", "stops_of"]

Place = tuple[float, float]
"""Metres east and north of the position of the field."""

_STOP_DECIMALS = 5
"""As a telephone gives them: about a metre."""
_OUTLINE_DECIMALS = 6


@dataclass(frozen=True)
class Ground:
    """Outline, ponds in it, and the stops in the order of their names from 1; an empty outline is one not known."""

    outline: tuple[Place, ...]
    stops: tuple[Place, ...]
    ponds: tuple[tuple[Place, ...], ...] = ()


GROUNDS: Mapping[str, Ground] = MappingProxyType(
    {
        # Good everywhere but at the third stop, in the wet hole.
        "north-05": Ground(
            outline=((-430, -410), (440, -400), (430, 420), (-440, 410)),
            stops=((-280, -220), (-210, 240), (260, -190), (230, 250)),
        ),
        "north-02": Ground(
            outline=((-400, -370), (380, -380), (400, 360), (-380, 375)),
            stops=((-220, -180), (30, 60), (240, 200)),
        ),
        "north-03": Ground(
            outline=((-310, -260), (310, -250), (320, 265), (-300, 260)),
            stops=((-200, -120), (-110, 170), (230, 90)),
            ponds=(((40, -120), (150, -110), (130, -30), (60, -40)),),
        ),
        # The two stops in the south-east were sown from the last load.
        "south-18": Ground(
            outline=((-400, -370), (410, -380), (390, 370), (-390, 380)),
            stops=((-270, 230), (-250, -30), (-20, 220), (230, -260), (260, 10), (250, 250)),
        ),
        "south-12": Ground(outline=(), stops=((-260, -240), (40, 30), (280, 260))),
    }
)


def _plane(row: FieldRow) -> Plane:
    assert row.longitude is not None  # noqa: S101 - held for each of these fields by a test
    assert row.latitude is not None  # noqa: S101
    return Plane(row.longitude, row.latitude)


def stops_of(row: FieldRow) -> Iterator[StopRow]:
    """Where the stops of a field lie; nothing for a field without."""
    for number, place in enumerate(GROUNDS[row.field].stops if row.field in GROUNDS else (), start=1):
        here = _plane(row).degrees(Point(place))
        yield StopRow(
            field=row.field,
            stop=str(number),
            latitude=round(here.y, _STOP_DECIMALS),
            longitude=round(here.x, _STOP_DECIMALS),
        )


def boundary_of(row: FieldRow) -> FieldBoundary | None:
    """The outline of a field, or None where none was drawn."""
    ground = GROUNDS.get(row.field)
    if ground is None or not ground.outline:
        return None
    (rings,) = polygons_of(_plane(row).degrees(Polygon(ground.outline, ground.ponds)))
    return FieldBoundary(row.field, (tuple(_rounded(ring) for ring in rings),))


def _rounded(ring: Sequence[Place]) -> tuple[Place, ...]:
    return tuple((round(x, _OUTLINE_DECIMALS), round(y, _OUTLINE_DECIMALS)) for x, y in ring)
