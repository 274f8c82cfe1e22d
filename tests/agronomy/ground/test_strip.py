"""Check strips: where they run, worked by hand, and that they never leave the ground."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pyproj import Geod
from tests.agronomy.ground.fields import MIDDLES, a_rectangle, a_shape, at, turned

from spadework.agronomy.ground.parts import part_about
from spadework.agronomy.ground.plane import geometry_of, plane_about
from spadework.agronomy.ground.strip import long_side, strip_through
from spadework.errors import DomainError

HERE = (-32.1, 51.2)
SOUTH = (85.4, -34.6)
GEOD = Geod(ellps="WGS84")
HALVES = [(-400, -100), (400, -100), (400, 100), (-400, 100)]


def metric(polygons, middle=HERE):
    return plane_about([middle]).metres(geometry_of(polygons))


def test_along_a_rectangle_a_width_in_from_the_edges():
    strip = strip_through(a_rectangle(HERE, 800, 400), width=24, bearing=90)

    # 24 m in at both ends.
    assert strip.length == pytest.approx(752, abs=0.1)
    assert strip.area == pytest.approx(752 * 24, abs=5)
    assert (strip.width, strip.bearing, strip.clear) == (24, 90, True)
    # Through the middle, as all places across are as good.
    assert metric(((strip.ring,),)).centroid.distance(metric(a_rectangle(HERE, 10, 10)).centroid) < 1


def test_across_the_rectangle_where_the_passes_run_so():
    strip = strip_through(a_rectangle(HERE, 800, 400), width=24, bearing=180)

    assert (strip.length, strip.bearing) == (pytest.approx(352, abs=0.1), 0)


@pytest.mark.parametrize("middle", [HERE, SOUTH], ids=["north", "south"])
@pytest.mark.parametrize("bearing", [0.0, 30.0, 90.0, 135.0, 179.0])
def test_the_ring_lies_by_the_compass(middle, bearing):
    strip = strip_through(a_rectangle(middle, 1000, 1000), width=12, bearing=bearing)
    sides = [GEOD.inv(*a, *b) for a, b in zip(strip.ring[:-1], strip.ring[1:], strict=True)]
    lengths = sorted(round(length, 1) for _, _, length in sides)
    along = next(azimuth for azimuth, _, length in sides if length > 100)

    assert lengths[:2] == [12.0, 12.0]
    assert (along - bearing) % 180 == pytest.approx(0, abs=0.05) or (along - bearing) % 180 == pytest.approx(
        180, abs=0.05
    )


def test_the_long_arm_of_a_bent_field_is_found():
    bent = a_shape(HERE, [(0, 0), (600, 0), (600, 200), (150, 200), (150, 500), (0, 500)])
    strip = strip_through(bent, width=20, bearing=90)

    # Only the lower arm is 600 m long.
    assert strip.length == pytest.approx(560, abs=0.1)
    assert strip.clear


def test_a_little_length_is_not_worth_the_edge():
    # A field 800 m long in the south and 820 m in the north: the middle is good enough.
    field = a_shape(HERE, [(-400, -200), (400, -200), (410, 200), (-410, 200)])
    strip = strip_through(field, width=24, bearing=90)

    assert metric(((strip.ring,),)).centroid.distance(metric(a_rectangle(HERE, 10, 10)).centroid) < 10
    # 810 m in the middle, 24 m off at each end, and the ends slant.
    assert strip.length == pytest.approx(762, abs=2)


def test_much_length_is_worth_it():
    # A wedge 200 m long in the south and 800 m in the north.
    field = a_shape(HERE, [(-100, -200), (100, -200), (400, 200), (-400, 200)])
    strip = strip_through(field, width=24, bearing=90)

    assert metric(((strip.ring,),)).centroid.y > 100


def test_a_pond_is_gone_round():
    pond = tuple(reversed(a_rectangle(HERE, 100, 60)[0][0]))
    field = ((a_rectangle(HERE, 800, 400)[0][0], pond),)
    strip = strip_through(field, width=24, bearing=90)

    assert strip.length == pytest.approx(752, abs=0.1)
    assert metric(((strip.ring,),)).distance(metric(((tuple(reversed(pond)),),))) > 23.9


def test_where_the_ground_is_too_narrow_to_keep_away_the_strip_still_fits_in():
    strip = strip_through(a_rectangle(HERE, 500, 50), width=24, bearing=90)

    assert (strip.length, strip.clear) == (pytest.approx(500, abs=0.1), False)


def test_ground_narrower_than_a_pass_is_the_strip():
    ground = a_rectangle(HERE, 500, 20)
    strip = strip_through(ground, width=24, bearing=90)

    assert (strip.length, strip.clear) == (pytest.approx(500, abs=0.5), False)
    assert strip.area == pytest.approx(500 * 20, abs=5)


def test_of_two_pieces_the_longer_holds_the_strip():
    pieces = (*a_rectangle(HERE, 200, 200), *a_rectangle(at(HERE, 500, 0), 400, 200))

    assert strip_through(pieces, width=10, bearing=90).length == pytest.approx(380, abs=0.1)


@pytest.mark.parametrize(("turn", "bearing"), [(0, 90), (20, 110), (90, 0), (-30, 60)])
@pytest.mark.parametrize("middle", [HERE, SOUTH], ids=["north", "south"])
def test_passes_run_along_the_long_side(turn, bearing, middle):
    found = long_side(a_shape(middle, turned(HALVES, turn)))

    # A line due north on one side of the plane is not quite due north on the other: within a twentieth of a degree.
    assert min(abs(found - bearing), 180 - abs(found - bearing)) < 0.05
    assert 0 <= found < 180


def test_the_long_side_of_a_field_in_pieces_is_that_of_the_whole():
    pieces = (*a_rectangle(HERE, 100, 100), *a_rectangle(at(HERE, 500, 0), 100, 100))

    assert long_side(pieces) == pytest.approx(90, abs=0.05)


@given(
    middle=MIDDLES,
    width=st.floats(3, 60),
    bearing=st.floats(-360, 360),
    places=st.lists(st.tuples(st.floats(-380, 380), st.floats(-180, 180)), min_size=2, max_size=6, unique=True),
)
def test_a_strip_lies_in_the_failed_part_whatever_its_shape(middle, width, bearing, places):
    field = a_rectangle(middle, 800, 400)
    part = part_about(field, {str(n): at(middle, *place) for n, place in enumerate(places)}, ["0"])
    strip = strip_through(part.polygons, width=width, bearing=bearing)

    laid, ground = metric(((strip.ring,),), middle), metric(part.polygons, middle)
    assert laid.difference(ground).area == pytest.approx(0, abs=0.5)
    assert 0 < strip.area <= part.area * (1 + 1e-6)
    assert 0 <= strip.bearing < 180
    if strip.clear:
        assert laid.distance(ground.boundary) > width - 0.05


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"width": 0.0}, "above 0"),
        ({"width": float("nan")}, "above 0"),
        ({"bearing": float("inf")}, "finite"),
        ({"ground": ()}, "one polygon or more"),
    ],
)
def test_what_is_no_strip_is_refused(wrong, message):
    given_ = {"ground": a_rectangle(HERE, 100, 100), "width": 12.0, "bearing": 0.0} | wrong
    with pytest.raises(DomainError, match=message):
        strip_through(given_["ground"], width=given_["width"], bearing=given_["bearing"])
