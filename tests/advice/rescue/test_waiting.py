import dataclasses
import datetime as dt

import numpy as np
import pytest
from tests.advice.rescue.fields import DUG, KNOWN, looked_at, prices

from spadework.advice.nitrogen.inputs import streams
from spadework.advice.rescue.options import Market, plans
from spadework.advice.rescue.outlook import counted_draws
from spadework.advice.rescue.waiting import SecondDig, dig_again_of, turning_share_now
from spadework.agronomy.season.nodulation import drawn_share

BALANCE, (NOW, LATER) = looked_at("quarter")


def planned(outlook, grain, nitrogen=1.2):
    chosen = Market(grain_price=grain, prices=prices(grain or 0.0, {"urea": nitrogen}))
    return plans(outlook, on=DUG, market=chosen, level=0.9, knowledge=KNOWN)


def a_dig(**changes):
    share = drawn_share(BALANCE.dig.share, draws=500, generator=streams(1)[2])[counted_draws(BALANCE)]
    return SecondDig(
        **{
            "on": DUG + dt.timedelta(days=4),
            "nitrogen_on": DUG + dt.timedelta(days=7),
            "plants": 30,
            "stops": 3,
            "share": share,
            "correlation": BALANCE.dig.share.correlation,
            "cost": 1.0,
            **changes,
        }
    )


def test_waiting_that_can_change_nothing_costs_the_dig():
    # No price of grain or nitrogen makes a difference that a dig could: leave it now and later.
    found = dig_again_of(a_dig(), planned(NOW, 20.0), planned(LATER, 20.0))
    assert found.value == pytest.approx(-1.0)
    assert found.net_return == pytest.approx(-1.0)
    assert found.apply_chance == 0
    assert found.turning_share is None


def test_a_dig_that_costs_nothing_and_delays_nothing_is_never_worth_less_than_none():
    for grain in (400.0, 900.0, 1500.0):
        now = planned(NOW, grain)
        found = dig_again_of(a_dig(cost=0.0), now, now)
        assert found.value >= 0
        assert found.net_return >= now.options[now.best].net_return.value - 1e-9


def test_the_day_lost_makes_waiting_worth_less():
    now, later = planned(NOW, 1200.0), planned(LATER, 1200.0)
    at_once, delayed = (dig_again_of(a_dig(cost=0.0), now, then).value for then in (now, later))
    assert delayed < at_once


def test_more_plants_tell_more():
    now = planned(NOW, 1000.0)
    worth = [dig_again_of(a_dig(plants=plants, cost=0.0), now, now).value for plants in (3, 12, 60)]
    assert worth == sorted(worth)
    assert worth[-1] > worth[0]


def test_few_adequate_plants_say_give_and_many_say_leave():
    shares = [turning_share_now(a_dig(), planned(NOW, grain)) for grain in (900.0, 1200.0, 2000.0)]
    assert all(share is not None for share in shares)
    assert shares == sorted(shares)
    assert 0 < shares[0] < shares[-1] < 1


def test_without_prices_the_dig_is_told_without_money():
    found = dig_again_of(a_dig(), planned(NOW, None), planned(LATER, None))
    assert (found.value, found.net_return, found.apply_chance, found.turning_share) == (None,) * 4
    assert (found.plants, found.stops) == (30, 3)
    assert turning_share_now(a_dig(), planned(NOW, None)) is None


def test_a_field_known_for_sure_has_nothing_to_wait_for():
    now = planned(NOW, 1200.0)
    sure = dataclasses.replace(a_dig(cost=0.0), share=np.full(now.gain.shape[0], 0.25))
    assert dig_again_of(sure, now, now).value == pytest.approx(0.0, abs=1e-9)
