import dataclasses
import datetime as dt
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.advice.rescue.fields import KNOWN, looked_at, prices

from spadework.advice.rescue.options import (
    Market,
    grain_price_that_pays,
    net_at_prices,
    nitrogen_price_that_pays,
    plans,
)
from spadework.records.types import Prices

ON = dt.date(2026, 6, 25)
_, (NOW, LATER) = looked_at()


def market(grain=310.0, nitrogen=1.2, **more):
    return Market(grain_price=grain, prices=prices(grain or 0.0, {"urea": nitrogen}, **more))


def planned(grain=310.0, nitrogen=1.2, **more):
    return plans(NOW, on=ON, market=market(grain, nitrogen), level=0.9, knowledge=KNOWN, **more)


def best(found):
    return found.options[found.best].net_return.value


def test_leave_comes_first_and_brings_nothing():
    found = planned()
    leave = found.options[0]
    assert (leave.option, leave.cost, leave.net_return.value, leave.chance_of_loss) == ("leave", 0.0, 0.0, 0.0)
    assert leave.break_even_gain is None
    assert [option.option for option in found.options[1:]] == ["apply"] * (len(found.options) - 1)


def test_money_of_an_option_is_grain_less_cost():
    option = planned().options[2]
    assert option.cost == pytest.approx(14 + 1.2 * 56.04)
    assert option.net_return.value == pytest.approx(option.gain.value * 310 - option.cost)
    assert option.break_even_gain.value == pytest.approx(option.cost / 310)
    assert option.gain.low <= option.gain.value <= option.gain.high
    # 56.04 kg of nitrogen in urea of 46 % N, by hand.
    assert option.product_rate.value == pytest.approx(121.8, abs=0.05)
    assert option.product_rate.unit == "kg/ha"


def test_a_rate_between_those_shown_is_looked_for():
    found = planned(500.0)
    rates = [option.rate.value for option in found.options[1:]]
    assert len(rates) == 5
    assert rates == sorted(rates)
    assert rates[found.best - 1] not in (28.0, 56.0, 84.1, 112.1)
    assert best(found) >= max(option.net_return.value for option in found.options if option.rate.value <= 89.7)


def test_the_best_changes_smoothly_as_grain_gets_dearer():
    grain = np.linspace(200.0, 900.0, 29)
    worth = np.array([best(planned(float(price))) for price in grain])
    assert worth[0] == 0
    assert worth[-1] > 50
    assert np.all(np.diff(worth) >= 0)
    # No step is larger than the largest gain times the step of the price, and the rate found between the steps.
    largest = max(option.gain.value for option in planned(900.0).options)
    assert np.all(np.diff(worth) <= largest * np.diff(grain) + 0.2)


def test_the_best_changes_smoothly_as_nitrogen_gets_dearer():
    price = np.linspace(0.2, 4.0, 20)
    worth = np.array([best(planned(600.0, float(one))) for one in price])
    assert np.all(np.diff(worth) <= 0)
    assert np.all(np.diff(worth) >= -112.1 * np.diff(price) - 0.2)
    assert worth[-1] == 0


@given(grain=st.floats(1, 1e4), nitrogen=st.floats(0.01, 1e3))
def test_prices_that_turn_it_do(grain, nitrogen):
    found = planned(grain, nitrogen)
    turn = grain_price_that_pays(found, market(grain, nitrogen))
    assert turn is not None
    assert (found.best > 0) == (grain > turn)
    dearest = nitrogen_price_that_pays(found, market(grain, nitrogen))
    assert (found.best > 0) == (dearest is not None and nitrogen < dearest)


def test_the_price_of_nitrogen_that_turns_it_holds_for_all_products_together():
    dear = {"urea": 1.2, "uan_28": 1.3}

    def best_at(times):
        prices_now = {name: price * times for name, price in dear.items()}
        found = plans(
            NOW, on=ON, market=Market(grain_price=600.0, prices=prices(600.0, prices_now)), level=0.9, knowledge=KNOWN
        )
        return found, nitrogen_price_that_pays(found, Market(grain_price=600.0, prices=prices(600.0, prices_now)))

    found, turn = best_at(1.0)
    times = turn / found.best_offer.price
    assert best_at(0.95 * times)[0].best > 0
    assert best_at(1.1 * times)[0].best == 0


def test_no_more_is_named_than_is_ever_advised():
    rich = planned(1e5)
    assert max(option.rate.value for option in rich.options) > 100  # shown
    assert rich.options[rich.best].rate.value <= 89.7
    unpriced = plans(NOW, on=ON, market=Market(grain_price=None, prices=Prices()), level=0.9, knowledge=KNOWN)
    assert unpriced.options[unpriced.best_apply].rate.value == pytest.approx(56.04, abs=0.01)


def test_without_a_price_of_either_there_is_no_money():
    for grain, nitrogen in ((None, {"urea": 1.2}), (310.0, {})):
        found = plans(
            NOW, on=ON, market=Market(grain_price=grain, prices=Prices(nitrogen=nitrogen)), level=0.9, knowledge=KNOWN
        )
        assert found.net is None
        assert found.weighed is None
        assert {option.cost for option in found.options} == {None}


def test_the_table_by_price_goes_in_line_with_the_options():
    found = planned(400.0)
    table = net_at_prices(found, market(400.0), grain_price=400.0)
    assert len(table) == 5 * (len(found.options) - 1)
    same = {line.rate.value: line.net_return for line in table if line.grain_price == 400.0}
    for option in found.options[1:]:
        assert same[option.rate.value] == pytest.approx(option.net_return.value)
    low = {line.rate.value: line.net_return for line in table if line.grain_price == pytest.approx(240.0)}
    assert all(low[rate] < same[rate] for rate in same)


def test_one_product_alone_can_be_asked_for():
    many = plans(
        LATER, on=ON, market=Market(grain_price=310.0, prices=prices()), level=0.9, knowledge=KNOWN, only="urea"
    )
    assert {option.product for option in many.options[1:]} == {"urea"}


def test_rates_asked_for_stand_in_order_among_the_common_ones_and_no_rate_twice():
    asked = replace(NOW, rates=(70.0, 56.0))
    found = plans(asked, on=ON, market=market(nitrogen=9.0), level=0.9, knowledge=KNOWN)
    assert [round(option.rate.value, 1) for option in found.options[1:]] == [28.0, 56.0, 70.0, 84.1, 112.1]


def test_a_price_for_any_product_holds_for_the_common_ones_that_have_none():
    price = {"any": 1.3, "ammonium_nitrate": 1.6, "urea": 1.1}
    found = plans(NOW, on=ON, market=Market(grain_price=310.0, prices=prices(310.0, price)), level=0.9, knowledge=KNOWN)
    assert {offer.product: offer.price for offer in found.offers} == {
        "urea": 1.1,
        "urea_inhibited": 1.3,
        "uan_28": 1.3,
        "ammonium_nitrate": 1.6,
    }


@pytest.mark.parametrize(("product", "step"), [("urea", 10.0), ("uan_28", 25.0), ("urea", 0.5)])
def test_rates_are_whole_steps_of_the_machine_and_nitrogen_follows(product, step):
    outlook = dataclasses.replace(NOW, rate_step=step)
    priced = Market(grain_price=600.0, prices=prices(600.0, {product: 1.2}))
    found = plans(outlook, on=ON, market=priced, level=0.9, knowledge=KNOWN)
    content = {"urea": 0.46, "uan_28": 0.28 * 1.2786}[product]  # kg of N a kg, a L (knowledge rows, rounded)
    for option in found.options[1:]:
        steps = option.product_rate.value / step
        assert steps == pytest.approx(round(steps), abs=1e-6)
        assert option.rate.value == pytest.approx(option.product_rate.value * content, rel=2e-4)
    assert found.options[found.best].rate.value <= 89.7
    bare = plans(outlook, on=ON, market=Market(grain_price=None, prices=Prices()), level=0.9, knowledge=KNOWN)
    assert abs(bare.options[bare.best_apply].rate.value - 56.04) <= step
