"""What the crop leaves, as lines: every kind of credit by itself, and those held by a test marked."""

from dataclasses import replace

from tests.report.a_nitrogen import a_credit, a_nitrogen

from spadework.report.display import UnitSystem
from spadework.report.labels import labels
from spadework.report.left import credit_lines, left_block, left_rows

TEXTS = labels()
LEFT = a_nitrogen().left
METRIC = {"units": UnitSystem.METRIC, "texts": TEXTS}


CREDITS = (
    a_credit("fertiliser_saved", 60, 60, 60),
    a_credit("soil_test_difference", 35, 15, 55),
    a_credit("soil_test_difference", 54, 27, 81),
)


def test_net_balance_and_residues_stand_with_their_intervals():
    assert left_rows(LEFT, **METRIC) == [
        ("Taken away with the grain", "105 kg/ha", "95 to 115"),
        ("Fixed minus grain, shoot alone", "−72 kg/ha", "−100 to −30"),
        ("Fixed minus grain, with roots", "−60 kg/ha", "−92 to −10"),
        ("Residue above ground", "30 kg/ha", "22 to 41"),
        ("Residue below ground", "28 kg/ha", "15 to 45"),
    ]


def test_credits_stand_one_by_one_kind_by_kind():
    assert list(credit_lines(CREDITS, **METRIC)) == [
        "A soil test will show it: 35 kg/ha (15 to 55) (somewhere).",
        "A soil test will show it: 54 kg/ha (27 to 81) (somewhere).",
        "Fertiliser saved: 60 kg/ha (somewhere).",
    ]


def test_a_credit_that_a_test_holds_is_marked():
    held = [replace(credit, held=credit.in_soil_test) for credit in CREDITS]
    lines = list(credit_lines(held, **METRIC))
    assert [line.split(":")[0] for line in lines] == [
        "The soil test holds it already, add none of it",
        "The soil test holds it already, add none of it",
        "Fertiliser saved",
    ]
    block = left_block(replace(LEFT, credits=tuple(held)), **METRIC)
    assert block["credits"][0].startswith("The soil test holds it already")


def test_on_paper_the_figures_of_a_kind_are_set_side_by_side_never_added():
    block = left_block(replace(LEFT, credits=CREDITS), **METRIC)
    assert block["credits"] == [
        "A soil test will show it: 35 (15 to 55) or 54 (27 to 81) kg/ha.",
        "Fertiliser saved: 60 kg/ha.",
    ]
    # 35, 15 and 55 kg/ha x 0.8921791.
    us = left_block(replace(LEFT, credits=CREDITS[1:2]), units=UnitSystem.US, texts=TEXTS)
    assert us["credits"] == ["A soil test will show it: 31 (13 to 49) lb/ac."]
