"""Rows of figures, limits, windows and statements: each rule refused with its text."""

import re

import pytest

from spadework.errors import KnowledgeError
from spadework.knowledge.rows import Cardinal, Chance, Classes, DigWindow, Target, ThermalTime, WordList
from spadework.quantity import Grade

CARRIED = {"id": "some.row", "scope": "anywhere", "source": "somebody", "grade": Grade.READ}


def target(**changes):
    return Target(**{**CARRIED, "unit": "nodule/plant", "value": 50, "counting_unit": "nodule", **changes})


def chance(**changes):
    return Chance(**{**CARRIED, "unit": "1", "value": 0.7, "low": 0.5, "high": 0.9, **changes})


def classes(**changes):
    return Classes(**{**CARRIED, "unit": "1", "names": ("poor", "fair", "good"), "limits": (0.5, 0.7), **changes})


def cardinal(**changes):
    return Cardinal(**{**CARRIED, "t_base": 2.0, **changes})


def thermal(**changes):
    figures = {"unit": "degC d", "value": 100.0, "t_base": 2.0, "method": "mean_then_floor"}
    return ThermalTime(**{**CARRIED, "stage_from": "sowing", "stage_to": "emergence", **figures, **changes})


def words(**changes):
    return WordList(**{**CARRIED, "words": ("pea", "field pea"), **changes})


def window(**changes):
    return DigWindow(**{**CARRIED, "anchor": "emergence", "opens_days": 28, "closes_days": 42, **changes})


REFUSED = [
    (words, {"words": ()}, "needs words, each in lower case"),
    (words, {"words": ("pea", "Lentil")}, "needs words, each in lower case"),
    (words, {"words": ("pea ",)}, "needs words, each in lower case"),
    (words, {"words": ("pea", "pea")}, "a word stands twice"),
    (target, {"counting_unit": "bunch"}, "counting_unit 'bunch' is neither nodule nor cluster"),
    (target, {"comparison": "over"}, "comparison 'over' is neither at_least nor more_than"),
    (target, {"counts": "big"}, "counts 'big' is neither any_size nor at_least_2_mm"),
    (
        target,
        {"grade": Grade.JUDGEMENT, "default": True},
        "a target on memory or judgement may not be a default",
    ),
    (chance, {"high": 1.0}, "high is 1; a chance lies between 0 and 1 and reaches neither"),
    (chance, {"value": 0.2, "low": 0.0}, "low is 0; a chance lies between 0 and 1 and reaches neither"),
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
]


@pytest.mark.parametrize(
    ("build", "changes", "text"), REFUSED, ids=[f"{case[0].__name__}-{case[2][:40]}" for case in REFUSED]
)
def test_a_row_that_is_not_fit_is_refused_by_name(build, changes, text):
    assert build()
    with pytest.raises(KnowledgeError, match=re.escape(text)):
        build(**changes)


def test_common_practice_and_the_users_own_figure_may_be_a_default_target():
    assert target(grade=Grade.JUDGEMENT, source="common_practice", default=True).default
    assert target(grade=Grade.JUDGEMENT, source="users_own_figure", overridden=True, default=True).default
