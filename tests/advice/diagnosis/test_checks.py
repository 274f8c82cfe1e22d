"""Checks ranked by what they tell for what they take."""

from math import log2

import pytest
from tests.advice.diagnosis.small import cause, check, finding, knowledge_of, known, line

from spadework.advice.diagnosis import checks
from spadework.advice.diagnosis.checks import rank_checks
from spadework.advice.diagnosis.model import model_of
from spadework.agronomy.diagnosis import posterior
from spadework.knowledge.load import load
from spadework.knowledge.rows import Crop, Finding

DEAD = cause("dead", line("old", "always"), line("few", "common"))
NITRATE = cause("nitrate", line("nitrate_high", "always"), line("few", "common"), course="no_nitrogen")
COLD = cause("cold", line("chilly", "always"), course="dig_again")
FINDINGS = (finding("old", "often"), finding("few"), finding("nitrate_high", "often"), finding("chilly", "often"))
CHECKS = (check("ask", "old", minutes=5), check("test", "nitrate_high", minutes=30, laboratory=True, waits_days=5))


def ranked_checks(
    *evidence,
    checks=CHECKS,
    causes=(DEAD, NITRATE),
    findings=FINDINGS,
    crop=Crop.PEA,
    prices=None,
    hour_price=None,
    figures=None,
):
    knowledge = knowledge_of(*causes, *findings, *checks, figures=figures or {})
    model = model_of(causes, crop=crop, wrong_time=None, own_priors={}, knowledge=knowledge)
    state = posterior(model.central, model.answers(evidence))
    return rank_checks([(model, state)], crop=crop, prices=prices or {}, hour_price=hour_price, knowledge=knowledge)


def entropy(chance):
    return -sum(p * log2(p) for p in (chance, 1 - chance) if p)


def test_bits_are_the_mutual_information_of_answer_and_causes():
    # P(old | dead) = 1 - 0.6 * 0.05 = 0.97, else 0.4; dead has 0.2, and nothing else bears on it.
    first = next(one for one in ranked_checks() if one.check == "ask")
    expected = entropy(0.2 * 0.97 + 0.8 * 0.4) - 0.2 * entropy(0.97) - 0.8 * entropy(0.4)
    assert first.bits == pytest.approx(expected, rel=1e-9)


def test_the_right_course_is_worked_out_over_the_answers():
    # Courses: nothing (0.64), nitrate alone or with dead (0.2): no nitrogen, 0.84; dead alone (0.16): weigh rescue.
    # Old: 0.16 * 0.97 against 0.64 * 0.4 + 0.04 * 0.97 + 0.16 * 0.4; the course stays no nitrogen either way.
    first = next(one for one in ranked_checks() if one.check == "ask")
    assert first.right_now == pytest.approx(0.84)
    assert first.right_then == pytest.approx(0.84)
    assert first.reason.id == "diagnosis.reason.tells"


def test_a_check_that_changes_the_course_says_so():
    found = next(one for one in ranked_checks(known("few")) if one.check == "ask")
    assert found.right_then > found.right_now + 0.01
    assert found.reason.id == "diagnosis.reason.decides"
    assert found.reason.values["now"] == found.right_now


def test_where_causes_act_together_the_most_cautious_course_is_right():
    # Cold with 0.2 always asks for a new dig, whatever acts beside it; of the rest nitrate or nothing: 0.8 * 0.84.
    first = ranked_checks(causes=(DEAD, NITRATE, COLD))[0]
    assert first.right_now == pytest.approx(0.8 * 0.84, abs=0.02)  # at most two causes act: nearly independent


def test_what_takes_longer_for_the_same_stands_behind():
    both = (check("slow", "old", minutes=50), check("quick", "old", minutes=5))
    assert [one.check for one in ranked_checks(checks=both)] == ["quick", "slow"]
    waits = (check("waits", "old", minutes=5, waits_days=9), check("now", "old", minutes=5))
    assert [one.check for one in ranked_checks(checks=waits)] == ["now", "waits"]
    bill = (check("bill", "old", minutes=5, laboratory=True), check("free", "old", minutes=5))
    assert [one.check for one in ranked_checks(checks=bill)] == ["free", "bill"]


@pytest.mark.parametrize(
    ("figure", "light", "heavy", "changes"),
    [
        ("laboratory_minutes", 1, 100, {"laboratory": True}),
        ("waiting_minutes", 0.1, 20, {"waits_days": 3}),
    ],
)
def test_what_bills_and_waiting_count_as_ranks_checks(figure, light, heavy, changes):
    pair = (check("costs", "old", minutes=5, **changes), check("work", "old", minutes=20))

    def first(minutes):
        return ranked_checks(checks=pair, figures={figure: (minutes, minutes, minutes)})[0].check

    assert (first(light), first(heavy)) == ("costs", "work")


def test_a_trip_counts_for_short_checks_most():
    pair = (check("short", "old", minutes=1), check("long", "old", "few", minutes=20))

    def first(minutes):
        return ranked_checks(checks=pair, figures={"trip_minutes": (minutes, minutes, minutes)})[0].check

    assert (first(0.1), first(500)) == ("short", "long")


def test_own_prices_stand_in_place_of_the_allowance():
    pair = (check("cheap", "old", minutes=5, laboratory=True), check("work", "old", minutes=20))
    assert [one.check for one in ranked_checks(checks=pair)] == ["work", "cheap"]
    priced = ranked_checks(checks=pair, prices={"cheap": 1}, hour_price=60)
    assert [one.check for one in priced] == ["cheap", "work"]
    assert [one.price for one in priced] == [1, None]


def test_a_price_without_an_hour_price_is_shown_but_not_weighed():
    pair = (check("cheap", "old", minutes=5, laboratory=True), check("work", "old", minutes=20))
    found = ranked_checks(checks=pair, prices={"cheap": 1})
    assert [one.check for one in found] == ["work", "cheap"]
    assert found[1].price == 1


def test_what_is_known_is_not_checked_again_and_what_is_half_known_is():
    assert [one.check for one in ranked_checks(known("old"))] == ["test"]
    assert [one.check for one in ranked_checks(known("old", 0))] == ["test"]
    assert {one.check for one in ranked_checks(known("old", 0.5))} == {"ask", "test"}


def test_a_check_settles_what_is_still_open_of_its_findings():
    both = (check("both", "old", "nitrate_high"),)
    (one,) = ranked_checks(known("old"), checks=both)
    assert one.findings == ("nitrate_high",)


def test_what_an_answer_makes_idle_is_no_check():
    cut, label = check("cut", "green_or_brown"), check("label", "wrong_group_label")
    causes = (
        cause("rot", line("green_or_brown", "always"), line("no_nodules", "common")),
        cause("wrong", line("wrong_group_label", "always"), line("no_inoculant", "excludes")),
    )
    rows = tuple(finding(name, "often") for name in ("green_or_brown", "wrong_group_label", "no_nodules"))

    def left(*evidence):
        found = ranked_checks(*evidence, checks=(cut, label), causes=causes, findings=(*rows, finding("no_inoculant")))
        return {one.check for one in found}

    assert left() == {"cut", "label"}
    assert left(known("no_nodules")) == {"label"}
    assert left(known("no_nodules", 0.5)) == {"cut", "label"}
    assert left(known("no_nodules", 0)) == {"cut", "label"}
    assert left(known("no_inoculant")) == {"cut"}


def test_what_answers_make_idle_are_findings():
    named = {name for pair in checks._IDLE_AFTER_YES.items() for name in (pair[0], *pair[1])}
    assert named <= {row.name for row in load().of(Finding)}


def test_a_check_for_another_crop_or_of_no_use_here_is_not_offered():
    assert ranked_checks(checks=(check("other", "old", crops=("lupin",)),)) == ()
    assert ranked_checks(checks=(check("useless", "chilly"),)) == ()


def test_the_reason_names_the_likeliest_cause_that_the_check_bears_on():
    (one,) = ranked_checks(known("nitrate_high"), checks=(check("dig", "few"),))
    assert one.reason.values["first"] == "nitrate"
    assert one.reason.values["others"] == 1
