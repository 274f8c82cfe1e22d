import dataclasses
import datetime as dt

import pytest

from spadework.advice.diagnosis.value import CauseAdvice, CauseChance, CheckAdvice, Diagnosis, Pallor
from spadework.advice.message import Message
from spadework.advice.messages import catalogue
from spadework.cli.questions import Question, change, first_lines, next_question, row_of, takes, worth_making
from spadework.knowledge.load import load
from spadework.knowledge.rows import Check, Finding
from spadework.quantity import Grade, Quantity
from spadework.records.types import ObservationRow

FINDINGS = {row.name: row for row in load().of(Finding)}
DAY = dt.date(2026, 7, 4)
SAID = Message("pallor.unknown")


def share(value):
    return Quantity(value=value, unit="1", low=None, high=None, sources=("own_judgement",), grade=Grade.JUDGEMENT)


def check(name, *findings, **changes):
    chosen = {"minutes": 10, "waits_days": 0, "laboratory": False, "price": None, "bits": 0.5, **changes}
    name_of = Message(f"check.{name}.name")
    return CheckAdvice(name, name_of, SAID, findings, **chosen, right_now=0.5, right_then=0.6)


def diagnosis(chances, *, checks=(), nothing=0.1):
    """A diagnosis of these causes, the first as one worth acting on, the others as the rest."""
    (first, chance), *others = chances.items()
    name = {cause: Message(f"cause.{cause}.name") for cause in chances}
    leading = CauseAdvice(first, name[first], share(chance), (), (), SAID, SAID, SAID, ())
    rest = tuple(CauseChance(cause, name[cause], value) for cause, value in others)
    pallor = Pallor("cannot_tell", SAID, None, ())
    return Diagnosis("likely", SAID, (leading,), rest, share(nothing), None, SAID, SAID, (), (), pallor, checks)


LARVAE = check("search_larvae", "hollow_nodules", "notched_leaves")
LABEL = check("read_label", "wrong_group_label")
FIELD = check("look_over_field", "strips", "low_places")
LAB = check("soil_nitrate", "high_nitrate", minutes=30, waits_days=5, laboratory=True)


def asked(*checks, closed=(), last_check=None):
    found = diagnosis({"nodule_larvae": 0.5}, checks=checks)
    question = next_question(found, FINDINGS, closed=closed, last_check=last_check)
    return question and (question.check.check, question.key)


def test_the_best_check_comes_first_and_its_findings_in_turn():
    assert asked(LARVAE, LABEL) == ("search_larvae", "hollow_nodules")
    assert asked(LARVAE, LABEL, closed={"hollow_nodules"}) == ("search_larvae", "notched_leaves")
    assert asked(LARVAE, LABEL, closed={"hollow_nodules", "notched_leaves"}) == ("read_label", "wrong_group_label")


def test_a_check_once_begun_is_gone_through():
    assert asked(LABEL, LARVAE, closed={"hollow_nodules"}, last_check="search_larvae")[0] == "search_larvae"
    assert asked(LABEL, LARVAE, closed={"hollow_nodules", "notched_leaves"}, last_check="search_larvae") == (
        "read_label",
        "wrong_group_label",
    )


def test_what_needs_a_laboratory_or_days_comes_last():
    assert asked(LAB, LABEL)[0] == "read_label"
    assert asked(LAB, LABEL, closed={"wrong_group_label"})[0] == "soil_nitrate"
    assert asked(LAB, LABEL, last_check="soil_nitrate")[0] == "read_label"
    assert asked(check("dig_again_in_a_week", "still_poor_a_week_later", waits_days=7), LABEL)[0] == "read_label"


def test_what_would_tell_only_a_little_is_not_asked():
    little, enough = (dataclasses.replace(LABEL, bits=bits) for bits in (0.049, 0.051))

    assert asked(little, LARVAE)[0] == "search_larvae"
    assert asked(enough, LARVAE)[0] == "read_label"
    assert worth_making(diagnosis({"drought": 0.5}, checks=(little, enough))) == [enough]


def test_there_is_an_end():
    assert asked() is None
    assert asked(LABEL, closed={"wrong_group_label"}) is None


def test_findings_of_a_group_are_one_question_with_all_its_choices():
    question = next_question(diagnosis({"drought": 0.5}, checks=(FIELD,)), FINDINGS, closed=(), last_check=None)

    assert question.key == "pattern"
    assert question.choices == tuple(row.name for row in FINDINGS.values() if row.group == "pattern")
    assert question.text == catalogue()["group.pattern.question"]
    assert question.choice_texts[0] == catalogue()["finding.strips.yes"]
    assert asked(FIELD, closed={"pattern"}) is None


def test_every_question_of_every_check_can_be_put():
    for row in load().of(Check):
        found = diagnosis({"drought": 0.5}, checks=(check(row.name, *row.findings),))
        closed = set()
        while question := next_question(found, FINDINGS, closed=closed, last_check=None):
            assert question.text.endswith("?")
            assert len(question.choice_texts) == len(question.choices)
            closed.add(question.key)
        assert closed


@pytest.mark.parametrize(("answer", "value"), [("y", "yes"), ("n", "no")])
def test_yes_and_no_are_observations_of_the_finding(answer, value):
    row = row_of(Question(LARVAE, "hollow_nodules"), answer, field="west", day=DAY)

    assert row == ObservationRow(field="west", date=DAY, subject="hollow nodules", value=value)


@pytest.mark.parametrize(("answer", "value"), [("1", "strips"), ("2", "low places"), ("n", "none")])
def test_a_choice_is_an_observation_of_the_group(answer, value):
    row = row_of(Question(FIELD, "pattern", ("strips", "low_places")), answer, field="west", day=DAY)

    assert row == ObservationRow(field="west", date=DAY, subject="pattern", value=value)


@pytest.mark.parametrize("answer", ["", "0", "3", "y", "-1", "one", "1.0"])
def test_what_is_no_choice_is_no_answer(answer):
    assert row_of(Question(FIELD, "pattern", ("strips", "low_places")), answer, field="west", day=DAY) is None


@pytest.mark.parametrize("answer", ["", "1", "maybe", "?", "u"])
def test_what_is_neither_yes_nor_no_is_no_answer(answer):
    assert row_of(Question(LARVAE, "hollow_nodules"), answer, field="west", day=DAY) is None


def test_what_a_check_takes():
    assert takes(LABEL) == "10 minutes"
    assert takes(dataclasses.replace(LAB, price=45.0)) == "30 minutes, a laboratory, an answer after 5 days, price 45"
    assert takes(check("dig_again_in_a_week", "still_poor_a_week_later", waits_days=1)).endswith("after 1 day")


def test_what_changed_most_is_told_with_the_new_first():
    before = diagnosis({"soil_acidity": 0.31, "drought": 0.30})
    after = diagnosis({"drought": 0.29, "soil_acidity": 0.05})

    acid, dry = catalogue()["cause.soil_acidity.name"], catalogue()["cause.drought.name"]
    assert change(before, after) == f"{acid[0].upper()}{acid[1:]}: 31 % -> 5 %. First in line now: {dry} (29 %)."


def test_the_first_is_not_named_twice_nor_when_it_stays():
    before = diagnosis({"soil_acidity": 0.31, "drought": 0.30})

    assert change(before, diagnosis({"drought": 0.64, "soil_acidity": 0.30})).endswith(": 30 % -> 64 %.")
    assert change(before, diagnosis({"soil_acidity": 0.64, "drought": 0.30})).endswith(": 31 % -> 64 %.")


def test_nothing_wrong_is_among_what_changes():
    before, after = (diagnosis({"drought": 0.3}, nothing=nothing) for nothing in (0.5, 0.1))

    assert change(before, after) == "Nothing wrong: 50 % -> 10 %."


def test_an_answer_that_moves_nothing_says_so():
    before = diagnosis({"soil_acidity": 0.31, "drought": 0.30})

    assert change(before, diagnosis({"soil_acidity": 0.312, "drought": 0.30})) == "That changes little."


def test_first_lines_stand_below_each_other():
    lines = first_lines(diagnosis({"soil_acidity": 0.31, "drought": 0.05, "salinity": 0.01}), 2)

    assert lines == [f"31 %  {catalogue()['cause.soil_acidity.name']}", f" 5 %  {catalogue()['cause.drought.name']}"]
