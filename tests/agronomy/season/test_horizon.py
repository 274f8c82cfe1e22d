import numpy as np

from spadework.agronomy.season.horizon import days_of_warmth, days_to_sum

CLOCK = {"base": 5.0, "cap": 25.0}


def even(*means, days=100):
    mean = np.repeat(np.array(means, float)[:, None], days, axis=1)
    return {"tmin": mean - 5, "tmax": mean + 5}


def test_the_coolest_row_decides():
    # 10 a day in the cooler row: 200 are full on the 20th day.
    assert days_to_sum(**even(15, 20), **CLOCK, needed=200) == 20
    assert days_to_sum(**even(20), **CLOCK, needed=200) == 14


def test_a_sum_out_of_reach_gives_none():
    assert days_to_sum(**even(6, days=30), **CLOCK, needed=200) is None


def test_winter_is_not_waited_for():
    mean = np.concatenate([np.full(60, 15.0), np.full(140, 4.0)])[None, :]
    # 97 % of 600 is 582, full on day 59.
    assert days_of_warmth(tmin=mean, tmax=mean, **CLOCK) == 59
