"""What is handed over: names, archives, legend."""

import io
import re
import xml.etree.ElementTree as ET
import zipfile

from tests.report.test_prescription import ON, UREA, a_part, a_strip

from spadework.report.prescription import COLUMNS
from spadework.report.prescription_files import prescription_files, zipped


def test_the_same_decision_gives_the_same_bytes():
    first = prescription_files("west", "west", UREA, a_part(), a_strip(), on=ON)

    assert prescription_files("west", "west", UREA, a_part(), a_strip(), on=ON) == first
    assert zipped({"a": b"1"}) == zipped({"a": b"1"})


def test_the_archive_holds_the_shapefile_and_its_legend():
    files = prescription_files("west-urea", "west", UREA, a_part(), a_strip(), on=ON)

    assert set(files) == {"west-urea.geojson", "west-urea-shapefile.zip", "west-urea-task-data.zip", "west-urea.txt"}
    with zipfile.ZipFile(io.BytesIO(files["west-urea-shapefile.zip"])) as archive:
        assert archive.testzip() is None
        assert sorted(archive.namelist()) == [
            f"west-urea.{ending}" for ending in ("cpg", "dbf", "prj", "shp", "shx", "txt")
        ]
    legend = files["west-urea.txt"].decode()
    assert all(re.search(rf"^{name} ", legend, re.MULTILINE) for name in COLUMNS)
    assert "zone 1 (treat): 15.155 ha, 121.7 kg/ha of product (56 kg/ha of nitrogen), 1845 kg in all" in legend
    assert "keep to the label, to local rules" in legend


def test_the_task_data_lie_where_terminals_look_for_them():
    files = prescription_files("west-urea", "west", UREA, a_part(), a_strip(), on=ON)
    with zipfile.ZipFile(io.BytesIO(files["west-urea-task-data.zip"])) as archive:
        assert archive.namelist() == ["TASKDATA/TASKDATA.XML"]
        text = archive.read("TASKDATA/TASKDATA.XML").decode("utf-8")

    assert text.startswith('<?xml version="1.0" encoding="UTF-8"?>')
    assert ET.fromstring(text).tag == "ISO11783_TaskData"  # noqa: S314 - written here
