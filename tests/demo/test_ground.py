"""Outlines and stops of the demo: of fields that are there, in place, and as large as the fields are said to be."""

import pytest
from shapely import Point

from spadework.agronomy.ground.plane import area_of, geometry_of
from spadework.demo.ground import GROUNDS, boundary_of, stops_of


def test_grounds_are_those_of_fields_with_a_position(demo_fields):
    for field in GROUNDS:
        assert None not in (demo_fields[field].field.longitude, demo_fields[field].field.latitude)


@pytest.mark.parametrize("field", sorted(GROUNDS))
def test_every_stop_that_was_dug_has_its_place(field, demo_fields):
    held = demo_fields[field]

    assert {stop.stop for stop in held.stops} == {plant.stop for plant in held.plants}


@pytest.mark.parametrize("field", sorted(name for name, ground in GROUNDS.items() if ground.outline))
def test_an_outline_holds_its_stops_and_the_area_of_the_field(field, demo_fields):
    held = demo_fields[field]
    outline = geometry_of(held.boundary.polygons)

    assert all(outline.contains(Point(stop.longitude, stop.latitude)) for stop in held.stops)
    assert area_of(held.boundary.polygons) / 1e4 == pytest.approx(held.field.area, rel=0.05)


def test_one_outline_has_a_pond_and_one_field_stops_alone(demo_fields):
    assert len(demo_fields["north-03"].boundary.polygons[0]) == 2
    assert demo_fields["south-12"].boundary is None


def test_other_fields_have_neither(demo_fields):
    row = demo_fields["north-01"].field

    assert (list(stops_of(row)), boundary_of(row)) == ([], None)
