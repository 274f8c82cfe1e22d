"""Fields with straight sides for tests, laid out in metres by the geodesic itself and not by the plane under test."""

import math

from hypothesis import strategies as st
from pyproj import Geod

GEOD = Geod(ellps="WGS84")

MIDDLES = st.tuples(st.floats(-179, 179), st.floats(-66, 66))
"""Where fields can lie: longitude, latitude; both hemispheres."""


def at(middle, east, north):
    """The position some metres east and north of another."""
    longitude, latitude, _ = GEOD.fwd(*middle, math.degrees(math.atan2(east, north)), math.hypot(east, north))
    return longitude, latitude


def a_shape(middle, corners):
    """One polygon from corners in metres about a middle, anticlockwise."""
    ring = tuple(at(middle, *corner) for corner in corners)
    return ((ring + ring[:1],),)


def a_rectangle(middle, width, height):
    """A rectangle so many metres from west to east and from south to north."""
    x, y = width / 2, height / 2
    return a_shape(middle, [(-x, -y), (x, -y), (x, y), (-x, y)])


def turned(corners, degrees):
    """Corners turned clockwise, as bearings are."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return [(x * c + y * s, y * c - x * s) for x, y in corners]
