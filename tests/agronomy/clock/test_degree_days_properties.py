import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.agronomy.clock import METHODS, degree_days

temperature = st.floats(-40, 50, allow_nan=False)
swing = st.floats(0, 30, allow_nan=False)
base = st.floats(-4, 12, allow_nan=False)

# Above the cap an intermediate cut-off counts heat against the crop, so warmer is not always more.
RISING = [method for method in METHODS if not method.endswith("intermediate")]


def cap_for(method, t_base):
    return None if method == "quarter" else t_base + 20


@pytest.mark.parametrize("method", METHODS)
@given(low=temperature, span=swing, t_base=base)
def test_never_negative_and_never_over_the_cap(method, low, span, t_base):
    cap = cap_for(method, t_base)
    found = degree_days(tmin=low, tmax=low + span, t_base=t_base, t_cap=cap, method=method)
    assert found >= 0
    assert cap is None or found <= cap - t_base + 1e-9


@pytest.mark.parametrize("method", RISING)
@given(low=temperature, span=swing, t_base=base, more=st.tuples(st.floats(0, 10), st.floats(0, 10)))
def test_a_warmer_day_is_never_less(method, low, span, t_base, more):
    warmer, wider = more
    cap = cap_for(method, t_base)
    cool = degree_days(tmin=low, tmax=low + span, t_base=t_base, t_cap=cap, method=method)
    high = low + warmer + span + wider
    warm = degree_days(tmin=low + warmer, tmax=high, t_base=t_base, t_cap=cap, method=method)
    assert warm >= cool - 1e-9


@given(low=temperature, span=swing, t_base=base)
def test_rules_stand_in_order_without_a_cap(low, span, t_base):
    # The area over the base grows with the weight that a curve gives to the extremes: all at the mean, a
    # straight line, a sine, half the day at either extreme. The quarter rule also stays between the outer two.
    day = {"tmin": low, "tmax": low + span, "t_base": t_base}
    mean, triangle, sine, each = (
        degree_days(**day, method=rule) for rule in ("mean_then_floor", "triangle", "sine", "floor_each")
    )
    assert mean - 1e-9 <= triangle <= sine + 1e-9
    assert sine <= each + 1e-9
    assert mean - 1e-9 <= degree_days(**day, method="quarter") <= each + 1e-9


@pytest.mark.parametrize("method", RISING)
@given(low=temperature, span=swing, t_base=base, shift=st.floats(-30, 30))
def test_only_differences_of_temperature_count(method, low, span, t_base, shift):
    cap = cap_for(method, t_base)
    here = degree_days(tmin=low, tmax=low + span, t_base=t_base, t_cap=cap, method=method)
    there = degree_days(
        tmin=low + shift,
        tmax=low + shift + span,
        t_base=t_base + shift,
        t_cap=None if cap is None else cap + shift,
        method=method,
    )
    np.testing.assert_allclose(here, there, atol=1e-6)
