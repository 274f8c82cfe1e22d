"""Each rule of a row, refused with its text; and what rows and the knowledge answer."""

import re

import pytest

from spadework.errors import KnowledgeError
from spadework.knowledge.rows import (
    TABLES,
    UNITS,
    Cardinal,
    Caution,
    Classes,
    Coefficient,
    Crop,
    DigWindow,
    Knowledge,
    PrincipalStage,
    Source,
    Statement,
    Target,
    ThermalTime,
    field_names,
)
from spadework.quantity import Grade

CARRIED = {"id": "some.row", "scope": "anywhere", "source": "somebody", "grade": Grade.READ}


def coefficient(**changes):
    return Coefficient(**{**CARRIED, "unit": "1", "value": 2.0, **changes})


def target(**changes):
    return Target(**{**CARRIED, "unit": "nodule/plant", "value": 50, "counting_unit": "nodule", **changes})


def classes(**changes):
    return Classes(**{**CARRIED, "unit": "1", "names": ("poor", "fair", "good"), "limits": (0.5, 0.7), **changes})


def cardinal(**changes):
    return Cardinal(**{**CARRIED, "t_base": 2.0, **changes})


def thermal(**changes):
    figures = {"unit": "degC d", "value": 100.0, "t_base": 2.0, "method": "mean_then_floor"}
    return ThermalTime(**{**CARRIED, "stage_from": "sowing", "stage_to": "emergence", **figures, **changes})


def window(**changes):
    return DigWindow(**{**CARRIED, "anchor": "emergence", "opens_days": 28, "closes_days": 42, **changes})


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
    (target, {"counting_unit": "bunch"}, "counting_unit 'bunch' is neither nodule nor cluster"),
    (target, {"comparison": "over"}, "comparison 'over' is neither at_least nor more_than"),
    (target, {"counts": "big"}, "counts 'big' is neither any_size nor at_least_2_mm"),
    (
        target,
        {"grade": Grade.JUDGEMENT, "default": True},
        "a target on memory or judgement may not be a default",
    ),
    (classes, {"names": ("poor", "good")}, "needs one name more than limits"),
    (classes, {"limits": (0.7, 0.5)}, "limits must rise"),
    (cardinal, {"t_cap": 2.0}, "t_cap 2.0 must be above t_base 2.0"),
    (thermal, {"t_cap": 1.0}, "t_cap 1.0 must be above t_base 2.0"),
    (thermal, {"stage_to": "flowering"}, "stage_to 'flowering' is not one of sowing, emergence, first_flower"),
    (thermal, {"stage_from": "germination"}, "stage_from 'germination' is not one of sowing"),
    (thermal, {"stage_from": "maturity"}, "stage_from maturity does not come before stage_to emergence"),
    (window, {"anchor": "flowering"}, "anchor 'flowering' is neither sowing nor emergence"),
    (window, {"opens_days": 50}, "opens_days 50 is after closes_days 42"),
    (window, {"opens_bbch": 65, "closes_bbch": 60}, "opens_bbch 65 is after closes_bbch 60"),
    (window, {"opens_days": None, "closes_days": None}, "needs days or BBCH codes"),
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
    with pytest.raises(KnowledgeError, match=r"knowledge table target, row some\.row: counting_unit"):
        target(counting_unit="bunch")


def test_common_practice_and_the_users_own_figure_may_be_a_default_target():
    assert target(grade=Grade.JUDGEMENT, source="common_practice", default=True).default
    assert target(grade=Grade.JUDGEMENT, source="users_own_figure", overridden=True, default=True).default


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


def test_knowledge_answers_by_id_table_and_crop():
    any_crop = window(id="window.any")
    pea = window(id="window.pea", crop="pea")
    lentil = window(id="window.lentil", crop="lentil")
    stage = PrincipalStage(**{**CARRIED, "id": "stage.6"}, code=6, meaning="flowering")
    knowledge = Knowledge(rows={row.id: row for row in (any_crop, pea, lentil, stage)}, sources={}, content_hash="0")

    assert knowledge.row("window.pea") is pea
    assert knowledge.of(DigWindow, Crop.PEA) == (any_crop, pea)
    assert knowledge.of(DigWindow) == (any_crop, pea, lentil)
    assert knowledge.of(Target) == ()


def test_knowledge_names_what_it_lacks():
    figure = coefficient()
    statement = Statement(**{**CARRIED, "id": "statement.a"}, subject="a", says="It is so.")
    knowledge = Knowledge(rows={row.id: row for row in (figure, statement)}, sources={}, content_hash="0")

    assert knowledge.figure("some.row") is figure
    with pytest.raises(KnowledgeError, match=r"row target\.none: there is no such row"):
        knowledge.row("target.none")
    with pytest.raises(KnowledgeError, match=r"table statement, row statement\.a: carries no figure"):
        knowledge.figure("statement.a")


def test_a_file_may_not_say_that_a_row_was_overridden():
    assert "overridden" not in field_names(Caution)
    assert {"id", "unit", "when", "message"} <= set(field_names(Caution))


def test_tables_are_known_by_their_names():
    assert all(kind.table == name for name, kind in TABLES.items())
    assert len(TABLES) == 10


def test_units_have_distinct_ucum_codes_without_spaces():
    assert len(set(UNITS.values())) == len(UNITS)
    assert not any(re.search(r"\s", code) for code in UNITS.values())
