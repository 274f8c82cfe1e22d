"""The diagnosis of a field, from its records to its headline."""

import datetime as dt

import pytest
from tests.factories import DUG, POOR, a_visit, advice_on, everything, records

from spadework.advice.messages import render
from spadework.records.types import ObservationRow

AFTER = DUG + dt.timedelta(days=1)


def sights(**seen):
    return tuple(
        ObservationRow(field="west", date=DUG, subject=subject.replace("_", " "), value=value)
        for subject, value in seen.items()
    )


def diagnosis(*, plants=(), field=None, today=AFTER, book=None, **seen):
    held = records(plants, observations=sights(**seen), field={"station": None, **(field or {})})
    return advice_on(held, today=today, **(book or {})).diagnosis


def chance(found, name):
    chances = {one.cause: one.probability.value for one in found.causes}
    return chances.get(name) or {one.cause: one.probability for one in found.others}[name]


def test_probabilities_are_probabilities_and_ranges_hold_them():
    found = diagnosis(plants=POOR, pattern="strips", host_new="yes")
    for one in found.causes:
        assert 0 < one.probability.low <= one.probability.value <= one.probability.high < 1
    ranking = [one.probability.value for one in found.causes] + [one.probability for one in found.others]
    assert ranking == sorted(ranking, reverse=True)
    assert len({one.cause for one in (*found.causes, *found.others)}) == len(ranking)


def test_a_good_field_has_nothing_wrong():
    found = advice_on(everything()).diagnosis
    assert found.state == "nothing_wrong"
    assert found.nothing.value > 0.5


def test_a_poor_field_without_history_cannot_tell_but_knows_what_to_ask():
    found = diagnosis(plants=POOR)
    assert found.state == "cannot_tell"
    assert found.headline.id == "diagnosis.cannot_tell"
    assert found.checks


@pytest.mark.parametrize(
    ("seen", "state"),
    [
        ({"no_inoculant": "yes", "host_new": "yes", "no_nodules": "yes", "pale_old_leaves": "yes"}, "very_likely"),
        ({"dug_early": "yes", "many_small_pale": "yes", "pale_old_leaves": "no"}, "wrong_time"),
        ({"high_nitrate": "yes", "nitrogen_before": "yes", "few_nodules": "yes", "green_tops": "yes"}, "suppressed"),
    ],
)
def test_states(seen, state):
    found = diagnosis(**seen)
    assert found.state == state
    assert found.headline.id == f"diagnosis.{state}"
    assert found.headline.values["first"] == found.causes[0].cause


def test_history_alone_names_no_cause():
    found = diagnosis(acid_soil="yes", dry_seedbed="yes", herbicide_before="yes", host_new="yes", pack_old_or_hot="yes")
    assert found.state == "cannot_tell"
    assert found.headline.id == "diagnosis.only_history"
    assert found.checks


def test_a_dig_too_early_sets_poor_nodules_aside():
    early = dt.date(2026, 5, 25)
    plants = tuple(row.model_copy(update={"date": early}) for row in a_visit([1] * 10, [0] * 10, [1] * 10))
    held = records(plants, digs=(), field={"station": None})
    found = advice_on(held, today=AFTER).diagnosis
    aside = {one.finding: one.silent for one in found.evidence if one.silent is not None}
    assert aside
    assert {message.id for message in aside.values()} == {"diagnosis.silent.early"}
    assert chance(found, "wrong_time") > 0.5


def test_own_priors_are_used_and_said():
    flat = diagnosis(plants=POOR)
    own = diagnosis(plants=POOR, book={"cause_prior": {"salinity": 0.5}})
    assert chance(own, "salinity") > chance(flat, "salinity")
    assert (flat.priors.id, own.priors.id) == ("diagnosis.priors.flat", "diagnosis.priors.own")
    assert own.priors.values == {"causes": 1}


@pytest.mark.parametrize(
    ("figure", "below", "above"), [("likely", "cannot_tell", "likely"), ("very_likely", "likely", "very_likely")]
)
def test_a_cause_is_called_from_the_figure_on(figure, below, above):
    seen = {"salty_soil": "yes", "stunted": "yes", "few_nodules": "yes"}
    reached = chance(diagnosis(**seen), "salinity")
    others = {} if figure == "likely" else {"diagnosis.likely": {"value": 0.01}}

    def state(limit):
        return diagnosis(**seen, book={"overrides": {**others, f"diagnosis.{figure}": {"value": limit}}}).state

    assert (state(reached + 1e-6), state(reached)) == (below, above)


def test_a_cause_is_listed_from_the_figure_on():
    seen = {"few_nodules": "yes", "stunted": "yes"}
    full = diagnosis(**seen)
    last = full.causes[-1]

    def listed(limit):
        book = {"overrides": {"diagnosis.worth_a_check": {"value": limit}}}
        return [one.cause for one in diagnosis(**seen, book=book).causes]

    assert last.cause in listed(last.probability.value)
    assert last.cause not in listed(last.probability.value + 1e-6)


def test_two_causes_that_explain_what_neither_explains_alone_are_named_together():
    found = diagnosis(salty_soil="yes", lateral_only="yes", hollow_nodules="yes", notched_leaves="yes", stunted="yes")
    assert found.together is not None
    assert {found.together.values["first"], found.together.values["second"]} == {"salinity", "nodule_larvae"}


def test_where_leaves_look_wrong_the_checks_that_tell_look_alikes_apart_are_ranked_too():
    offered = {one.check: one.findings for one in diagnosis(pale_young_leaves="yes").checks}
    assert "mosaic" in offered["look_at_leaf_veins"]
    green = {name for one in diagnosis(few_nodules="yes").checks for name in one.findings}
    assert "mosaic" not in green


def test_it_says_whether_the_first_cause_stays_first():
    sure = diagnosis(no_inoculant="yes", host_new="yes", no_nodules="yes", pale_old_leaves="yes")
    assert sure.robust.id == "diagnosis.robust.stays"
    shaky = diagnosis(stunted="yes", few_nodules="yes")
    assert shaky.robust.id == "diagnosis.robust.changes"
    assert shaky.robust.values["other"] != shaky.robust.values["first"]
    assert 0 < shaky.robust.values["share"] < 0.9


def test_what_no_rule_reads_is_named():
    found = diagnosis(weather_vane="points north")
    assert len(found.unread) == 1
    assert found.evidence == ()


def test_an_observation_after_today_is_not_known_yet():
    assert diagnosis(no_inoculant="yes", today=DUG - dt.timedelta(days=1)).evidence == ()


def test_the_same_records_give_the_same_diagnosis_in_any_order():
    plants = a_visit([80] * 5, [6] * 10, [4] * 8)
    one = records(plants, observations=sights(strips="yes", host_new="no"))
    other = records(plants[::-1], observations=sights(strips="yes", host_new="no")[::-1])
    assert advice_on(one).diagnosis == advice_on(other).diagnosis


def test_the_sentences_read_as_sentences():
    found = diagnosis(plants=POOR, host_new="yes", pale_old_leaves="yes", weather_vane="points north")
    for message in (found.headline, found.robust, found.priors, *found.unread, *(one.reason for one in found.checks)):
        text = render(message)
        assert text[0].isupper()
        assert text.endswith(".")
