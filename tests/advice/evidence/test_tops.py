"""Leaves, growth and washed roots: shares of the plants on which somebody looked, and no others."""

import pytest
from tests.advice.evidence.looking import found, on, sure_of, told
from tests.factories import a_visit

from spadework.records.types import LeafColour, RootHealth

OLD, YOUNG = "leaf_old", "leaf_young"
NO_VIGOUR = {"vigour": None}


def plants(so, column, yes, no, *, of=10, unknown=0, **changes):
    """Ten plants of which so many look one way and the rest the other; further ones were not looked at."""
    rows = a_visit([80] * (of + unknown), **changes)
    return tuple(
        row.model_copy(update={column: yes if at < so else no if at < of else None}) for at, row in enumerate(rows)
    )


def sure(finding, rows):
    return sure_of(finding, on("pea", plants=rows))


@pytest.mark.parametrize("colour", [LeafColour.PALE, LeafColour.YELLOW])
@pytest.mark.parametrize(("finding", "column"), [("pale_old_leaves", OLD), ("pale_young_leaves", YOUNG)])
@pytest.mark.parametrize(("pale", "expected"), [(0, 0), (1, 0), (3, 0.5), (5, 1), (10, 1)])
def test_pale_leaves_by_their_share(finding, column, colour, pale, expected):
    assert sure(finding, plants(pale, column, colour, LeafColour.GREEN)) == pytest.approx(expected)


def test_old_and_young_leaves_are_told_apart():
    rows = plants(10, OLD, LeafColour.PALE, LeafColour.GREEN)
    assert sure("pale_young_leaves", rows) is None
    both = tuple(row.model_copy(update={YOUNG: LeafColour.GREEN}) for row in rows)
    assert (sure("pale_old_leaves", both), sure("pale_young_leaves", both)) == (1, 0)


@pytest.mark.parametrize(
    ("finding", "column", "yes", "no"),
    [
        ("pale_old_leaves", OLD, LeafColour.PALE, LeafColour.GREEN),
        ("pale_young_leaves", YOUNG, LeafColour.YELLOW, LeafColour.GREEN),
        ("stunted", "vigour", 1.0, 4.0),
        ("sick_roots", "root_health", RootHealth.ROTTEN, RootHealth.HEALTHY),
        ("galls_or_cysts", "root_health", RootHealth.GALLED, RootHealth.HEALTHY),
        ("stubby_roots", "root_health", RootHealth.PRUNED, RootHealth.HEALTHY),
    ],
)
def test_plants_nobody_looked_at_are_left_out(finding, column, yes, no):
    alone, among_others = plants(3, column, yes, no, of=6), plants(3, column, yes, no, of=6, unknown=20)
    assert sure(finding, alone) == sure(finding, among_others) > 0
    assert sure(finding, plants(3, column, yes, no, of=4, unknown=20)) is None
    assert sure(finding, plants(0, column, yes, no)) == 0


@pytest.mark.parametrize(
    ("finding", "health", "sick", "expected"),
    [
        ("sick_roots", RootHealth.DISCOLOURED, 1, 0), ("sick_roots", RootHealth.ROTTEN, 4, 1),
        ("sick_roots", RootHealth.GALLED, 10, 0), ("galls_or_cysts", RootHealth.GALLED, 3, 1),
        ("galls_or_cysts", RootHealth.ROTTEN, 10, 0), ("stubby_roots", RootHealth.PRUNED, 4, 1),
        ("stubby_roots", RootHealth.GALLED, 10, 0),
    ],
)  # fmt: skip
def test_looks_of_washed_roots(finding, health, sick, expected):
    assert sure(finding, plants(sick, "root_health", health, RootHealth.HEALTHY)) == pytest.approx(expected)


@pytest.mark.parametrize(("vigour", "expected"), [(0, 1), (2.5, 1), (3, 0), (5, 0)])
def test_stunted_by_vigour(vigour, expected):
    assert sure("stunted", a_visit([80] * 10, vigour=vigour)) == expected


@pytest.mark.parametrize(("small", "expected"), [(2, 0), (4, 0.5), (6, 1)])
def test_stunted_by_the_share_of_small_plants(small, expected):
    assert sure("stunted", plants(small, "vigour", 2.0, 4.0)) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("looks", "expected"),
    [
        ({"vigour": 4.0, OLD: LeafColour.GREEN, YOUNG: LeafColour.GREEN}, 1),
        ({"vigour": 3.5, OLD: LeafColour.GREEN}, 1),
        ({"vigour": 3.0, OLD: LeafColour.GREEN}, 0),
        ({"vigour": 4.0, OLD: LeafColour.PALE}, 0),
        ({"vigour": 4.0, OLD: LeafColour.GREEN, YOUNG: LeafColour.YELLOW}, 0),
        ({"vigour": None, OLD: LeafColour.GREEN}, None),
        ({"vigour": 4.0, YOUNG: LeafColour.GREEN}, None),
        ({"vigour": 2.0}, 0),
        ({"vigour": None, OLD: LeafColour.PALE}, 0),
    ],
)
def test_green_tops_need_green_leaves_and_growth(looks, expected):
    assert sure("green_tops", a_visit([80] * 10, **looks)) == expected


@pytest.mark.parametrize(("green", "expected"), [(5, 0), (6.5, 0.5), (8, 1)])
def test_green_tops_by_their_share(green, expected):
    rows = plants(green * 2, OLD, LeafColour.GREEN, LeafColour.PALE, of=20, vigour=4.0)
    assert sure("green_tops", rows) == pytest.approx(expected)


def test_nothing_looked_at_says_nothing():
    findings = found(on("pea", plants=a_visit([80] * 10, vigour=None)))
    assert not {"pale_old_leaves", "pale_young_leaves", "green_tops", "stunted", "sick_roots"} & set(findings)


def test_plants_are_told_by_number():
    rows = plants(7, OLD, LeafColour.PALE, LeafColour.GREEN)
    assert told("pale_old_leaves", on("pea", plants=rows)) == "Oldest leaves were pale or yellow on 7 of 10 plants."
