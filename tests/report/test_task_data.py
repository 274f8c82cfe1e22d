"""Task data, read back with the plain XML reader and with the library."""

import xml.etree.ElementTree as ET

import pytest
from isoxml.models.ddi_entities import DDEntity
from isoxml.util.isoxml_io import isoxml_from_text
from tests.report.decisions import an_option
from tests.report.test_prescription import FIELD, UAN, UREA, a_part, a_strip

from spadework.agronomy.rescue.products import offered_products
from spadework.errors import DomainError
from spadework.knowledge.load import load
from spadework.report.prescription import zones_of
from spadework.report.task_data import task_data_text


def zones(option=UREA, field="west"):
    return zones_of(field, option, a_part(), a_strip())


def root(option=UREA, field="west"):
    return ET.fromstring(task_data_text(zones(option, field), FIELD))  # noqa: S314 - written here


def rates(document):
    return {zone.get("A"): int(zone.find("PDV").get("B")) for zone in document.iter("TZN")}


def test_each_zone_has_its_rate_and_the_rest_of_the_world_none():
    document = root()

    # 121.7 kg/ha is 12,170 mg/m2.
    assert rates(document) == {"0": 0, "1": 12170, "2": 0, "3": 0}
    task = document.find("TSK")
    assert [task.get(name) for name in "HIJ"] == ["0", "0", "0"]
    assert {variable.get("A") for variable in document.iter("PDV")} == {"0006"}


def test_a_liquid_is_a_volume():
    document = root(UAN)

    # 156.2 L/ha is 15,620 mm3/m2, in steps of 0.01.
    assert rates(document)["1"] == 1_562_000
    assert {variable.get("A") for variable in document.iter("PDV")} == {"0001"}


@pytest.mark.parametrize(("number", "unit", "step"), [(6, "mg/m²", 1), (1, "mm³/m²", 0.01)])
def test_the_entries_mean_what_they_are_used_for(number, unit, step):
    entry = DDEntity.from_id(number)

    assert (entry.unit, entry.bit_resolution) == (unit, step)
    assert entry.name.startswith("Setpoint")


def test_everything_named_is_there():
    document = root()
    task = document.find("TSK")

    assert document.get("DataTransferOrigin") == "1"
    assert (document.get("VersionMajor"), document.get("VersionMinor")) == ("4", "3")
    assert task.get("E") == document.find("PFD").get("A")
    assert {variable.get("C") for variable in document.iter("PDV")} == {document.find("PDT").get("A")}
    assert document.find("PFD").get("D") == "320000"


def test_the_library_reads_the_polygons_back():
    document = isoxml_from_text(task_data_text(zones(), FIELD))
    (task,) = document.tasks
    for zone, written in zip(zones(), task.treatment_zones[1:], strict=True):
        for rings, polygon in zip(zone.polygons, written.polygons, strict=True):
            read = [[(float(p.east), float(p.north)) for p in line.points] for line in polygon.line_strings]
            # Nine decimals are written.
            assert [corner for ring in read for corner in ring] == [
                pytest.approx(corner, abs=6e-10) for ring in rings for corner in ring
            ]


def test_long_names_are_cut_where_the_format_ends():
    assert len(root(field="a field with a name that is far too long").find("PFD").get("C")) == 32


def test_products_stay_apart_where_the_format_ends():
    names = [
        root(an_option(56.0, product=row.name, unit="kg/ha")).find("PDT").get("B") for row in offered_products(load())
    ]

    assert len(set(names)) == len(names)
    assert "urea ammonium nitrate, 28 % N" in names


def test_the_same_zones_give_the_same_text():
    assert task_data_text(zones(), FIELD) == task_data_text(zones(), FIELD)


def test_without_a_zone_that_is_treated_there_is_no_task():
    with pytest.raises(DomainError, match="one is treated"):
        task_data_text(zones()[1:], FIELD)
