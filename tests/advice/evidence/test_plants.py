"""Roots of a visit: numbers, places, sizes and colours; what nobody counted, sized or cut stays unknown."""

import pytest
from tests.advice.evidence.looking import found, look_at, on, sure_of, told
from tests.factories import GOOD, NONE, POOR, a_dig, a_plant, a_visit

from spadework.records.types import SizeClass

SIZES = {"large": SizeClass.OVER_5_MM, "medium": SizeClass.FROM_2_TO_5_MM, "small": SizeClass.UNDER_2_MM}
UNCUT = {"cut_open": None, "red_pink": None, "white": None, "green_brown": None}
WHITE = {"cut_open": 4, "red_pink": 0, "white": 4, "green_brown": 0}
BROWN = {"cut_open": 4, "red_pink": 0, "white": 0, "green_brown": 4}


def sure(finding, plants, *, crop="pea", stage=55, unit="nodule"):
    dig = a_dig(stage_bbch=stage, counting_unit=unit)
    return sure_of(finding, on(crop, plants=plants, digs=(dig,)))


def stops(*totals, **changes):
    """Three stops alike, of plants with these nodules."""
    return a_visit(*[list(totals)] * 3, **changes)


# ------------------------------------------------------------------ how many
@pytest.mark.parametrize(
    ("bare", "expected"), [(10, 1), (9, 1), (8, 0.75), (7, 0.5), (5, 0), (0, 0)]
)  # share of ten: none up to 0.5, certain from 0.9
def test_no_nodules_by_the_share_of_bare_plants(bare, expected):
    assert sure("no_nodules", a_visit([0] * bare + [20] * (10 - bare))) == pytest.approx(expected)


def test_a_root_counted_in_part_is_not_bare():
    in_part = tuple(a_plant(crown=0, lateral=None, plant=str(n), **UNCUT) for n in range(9))
    assert sure("no_nodules", in_part) is None
    nodules_somewhere = tuple(a_plant(crown=None, lateral=3, plant=str(n), **UNCUT) for n in range(9))
    assert sure("no_nodules", nodules_somewhere) == 0


def test_few_nodules_is_a_matter_of_number_whatever_the_colour():
    assert sure("few_nodules", GOOD) < 0.1
    assert sure("few_nodules", POOR) > 0.99
    assert sure("few_nodules", NONE) > 0.99
    white = stops(*[90] * 10, **WHITE)
    seen = look_at(on("pea", plants=white))
    assert seen.verdict.leading == "poor"
    assert sure("few_nodules", white) < 0.1


def test_few_nodules_is_the_worst_class_and_half_of_the_one_between():
    plants = stops(80, 60, 45, 52, 70, 30, 55, 90, 48, 61, **UNCUT)
    poor, borderline, adequate = (one.probability for one in look_at(on("pea", plants=plants)).verdict.classes)
    assert 0.05 < borderline < 0.95
    assert 0.05 < adequate < 0.95
    assert sure("few_nodules", plants) == pytest.approx(poor + borderline / 2)


def test_clusters_are_held_against_their_own_target():
    # More than five clusters a plant: common practice, no source.
    assert sure("few_nodules", stops(*[8] * 10), unit="cluster") < 0.1
    assert sure("few_nodules", stops(*[4] * 10), unit="cluster") > 0.9


def test_without_a_target_number_is_unknown():
    findings = found(on("lentil", plants=GOOD))
    assert not {"few_nodules", "nodules_normal", "even_over_field"} & set(findings)
    assert findings["no_nodules"].sure == 0


# ------------------------------------------------------------------ where they sit
@pytest.mark.parametrize(
    ("crown", "expected"), [(0, 1), (0.05, 1), (0.125, 0.5), (0.2, 0), (0.6, 0)]
)  # certain up to 0.05, none from 0.2
def test_bare_crowns_by_the_share_of_nodules_on_them(crown, expected):
    plants = tuple(
        a_plant(crown=round(1000 * crown), lateral=1000 - round(1000 * crown), plant=str(number), **UNCUT)
        for number in range(10)
    )
    assert sure("bare_crown", plants) == pytest.approx(expected, abs=1e-9)


def test_bare_roots_say_nothing_of_crowns():
    assert sure("bare_crown", NONE) is None
    four_with = tuple(a_plant(0, 30 if number < 4 else 0, plant=str(number), **UNCUT) for number in range(20))
    assert sure("bare_crown", four_with) is None


def test_how_deep_nodules_sit_is_not_read_from_counts():
    assert sure("lateral_only", tuple(a_plant(0, 30, plant=str(number), **UNCUT) for number in range(9))) is None


# ------------------------------------------------------------------ size and colour
@pytest.mark.parametrize(
    ("totals", "size", "colours", "low", "high"),
    [
        ([6] * 10, "large", {}, 0.9, 1),
        ([90] * 10, "large", {}, 0, 0.1),  # not few
        ([6] * 10, "small", {}, 0, 0),  # not large
        ([6] * 10, "large", WHITE, 0, 0),  # not red
        ([90] * 10, "large", UNCUT, 0, 0.05),  # not few, so that the colour does not matter
    ],
)
def test_few_large_red(totals, size, colours, low, high):
    assert low <= sure("few_large_red", stops(*totals, size_class=SIZES[size], **colours)) <= high


@pytest.mark.parametrize("changes", [{"size_class": None}, UNCUT])
def test_few_nodules_of_unknown_size_or_colour_may_be_large_and_red(changes):
    plants = stops(*[6] * 10, **{"size_class": SIZES["large"], **changes})
    assert sure("few_large_red", plants) is None
    assert sure("few_nodules", plants) > 0.9


@pytest.mark.parametrize(
    ("totals", "size", "colours", "low", "high"),
    [
        ([90] * 10, "small", WHITE, 0.9, 1),
        ([6] * 10, "small", WHITE, 0, 0.1),
        ([90] * 10, "medium", WHITE, 0, 0),
        ([90] * 10, "small", {}, 0, 0),
    ],
)
def test_many_small_pale(totals, size, colours, low, high):
    assert low <= sure("many_small_pale", stops(*totals, size_class=SIZES[size], **colours)) <= high


def test_many_white_nodules_of_unknown_size_may_be_small():
    assert sure("many_small_pale", stops(*[90] * 10, size_class=None, **WHITE)) is None


def test_green_or_brown_by_the_share_of_nodules_cut():
    assert sure("green_or_brown", stops(*[90] * 10, **BROWN)) == 1
    assert sure("green_or_brown", stops(*[90] * 10)) < 0.1
    mixed = {"cut_open": 4, "red_pink": 3, "white": 0, "green_brown": 1}
    assert sure("green_or_brown", stops(*[90] * 10, **mixed)) == pytest.approx((0.25 - 0.1) / (0.4 - 0.1), abs=0.05)


def test_colour_of_too_few_nodules_cut_says_nothing():
    few_cut = tuple(a_plant(plant=str(n), **(BROWN | {"cut_open": 1, "green_brown": 1})) for n in range(9))
    enough = tuple(a_plant(plant=str(n), **(BROWN | {"cut_open": 1, "green_brown": 1})) for n in range(10))
    assert sure("green_or_brown", few_cut) is None
    assert sure("green_or_brown", enough) == 1
    assert sure("green_or_brown", stops(*[90] * 10, **UNCUT)) is None


def test_green_and_brown_that_nobody_looked_for_is_unknown():
    plants = stops(*[90] * 10, cut_open=5, red_pink=4, white=None, green_brown=None)
    assert sure("green_or_brown", plants) is None


def test_normal_nodules_are_enough_and_red():
    assert sure("nodules_normal", GOOD) > 0.9
    assert sure("nodules_normal", POOR) < 0.01
    assert sure("nodules_normal", NONE) < 0.01
    assert sure("nodules_normal", stops(*[90] * 10, **WHITE)) < 0.01
    assert sure("nodules_normal", stops(*[90] * 10, **UNCUT)) is None
    assert sure("nodules_normal", stops(*[6] * 10, **UNCUT)) < 0.05


# ------------------------------------------------------------------ over the field
def test_stops_that_are_poor_alike_are_even_probably():
    assert sure("even_over_field", POOR) == 0.8
    assert sure("even_over_field", NONE) == 0.8
    assert "3 stops were dug, all poor" in told("even_over_field", on("pea", plants=POOR))


@pytest.mark.parametrize(
    ("plants", "stage"),
    [
        (GOOD, 55),  # nothing is bad
        (a_visit([6] * 10, [4] * 10), 55),  # two stops only
        (POOR, 12),  # too early
        (POOR, 79),  # too late
    ],
)
def test_of_other_visits_it_is_not_known_whether_they_are_even(plants, stage):
    assert sure("even_over_field", plants, stage=stage) is None


def test_a_patch_is_not_even():
    patchy = a_visit([80] * 10, [3] * 10, [85] * 10)
    seen = look_at(on("pea", plants=patchy))
    assert seen.verdict.patch is not None
    assert sure("even_over_field", patchy) == 0


def test_without_a_visit_roots_say_nothing():
    assert set(found(on("pea", digs=(a_dig(),)))) == {"dug_early", "dug_late"}
