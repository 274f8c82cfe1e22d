import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.errors import DomainError
from spadework.records.columns import columns_of
from spadework.records.types import TABLES
from spadework.records.units import MEASURES, UCUM, from_inside, unit_of

UNITS = st.sampled_from([(measure, unit) for measure, units in MEASURES.items() for unit in units])


@given(unit=UNITS, value=st.floats(-1e6, 1e6))
def test_there_and_back_is_the_same_within_rounding(unit, value):
    measure, name = unit
    back = unit_of(measure, name).inward(Fraction(from_inside(value, measure=measure, unit=name)))

    # Each way rounds once; the shift of 32 degF rounds at its own size.
    assert back == pytest.approx(value, rel=1e-15, abs=1e-14)


@given(unit=UNITS, value=st.decimals(-10_000, 10_000, places=4))
def test_there_and_back_is_exact_on_fractions(unit, value):
    measure, name = unit
    source = MEASURES[measure][name]

    assert source.outward((Fraction(value) - source.zero) * source.size) == Fraction(value)


@given(unit=UNITS, low=st.floats(-1e6, 1e6), step=st.floats(1e-3, 1e6))
def test_more_stays_more(unit, low, step):
    measure, name = unit

    assert unit_of(measure, name).inward(Fraction(low + step)) > unit_of(measure, name).inward(Fraction(low))


@pytest.mark.parametrize("value", [math.inf, -math.inf])
def test_infinities_pass(value):
    assert from_inside(value, measure="temperature", unit="degF") == value


def test_nan_passes():
    assert math.isnan(from_inside(math.nan, measure="rain", unit="in"))


def test_the_first_unit_of_each_measure_is_the_inside_one():
    for units in MEASURES.values():
        inside = next(iter(units.values()))
        assert (inside.size, inside.zero) == (1, 0)


def test_columns_are_kept_in_the_inside_unit_of_their_measure():
    for table in TABLES:
        for plan in columns_of(table):
            if plan.measure is not None:
                assert plan.meaning.unit == next(iter(MEASURES[plan.measure]))


def test_every_unit_of_a_column_has_its_ucum_code():
    names = {plan.meaning.unit for table in TABLES for plan in columns_of(table)} - {None}

    assert names <= UCUM.keys()


def test_an_unknown_unit_is_refused_with_the_known_ones():
    with pytest.raises(DomainError, match=r"unit of area must be one of ha, ac, ac_us, but is 'acre'"):
        unit_of("area", "acre")
