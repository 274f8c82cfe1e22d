"""What every row and source carries: each rule refused with its text; figures, ranges and units."""

import re

import pytest

from spadework.errors import KnowledgeError
from spadework.knowledge.rows import UNITS, Coefficient, Source
from spadework.quantity import Grade

CARRIED = {"id": "some.row", "scope": "anywhere", "source": "somebody", "grade": Grade.READ}


def coefficient(**changes):
    return Coefficient(**{**CARRIED, "unit": "1", "value": 2.0, **changes})


def source(**changes):
    return Source(**{"key": "a1999", "citation": "A (1999)", "kind": "paper", "seen": "page", **changes})


REFUSED = [
    (coefficient, {"crop": "peanut"}, "crop 'peanut' is not one of pea, lentil"),
    (coefficient, {"id": " "}, "id is empty; every row names its id, unit, scope and source"),
    (coefficient, {"unit": ""}, "unit is empty"),
    (coefficient, {"scope": ""}, "scope is empty"),
    (coefficient, {"source": ""}, "source is empty"),
    (coefficient, {"value": None}, "needs value, or low and high, or mean (and sd)"),
    (coefficient, {"value": float("inf")}, "a figure is not finite"),
    (coefficient, {"mean": float("nan")}, "a figure is not finite"),
    (coefficient, {"low": 1.0}, "low and high go together"),
    (coefficient, {"low": 3.0, "high": 1.0}, "low 3.0 is above high 1.0"),
    (coefficient, {"low": 3.0, "high": 4.0}, "value 2.0 lies outside low 3.0 to high 4.0"),
    (
        coefficient,
        {"value": None, "mean": 5.0, "low": 3.0, "high": 4.0},
        "mean 5.0 lies outside low 3.0 to high 4.0",
    ),
    (coefficient, {"sd": 1.0}, "sd needs a mean and may not be negative"),
    (coefficient, {"mean": 2.0, "sd": -1.0}, "sd needs a mean and may not be negative"),
    (source, {"citation": " "}, "citation is empty"),
    (source, {"kind": "hearsay"}, "kind is 'hearsay'; it is one of paper, standard"),
    (source, {"seen": "yes"}, "seen is 'yes'; it is one of page, abstract"),
]


@pytest.mark.parametrize(
    ("build", "changes", "text"), REFUSED, ids=[f"{case[0].__name__}-{case[2][:40]}" for case in REFUSED]
)
def test_a_row_that_is_not_fit_is_refused_by_name(build, changes, text):
    assert build()
    with pytest.raises(KnowledgeError, match=re.escape(text)):
        build(**changes)


def test_a_fault_names_table_and_row():
    with pytest.raises(KnowledgeError, match=r"knowledge table coefficient, row some\.row: unit is empty"):
        coefficient(unit="")


def test_a_row_names_its_sources_the_first_one_first():
    assert coefficient(also=("a", "b")).source_keys == ("somebody", "a", "b")


@pytest.mark.parametrize(
    ("figures", "central", "span"),
    [
        ({"value": 2.0}, 2.0, (2.0, 2.0)),
        ({"value": 2.0, "low": 1.0, "high": 4.0}, 2.0, (1.0, 4.0)),
        ({"value": None, "low": 1.0, "high": 4.0}, 2.5, (1.0, 4.0)),
        ({"value": None, "mean": 3.0, "low": 1.0, "high": 4.0}, 3.0, (1.0, 4.0)),
        ({"value": None, "mean": 3.0, "sd": 1.0}, 3.0, (3.0, 3.0)),
    ],
)
def test_central_figure_and_range(figures, central, span):
    row = coefficient(**figures)

    assert row.central == central
    assert row.range == span


def test_a_figure_names_itself_as_its_source():
    quantity = coefficient(low=1.0, high=4.0, grade=Grade.SECOND_HAND).quantity()

    assert (quantity.value, quantity.low, quantity.high) == (2.0, 1.0, 4.0)
    assert quantity.sources == ("some.row",)
    assert quantity.grade is Grade.SECOND_HAND


def test_a_row_cannot_be_changed():
    with pytest.raises(AttributeError):
        coefficient().value = 3.0


def test_units_have_distinct_ucum_codes_without_spaces():
    assert len(set(UNITS.values())) == len(UNITS)
    assert not any(re.search(r"\s", code) for code in UNITS.values())
