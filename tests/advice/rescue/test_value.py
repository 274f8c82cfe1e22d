import dataclasses

import pytest
from tests.advice.rescue.fields import decided

from spadework.advice.rescue.value import Decision


def test_a_decision_cannot_be_changed():
    found = decided("good")
    assert isinstance(found, Decision)
    with pytest.raises(dataclasses.FrozenInstanceError):
        found.kind = "apply"


def test_what_was_not_reckoned_is_none_or_empty():
    found = decided("good")
    assert (found.dig_again, found.information, found.budget, found.net_at_price) == (None, (), (), ())
