"""The failed part and the check strip of a field, from verdict, outline and stops."""

import dataclasses

import pytest
from shapely import Point, Polygon
from tests.agronomy.ground.fields import a_rectangle, at
from tests.factories import GOOD, POOR, a_field, a_visit, advice_on, records

from spadework.advice.messages import render
from spadework.advice.rescue.ground import ground_of, treated_area, whole_field
from spadework.agronomy.ground.plane import area_of, geometry_of, plane_about
from spadework.knowledge.load import load, with_overrides
from spadework.quantity import Grade
from spadework.records.boundary import FieldBoundary
from spadework.records.types import StopRow

HERE = (-32.1, 51.2)
FIELD = a_rectangle(HERE, 800, 400)  # 32 ha
GOOD_STOP = (120, 95, 140, 88, 131, 104, 150, 77)
PATCHY = a_visit(GOOD_STOP, (3, 0, 5, 1, 2, 4, 0, 3), GOOD_STOP[::-1], GOOD_STOP)


def verdict_on(plants):
    verdict = advice_on(records(plants)).verdict
    assert verdict is not None
    return verdict


@pytest.fixture(scope="module")
def patchy():
    verdict = verdict_on(PATCHY)
    assert verdict.patch is not None
    assert verdict.patch.poor_stops == ("2",)
    return verdict


@pytest.fixture(scope="module")
def poor():
    verdict = verdict_on(POOR)
    assert (verdict.patch, verdict.leading) == (None, "poor")
    return verdict


@pytest.fixture(scope="module")
def good():
    return verdict_on(GOOD)


def stops(*places):
    rows = []
    for number, place in enumerate(places, start=1):
        longitude, latitude = at(HERE, *place)
        rows.append(StopRow(field="west", stop=str(number), latitude=latitude, longitude=longitude))
    return tuple(rows)


IN_A_ROW = stops((-300, 0), (-100, 0), (100, 0), (300, 0))


def ground(verdict, *, outline=FIELD, at_stops=IN_A_ROW, width=None, bearing=None, knowledge=None, **field):
    held = dataclasses.replace(
        records(),
        field=a_field(**field),
        stops=at_stops,
        boundary=None if outline is None else FieldBoundary("west", outline),
    )
    return ground_of(held, verdict, implement_width=width, strip_bearing=bearing, knowledge=knowledge or load())


def test_the_failed_part_is_the_ground_of_the_poor_stops(patchy):
    part, strip = ground(patchy, width=20)

    # The second of four stops in a row has a quarter of 32 ha.
    assert part.area.value == pytest.approx(8, abs=0.001)
    assert (part.area.unit, part.area.grade) == ("ha", Grade.JUDGEMENT)
    assert (part.stops, part.drawn, len(part.rings), part.holes, part.more_outline) == (("2",), True, 1, (), ())
    assert part.outline == FIELD[0][0]
    assert [(place.stop, place.failed) for place in part.positions] == [
        ("1", False), ("2", True), ("3", False), ("4", False)
    ]  # fmt: skip
    # Passes run along the field, 800 m; the part is 200 m wide, and the strip keeps 20 m away at both ends.
    assert strip.length.value == pytest.approx(160, abs=0.2)
    assert strip.bearing == pytest.approx(90, abs=0.01)
    assert (strip.width.value, strip.width.sources) == (20, ())
    assert strip.message.id == "rescue.strip.part.clear"


def test_the_strip_lies_in_the_failed_part(patchy):
    part, strip = ground(patchy, bearing=20.0)

    assert Polygon(part.rings[0]).buffer(1e-9).contains(Polygon(strip.ring))
    assert strip.bearing == 20


def test_where_the_whole_field_is_poor_the_part_is_its_outline(poor):
    part, strip = ground(poor, at_stops=())

    assert part.area.value == pytest.approx(32, abs=0.001)
    assert part.area.grade is None
    assert part.rings == (FIELD[0][0],)
    assert part.stops == tuple(summary.stop for summary in poor.stop_summaries)
    assert strip.length.value == pytest.approx(752, abs=0.2)


def test_where_nothing_failed_a_strip_runs_through_the_field(good):
    part, strip = ground(good)

    assert part is None
    assert strip.length.value == pytest.approx(752, abs=0.2)
    assert strip.message.id == "rescue.strip.field.clear"


def test_without_a_verdict_there_is_a_strip_all_the_same():
    part, strip = ground(None)

    assert part is None
    assert strip.ring is not None


def test_without_an_outline_it_is_guessed_and_told_so(patchy):
    part, _ = ground(patchy, outline=None, area=32.0)

    assert not part.drawn
    assert area_of(((part.outline,),)) == pytest.approx(320_000, rel=0.005)
    assert 0 < part.area.value < 16


@pytest.mark.parametrize(
    "held",
    [
        {"at_stops": ()},
        {"at_stops": IN_A_ROW[:1]},  # no poor stop has a position
        {"at_stops": IN_A_ROW[1:2]},  # no good one has
        {"outline": None, "at_stops": ()},
        {"at_stops": stops((-300, 0), (-100, 1500), (100, 0), (300, 0))},  # far beyond the fence
    ],
    ids=["no stops", "poor unplaced", "good unplaced", "nothing", "beyond"],
)
def test_a_patch_that_cannot_be_drawn_is_not_drawn(patchy, held):
    assert ground(patchy, **held)[0] is None


def test_without_any_position_the_strip_is_advised_in_words(poor):
    part, strip = ground(poor, outline=None, at_stops=())

    assert part is None
    assert (strip.ring, strip.length, strip.bearing, strip.width.value) == (None, None, None, 24)
    assert strip.message.id == "rescue.strip.unplaced"
    assert "in 6 stretches" in render(strip.tells)


def test_one_stop_without_an_area_gives_no_outline(poor):
    part, strip = ground(poor, outline=None, at_stops=IN_A_ROW[:1])

    assert (part, strip.ring) == (None, None)


def test_one_stop_and_an_area_do(poor):
    part, strip = ground(poor, outline=None, at_stops=IN_A_ROW[:1], area=20.0)

    assert part.area.value == pytest.approx(20, rel=0.005)
    assert strip.ring is not None


def test_ponds_and_pieces_are_kept_apart(poor):
    pond = tuple(reversed(a_rectangle(HERE, 100, 60)[0][0]))
    piece = a_rectangle(at(HERE, 900, 0), 100, 100)[0]
    part, _ = ground(poor, outline=((FIELD[0][0], pond), piece), at_stops=())

    # 32 ha less 0.6 ha, and 1 ha.
    assert part.area.value == pytest.approx(32.4, abs=0.001)
    assert part.holes == (pond,)
    assert part.outline == FIELD[0][0]
    assert set(part.more_outline) == {pond, piece[0]}


def test_a_strip_goes_round_a_pond(poor):
    pond = tuple(reversed(a_rectangle(HERE, 100, 60)[0][0]))
    _, strip = ground(poor, outline=((FIELD[0][0], pond),), at_stops=())

    assert not Polygon(strip.ring).intersects(Polygon(pond))


def test_what_the_strip_can_tell_rests_on_its_length(poor):
    _, long = ground(poor, expected_yield=3.0)
    _, short = ground(poor, outline=a_rectangle(HERE, 300, 300), at_stops=(), expected_yield=3.0)

    # 752 m are seven stretches of 100 m, 252 m two.
    assert (long.tells.values["pairs"], short.tells.values["pairs"]) == (7, 2)
    assert long.tells.values["least"] < short.tells.values["least"]
    assert long.tells.values["grain"] == pytest.approx(3 * long.tells.values["least"])
    assert long.tells.id == "rescue.strip.tells.grain"
    assert set(long.tells.sources) <= set(load().rows)


def test_without_a_yield_the_difference_is_a_share(poor):
    assert ground(poor)[1].tells.id == "rescue.strip.tells.share"


def test_a_strip_too_short_to_compare_says_so(poor):
    _, strip = ground(poor, outline=a_rectangle(HERE, 200, 200), at_stops=())

    assert strip.tells.id == "rescue.strip.tells.too_short"
    assert "shorter than two stretches of 100 m" in render(strip.tells)


def test_more_scatter_between_passes_hides_more(poor):
    wilder = with_overrides(load(), {"strip.plot_cv": {"value": 0.16}})

    usual, wild = ground(poor)[1], ground(poor, knowledge=wilder)[1]
    assert wild.tells.values["least"] == pytest.approx(2 * usual.tells.values["least"])


def test_ground_narrower_than_three_passes_is_told(poor):
    _, strip = ground(poor, outline=a_rectangle(HERE, 600, 50), at_stops=())

    assert strip.message.id == "rescue.strip.part.tight"
    assert "too narrow" in render(strip.message)


def test_the_width_is_the_tables_where_the_book_names_none(poor):
    _, strip = ground(poor)

    assert (strip.width.value, strip.width.unit, strip.width.sources) == (24, "m", ("strip.width",))
    sides = sorted(
        a.distance(b)
        for a, b in zip(*_corners(strip.ring), strict=True)
    )  # fmt: skip
    assert sides[0] == pytest.approx(24, abs=0.01)


def _corners(ring):
    plane = plane_about([HERE])
    laid = [plane.metres(Point(corner)) for corner in ring]
    return laid[:-1], laid[1:]


def test_the_whole_field_for_those_who_treat_all_of_it():
    held = dataclasses.replace(records(), stops=IN_A_ROW, boundary=FieldBoundary("west", FIELD))
    whole = whole_field(held)

    assert whole.area.value == pytest.approx(32, abs=0.001)
    assert whole.stops == ("1", "2", "3", "4")
    assert whole_field(records()) is None
    assert geometry_of(((whole.outline,),)).is_valid


def test_what_is_treated_is_the_part_less_the_strip(patchy, poor):
    held = dataclasses.replace(
        records(), field=a_field(area=30.0), stops=IN_A_ROW, boundary=FieldBoundary("west", FIELD)
    )
    part, strip = ground(patchy, width=20)

    # 8 ha less 20 x 160 m.
    assert treated_area(held, part, strip, in_part=True).value == pytest.approx(7.68, abs=0.002)
    assert treated_area(held, part, None, in_part=True).value == pytest.approx(8, abs=0.002)
    # The whole field as its outline has it, where nothing else is known.
    assert treated_area(held, None, None, in_part=False).value == pytest.approx(32, abs=0.002)
    assert treated_area(held, None, None, in_part=True) is None


def test_without_a_map_the_recorded_area_is_treated():
    held = dataclasses.replace(records(), field=a_field(area=30.0))

    assert treated_area(held, None, None, in_part=False).value == 30
    assert treated_area(records(), None, None, in_part=False) is None
