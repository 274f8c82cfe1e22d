import dataclasses

import pytest
from tests.report.decisions import CAUTIONS, DECISIONS, a_decision, without_prices

from spadework.advice import messages as sentences
from spadework.advice.message import Message
from spadework.advice.messages import render
from spadework.cli.field_text import field_sections
from spadework.report.causes import explains, first_check, named_cause
from spadework.report.display import UnitSystem


def told(advice, units=UnitSystem.METRIC):
    return dict(field_sections(advice, units))


def test_every_sentence_of_the_advice_is_told(all_advice):
    for advice in all_advice:
        text = "\n".join(sentence for sentences in told(advice).values() for sentence in sentences)
        messages = [advice.timing.headline, advice.timing.a_poor_reading_means, *advice.timing.notes]
        messages += [advice.timing.a_poor_reading_does_not_mean, *advice.earlier_digs, *advice.cautions]
        messages += [part.adds for part in advice.missing]
        messages += advice.diagnosis.unread
        if advice.verdict is not None:
            verdict = advice.verdict
            messages += [verdict.headline, *verdict.reasons]
        if advice.readings is not None:
            read = advice.readings
            messages += [read.colour.message, read.position.message]
            messages += [read.agreement.message] if read.agreement else []
        if advice.nitrogen is not None:
            messages += [advice.nitrogen.headline, *advice.nitrogen.reasons, *advice.nitrogen.left.messages]
        messages += [part.message for part in (advice.sampling, advice.index) if part is not None]
        if explains(advice):
            found = advice.diagnosis
            messages += [found.headline, found.priors, *(cause.name for cause in found.causes)]
            messages += [check.reason for check in found.checks[:3]]
        if explains(advice) and named_cause(advice) is not None:
            cause = named_cause(advice)
            messages += [cause.confirm, cause.this_season, cause.next_season, *cause.cautions]
        assert [message.id for message in messages if render(message).lower() not in text.lower()] == []


def test_what_no_rule_reads_is_told(all_advice):
    misspelt = Message(
        "evidence.unread.answer", {"day": all_advice[0].advised_on, "subject": "pattern", "value": "srips"}
    )
    diagnosis = dataclasses.replace(all_advice[0].diagnosis, unread=(misspelt,))
    sections = told(dataclasses.replace(all_advice[0], diagnosis=diagnosis))
    assert sections["Written down, but read by no rule"] == [render(misspelt)]


def test_the_decision_comes_first_and_the_verdict_second(all_advice, plain_catalogue):
    for name, make in DECISIONS.items():
        advice = dataclasses.replace(all_advice[0], decision=make())
        (first, decision), (second, verdict), *_ = field_sections(advice, UnitSystem.METRIC)
        assert (first, second) == ("Decision", "Verdict"), name
        assert decision[0] == render(advice.decision.headline)
        assert verdict == [render(advice.verdict.headline)]


def test_without_a_decision_the_verdict_stands_first(all_advice):
    for advice in all_advice:
        sections = told(dataclasses.replace(advice, decision=None))
        assert sections["Decision"] == []
        assert sections["Verdict"] == [render((advice.verdict or advice.timing).headline)]
        assert "Nitrogen now?" not in sections


@pytest.fixture
def plain_catalogue(monkeypatch):
    known = {**sentences.catalogue(), "test.sentence": "{text}"}
    monkeypatch.setattr(sentences, "catalogue", lambda language="en": known)


def test_the_choices_are_told_with_all_that_goes_with_them(all_advice, plain_catalogue):
    sections = told(dataclasses.replace(all_advice[0], decision=a_decision()))
    assert sections["Decision"][1].startswith("On the field by 6 July 2026: 122 kg/ha of urea")
    assert "What would change it: Pale leaves turning green." in sections["Decision"]
    choices = sections["Nitrogen now?"]
    assert choices[0] == "leave it: net return 0 mk/ha, given up 38 mk/ha"
    assert choices[2].startswith("56 kg/ha urea with a urease inhibitor (122 kg/ha, 29 Jun), chosen: gains 0.44")
    assert choices[-1].startswith("Your prices: grain 310 mk/t, ")
    assert sections["What it stands on"][0].startswith("Trials of this on such crops. One thesis")
    assert "That would lose 4 mk/ha" in " ".join(sections["Dig again first?"])
    assert sections["What it would be worth to know first"][0] == "How well the nodules work. Worth 14 mk/ha."
    assert sections["Net return by rate and price of grain, mk/ha"][1] == "56 kg/ha: +1 at 217, +42 at 310, +83 at 403"
    assert sections["Partial budget for 56 kg/ha, mk/ha"] == [
        "Added returns: 137 (Grain gained: 137)",
        "Reduced costs: 0 (none)",
        "Added costs: 95 (Urea with an inhibitor: 81; One pass over the field: 14)",
        "Reduced returns: 4 (Less nitrogen left to the next crop: 4)",
        "Net return: +38",
    ]
    assert sections["The check strip"][1] == "Strip: 18 m wide, 400 m long."
    assert sections["Cautions with nitrogen"] == [render(caution) for caution in CAUTIONS]


def test_without_prices_the_terminal_tells_grain(all_advice, plain_catalogue):
    pea = next(advice for advice in all_advice if advice.crop == "pea")
    sections = told(dataclasses.replace(pea, decision=without_prices()), UnitSystem.US)
    # 28 kg/ha are 25.0 lb/ac
    assert sections["Nitrogen now?"][1].startswith("25 lb/ac urea with a urease inhibitor (54 lb/ac, 29 Jun): gains 4.")
    assert "net return" not in " ".join(sections["Nitrogen now?"])
    assert not any(title.startswith(("Partial budget", "Net return")) for title in sections)


@pytest.fixture
def eaten(all_advice):
    """The field whose nodules larvae ate."""
    return next(advice for advice in all_advice if advice.field == "south-04")


def test_causes_stand_ranked_with_their_range_and_what_speaks_for_the_first(eaten):
    lines, causes = told(eaten)["Why it failed"], eaten.diagnosis.causes
    assert lines[0] == render(eaten.diagnosis.headline)
    ranked = lines[1 : 1 + len(causes)]
    assert [line.split(":")[0].lower() for line in ranked] == [render(cause.name) for cause in causes]
    first = causes[0].probability
    assert f"{first.value * 100:.0f} % ({first.low * 100:.0f} to {first.high * 100:.0f} %)" in ranked[0]
    assert lines[1 + len(causes)].startswith("Nothing wrong: ")
    strongest = render(causes[0].speaks_for[0].message)
    assert lines[2 + len(causes)] == f"Speaks for the first, strongly: {strongest}"


def test_checks_say_what_they_take(eaten):
    checks = told(eaten)["What to check next, the best first"]
    assert len(checks) == 3
    assert checks[0].lower().startswith(render(eaten.diagnosis.checks[0].name).lower())
    assert f"({eaten.diagnosis.checks[0].minutes:g} minutes" in checks[0]


def test_a_field_with_nothing_to_explain_tells_no_cause(all_advice):
    sound = [advice for advice in all_advice if not explains(advice) and first_check(advice) is None]
    assert sound
    for advice in sound:
        assert not {"Why it failed", "Causes, and what to check next", "What to do about it"} & set(told(advice))


def test_what_speaks_against_the_first_cause_is_told(all_advice):
    advice = next(each for each in all_advice if explains(each) and each.diagnosis.causes[0].speaks_against)
    against = render(advice.diagnosis.causes[0].speaks_against[0].message)
    lines = [sentence for sentences in told(advice).values() for sentence in sentences]
    assert any(line.startswith("Speaks against the first, ") and line.endswith(against) for line in lines)


def test_every_row_it_rests_on_is_named(all_advice):
    for advice in all_advice:
        text = " ".join(told(advice)["Rests on"])
        assert [row.row for row in advice.basis.rows if row.row not in text] == []


def test_own_figures_stand_apart(all_advice):
    advice = next(each for each in all_advice if any(row.overridden for row in each.basis.rows))
    assert told(advice)["Rests on"][0].startswith("The book's own figures: ")


@pytest.mark.parametrize(("units", "unit"), [(UnitSystem.METRIC, "°C d"), (UnitSystem.US, "°F d")])
def test_heat_is_told_in_the_units_asked_for_with_its_rule(all_advice, units, unit):
    advice = next(each for each in all_advice if each.timing.degree_days)
    (heat,) = [sentence for sentence in told(advice, units)["When"] if f"{unit} from" in sentence]
    assert advice.timing.degree_days.method_name in heat


def test_nitrogen_is_told_with_its_figures(all_advice):
    advice = next(each for each in all_advice if each.field == "north-02")
    nitrogen, lines = advice.nitrogen, told(advice)["Nitrogen"]
    assert lines[0] == render(nitrogen.headline)
    gap = nitrogen.gap_at_maturity
    assert f"Gap at ripeness: {gap.value:.0f} kg/ha ({gap.low:.0f} to {gap.high:.0f})" in lines
    assert "Nodules: by the dig, a step of judgement unless fixation was measured." in lines
    in_pounds = told(advice, UnitSystem.US)["Nitrogen"]
    # 1 kg/ha = 0.8921791 lb/ac: 0.45359237 kg a pound, 0.40468564 ha an acre
    assert any(line.startswith(f"Gap at ripeness: {gap.value * 0.8921791:.0f} lb/ac (") for line in in_pounds)


def test_without_a_balance_the_terminal_names_the_record(all_advice):
    advice = next(each for each in all_advice if each.field == "north-21")
    assert told(advice)["Nitrogen"] == [
        "Whether there is nitrogen enough cannot be reckoned; not recorded: expected yield, latitude."
    ]
