"""Shares of plants: hand-worked values, edges and refusals; published figures stand in tests/reference."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.agronomy.binomial import design_effect, jeffreys_interval, most_where_none_found, plants_for_share
from spadework.errors import DomainError


def test_jeffreys_interval_of_one_plant_by_hand():
    # One of one: Beta(3/2, 1/2) below, open to 1 above. Its distribution at sin^2 a is (2 a - sin 2 a) / pi.
    low, high = jeffreys_interval(1, 1, 0.90)
    angle = math.asin(math.sqrt(low))
    assert (2 * angle - math.sin(2 * angle)) / math.pi == pytest.approx(0.05)
    assert high == 1.0


def test_interval_opens_where_none_or_all_were_found():
    assert jeffreys_interval(0, 12, 0.90)[0] == 0.0
    assert jeffreys_interval(12, 12, 0.90)[1] == 1.0


@given(st.integers(1, 60), st.integers(0, 100), st.floats(0.5, 0.99))
def test_interval_of_the_others_is_the_mirror_image(plants, percent, level):
    adequate = plants * percent / 100  # may be a sum of probabilities
    low, high = jeffreys_interval(adequate, plants, level)
    assert 0 <= low < high <= 1
    assert jeffreys_interval(plants - adequate, plants, level) == pytest.approx((1 - high, 1 - low), abs=1e-6)


@given(st.integers(1, 40), st.floats(0, 1), st.floats(0, 1))
def test_one_adequate_plant_more_never_lowers_the_interval(plants, one, other):
    fewer, more = sorted((one, other))
    below, above = (jeffreys_interval(share * plants, plants, 0.90) for share in (fewer, more))
    assert above[0] >= below[0] - 1e-9
    assert above[1] >= below[1] - 1e-9


@pytest.mark.parametrize(
    ("adequate", "plants", "level", "message"),
    [
        (1, 0, 0.9, "plants must be at least 1, but is 0"),
        (-1, 5, 0.9, "adequate must be from 0 to 5, but is -1"),
        (6, 5, 0.9, "adequate must be from 0 to 5, but is 6"),
        (math.nan, 5, 0.9, "adequate must be from 0 to 5, but is nan"),
        (2, 5, 1.0, "level must be between 0 and 1, but is 1.0"),
        (2, 5, 90, "level must be between 0 and 1, but is 90"),
    ],
)
def test_interval_refuses(adequate, plants, level, message):
    with pytest.raises(DomainError, match=message):
        jeffreys_interval(adequate, plants, level)


def test_most_where_none_found_by_hand():
    # With half the field's plants showing it, ten in a row without it come up once in 2^10.
    assert most_where_none_found(plants=10, level=1 - 2**-10) == pytest.approx(0.5)
    assert most_where_none_found(plants=1, level=0.9) == pytest.approx(0.9)


@pytest.mark.parametrize(
    ("plants", "level", "message"),
    [(0, 0.9, "plants must be above 0, but is 0"), (10, 1, "level must be between 0 and 1, but is 1")],
)
def test_most_where_none_found_refuses(plants, level, message):
    with pytest.raises(DomainError, match=message):
        most_where_none_found(plants=plants, level=level)


def test_design_effect_of_plants_unlike_and_of_plants_all_alike():
    assert design_effect(plants_per_stop=10, correlation=0) == 1
    assert design_effect(plants_per_stop=1, correlation=0.5) == 1
    # Plants all alike: ten tell as much as one.
    assert design_effect(plants_per_stop=10, correlation=1) == 10


@pytest.mark.parametrize(
    ("plants_per_stop", "correlation", "message"),
    [(0.5, 0.1, "plants_per_stop must be at least 1"), (10, 1.2, "correlation must be from 0 to 1"),
     (10, -0.1, "correlation must be from 0 to 1"), (10, math.nan, "correlation must be from 0 to 1")],
)  # fmt: skip
def test_design_effect_refuses(plants_per_stop, correlation, message):
    with pytest.raises(DomainError, match=message):
        design_effect(plants_per_stop=plants_per_stop, correlation=correlation)


def test_plants_for_share_by_hand():
    # 2^2 x 0.5 x 0.5 / 0.1^2 = 100 plants that are strangers; twice as many when two tell no more than one.
    assert plants_for_share(share=0.5, half_width=0.1, z=2) == 100
    assert plants_for_share(share=0.5, half_width=0.1, z=2, design_effect=2) == 200
    # Of 100 plants in all: 100 / (1 + 99/100) = 50.3; with the effect 200 / (1 + 199/100) = 66.9.
    assert plants_for_share(share=0.5, half_width=0.1, z=2, population=100) == 51
    assert plants_for_share(share=0.5, half_width=0.1, z=2, population=100, design_effect=2) == 67


def test_level_and_deviate_say_the_same():
    # 95 % of a normal distribution lies within 1.959964 standard deviations (any table).
    by_level = plants_for_share(share=0.3, half_width=0.02, level=0.95)
    assert by_level == plants_for_share(share=0.3, half_width=0.02, z=1.959964)


@given(
    st.floats(0.05, 0.95),
    st.floats(0.02, 0.4),
    st.floats(0.5, 0.99),
    st.integers(1, 5000),
    st.floats(1, 10),
)
def test_never_more_plants_than_there_are(share, half_width, level, population, effect):
    asked = {"share": share, "half_width": half_width, "level": level, "design_effect": effect}
    within = plants_for_share(**asked, population=population)
    assert 1 <= within <= min(population, plants_for_share(**asked))


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"share": 0}, "share must be between 0 and 1, but is 0"),
        ({"half_width": 1}, "half_width must be between 0 and 1, but is 1"),
        ({"level": 1}, "level must be between 0 and 1, but is 1"),
        ({"level": None}, "level and z must be given one and not the other"),
        ({"z": 2}, "level and z must be given one and not the other"),
        ({"population": 0}, "population must be at least 1, but is 0"),
        ({"design_effect": 0.5}, "design_effect must be at least 1, but is 0.5"),
    ],
)
def test_plants_for_share_refuses(changed, message):
    with pytest.raises(DomainError, match=message):
        plants_for_share(**{"share": 0.5, "half_width": 0.1, "level": 0.9, **changed})
