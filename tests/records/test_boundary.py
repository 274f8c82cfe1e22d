import json

import shapely
from shapely.geometry import shape

from spadework.records.boundary import BOUNDARY_FILE, FieldBoundary, boundaries_text, boundary_resource

RING = ((-32.1, 51.2), (-32.09, 51.2), (-32.09, 51.21), (-32.1, 51.2))
OTHER = ((-32.0, 51.2), (-31.99, 51.2), (-31.99, 51.21), (-32.0, 51.2))


def test_an_outline_as_text():
    text = boundaries_text([FieldBoundary("west", ((RING,),))])

    assert text == (
        '{"type": "FeatureCollection", "features": [\n'
        '{"type": "Feature", "properties": {"field": "west"}, "geometry": {"type": "Polygon", "coordinates": '
        "[[[-32.1, 51.2], [-32.09, 51.2], [-32.09, 51.21], [-32.1, 51.2]]]}}\n]}\n"
    )


def test_an_independent_reader_finds_the_pieces():
    features = json.loads(boundaries_text([FieldBoundary("west", ((RING,), (OTHER,)))]))["features"]
    geometry = shape(features[0]["geometry"])

    assert (geometry.geom_type, len(geometry.geoms)) == ("MultiPolygon", 2)
    assert all(shapely.is_ccw(piece.exterior) for piece in geometry.geoms)


def test_no_outlines_are_an_empty_collection():
    assert json.loads(boundaries_text([])) == {"type": "FeatureCollection", "features": []}


def test_where_an_outline_came_from_is_no_part_of_it():
    assert FieldBoundary("west", ((RING,),), 3) == FieldBoundary("west", ((RING,),))


def test_the_package_names_the_file():
    assert boundary_resource()["path"] == BOUNDARY_FILE
