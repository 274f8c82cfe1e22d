import dataclasses
import datetime as dt

import numpy as np
import pytest
from tests.advice.rescue.fields import DUG, KNOWN, a_soybean, looked_at, prices
from tests.factories import a_visit, advice_on

from spadework.advice.nitrogen.inputs import streams
from spadework.advice.rescue.options import Market, plans
from spadework.advice.rescue.outlook import counted_draws
from spadework.advice.rescue.waiting import SecondDig, better_dig, dig_again_of, size_of_dig
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
            "at_once": False,
            "in_part": False,
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
    assert found.told == "idle"


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
    worth = [planned(NOW, grain) for grain in (900.0, 1200.0, 2000.0)]
    shares = [dig_again_of(a_dig(), now, now).turning_share for now in worth]
    assert all(share is not None for share in shares)
    assert shares == sorted(shares)
    assert 0 < shares[0] < shares[-1] < 1


def test_a_rate_above_the_most_that_is_advised_is_no_choice_after_the_dig_either():
    now = planned(NOW, 1200.0)
    net = now.net.copy()
    net[:, ~now.advised] += 1e6
    assert not now.advised.all()
    tempting = dataclasses.replace(now, net=net)
    assert dig_again_of(a_dig(), tempting, tempting) == dig_again_of(a_dig(), now, now)


@pytest.mark.parametrize(
    ("value", "error", "chance", "told"),
    [
        (3.3, 2.9, 0.6, "worth"),
        (2.8, 2.9, 0.6, "even"),
        (-2.8, 2.9, 0.6, "even"),
        (-3.0, 2.9, 0.6, "not_worth"),
        (-0.4, 0.6, 1.0, "idle"),
        (-0.4, 0.6, 0.0, "idle"),
        (None, None, None, None),
    ],
)
def test_a_worth_within_its_error_is_as_good_as_none(value, error, chance, told):
    now = planned(NOW, 1200.0)
    found = dig_again_of(a_dig(), now, now)
    assert dataclasses.replace(found, value=value, error=error, apply_chance=chance).told == told


def test_the_error_told_is_the_one_of_the_look_ahead():
    now = planned(NOW, 1200.0)
    few = dig_again_of(a_dig(), now, now)
    assert few.error > 0
    known = dataclasses.replace(a_dig(), share=np.full(now.gain.shape[0], 0.25))
    assert dig_again_of(known, now, now).error == pytest.approx(0.0, abs=1e-9)


def test_the_dig_that_is_worth_more_is_the_one_advised():
    now = planned(NOW, 1200.0)
    found = dig_again_of(a_dig(), now, now)
    more, less, free = (dataclasses.replace(found, value=value) for value in (9.0, 2.0, None))
    assert better_dig(more, less) is more
    assert better_dig(less, more) is more
    assert better_dig(None, less) is less
    assert better_dig(less, None) is less
    assert better_dig(None, None) is None
    assert better_dig(free, dataclasses.replace(free, plants=3)).plants == 3


def sized(plants, *, in_part=False):
    advice = advice_on(a_soybean(plants))
    return size_of_dig(advice.verdict, advice.sampling, in_part=in_part, knowledge=KNOWN), advice


def test_a_second_dig_is_no_smaller_than_a_usual_visit_nor_than_the_last():
    # A usual visit is 10 plants at each of 3 places (rows planning.plants_per_stop and planning.stops).
    assert size_of_dig(None, None, in_part=False, knowledge=KNOWN) == (30, 3)
    assert sized(a_visit([80, 0], [0, 80]))[0][1] >= 3
    many = [[80, 0]] * 8
    (plants, stops), _ = sized(a_visit(*many))
    assert stops >= 8
    assert plants >= 30


def test_a_second_dig_is_never_larger_than_anybody_is_asked_to_dig():
    # 12 places of 10 plants (row planning.most_stops).
    (plants, stops), _ = sized(a_visit(*[[80] * 15 + [0] * 15] * 6))
    assert plants <= 120
    assert 6 <= stops <= 12


def test_in_the_part_that_failed_the_dig_is_sized_by_its_own_stops():
    (plants, stops), advice = sized(a_visit(*[[60] * 20] * 3, *[[0] * 20] * 4), in_part=True)
    assert len(advice.verdict.patch.poor_stops) == 4
    assert (plants, stops) == (80, 4)


def test_without_prices_the_dig_is_told_without_money():
    found = dig_again_of(a_dig(), planned(NOW, None), planned(LATER, None))
    assert (found.error, found.told) == (None, None)
    assert (found.value, found.net_return, found.apply_chance, found.turning_share) == (None,) * 4
    assert (found.plants, found.stops) == (30, 3)


def test_a_field_known_for_sure_has_nothing_to_wait_for():
    now = planned(NOW, 1200.0)
    sure = dataclasses.replace(a_dig(cost=0.0), share=np.full(now.gain.shape[0], 0.25))
    assert dig_again_of(sure, now, now).value == pytest.approx(0.0, abs=1e-9)
