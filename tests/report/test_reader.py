from dataclasses import replace

from tests.report.decisions import a_decision

from spadework.advice import messages
from spadework.advice.value import Message
from spadework.report.display import UnitSystem
from spadework.report.reader import reader_of


def test_sentences_are_told_in_the_readers_units_and_money(situation, monkeypatch):
    sentences = {**messages.catalogue(), "test.amounts": "{rate:as:kg/ha}, {gain:as:t/ha}, {grain:as:per t}"}
    monkeypatch.setattr(messages, "catalogue", lambda language="en": sentences)
    message = Message("test.amounts", {"rate": 56.0, "gain": 0.5, "grain": 310.0})
    advice = replace(situation("good"), decision=a_decision())

    assert reader_of(advice, UnitSystem.METRIC).say(message) == "56 kg/ha, 0.50 t/ha, 310 mk per t"
    # 1.12085115619 kg/ha a lb/ac, 0.0672510693717 t/ha a bu/ac, 36.7437103641 bu a tonne (GNU Units 2.22)
    assert reader_of(advice, UnitSystem.US).say(message) == "50 lb/ac, 7.4 bu/ac, 8.44 mk per bu"


def test_without_a_decision_there_is_no_currency(situation):
    assert reader_of(situation("good"), UnitSystem.US).currency == ""
