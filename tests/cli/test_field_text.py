import pytest

from spadework.advice.messages import render
from spadework.cli.field_text import field_sections
from spadework.report.display import UnitSystem


def told(advice, units=UnitSystem.METRIC):
    return dict(field_sections(advice, units))


def test_every_sentence_of_the_advice_is_told(all_advice):
    for advice in all_advice:
        text = "\n".join(sentence for sentences in told(advice).values() for sentence in sentences)
        messages = [advice.timing.headline, advice.timing.a_poor_reading_means, *advice.timing.notes]
        messages += [advice.timing.a_poor_reading_does_not_mean, *advice.earlier_digs, *advice.cautions]
        messages += [part.adds for part in advice.missing]
        if advice.verdict is not None:
            verdict = advice.verdict
            messages += [verdict.headline, *verdict.reasons]
        if advice.readings is not None:
            read = advice.readings
            messages += [read.colour.message, read.position.message]
            messages += [read.agreement.message] if read.agreement else []
        messages += [part.message for part in (advice.sampling, advice.index) if part is not None]
        assert [message.id for message in messages if render(message) not in text] == []


def test_the_decision_comes_first(all_advice):
    for advice in all_advice:
        title, sentences = next(iter(field_sections(advice, UnitSystem.METRIC)))
        assert title == "Verdict"
        assert sentences == [render((advice.verdict or advice.timing).headline)]


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
