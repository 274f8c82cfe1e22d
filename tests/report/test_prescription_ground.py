"""Files of real outlines, drawn and guessed: sound, on the grid, and the field in full."""

import dataclasses
import io
import json
from types import SimpleNamespace

import numpy as np
import pytest
import shapefile
from isoxml.converter.shapely_geom import ShapelyConverterV4
from isoxml.util.isoxml_io import isoxml_from_text
from shapely.geometry import shape
from tests.report.decisions import an_option
from tests.report.test_prescription import ON

from spadework.advice.rescue.ground import ground_of
from spadework.agronomy.ground.plane import STEP, area_of
from spadework.demo import demo_book
from spadework.knowledge.load import load
from spadework.report.prescription import geojson_text, outline_of, shapefile_parts, zones_of
from spadework.report.task_data import task_data_text

UREA = an_option(90.0)
FIELDS = {name: held for name, held in demo_book().by_field().items() if len(held.stops) > 1}


def parted(held, *, drawn, poor):
    """Part and strip of a field of which the first stops are the poor ones."""
    names = [row.stop for row in held.stops]
    verdict = SimpleNamespace(patch=SimpleNamespace(poor_stops=names[:poor], good_stops=names[poor:]))
    book = held if drawn else dataclasses.replace(held, boundary=None)
    return ground_of(book, verdict, implement_width=24.0, strip_bearing=None, knowledge=load())


CASES = [
    (name, drawn, poor)
    for name, held in FIELDS.items()
    for drawn in ((True, False) if held.boundary is not None else (False,))
    for poor in range(1, len(held.stops))
]


def geojson(zones, _):
    return [shape(feature["geometry"]) for feature in json.loads(geojson_text(zones))["features"]]


def of_shapefile(zones, _):
    parts = shapefile_parts(zones, on=ON)
    with shapefile.Reader(shp=io.BytesIO(parts["shp"]), shx=io.BytesIO(parts["shx"])) as reader:
        return [shape(each.__geo_interface__) for each in reader.shapes()]


def task_data(zones, outline):
    (task,) = isoxml_from_text(task_data_text(zones, outline)).tasks
    return [ShapelyConverterV4().to_shapely_multi_polygon(zone.polygons) for zone in task.treatment_zones[1:]]


@pytest.mark.parametrize("written", [geojson, of_shapefile, task_data])
@pytest.mark.parametrize(("name", "drawn", "poor"), CASES)
def test_what_is_written_is_sound_and_lies_on_the_grid(name, drawn, poor, written):
    part, strip = parted(FIELDS[name], drawn=drawn, poor=poor)
    zones = zones_of(name, UREA, part, strip)
    read = written(zones, outline_of(part))

    assert [zone.attributes["kind"] for zone in zones] == ["treat", "check", "rest"]
    assert len(read) == len(zones)
    for geometry in read:
        assert geometry.is_valid
        steps = np.asarray([corner for ring in rings_of(geometry) for corner in ring.coords]) / STEP
        assert np.abs(steps - np.round(steps)).max() < 0.01
        # No hairs: thinned out on all sides and let out again, each reaches as far as it did.
        assert geometry.buffer(-3 * STEP).buffer(12 * STEP).covers(geometry)


@pytest.mark.parametrize(("name", "drawn", "poor"), CASES)
def test_the_zones_make_up_the_field_and_do_not_overlap(name, drawn, poor):
    part, strip = parted(FIELDS[name], drawn=drawn, poor=poor)
    zones = zones_of(name, UREA, part, strip)
    shapes = geojson(zones, None)
    outline = outline_of(part)

    # A corner may move by half a step of the grid, and with it borders of some km by less than a centimetre.
    assert sum(area_of(zone.polygons) for zone in zones) == pytest.approx(area_of(outline), rel=2e-4)
    for place, one in enumerate(shapes):
        for other in shapes[place + 1 :]:
            assert one.intersection(other).buffer(-STEP).is_empty


def rings_of(geometry):
    pieces = getattr(geometry, "geoms", [geometry])
    return [ring for piece in pieces for ring in (piece.exterior, *piece.interiors)]
