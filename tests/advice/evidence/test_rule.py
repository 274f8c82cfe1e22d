"""Limits, words and doubts that every rule is made of."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.advice.evidence.looking import look_at, on
from tests.factories import a_visit

from spadework.advice.evidence.rule import all_of, limit_for, mentions, one_of, ramp, share_of_plants, tell
from spadework.knowledge.rows import Coefficient
from spadework.quantity import Grade

SURES = st.lists(st.none() | st.floats(0, 1), min_size=1, max_size=5)


def limit(**figures):
    return Coefficient(id="limit.a.any", unit="1", scope="s", source="own_judgement", grade=Grade.JUDGEMENT, **figures)


@pytest.mark.parametrize(("value", "sure"), [(0, 0), (2, 0), (3, 0.25), (4, 0.5), (6, 1), (9, 1)])
def test_a_range_rises_evenly_from_low_to_high(value, sure):
    assert ramp(value, limit(low=2, high=6)) == pytest.approx(sure)


@pytest.mark.parametrize(("value", "sure"), [(1.99, 0), (2, 0), (2.01, 1)])
def test_a_value_is_a_step(value, sure):
    assert ramp(value, limit(value=2)) == sure


def test_the_crops_own_limit_goes_before_the_one_of_any():
    assert limit_for("nitrate", look_at(on("soybean"))).id == "limit.nitrate.soybean"
    assert limit_for("nitrate", look_at(on("lupin"))).id == "limit.nitrate.any"


@pytest.mark.parametrize(
    ("text", "words", "found"),
    [
        ("Peas and lentils", ("pea", "lentil"), ("lentil", "pea")),
        ("chickpea", ("pea",), ()),
        ("chick pea", ("pea", "chick pea"), ("chick pea",)),
        ("faba bean", ("bean", "faba bean"), ("faba bean",)),
        ("peat", ("pea",), ()),
        ("metalaxyl-M", ("metalaxyl",), ("metalaxyl",)),
        ("THIRAM 400", ("thiram",), ("thiram",)),
        ("", ("pea",), ()),
        ("a+b", ("a", "b"), ("a", "b")),
        ("no fertiliser", ("fertiliser",), ()),
        ("water, no zinc or copper", ("zinc", "copper"), ()),
        ("zinc-free water", ("zinc",), ()),
        ("chlorine free", ("chlorine",), ()),
        ("not treated with thiram", ("thiram",), ()),
        ("Pea, not lupin", ("pea", "lupin"), ("pea",)),
        ("not lupin but pea", ("pea", "lupin"), ("pea",)),
        ("no zinc, copper", ("zinc", "copper"), ("copper",)),
        ("note: thiram", ("thiram",), ("thiram",)),
    ],
)
def test_words_are_found_whole_and_longer_ones_first(text, words, found):
    assert mentions(text, words) == found


@pytest.mark.parametrize(
    ("sures", "every", "any_one"),
    [
        ((0.5, 0.5), 0.25, 0.5), ((1.0, None), None, 1.0), ((0.0, None), 0.0, None), ((0.04, None), 0.04, None),
        ((0.96, None), None, 0.96), ((None, None), None, None), ((1.0, 1.0), 1.0, 1.0),
    ],
)  # fmt: skip
def test_doubts_put_together(sures, every, any_one):
    assert all_of(*sures) == every
    assert one_of(sures) == any_one


def test_none_of_nothing_is_unknown():
    assert one_of([]) is None


@given(SURES, st.integers(0, 4))
def test_an_answer_that_becomes_unknown_never_makes_one_the_other_way(sures, place):
    fewer = [None if number == place else sure for number, sure in enumerate(sures)]
    for together in (all_of(*sures), one_of(sures)), (all_of(*fewer), one_of(fewer)):
        assert all(one is None or 0 <= one <= 1 for one in together)
    # What the rest rules out was at least as much ruled out by all; what it settles was settled by all.
    if (left := all_of(*fewer)) is not None and (whole := all_of(*sures)) is not None:
        assert whole <= left
    if (left := one_of(fewer)) is not None and (whole := one_of(sures)) is not None:
        assert whole >= left


@pytest.mark.parametrize(
    ("sure", "state"), [(0, "no"), (0.25, "no"), (0.26, "partly"), (0.74, "partly"), (0.75, "yes")]
)
def test_what_is_told(sure, state):
    one = tell("strips", sure, "a_rule", {"n": 1}, (limit(value=1),))
    assert (one.finding, one.sure, one.rule) == ("strips", sure, "a_rule")
    assert one.message.id == f"evidence.a_rule.{state}"
    assert one.message.values == {"n": 1}
    assert one.message.sources == ("limit.a.any",)


def test_shares_are_of_plants_not_of_scorings():
    plants = a_visit([10] * 5)
    twice = tuple(row.model_copy(update={"scorer": "B"}) for row in plants[:1])
    seen = look_at(on("pea", plants=(*plants, *twice)))
    # The first plant was scored by two who differ: it is half so. 0.5 of 5 plants.
    share = share_of_plants(seen, np.array([1.0, 0.0, 0, 0, 0, 0]))
    assert (share.mean, share.plants) == (pytest.approx(0.1), 5)


def test_of_too_few_plants_nothing_is_said():
    seen = look_at(on("pea", plants=a_visit([10] * 5)))
    assert share_of_plants(seen, np.array([1.0, np.nan, 1, 1, 1])) is None
    assert share_of_plants(look_at(on("pea")), np.array([])) is None
