"""A figure never travels alone."""

import math

import pytest

from spadework.errors import DomainError
from spadework.quantity import Grade, Quantity, worst_grade


def test_a_quantity_keeps_what_it_is_given():
    share = Quantity(0.7, "1", low=0.5, high=0.8, level=0.9, sources=("target.pea.fifty_nodules",), grade=Grade.READ)
    assert (share.low, share.value, share.high) == (0.5, 0.7, 0.8)


@pytest.mark.parametrize("ends", [{"low": 0.5}, {"high": 0.5}])
def test_an_interval_has_two_ends_or_none(ends):
    with pytest.raises(DomainError, match="given together or not at all"):
        Quantity(0.7, "1", **ends)


def test_an_interval_is_not_reversed():
    with pytest.raises(DomainError, match=r"low must be at most high \(0.5\), but is 0.8"):
        Quantity(0.7, "1", low=0.8, high=0.5)


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_a_value_is_a_finite_number(value):
    with pytest.raises(DomainError, match="value must be a finite number"):
        Quantity(value, "1")


def test_a_figure_is_no_better_than_its_worst_part():
    assert worst_grade(Grade.READ, Grade.JUDGEMENT, Grade.SECOND_HAND) is Grade.JUDGEMENT
    assert worst_grade(Grade.READ) is Grade.READ
