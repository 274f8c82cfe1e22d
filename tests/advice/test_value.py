"""The advice value is a value: nothing in it can be changed once it is said."""

import dataclasses
import typing

import pytest
from tests.factories import advice_on, everything

from spadework.advice import value
from spadework.advice.diagnosis import value as of_diagnosis
from spadework.advice.value import FieldAdvice

PARTS = [getattr(value, name) for name in value.__all__ if isinstance(getattr(value, name), type)]
PARTS += [getattr(of_diagnosis, name) for name in of_diagnosis.__all__]


@pytest.mark.parametrize("part", PARTS, ids=lambda part: part.__name__)
def test_every_part_is_frozen_and_holds_nothing_that_grows(part):
    assert part.__dataclass_params__.frozen
    for hint in typing.get_type_hints(part).values():
        kinds = {typing.get_origin(kind) or kind for kind in (typing.get_args(hint) or (hint,))}
        assert not kinds & {list, dict, set}


def test_a_part_cannot_be_changed():
    advice = advice_on(everything())
    with pytest.raises(dataclasses.FrozenInstanceError):
        advice.verdict.leading = "adequate"


def test_parts_that_may_be_unknown_say_so_by_none():
    hints = typing.get_type_hints(FieldAdvice)
    optional = {name for name, hint in hints.items() if type(None) in typing.get_args(hint)}
    assert optional == {"name", "grower", "verdict", "readings", "index", "sampling", "nitrogen", "decision"}
