"""The tables and what the knowledge answers."""

import pytest

from spadework.errors import KnowledgeError
from spadework.knowledge.rows import (
    TABLES,
    Caution,
    Coefficient,
    Crop,
    DigWindow,
    Knowledge,
    PrincipalStage,
    Statement,
    Target,
    field_names,
)
from spadework.quantity import Grade

CARRIED = {"id": "some.row", "scope": "anywhere", "source": "somebody", "grade": Grade.READ}


def coefficient(**changes):
    return Coefficient(**{**CARRIED, "unit": "1", "value": 2.0, **changes})


def window(**changes):
    return DigWindow(**{**CARRIED, "anchor": "emergence", "opens_days": 28, "closes_days": 42, **changes})


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
    assert len(TABLES) == 23
