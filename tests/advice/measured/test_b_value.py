"""Which B value is in force, and how well it is known."""

import math

import pytest

from spadework.advice.measured.b_value import b_value_in_force
from spadework.errors import KnowledgeError
from spadework.knowledge.load import load, with_overrides
from spadework.knowledge.rows import Crop
from spadework.quantity import Grade
from spadework.records.types import LocalBValue

KNOWN = load()


def b(crop, said=None, spread=None, knowledge=KNOWN):
    return b_value_in_force(crop=crop, said=said, said_spread=spread, knowledge=knowledge)


def test_the_published_mean_of_soybean_is_in_force_with_its_range_as_an_even_spread():
    found = b(Crop.SOYBEAN)
    assert (found.value, found.grade, found.tissue) == (-1.8, Grade.READ, "shoot")
    # From -2.62 to -1.37: half of 1.25 over the root of 3.
    assert found.spread == pytest.approx(1.25 / 2 / math.sqrt(3))
    assert found.rows == ("b_value.soybean.published_mean",)


@pytest.mark.parametrize("crop", sorted(set(Crop) - {Crop.SOYBEAN, Crop.FABA_BEAN}))
def test_a_value_from_memory_or_none_is_never_in_force_by_itself(crop):
    assert b(crop) is None


def test_a_row_from_memory_is_used_where_it_is_named():
    found = b(Crop.PEA, "b_value.pea.remembered")
    assert (found.value, found.grade) == (-0.66, Grade.JUDGEMENT)
    assert found.spread == KNOWN.figure("b_value_spread.any").central
    assert found.rows == ("b_value.pea.remembered", "b_value_spread.any")


def test_the_users_own_figure_comes_before_any_row():
    found = b(Crop.SOYBEAN, -1.1, 0.2)
    assert (found.value, found.spread, found.rows, found.own_spread) == (-1.1, 0.2, (), True)
    without = b(Crop.SOYBEAN, -1.1)
    assert (without.spread, without.rows, without.own_spread) == (0.4, ("b_value_spread.any",), False)


def test_the_books_own_comes_before_the_row_and_after_what_was_said():
    own = {"crop": Crop.SOYBEAN, "said_spread": None, "knowledge": KNOWN}
    found = b_value_in_force(**own, said=None, local=LocalBValue(-1.1, 0.3, "pots, 2025"))
    assert (found.value, found.spread, found.rows) == (-1.1, 0.3, ("local_b_value.soybean",))
    assert (found.grade, found.own_spread) == (Grade.SECOND_HAND, True)
    bare = b_value_in_force(**own, said=None, local=LocalBValue(-1.1))
    assert (bare.spread, bare.grade, bare.own_spread) == (0.4, Grade.JUDGEMENT, False)
    assert bare.rows == ("local_b_value.soybean", "b_value_spread.any")
    assert b_value_in_force(**own, said=-0.9, local=LocalBValue(-1.1)).value == -0.9
    wider = b_value_in_force(**{**own, "said_spread": 0.6}, said=None, local=LocalBValue(-1.1, 0.3))
    assert (wider.value, wider.spread) == (-1.1, 0.6)


def test_where_there_is_no_row_it_says_how_to_give_a_figure():
    with pytest.raises(KnowledgeError, match=r"not a B value of lupin: there is no such row; or give .* lupin = -0\.7"):
        b(Crop.LUPIN, "b_value.lupin.field_mean")


def test_a_spread_of_nothing_is_kept():
    assert b(Crop.SOYBEAN, -1.1, 0.0).spread == 0.0


def test_an_overridden_row_may_carry_its_own_standard_deviation():
    changed = with_overrides(KNOWN, {"b_value.soybean.published_mean": {"mean": -1.5, "sd": 0.3}})
    found = b(Crop.SOYBEAN, knowledge=changed)
    assert (found.value, found.spread) == (-1.5, 0.3)


@pytest.mark.parametrize(
    ("said", "message"),
    [
        (
            "b_value.soybean.no_such",
            r"the rows are b_value\.soybean\.published_mean, .*; or give your own figure in permil",
        ),
        ("b_value.pea.remembered", "is not a B value of soybean"),
        ("reference.least_above_b", "is not a B value of soybean"),
    ],
)
def test_a_row_that_does_not_fit_is_refused(said, message):
    with pytest.raises(KnowledgeError, match=message):
        b(Crop.SOYBEAN, said)
