"""Rows of the diagnosis: each rule refused with its text; what a line, a cause and a check answer."""

import re

import pytest

from spadework.errors import KnowledgeError
from spadework.knowledge.rows import Cause, Check, Crop, EvidenceLine, Finding
from spadework.knowledge.rows.diagnosis import AGAINST, FOR, LEVELS
from spadework.quantity import Grade

CARRIED = {"scope": "anywhere", "source": "somebody", "grade": Grade.READ}


def line(**changes):
    return EvidenceLine(
        **{"finding": "pale", "level": "common", "source": "a1999", "grade": Grade.JUDGEMENT, **changes}
    )


def finding(**changes):
    return Finding(**{**CARRIED, "id": "finding.pale", "background": "seldom", **changes})


def cause(**changes):
    asked = {"network": "nodulation", "course": "weigh_rescue", "evidence": (line(),)}
    return Cause(**{**CARRIED, "id": "cause.bad_luck", **asked, **changes})


def check(**changes):
    return Check(**{**CARRIED, "id": "check.look_about", "findings": ("pale",), "minutes": 5, **changes})


REFUSED = [
    (finding, {"background": "never"}, "background 'never' is not one of seldom, sometimes, often, usual"),
    (finding, {"silent_when": ("early", "noon")}, "silent_when holds early, noon; it may hold early and late"),
    (finding, {"scope": " "}, "scope is empty"),
    (cause, {"network": "weather"}, "network 'weather' is not one of nodulation, pallor"),
    (cause, {"course": "pray"}, "course 'pray' is not one of weigh_rescue, no_nitrogen, dig_again"),
    (
        cause,
        {"evidence": (line(level="often"),)},
        "level 'often' of pale is not one of always, common, sometimes, rare, against, excludes",
    ),
    (cause, {"evidence": (line(), line(level="rare"))}, "pale stands twice among its evidence"),
    (cause, {"crops": ("pea", "vetch", "rye")}, "crops rye, vetch are not among pea, lentil"),
    (cause, {"evidence": (line(crops=("vetch",)),)}, "crops vetch are not among pea, lentil"),
    (cause, {"source": ""}, "source is empty"),
    (check, {"findings": ()}, "settles no finding"),
    (check, {"minutes": 0}, "minutes must be above 0, and waits_days 0 or more"),
    (check, {"waits_days": -1}, "minutes must be above 0, and waits_days 0 or more"),
    (check, {"id": ""}, "id is empty"),
]


@pytest.mark.parametrize(
    ("build", "changes", "text"), REFUSED, ids=[f"{case[0].__name__}-{case[2][:40]}" for case in REFUSED]
)
def test_a_row_that_is_not_fit_is_refused_by_name(build, changes, text):
    assert build()
    with pytest.raises(KnowledgeError, match=re.escape(text)):
        build(**changes)


@pytest.mark.parametrize("level", LEVELS)
def test_a_line_speaks_for_or_against(level):
    assert line(level=level).speaks_for == (level not in ("against", "excludes"))


def test_levels_are_those_for_and_those_against():
    assert set(FOR) | set(AGAINST) == set(LEVELS)
    assert not set(FOR) & set(AGAINST)


def test_a_cause_without_crops_befalls_them_all():
    assert [crop for crop in Crop if cause().befalls(crop)] == list(Crop)


def test_a_cause_with_crops_befalls_these_and_no_other():
    limited = cause(crops=("lupin", "soybean"))

    assert [crop for crop in Crop if limited.befalls(crop)] == [Crop.SOYBEAN, Crop.LUPIN]


def test_a_cause_names_all_its_sources_once_its_own_first():
    many = cause(
        also=("b2000",),
        evidence=(line(source="c2001"), line(finding="stunted", source="b2000")),
        confirm_sources=("d2002", "c2001"),
        this_season_sources=("e2003",),
        next_season_sources=("f2004", "somebody"),
    )

    assert many.source_keys == ("somebody", "b2000", "c2001", "d2002", "e2003", "f2004")


def test_names_are_ids_without_their_table():
    assert (finding().name, cause().name, check().name) == ("pale", "bad_luck", "look_about")


def test_a_check_waits_for_nothing_and_asks_no_laboratory_unless_it_says_so():
    plain = check()

    assert (plain.waits_days, plain.laboratory, plain.crops) == (0, False, ())
    assert (finding().group, finding().silent_when, cause().of_timing) == (None, (), False)
