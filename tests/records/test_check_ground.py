"""Outlines and stops against fields and plants."""

import json

import pytest
from tests.records.tiny import FIELDS, PLANTS, tiny_book

from spadework.records.boundary import BOUNDARY_FILE
from spadework.records.read import check_book

# A square of 800 m at 51.2 N, 32.1 W, so 64 ha; the stop lies in its middle.
RING = [[-32.10572, 51.1964], [-32.09428, 51.1964], [-32.09428, 51.2036], [-32.10572, 51.2036], [-32.10572, 51.1964]]
STOPS = "field,stop,latitude,longitude\n"


def faults_of(folder, *, fields=FIELDS, stops="", ring=None, field="west"):
    tiny_book(folder, fields=fields, plants=PLANTS, stops=STOPS + stops if stops else None)
    if ring is not None:
        feature = {
            "type": "Feature",
            "properties": {"field": field},
            "geometry": {"type": "Polygon", "coordinates": [ring]},
        }
        text = json.dumps({"type": "FeatureCollection", "features": [feature]})
        (folder / BOUNDARY_FILE).write_text(text, encoding="utf-8")
    return [(fault.kind, fault.severity, fault) for fault in check_book(folder)[1]]


def placed(latitude, longitude, area=""):
    return f"field,crop,latitude,longitude,area\nwest,pea,{latitude},{longitude},{area}\n"


def kinds(found):
    return [(kind, severity) for kind, severity, _ in found]


def test_what_agrees_has_no_fault(tmp_path):
    found = faults_of(tmp_path, fields=placed(51.2, -32.1, 64), stops="west,1,51.2,-32.1\n", ring=RING)

    assert kinds(found) == []


def test_an_outline_of_no_field_is_passed_over_with_a_warning(tmp_path):
    found = faults_of(tmp_path, ring=RING, field="hilltop")

    assert kinds(found) == [("boundaries.field.unknown", "warning")]
    assert 'Feature 1: field "hilltop" is not in fields.csv' in found[0][2].what


def test_an_outline_of_a_misspelt_field_is_an_error(tmp_path):
    found = faults_of(tmp_path, ring=RING, field="wset")

    assert kinds(found) == [("boundaries.field.unknown", "error")]
    assert "Did you mean west?" in found[0][2].mend


@pytest.mark.parametrize(
    ("fields", "ring", "expected"),
    [
        (placed(51.5, -32.1), RING, ("boundaries.far_off", "error")),
        (placed(51.25, -32.2), RING, None),
        (placed(-32.1, 51.2), RING, ("boundaries.swapped", "error")),
        (placed(51.2, -32.1, 85), RING, ("boundaries.area.differs", "warning")),
        (placed(51.2, -32.1, 50), RING, ("boundaries.area.differs", "warning")),
        (placed(51.2, -32.1, 79), RING, None),
        (placed(51.2, -32.1, 52), RING, None),
    ],
)
def test_outline_against_the_fields_table(fields, ring, expected, tmp_path):
    assert kinds(faults_of(tmp_path, fields=fields, ring=ring)) == ([expected] if expected else [])


@pytest.mark.parametrize(
    ("stop", "expected"),
    [
        ("51.2,-32.1", None),
        ("51.2036,-32.1", None),  # on the fence
        ("51.2038,-32.1", ("stops.at_the_edge", "warning")),  # 22 m north of it
        ("51.2040,-32.1", ("stops.outside", "error")),  # 44 m
        ("51.2,32.1", ("stops.outside", "error")),
        ("-32.1,51.2", ("stops.swapped", "error")),
    ],
)
def test_a_stop_against_the_outline(stop, expected, tmp_path):
    assert kinds(faults_of(tmp_path, stops=f"west,1,{stop}\n", ring=RING)) == ([expected] if expected else [])


@pytest.mark.parametrize(
    ("stop", "expected"),
    [
        ("51.3,-32.1", None),
        ("51.5,-32.1", ("stops.outside", "error")),
        ("-32.1,51.2", ("stops.swapped", "error")),
    ],
)
def test_a_stop_against_the_position_of_its_field(stop, expected, tmp_path):
    found = faults_of(tmp_path, fields=placed(51.2, -32.1), stops=f"west,1,{stop}\n")

    assert kinds(found) == ([expected] if expected else [])


def test_stops_of_a_field_without_a_position_lie_near_each_other(tmp_path):
    found = faults_of(tmp_path, stops="west,1,51.2,-32.1\nwest,2,51.7,-32.1\n")

    assert ("stops.outside", "error") in kinds(found)
    assert "Stop 2 lies 56 km from stop 1 of field west" in next(
        fault.what for kind, _, fault in found if kind == "stops.outside"
    )


def test_stops_on_both_sides_of_the_180th_meridian_are_told(tmp_path):
    found = faults_of(tmp_path, stops="west,1,-17,179.99\nwest,2,-17,-179.99\n")

    assert ("stops.crosses_180", "error") in kinds(found)


def test_two_stops_at_one_place(tmp_path):
    found = faults_of(tmp_path, stops="west,1,51.2,-32.1\nwest,2,51.2,-32.1\n", ring=RING)

    assert kinds(found) == [("stops.stop.undug", "warning"), ("stops.same_place", "warning")]
    assert "(line 2)" in found[1][2].what


def test_a_stop_where_nothing_was_dug(tmp_path):
    found = faults_of(tmp_path, stops="west,7,51.2,-32.1\n", ring=RING)

    assert kinds(found) == [("stops.stop.undug", "warning")]
    assert "write one of: 1" in found[0][2].mend


def test_a_stop_of_no_field(tmp_path):
    found = faults_of(tmp_path, stops="hilltop,1,51.2,-32.1\n")

    assert ("stops.field.unknown", "error") in kinds(found)


def test_outlines_are_held_back_where_the_fields_table_cannot_be_read(tmp_path):
    found = faults_of(tmp_path, fields="crop\npea\n", ring=RING)

    assert [kind for kind, _ in kinds(found) if kind.startswith("boundaries")] == []
