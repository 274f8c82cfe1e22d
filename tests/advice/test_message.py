"""A message is an id, its values and its rows; it cannot be changed once made."""

from dataclasses import FrozenInstanceError

import pytest

from spadework.advice import value
from spadework.advice.message import Message


def test_a_message_without_values_rests_on_nothing():
    message = Message("next.closed")
    assert (dict(message.values), message.sources) == ({}, ())


def test_messages_are_alike_by_what_they_say():
    assert Message("a.b", {"n": 1}, sources=("row",)) == Message("a.b", {"n": 1}, sources=("row",))
    assert Message("a.b", {"n": 1}) != Message("a.b", {"n": 2})


def test_a_message_cannot_be_changed():
    with pytest.raises(FrozenInstanceError):
        Message("a.b").id = "c.d"


def test_advice_values_speak_through_this_message():
    assert value.Message is Message
