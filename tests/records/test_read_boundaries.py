"""Outlines read, and each way in which they can be wrong: what, where, how to mend it."""

import copy
import json

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from tests.records.tiny import tiny_book

from spadework.records.boundary import BOUNDARY_FILE, FieldBoundary, boundaries_text
from spadework.records.read import check_book
from spadework.records.read_boundaries import read_boundaries

SQUARE = [[-32.1, 51.2], [-32.09, 51.2], [-32.09, 51.21], [-32.1, 51.21], [-32.1, 51.2]]
HOLE = [[-32.098, 51.202], [-32.098, 51.204], [-32.096, 51.204], [-32.096, 51.202], [-32.098, 51.202]]


def a_feature(coordinates, *, kind="Polygon", field="west"):
    return {
        "type": "Feature",
        "properties": {"field": field, "owner": "Grower 7"},
        "geometry": {"type": kind, "coordinates": coordinates},
    }


def a_file(*features, **more):
    return json.dumps({"type": "FeatureCollection", "features": list(features), **more}).encode()


def the_fault(data):
    boundaries, faults = read_boundaries(data)
    assert boundaries == ()
    (fault,) = faults
    assert (fault.file, fault.severity) == (BOUNDARY_FILE, "error")
    assert fault.mend
    return fault


def test_a_polygon_with_a_hole():
    (found,), faults = read_boundaries(a_file(a_feature([SQUARE, HOLE])))

    assert faults == []
    assert (found.field, found.feature, len(found.polygons[0])) == ("west", 1, 2)
    assert set(found.polygons[0][0]) == {tuple(corner) for corner in SQUARE}


def test_pieces_of_a_field():
    east = [[x + 0.05, y] for x, y in SQUARE]
    (found,), _ = read_boundaries(a_file(a_feature([[SQUARE], [east]], kind="MultiPolygon")))

    assert len(found.polygons) == 2


def test_rings_are_turned_the_way_the_standard_says():
    (found,), faults = read_boundaries(a_file(a_feature([SQUARE[::-1], HOLE[::-1]])))

    outer, hole = found.polygons[0]
    assert faults == []
    assert shapely.is_ccw(shapely.LinearRing(outer))
    assert not shapely.is_ccw(shapely.LinearRing(hole))


def test_heights_are_passed_over():
    (found,), _ = read_boundaries(a_file(a_feature([[[*corner, 512.0] for corner in SQUARE]])))

    assert found.polygons == read_boundaries(a_file(a_feature([SQUARE])))[0][0].polygons


def test_a_field_named_by_a_number_is_that_text():
    (found,), _ = read_boundaries(a_file(a_feature([SQUARE], field=12)))

    assert found.field == "12"


@pytest.mark.parametrize(
    "name", ["urn:ogc:def:crs:OGC:1.3:CRS84", "urn:ogc:def:crs:EPSG::4326", "EPSG:4326", "http://x/epsg/0/4326"]
)
def test_a_system_that_is_no_other_passes(name):
    crs = {"type": "name", "properties": {"name": name}}

    assert read_boundaries(a_file(a_feature([SQUARE]), crs=crs))[1] == []


@pytest.mark.parametrize(
    ("data", "kind", "what"),
    [
        (b'{"type": "FeatureCollection",\n "features": [}', "boundaries.json", "at sign 15 of the line"),
        (b"\xff\xfe{}", "file.encoding", "UTF-16"),
        (b"[" * 100_000, "boundaries.json", "no JSON that can be read"),
        (a_file(a_feature([[[float("nan"), 1.0], *SQUARE]])), "boundaries.json", "NaN"),
        (b"[1, 2]", "boundaries.not_a_collection", "must hold a FeatureCollection, but holds '[1, 2]'"),
        (b'{"type": "Topology"}', "boundaries.not_a_collection", "holds 'Topology'"),
        (a_file(crs={"type": "name", "properties": {"name": "EPSG:32614"}}), "boundaries.other_system", "EPSG:32614"),
        (a_file(crs=7), "boundaries.other_system", "another coordinate system ('7')"),
        (a_file(7), "boundaries.not_a_feature", "Feature 1: It must be a Feature, but is '7'"),
        (a_file({"type": "Feature", "properties": {"name": "x"}}), "boundaries.field.missing", "properties: 'name'"),
        (a_file({"type": "Feature", "properties": None}), "boundaries.field.missing", "properties: 'none'"),
        (a_file(a_feature([0, 1], kind="Point")), "boundaries.not_a_polygon", "(field 'west'): The geometry must"),
        (a_file({**a_feature([]), "geometry": None}), "boundaries.not_a_polygon", "but is nothing"),
        (a_file(a_feature([])), "boundaries.coordinates", "must be rings of positions, but are '[]'"),
        (a_file(a_feature(SQUARE)), "boundaries.coordinates", "A position must be [longitude, latitude]"),
        (a_file(a_feature([[["-32.1", "51.2"], *SQUARE]])), "boundaries.coordinates", "A position must be"),
        (a_file(a_feature([5])), "boundaries.coordinates", "must be rings of positions, but are '5'"),
        (a_file(a_feature([[]], kind="MultiPolygon")), "boundaries.coordinates", "rings of positions"),
        (a_file(a_feature([SQUARE[:3]])), "boundaries.ring.short", "A ring has 3 positions"),
        (a_file(a_feature([SQUARE[:4]])), "boundaries.ring.open", "begins at [-32.1, 51.2] and ends at [-32.1, 51.21]"),
        (
            a_file(a_feature([[SQUARE[0], SQUARE[2], SQUARE[1], SQUARE[3], SQUARE[0]]])),
            "boundaries.ring.crosses",
            "self-intersection near [-32.095",
        ),
        (a_file(a_feature([SQUARE, [[x + 1, y] for x, y in HOLE]])), "boundaries.ring.crosses", "hole lies outside"),
        (
            a_file(a_feature([[SQUARE], [[[x + 0.005, y] for x, y in SQUARE]]], kind="MultiPolygon")),
            "boundaries.ring.crosses",
            "self-intersection",
        ),
        (a_file(a_feature([[SQUARE[0]] * 4])), "boundaries.ring.crosses", "The outline is not sound"),
        (a_file(a_feature([[[x, y + 20] for x, y in SQUARE]])), "boundaries.swapped", "longitude comes first"),
        (a_file(a_feature([[[x + 110, y + 20] for x, y in SQUARE]])), "boundaries.coordinates", "lies beyond 66"),
        (a_file(a_feature([[[500_000.0, 5_670_000.0], *SQUARE]])), "boundaries.other_system", "no longitude and"),
        (
            a_file(a_feature([[[179.99, 1], [-179.99, 1], [-179.99, 2], [179.99, 1]]])),
            "boundaries.crosses_180",
            "across the 180th meridian",
        ),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told(data, kind, what):
    fault = the_fault(data)

    assert (fault.kind, what in fault.what) == (kind, True), fault


def test_the_line_of_broken_json_is_named():
    assert the_fault(b'{"type": "FeatureCollection",\n\n "features": [}').line == 3


def test_one_wrong_feature_does_not_hide_the_others():
    data = a_file(a_feature([SQUARE[:3]]), a_feature([SQUARE], field="east"), a_feature([SQUARE], field="east"))
    boundaries, faults = read_boundaries(data)

    assert [boundary.field for boundary in boundaries] == ["east"]
    assert [fault.kind for fault in faults] == ["boundaries.ring.short", "boundaries.field.twice"]
    assert "in feature 2" in faults[1].what


@given(data=st.binary(max_size=200))
def test_any_bytes_at_all_are_a_fault_or_outlines(data):
    boundaries, faults = read_boundaries(data)

    assert boundaries == () or faults == []


JSON = st.recursive(
    st.none() | st.booleans() | st.floats(allow_nan=False) | st.text(max_size=8) | st.just(SQUARE),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.sampled_from(("type", "field")), inner, max_size=2),
    max_leaves=8,
)


@given(data=st.data())
def test_any_spoilt_part_of_a_feature_is_a_fault_or_passed_over(data):
    feature = copy.deepcopy(a_feature([SQUARE, HOLE]))
    path = data.draw(st.sampled_from(("type", "properties", "geometry", "coordinates")))
    target = feature["geometry"] if path == "coordinates" else feature
    target[path] = data.draw(JSON)
    boundaries, faults = read_boundaries(json.dumps({"type": "FeatureCollection", "features": [feature]}).encode())

    assert len(boundaries) + len(faults) == 1


def test_what_is_written_is_read_back():
    boundaries, _ = read_boundaries(a_file(a_feature([SQUARE, HOLE]), a_feature([SQUARE], field="süd")))

    assert read_boundaries(boundaries_text(boundaries).encode()) == (boundaries, [])


def test_a_book_reads_its_outlines(tmp_path):
    folder = tiny_book(tmp_path)
    (folder / BOUNDARY_FILE).write_bytes(a_file(a_feature([SQUARE])))
    book, faults = check_book(folder)

    assert faults == ()
    assert book is not None
    assert isinstance(book.by_field()["west"].boundary, FieldBoundary)


def test_a_book_with_wrong_outlines_is_not_read(tmp_path):
    folder = tiny_book(tmp_path)
    (folder / BOUNDARY_FILE).write_bytes(a_file(a_feature([SQUARE[:3]])))
    book, faults = check_book(folder)

    assert book is None
    assert [fault.kind for fault in faults] == ["boundaries.ring.short"]


def test_a_folder_in_the_place_of_the_file_is_told(tmp_path):
    (tiny_book(tmp_path) / BOUNDARY_FILE).mkdir()

    assert [fault.kind for fault in check_book(tmp_path)[1]] == ["file.unreadable"]


@pytest.mark.parametrize("name", ["boundary.geojson", "Boundaries.shp", "boundaries.kml"])
def test_outlines_under_another_name_are_not_passed_over_in_silence(name, tmp_path):
    (tiny_book(tmp_path) / name).write_bytes(b"")
    book, faults = check_book(tmp_path)

    assert book is not None
    assert [(fault.kind, fault.severity) for fault in faults] == [("book.boundaries.misnamed", "warning")]
