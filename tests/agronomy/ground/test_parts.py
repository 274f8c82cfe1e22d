"""Parts of a field by its stops, worked by hand and as what always holds."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely import Point
from tests.agronomy.ground.fields import MIDDLES, a_rectangle, a_shape, at

from spadework.agronomy.ground.parts import guessed_outline, part_about, parts_of
from spadework.agronomy.ground.plane import area_of, geometry_of, plane_about
from spadework.errors import DomainError

HERE = (-32.1, 51.2)
SOUTH = (85.4, -34.6)
FIELD = a_rectangle(HERE, 800, 400)


def stops_at(*places, middle=HERE):
    return {str(number + 1): at(middle, *place) for number, place in enumerate(places)}


def metric(polygons, middle=HERE):
    return plane_about([middle]).metres(geometry_of(polygons))


def test_two_stops_share_a_field_by_the_line_between_them():
    # Stops 200 m west and 100 m east of the middle: the line runs 50 m west, so 350 x 400 and 450 x 400.
    parts = parts_of(FIELD, stops_at((-200, 0), (100, 0)))

    assert parts["1"].area == pytest.approx(140_000, abs=2)
    assert parts["2"].area == pytest.approx(180_000, abs=2)


def test_stops_in_a_row_give_bands():
    # 300, 200 and 300 m wide.
    parts = parts_of(FIELD, stops_at((-200, 50), (0, 50), (200, 50)))

    assert [round(part.area) for part in parts.values()] == [120_000, 80_000, 120_000]


def test_a_single_stop_has_the_whole_field():
    parts = parts_of(FIELD, stops_at((10, 10)))

    assert parts["1"].area == pytest.approx(area_of(FIELD), rel=1e-9)


def test_no_stop_no_part():
    assert parts_of(FIELD, {}) == {}


def test_stops_at_one_place_share_their_part():
    parts = parts_of(FIELD, stops_at((-200, 0), (-200.3, 0.2), (200, 0)))

    assert parts["1"] == parts["2"]
    assert parts["1"].area + parts["3"].area == pytest.approx(area_of(FIELD), rel=1e-9)


def test_a_shared_place_fails_where_one_of_its_stops_does():
    stops = stops_at((-200, 0), (-200, 0), (200, 0))

    assert part_about(FIELD, stops, ["1"]) == part_about(FIELD, stops, ["1", "2"])


def test_a_hole_belongs_to_no_stop():
    pond = a_rectangle(HERE, 100, 100)[0][0]
    field = ((FIELD[0][0], tuple(reversed(pond))),)
    parts = parts_of(field, stops_at((-200, 0), (200, 0)))

    # 800 x 400 less 100 x 100, in two halves.
    assert [round(part.area) for part in parts.values()] == [155_000, 155_000]


def test_a_field_in_two_pieces_is_parted_as_one():
    field = (*a_rectangle(HERE, 200, 200), *a_rectangle(at(HERE, 500, 0), 200, 200))
    parts = parts_of(field, stops_at((0, 50), (0, -50), (500, 0)))

    assert [round(part.area) for part in parts.values()] == [20_000, 20_000, 40_000]


def test_a_stop_beyond_the_fence_has_what_lies_nearest_to_it():
    parts = parts_of(FIELD, stops_at((0, 0), (0, 260)))

    # The line between them runs 130 m north of the middle: 70 x 800 m are nearer to the stop outside.
    assert parts["2"].area == pytest.approx(56_000, abs=2)


def test_a_stop_far_beyond_the_fence_has_nothing():
    parts = parts_of(FIELD, stops_at((0, 0), (0, 900)))

    assert (parts["2"].polygons, parts["2"].area) == ((), 0.0)


def test_the_part_of_poor_stops_has_no_inner_border():
    stops = stops_at((-300, 0), (-100, 0), (100, 0), (300, 0))
    part = part_about(FIELD, stops, ["2", "3"])

    ((ring,),) = part.polygons
    assert part.area == pytest.approx(160_000, abs=2)
    # Four corners, and those of the line between the two where it meets the border.
    assert len(ring) <= 7


def test_poor_stops_apart_give_two_polygons():
    stops = stops_at((-300, 0), (-100, 0), (100, 0), (300, 0))

    assert len(part_about(FIELD, stops, ["1", "4"]).polygons) == 2


def test_with_all_stops_poor_the_part_is_the_field_to_the_last_digit():
    part = part_about(FIELD, stops_at((-200, 0), (100, 0)), ["2", "1"])

    assert (part.polygons, part.area) == (FIELD, area_of(FIELD))


def test_with_no_stop_poor_there_is_no_part():
    assert part_about(FIELD, stops_at((0, 0)), []).area == 0


def test_a_stop_that_is_not_there_cannot_be_chosen():
    with pytest.raises(DomainError, match="one of the stops"):
        part_about(FIELD, stops_at((0, 0)), ["7"])


def test_a_stop_in_another_country_is_refused():
    with pytest.raises(DomainError, match="within 60 km"):
        parts_of(FIELD, {"1": (51.2, -32.1)})


@given(
    middle=MIDDLES,
    places=st.lists(st.tuples(st.floats(-380, 380), st.floats(-180, 180)), min_size=1, max_size=9),
    data=st.data(),
)
def test_parts_make_up_the_field_and_the_failed_part_lies_in_it(middle, places, data):
    field = a_rectangle(middle, 800, 400)
    stops = stops_at(*places, middle=middle)
    parts = parts_of(field, stops)
    # Stops at one place hold the same ground; each piece counts once.
    ground = {part.polygons: part.area for part in parts.values()}

    assert sum(ground.values()) == pytest.approx(area_of(field), rel=1e-6)
    chosen = data.draw(st.lists(st.sampled_from(sorted(stops)), unique=True))
    part = part_about(field, stops, chosen)
    assert 0 <= part.area <= area_of(field) * (1 + 1e-9)
    if part.polygons:
        beyond = metric(part.polygons, middle).difference(metric(field, middle))
        assert beyond.area == pytest.approx(0, abs=0.1)
    for name in chosen:
        assert metric(part.polygons, middle).buffer(1.5).contains(plane_about([middle]).metres(Point(stops[name])))


@given(places=st.lists(st.tuples(st.floats(-380, 380), st.floats(-180, 180)), min_size=2, max_size=6, unique=True))
def test_ground_belongs_to_the_nearest_stop(places):
    stops = stops_at(*places)
    plane = plane_about([HERE])
    laid = {name: plane.metres(Point(stop)) for name, stop in stops.items()}
    assume(min(a.distance(b) for a in laid.values() for b in laid.values() if a is not b) > 2)
    for name, part in parts_of(FIELD, stops).items():
        inside = metric(part.polygons).representative_point()
        nearest = min(laid, key=lambda other: laid[other].distance(inside))
        assert laid[name].distance(inside) == pytest.approx(laid[nearest].distance(inside), abs=0.01)


@given(middle=MIDDLES, area=st.floats(5e4, 3e6))
def test_a_guessed_outline_holds_the_area_of_the_field(middle, area):
    stops = stops_at((0, 0), (60, 0), (60, 80), (10, 90), middle=middle)
    outline = guessed_outline(list(stops.values()), area=area)

    # Round corners are drawn with straight sides, which takes some thousandths off.
    assert area_of(outline) == pytest.approx(area, rel=0.005)


@pytest.mark.parametrize("places", [[(0, 0)], [(0, 0), (0, 0)], [(0, 0), (300, 0)], [(0, 0), (100, 100), (300, 300)]])
def test_an_outline_is_guessed_from_one_place_or_a_line_of_them_where_the_area_is_known(places):
    outline = guessed_outline(list(stops_at(*places, middle=SOUTH).values()), area=300_000)

    assert area_of(outline) == pytest.approx(300_000, rel=0.005)


def test_without_an_area_the_outline_reaches_half_way_to_where_the_next_stop_would_be():
    # Four stops 200 m apart in a square: let out by 100 m, so 200^2 + 4 x 200 x 100 + pi x 100^2.
    outline = guessed_outline(list(stops_at((0, 0), (200, 0), (200, 200), (0, 200)).values()))

    assert area_of(outline) == pytest.approx(40_000 + 80_000 + 31_416, rel=0.002)


def test_stops_wider_apart_than_the_area_allows_keep_a_margin():
    stops = stops_at((0, 0), (1000, 0), (1000, 1000), (0, 1000))

    # 25 m about a square kilometre: 10^6 + 4000 x 25 + pi x 25^2.
    assert area_of(guessed_outline(list(stops.values()), area=1000)) == pytest.approx(1_101_963, rel=0.001)


def test_one_place_without_an_area_gives_no_outline():
    with pytest.raises(DomainError, match="two places or more"):
        guessed_outline([HERE, HERE])


def test_a_field_bent_like_an_l_is_parted():
    bent = a_shape(HERE, [(0, 0), (400, 0), (400, 100), (100, 100), (100, 400), (0, 400)])
    parts = parts_of(bent, stops_at((300, 50), (50, 300)))

    # Alike about the diagonal.
    assert parts["1"].area == pytest.approx(parts["2"].area, rel=1e-5)
    assert parts["1"].area == pytest.approx(35_000, abs=2)
