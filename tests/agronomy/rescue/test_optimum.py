import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from spadework.agronomy.rescue.optimum import Optimum, optimum_rate
from spadework.errors import DomainError

RATES = np.array([0.0, 28.0, 56.0, 84.1, 112.1])
GAIN = 0.75 * (1 - np.exp(-0.0196 * RATES))
NOTHING = Optimum(rate=0.0, gain=0.0, net_return=0.0)


def best(**changes):
    plain = {"rates": RATES, "gain": GAIN, "grain_price": 310.0, "nitrogen_price": 1.45, "fixed_cost": 14.0}
    return optimum_rate(**{**plain, **changes})


def test_free_nitrogen_is_given_to_the_highest_rate_that_still_adds():
    assert best(nitrogen_price=0.0).rate == RATES[-1]
    assert best(nitrogen_price=0.0, gain=[0.0, 0.4, 0.5, 0.45, 0.3]).rate == 56.0
    assert best(nitrogen_price=0.0, gain=[0.0, 0.4, 0.5, 0.5, 0.5]).rate == 56.0, "of equals the lowest"


def test_net_return_is_that_of_the_rate():
    """A known rate has the net return that it has; the best has no less than any of the rates given."""
    found = best()
    assert found.net_return == pytest.approx(310.0 * found.gain - 1.45 * found.rate - 14.0)
    assert found.net_return >= (310.0 * GAIN - 1.45 * RATES - 14.0)[1:].max()
    assert found.rate not in RATES
    # exact: ln(0.75 * 0.0196 * 310 / 1.45) / 0.0196 = 58.43
    assert found.rate == pytest.approx(58.43, abs=1.5)


def test_a_fixed_cost_turns_down_what_pays_by_the_kg():
    without = best(fixed_cost=0.0)
    assert best(fixed_cost=without.net_return - 0.01).rate == without.rate
    assert best(fixed_cost=without.net_return + 0.01) == NOTHING


def test_what_harms_or_brings_no_money_is_not_given():
    assert best(gain=-GAIN) == NOTHING
    assert best(gain=np.zeros(5), fixed_cost=0.0) == NOTHING
    assert best(grain_price=0.0) == NOTHING
    assert best(grain_price=5e-324) == NOTHING, "a price ratio beyond all numbers"
    assert best(nitrogen_price=1e12) == NOTHING


def test_a_line_that_just_pays_is_not_given():
    """Every kg brings what it costs: nothing is won at any rate."""
    just = {"rates": [0.0, 50.0, 100.0, 150.0, 200.0], "grain_price": 2.0, "nitrogen_price": 0.01, "fixed_cost": 0.0}
    assert best(gain=[0.0, 0.25, 0.5, 0.75, 1.0], **just) == NOTHING
    assert best(gain=[0.0, 0.25, 0.5, 0.75, 1.5], **just) == Optimum(rate=200.0, gain=1.5, net_return=1.0)


def test_a_rate_not_to_be_exceeded_is_not():
    assert best(highest=40.0).rate == 40.0
    assert best(highest=500.0) == best()


def test_two_rates_are_a_line():
    found = best(rates=[0.0, 56.0], gain=[0.0, 0.5])
    assert (found.rate, found.gain) == (56.0, 0.5)


prices = st.floats(1.0, 1000.0)


@given(prices, st.floats(0.0, 5.0), st.floats(0.0, 50.0))
def test_no_rate_on_a_fine_grid_is_better(grain, nitrogen, fixed):
    found = best(grain_price=grain, nitrogen_price=nitrogen, fixed_cost=fixed)
    rates = np.linspace(0, RATES[-1], 500)[1:]
    net = grain * PchipInterpolator(RATES, GAIN)(rates) - nitrogen * rates - fixed
    assert found.net_return >= max(net.max(), 0.0) - 1e-9
    assert (found.rate == 0) == (found.net_return == 0)


@given(prices, prices, st.floats(0.1, 5.0))
def test_dearer_grain_never_lowers_rate_or_return(one, other, nitrogen):
    low, high = (best(grain_price=price, nitrogen_price=nitrogen) for price in sorted((one, other)))
    assert high.rate >= low.rate - 1e-9
    assert high.net_return >= low.net_return - 1e-9


@given(prices, st.floats(0.1, 5.0), st.floats(0.1, 5.0))
def test_dearer_nitrogen_never_raises_rate_or_return(grain, one, other):
    cheap, dear = (best(grain_price=grain, nitrogen_price=price) for price in sorted((one, other)))
    assert dear.rate <= cheap.rate + 1e-9
    assert dear.net_return <= cheap.net_return + 1e-9


@given(prices, st.floats(0.1, 5.0), st.floats(0.001, 1.0))
def test_the_return_moves_smoothly_with_the_grain_price(grain, nitrogen, more):
    low, high = (best(grain_price=price, nitrogen_price=nitrogen) for price in (grain, grain + more))
    assert high.net_return - low.net_return <= more * GAIN[-1] + 1e-9


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"rates": RATES + 1}, "rates must be at least two, rising from 0"),
        ({"rates": RATES[::-1]}, "rates must be"),
        ({"rates": [0.0], "gain": [0.0]}, "rates must be"),
        ({"rates": [0.0, np.inf], "gain": [0.0, 1.0]}, "rates must be"),
        ({"gain": GAIN[:-1]}, "gain must be 5 finite figures, the first 0"),
        ({"gain": GAIN + 0.1}, "gain must be"),
        ({"gain": [0.0, np.nan, 1.0, 1.0, 1.0]}, "gain must be"),
        ({"grain_price": -1.0}, "grain_price must be 0 or more"),
        ({"nitrogen_price": np.inf}, "nitrogen_price must be 0 or more and finite"),
        ({"fixed_cost": np.nan}, "fixed_cost must be"),
        ({"highest": 0.0}, "highest must be above 0"),
    ],
)
def test_what_cannot_be_is_refused(changes, message):
    with pytest.raises(DomainError, match=message):
        best(**changes)
