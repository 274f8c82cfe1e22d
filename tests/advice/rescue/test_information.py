import numpy as np
import pytest
from tests.advice.rescue.fields import KNOWN, looked_at, prices
from tests.factories import DUG

from spadework.advice.messages import render
from spadework.advice.rescue.information import information_of
from spadework.advice.rescue.options import Market, plans

BALANCE, (NOW, _) = looked_at("quarter")


def told(grain, *, net=None):
    now = plans(
        NOW, on=DUG, market=Market(grain_price=grain, prices=prices(grain, {"urea": 1.2})), level=0.9, knowledge=KNOWN
    )
    worth = NOW.expected_yield * grain
    return now, information_of(now.net if net is None else net, BALANCE, NOW, crop_worth=worth)


def test_the_nodules_are_worth_most_where_it_is_open_whether_they_work():
    now, found = told(1000.0)
    assert found[0].name == "nodulation"
    assert [one.value for one in found] == sorted((one.value for one in found), reverse=True)
    assert all(0 < one.value <= now.weighed.value_of_certainty for one in found)
    assert all(render(one.message).endswith(".") for one in found)


def test_nothing_is_worth_knowing_where_it_changes_no_choice():
    assert told(20.0)[1] == ()


def test_what_goes_with_the_rain_alone_is_put_down_to_it():
    soaked = np.broadcast_to(NOW.surface.delay <= 3.0, (BALANCE.season.of_draw.size, 1))[:, 0]
    net = np.column_stack([np.zeros(soaked.size), np.where(soaked, 50.0, -50.0)])
    if not 0 < soaked.mean() < 1:
        pytest.fail("the weather of this field was meant to be wet in some draws and dry in others")
    assert told(1000.0, net=net)[1][0].name == "rain"
