"""Degrees to metres and back: distances, areas, and what is refused."""

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from pyproj import Geod
from shapely import MultiPolygon, Point, Polygon
from tests.agronomy.ground.fields import MIDDLES, a_rectangle

from spadework.agronomy.ground.plane import (
    STEP,
    area_of,
    geometry_of,
    ground_within,
    plane_about,
    polygons_from,
    polygons_of,
    without,
)
from spadework.errors import DomainError

GEOD = Geod(ellps="WGS84")


def test_the_middle_is_nought_and_north_is_up():
    plane = plane_about([(-32.1, 51.2)])

    assert plane.metres(Point(-32.1, 51.2)).coords[0] == (0.0, 0.0)
    east, north = plane.metres(Point(-32.1, 51.21)).coords[0]
    # A hundredth of a degree of latitude at 51.2 N: 111,259 m a degree (WGS84 meridian radius), so about 1112.6 m.
    assert (east, north) == (pytest.approx(0, abs=1e-6), pytest.approx(1112.6, abs=0.1))


@given(middle=MIDDLES, east=st.floats(-0.3, 0.3), north=st.floats(-0.3, 0.3))
def test_there_and_back_is_the_same_place(middle, east, north):
    longitude, latitude = middle[0] + east, middle[1] + north
    plane = plane_about([middle])
    again = plane.degrees(plane.metres(Point(longitude, latitude)))

    # 1e-9 deg is a tenth of a millimetre.
    assert again.coords[0] == (pytest.approx(longitude, abs=1e-9), pytest.approx(latitude, abs=1e-9))


@given(middle=MIDDLES, east=st.floats(-0.01, 0.01), north=st.floats(-0.01, 0.01))
def test_distances_over_a_field_are_those_on_the_ellipsoid(middle, east, north):
    here, there = (middle[0] + east, middle[1] + north), (middle[0] - north, middle[1] + east / 2)
    plane = plane_about([middle])
    on_plane = plane.metres(Point(here)).distance(plane.metres(Point(there)))

    assert on_plane == pytest.approx(GEOD.inv(*here, *there)[2], abs=0.01)


def test_a_place_far_away_is_refused():
    with pytest.raises(DomainError, match="within 60 km of the middle"):
        plane_about([(-32.1, 51.2)]).metres(Point(51.2, -32.1))


def test_the_180th_meridian_is_refused():
    with pytest.raises(DomainError, match="one side of the 180th meridian"):
        plane_about([(179.99, -17.0), (-179.99, -17.0)])


def test_no_place_at_all_is_refused():
    with pytest.raises(DomainError, match="at least one"):
        plane_about([])


@given(middle=MIDDLES, width=st.floats(50, 3000), height=st.floats(50, 3000))
def test_the_area_of_a_rectangle_is_width_times_height(middle, width, height):
    assert area_of(a_rectangle(middle, width, height)) == pytest.approx(width * height, rel=1e-5)


def test_holes_are_taken_off_and_pieces_added():
    outer = a_rectangle((-32.1, 51.2), 400, 400)
    hole = a_rectangle((-32.1, 51.2), 100, 100)
    other = a_rectangle((-32.09, 51.2), 100, 200)
    both = ((outer[0][0], tuple(reversed(hole[0][0]))), *other)

    # 400 x 400 - 100 x 100 + 100 x 200.
    assert area_of(both) == pytest.approx(170_000, abs=1)


def test_the_way_a_ring_runs_does_not_change_its_area():
    field = a_rectangle((-32.1, 51.2), 400, 300)

    assert area_of(((tuple(reversed(field[0][0])),),)) == area_of(field)


def test_rings_come_back_with_outer_ones_anticlockwise_and_holes_clockwise():
    shape = Polygon(
        [(0, 0), (0, 4), (4, 4), (4, 0)],  # clockwise
        [[(1, 1), (2, 1), (2, 2), (1, 2)]],  # anticlockwise
    )
    ((outer, hole),) = polygons_of(shape)

    assert shapely.is_ccw(shapely.LinearRing(outer))
    assert not shapely.is_ccw(shapely.LinearRing(hole))
    assert outer[0] == outer[-1]


def test_lines_and_points_are_no_part_of_a_field():
    mixed = shapely.GeometryCollection([Point(0, 0), shapely.box(0, 0, 1, 1), shapely.LineString([(0, 0), (1, 1)])])

    assert len(polygons_of(mixed)) == 1
    assert polygons_of(Point(0, 0)) == ()


def test_pieces_inside_a_collection_are_found():
    nested = shapely.GeometryCollection([MultiPolygon([shapely.box(0, 0, 1, 1), shapely.box(2, 0, 3, 1)])])

    assert len(polygons_of(nested)) == 2


def test_rings_and_holes_told_apart_come_together_again():
    field = a_rectangle((-32.1, 51.2), 400, 400)
    pond = tuple(reversed(a_rectangle((-32.1, 51.2), 100, 100)[0][0]))
    piece = a_rectangle((-32.08, 51.2), 100, 200)
    together = polygons_from([field[0][0], piece[0][0]], [pond])

    # 16 ha less 1 ha, and 2 ha.
    assert area_of(together) == pytest.approx(170_000, abs=1)
    assert [len(rings) for rings in together] == [2, 1]


def test_what_is_cut_out_is_gone_and_slivers_with_it():
    field = a_rectangle((-32.1, 51.2), 400, 400)
    # 400 m wide and 399.6 m high: what is left of it is two stripes of 20 cm, 80 m2 each.
    nearly_all = a_rectangle((-32.1, 51.2), 400, 399.6)

    assert area_of(without(field, a_rectangle((-32.1, 51.2), 100, 100), least=10)) == pytest.approx(150_000, abs=8)
    assert len(without(field, nearly_all, least=10)) == 2
    assert without(field, nearly_all, least=100) == ()
    # Corners move by half a step of the grid at most.
    assert geometry_of(without(field, (), least=10)).hausdorff_distance(geometry_of(field)) < STEP


@pytest.mark.parametrize(
    "polygons",
    [
        ((((0.0, 0.0), (1.0, 1.0), (1.0, 0.0), (0.0, 1.0), (0.0, 0.0)),),),
        (
            (
                ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 0.0)),
                ((5.0, 5.0), (6.0, 5.0), (6.0, 6.0), (5.0, 5.0)),
            ),
        ),
    ],
    ids=["crosses itself", "hole outside"],
)
def test_rings_that_bound_nothing_are_refused(polygons):
    with pytest.raises(DomainError, match="simple rings that do not cross"):
        geometry_of(polygons)


def test_a_plane_knows_bearings():
    east, north = plane_about([(-32.1, 51.2)]).metres(Point(-32.09, 51.205)).coords[0]

    assert math.degrees(math.atan2(east, north)) == pytest.approx(GEOD.inv(-32.1, 51.2, -32.09, 51.205)[0], abs=1e-6)


def test_each_further_ring_turns_ground_to_none_or_back():
    field, pond, island = (a_rectangle((-32.1, 51.2), side, side)[0][0] for side in (400, 200, 100))

    # 16 ha less 4 ha, and the island of 1 ha in it.
    assert area_of(ground_within([field, pond, island])) == pytest.approx(130_000, abs=1)


def test_what_is_left_of_a_field_is_sound_where_the_cut_runs_along_its_edge():
    field = a_rectangle((-32.1, 51.2), 400, 400)
    (west, south), (east, _), (_, north) = field[0][0][:3]
    # Corners of the cut lie a hair inside the edges of the field, as rounding leaves them.
    hair = 3e-9
    half = (((west + hair, south), ((west + east) / 2, south + hair), ((west + east) / 2, north), (west, north - hair),
             (west + hair, south)),)  # fmt: skip

    left = geometry_of(without(field, (half,), least=10))
    assert left.is_valid
    assert len(left.geoms) == 1
    assert shapely.get_num_coordinates(left) <= 6
