"""Zones and their files, read back by readers of others."""

import datetime as dt
import io
import json
from dataclasses import replace

import pytest
import shapefile
import shapely
from pyproj import CRS
from shapely.geometry import shape
from tests.agronomy.ground.fields import a_rectangle, at
from tests.report.decisions import LEAVE, an_option

from spadework.advice.message import Message
from spadework.advice.rescue.value import CheckStrip, FailedPart
from spadework.agronomy.ground.plane import area_of
from spadework.agronomy.ground.strip import strip_through
from spadework.errors import DomainError
from spadework.quantity import Quantity
from spadework.report.prescription import COLUMNS, geojson_text, outline_of, shapefile_parts, zones_of

HERE = (-32.1, 51.2)
ON = dt.date(2026, 6, 29)
FIELD = a_rectangle(HERE, 800, 400)
WEST = a_rectangle(at(HERE, -200, 0), 400, 400)
UREA = an_option(56.0)
UAN = an_option(56.0, product="uan_28", unit="L/ha", per_kg=2.79)


def a_part(polygons=WEST, outline=FIELD, **changes):
    part = FailedPart(
        area=Quantity(area_of(polygons) / 1e4, "ha"),
        rings=tuple(rings[0] for rings in polygons),
        holes=tuple(hole for rings in polygons for hole in rings[1:]),
        stops=("1",),
        outline=outline[0][0],
        more_outline=tuple(ring for rings in outline for ring in rings)[1:],
        drawn=True,
    )
    return replace(part, **changes)


def a_strip(ground=WEST):
    laid = strip_through(ground, width=24, bearing=90)
    return CheckStrip(
        width=Quantity(24, "m"),
        length=Quantity(laid.length, "m"),
        bearing=laid.bearing,
        ring=laid.ring,
        tells=Message("x.y"),
        message=Message("x.y"),
    )


def zones(option=UREA, part=None, strip=None):
    return zones_of("west", option, part or a_part(), strip or a_strip())


def by_kind(found):
    return {zone.attributes["kind"]: zone.attributes for zone in found}


def test_the_part_the_strip_and_the_rest_make_up_the_field():
    found = by_kind(zones())

    # 16 ha failed; the strip of 24 x 352 m lies in it; the other half gets nothing.
    areas = {kind: each["area_ha"] for kind, each in found.items()}
    assert areas == pytest.approx({"treat": 15.155, "check": 0.845, "rest": 16}, abs=0.001)
    assert [found[kind]["prod_rate"] for kind in ("check", "rest")] == [0, 0]
    assert [found[kind]["rate_kg_ha"] for kind in ("check", "rest")] == [0, 0]
    assert (found["treat"]["zone"], found["check"]["zone"], found["rest"]["zone"]) == (1, 2, 3)


def test_rates_of_product_and_of_nitrogen_stand_apart():
    treat = by_kind(zones())["treat"]

    # 56 kg/ha of N is 121.7 kg/ha of urea with 46 % N; times 0.892179 for lb/ac: 50.0 and 108.61.
    assert (treat["rate_kg_ha"], treat["rate_lb_ac"]) == (56.0, 50.0)
    assert (treat["prod_rate"], treat["prod_unit"]) == (121.7, "kg/ha")
    assert (treat["prod_us"], treat["us_unit"]) == (108.61, "lb/ac")
    # 56 / 0.46 x 15.155 ha = 1845 kg.
    assert treat["prod_total"] == 1845
    assert treat["product"] == "urea with a urease inhibitor"
    # 15.155 ha is 37.45 ac.
    assert treat["area_ac"] == pytest.approx(treat["area_ha"] * 2.471054, abs=0.002)


def test_a_liquid_is_told_in_litres_and_gallons():
    treat = by_kind(zones(UAN))["treat"]

    # 56 x 2.79 = 156.24 L/ha; 0.106907 US gal/ac a L/ha: 16.70.
    assert (treat["prod_rate"], treat["prod_unit"], treat["prod_us"], treat["us_unit"]) == (
        156.2,
        "L/ha",
        16.7,
        "US gal/ac",
    )


def test_where_the_whole_field_failed_there_is_no_rest():
    assert set(by_kind(zones(part=a_part(FIELD), strip=a_strip(FIELD)))) == {"treat", "check"}


def test_without_a_place_for_the_strip_there_is_no_zone_of_it():
    unplaced = replace(a_strip(), ring=None)

    assert set(by_kind(zones_of("west", UREA, a_part(), unplaced))) == {"treat", "rest"}
    assert set(by_kind(zones_of("west", UREA, a_part(), None))) == {"treat", "rest"}


def test_ponds_and_pieces_of_the_field_are_as_they_were_drawn():
    pond = tuple(reversed(a_rectangle(at(HERE, 200, 0), 100, 100)[0][0]))
    piece = a_rectangle(at(HERE, 600, 0), 100, 100)[0]
    part = a_part(outline=((FIELD[0][0], pond), piece))

    # 16 ha less the pond of 1 ha, and the piece of 1 ha.
    rest = next(zone for zone in zones(part=part) if zone.attributes["kind"] == "rest")
    assert rest.attributes["area_ha"] == pytest.approx(16, abs=0.002)
    assert [len(rings) for rings in rest.polygons] == [2, 1]


def test_a_pond_in_the_failed_part_gets_nothing():
    pond = tuple(reversed(a_rectangle(at(HERE, -200, 0), 100, 60)[0][0]))
    failed = ((WEST[0][0], pond),)
    found = by_kind(zones(part=a_part(failed, outline=((FIELD[0][0], pond),)), strip=a_strip(failed)))

    assert sum(each["area_ha"] for each in found.values()) == pytest.approx(32 - 0.6, abs=0.002)


def test_leaving_the_crop_alone_is_no_prescription():
    with pytest.raises(DomainError, match="one that gives nitrogen"):
        zones(LEAVE)


def test_the_geojson_keeps_to_the_standard():
    document = json.loads(geojson_text(zones()))

    assert set(document) == {"type", "features"}  # no member for another coordinate system (RFC 7946, 4)
    assert document["type"] == "FeatureCollection"
    for feature in document["features"]:
        assert {"type", "properties", "geometry"} <= set(feature)
        assert set(feature["properties"]) == set(COLUMNS)
        for rings in feature["geometry"]["coordinates"]:
            for place, ring in enumerate(rings):
                assert len(ring) >= 4
                assert ring[0] == ring[-1]  # closed (3.1.6)
                assert shapely.is_ccw(shapely.LinearRing(ring)) == (place == 0)  # right-hand rule (3.1.6)
                assert all(abs(x) <= 180 and abs(y) <= 90 for x, y in ring)  # longitude first (3.1.1)
        assert shape(feature["geometry"]).is_valid


@pytest.mark.parametrize("option", [UREA, UAN], ids=["urea", "UAN"])
def test_the_shapefile_read_by_another_reader_is_the_geojson(option):
    found = zones(option)
    parts = shapefile_parts(found, on=ON)
    features = json.loads(geojson_text(found))["features"]
    with shapefile.Reader(
        shp=io.BytesIO(parts["shp"]), shx=io.BytesIO(parts["shx"]), dbf=io.BytesIO(parts["dbf"]), encoding="utf-8"
    ) as reader:
        assert reader.shapeType == shapefile.POLYGON
        read = [(entry.record.as_dict(), shape(entry.shape.__geo_interface__)) for entry in reader.iterShapeRecords()]
        windings = [shapefile.signed_area(entry.points[: [*entry.parts, len(entry.points)][1]])
                    for entry in reader.iterShapes()]  # fmt: skip

    assert [record for record, _ in read] == [feature["properties"] for feature in features]
    for (_, geometry), feature in zip(read, features, strict=True):
        assert geometry.is_valid
        assert geometry.equals_exact(shape(feature["geometry"]), 1e-12) or geometry.symmetric_difference(
            shape(feature["geometry"])
        ).area == pytest.approx(0, abs=1e-15)
    # Outer rings of a shapefile run clockwise, the other way than those of GeoJSON.
    assert all(area < 0 for area in windings)


def test_the_shapefile_says_where_it_lies():
    parts = shapefile_parts(zones(), on=ON)

    assert CRS.from_wkt(parts["prj"].decode()).equals(CRS.from_epsg(4326), ignore_axis_order=True)
    assert parts["cpg"] == b"UTF-8"


def test_names_and_texts_of_the_table_fit():
    assert max(map(len, COLUMNS)) <= 10
    # Years since 1900, month, day.
    assert tuple(shapefile_parts(zones(), on=ON)["dbf"][1:4]) == (126, 6, 29)


def test_a_field_with_any_name_fits():
    found = zones_of("Süd 4, " + "ä" * 33, UREA, a_part(), None)
    parts = shapefile_parts(found, on=ON)
    with shapefile.Reader(shp=io.BytesIO(parts["shp"]), dbf=io.BytesIO(parts["dbf"]), encoding="utf-8") as reader:
        assert reader.record(0)["field"] == "Süd 4, " + "ä" * 33


def test_the_outline_of_a_part_has_its_pieces_and_holes():
    pond = tuple(reversed(a_rectangle(at(HERE, 200, 0), 100, 100)[0][0]))
    piece = a_rectangle(at(HERE, 600, 0), 100, 100)[0]
    outline = outline_of(a_part(outline=((FIELD[0][0], pond), piece)))

    # 32 ha less 1 ha, and 1 ha.
    assert area_of(outline) == pytest.approx(320_000, abs=5)
    assert [len(rings) for rings in outline] == [2, 1]


def test_the_same_zones_give_the_same_bytes():
    assert shapefile_parts(zones(), on=ON) == shapefile_parts(zones(), on=ON)
    assert geojson_text(zones()) == geojson_text(zones())
