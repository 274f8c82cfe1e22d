from dataclasses import replace

import pytest
from tests.report.decisions import PART, STRIP, a_decision, ring

from spadework.knowledge.rows import Crop
from spadework.quantity import Quantity
from spadework.report.display import UnitSystem
from spadework.report.field_map import field_map
from spadework.report.reader import Reader

METRIC = Reader(units=UnitSystem.METRIC, language="en", crop=Crop.PEA, currency="mk")
US = replace(METRIC, units=UnitSystem.US)

# On WGS84 at the equator a degree of longitude is 6378137 m x pi / 180 = 111319.49 m and one of latitude 110574 m
# (semi-axes of WGS84, NIMA TR8350.2: 6378137 m and 6356752.3142 m, M(0) = b^2/a).
EAST = 1000 / 111319.49
NORTH = 500 / 110574.28
FIELD = replace(
    PART,
    outline=ring(0.0, 0.0, EAST, NORTH),
    rings=(ring(0.0, 0.0, EAST / 4, NORTH / 2),),
    positions=(replace(PART.positions[3], longitude=EAST / 8, latitude=NORTH / 4),),
)


def drawn(reader=METRIC, **changes):
    return field_map(a_decision(**{"part": FIELD, "strip": None, **changes}), reader)


def test_a_field_of_a_kilometre_by_half_is_laid_out_by_hand():
    ground = drawn()
    assert ground["ratio"] == pytest.approx(0.5, abs=1e-4)
    assert ground["outline"] == [[0, 1], [1, 1], [1, 0], [0, 0], [0, 1]]
    (failed,) = ground["failed"]
    assert failed[2] == pytest.approx([0.25, 0.5], abs=1e-4)  # north is up: half the height from the top
    assert ground["stops"][0]["at"] == pytest.approx([0.125, 0.75], abs=1e-4)
    assert ground["stops"][0]["failed"]


def test_the_scale_bar_has_a_round_length_that_is_true():
    assert drawn()["bar"]["text"] == "200 m"
    assert drawn()["bar"]["share"] == pytest.approx(0.2, rel=1e-4)
    # 1000 m are 3280.84 ft (0.3048 m each): 1000 ft take 30.48 %
    assert drawn(US)["bar"]["text"] == "1000 ft"
    assert drawn(US)["bar"]["share"] == pytest.approx(0.3048, rel=1e-4)


def test_legends_name_what_is_drawn():
    ground = drawn(US, part=replace(FIELD, area=Quantity(6.3, "ha"), drawn=False))
    assert ground["legend_failed"] == "failed part, 15.6 ac"  # an acre is 0.40468564224 ha
    assert ground["legend_outline"] == "field, guessed from the stops"
    assert not ground["drawn"]
    assert ground["legend_strip"] == ""
    assert "15.6 ac around the stops 4, 5" in ground["alt"]


def test_a_strip_alone_is_drawn_alone():
    ground = drawn(part=None, strip=STRIP)
    assert ground["outline"] == ground["failed"] == ground["stops"] == []
    assert len(ground["strip"]) == 5
    assert ground["legend_strip"] == "check strip"


def test_without_any_position_there_is_no_map():
    assert drawn(part=None) is None
    assert drawn(part=None, strip=replace(STRIP, ring=None)) is None


def test_everything_lies_in_the_frame():
    ground = drawn(part=PART, strip=STRIP)
    places = [*ground["outline"], *ground["strip"], *(place for ring in ground["failed"] for place in ring)]
    places += [stop["at"] for stop in ground["stops"]]
    assert all(0 <= x <= 1 and 0 <= y <= 1 for x, y in places)
    assert [stop["label"] for stop in ground["stops"]] == ["1", "2", "3", "4", "5"]
