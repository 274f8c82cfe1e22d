import datetime as dt

import pytest

from spadework.records.check_plants import check_plants
from spadework.records.types import CountingUnit, CountRange, PlantRow

JUNE_24 = dt.date(2026, 6, 24)


def plant(**more):
    return PlantRow(field="west", date=JUNE_24, stop="1", plant="4", line=5, **more)


def check(*rows, unit=CountingUnit.NODULE):
    return check_plants(rows, file="plants.csv", counting_units={("west", JUNE_24): unit})


def test_three_colours_without_the_number_cut_give_their_sum_and_say_so_once():
    row = plant(red_pink=3, white=1, green_brown=0)
    rows, faults = check(row, row)

    assert [found.cut_open for found in rows] == [4, 4]
    assert [(fault.kind, fault.severity) for fault in faults] == [("plants.cut.taken_as_sum", "warning")]
    assert "1 more" in faults[0].what


def test_a_missing_colour_is_not_zero():
    (row,), faults = check(plant(red_pink=3, white=1))

    assert row.cut_open is None
    assert [fault.kind for fault in faults] == ["plants.cut.missing"]


def test_fewer_colours_than_cut_is_nothing_to_say_while_one_is_missing():
    assert check(plant(cut_open=5, red_pink=3, white=1))[1] == []


def test_a_missing_colour_cannot_hide_too_many():
    assert [fault.kind for fault in check(plant(cut_open=5, red_pink=6))[1]] == ["plants.colour.more_than_cut"]


def test_nothing_cut_and_nothing_coloured_is_in_order():
    rows, faults = check(plant(crown_nodules=CountRange(0, 0), lateral_nodules=CountRange(0, 0), cut_open=0))

    assert faults == []
    assert rows[0].cut_open == 0


FEW = {"crown_nodules": CountRange(1, 1), "lateral_nodules": CountRange(2, 3), "cut_open": 5}


@pytest.mark.parametrize(
    ("unit", "severity"), [(CountingUnit.NODULE, ["error"]), (None, ["warning"]), (CountingUnit.CLUSTER, [])]
)
def test_clusters_do_not_bound_the_nodules_in_them(unit, severity):
    assert [fault.severity for fault in check(plant(**FEW), unit=unit)[1]] == severity


def test_at_an_unknown_dig_the_unit_is_unknown():
    _, (fault,) = check_plants([plant(**FEW)], file="dug.csv", counting_units={})

    assert (fault.file, fault.line, fault.severity) == ("dug.csv", 5, "warning")
    assert "counting_unit" in fault.mend


@pytest.mark.parametrize("unit", [CountingUnit.NODULE, CountingUnit.CLUSTER, None])
def test_no_clusters_are_no_nodules(unit):
    none = {"crown_nodules": CountRange(0, 0), "lateral_nodules": CountRange(0, 0)}

    _, (fault,) = check(plant(**none, cut_open=2, red_pink=2), unit=unit)

    assert (fault.kind, fault.severity) == ("plants.cut.without_nodules", "error")


@pytest.mark.parametrize(
    "counts",
    [
        {"crown_nodules": CountRange(1, 1)},
        {"lateral_nodules": CountRange(0, 0)},
        {"crown_nodules": CountRange(0, 0), "lateral_nodules": CountRange(1, None)},
        {"crown_nodules": CountRange(2, 2), "lateral_nodules": CountRange(1, 3)},
    ],
)
def test_what_may_be_so_is_not_a_fault(counts):
    assert check(plant(cut_open=5, **counts))[1] == []
