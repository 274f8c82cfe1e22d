import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.agronomy.season.seasons import drawn, weather

from spadework.agronomy.rescue.response import KNOTS, GainCurve, gain_curves
from spadework.agronomy.season import Application, ObservedStage, season_balance
from spadework.errors import DomainError

SKY = weather(rows=4, days=160)
FAILED = drawn(40, nodulation=np.full((40, 1), 0.05), mineral_n_at_sowing=np.full((40, 1), 25.0))
MET = np.arange(40) % 4
EARLY = Application(day=20, rate=20.0, access=np.linspace(0.5, 0.9, 40)[:, None], rain_to_free=10.0)
SEEN = ObservedStage(day=45, stage=np.full((40, 1), 0.9))


def curves(days=(50, 60), of_draw=None, parameters=FAILED):
    return gain_curves(
        SKY,
        parameters,
        weather_of=MET,
        applications=(EARLY,),
        observed=(SEEN,),
        of_draw=np.arange(40) if of_draw is None else of_draw,
        days=days,
        rain_to_free=12.0,
    )


NOW, LATER = curves()


def test_each_knot_is_the_balance_with_so_much_more_nitrogen():
    for place, knot in ((0, 0.0), (3, KNOTS[3])):
        given_now = Application(day=50, rate=knot, access=1.0, rain_to_free=12.0)
        alone = season_balance(SKY, FAILED, weather_of=MET, applications=(EARLY, given_now), observed=(SEEN,))
        np.testing.assert_allclose(NOW.relative_yield[:, place], alone.relative_yield, rtol=1e-12)
        np.testing.assert_allclose(NOW.fixed[:, place], alone.fixed, rtol=1e-12)
        np.testing.assert_allclose(NOW.crop_n[:, place], alone.crop_n, rtol=1e-12)


def test_between_knots_the_gain_lies_on_a_straight_line():
    curve = GainCurve(
        relative_yield=np.array([[0.5, 0.56, 0.6, 0.7, 0.75, 0.8]]),
        fixed=np.array([[50.0, 49, 48, 44, 40, 30]]),
        crop_n=np.array([[100.0, 108, 116, 130, 145, 150]]),
    )
    reached = np.array([[0.0, 7.5, 45.0, 150.0, 400.0]])
    # By hand: half way from 0 to 15, half way from 30 to 60; beyond the last knot as at it.
    assert curve.gain(reached)[0] == pytest.approx([0, 0.03, 0.15, 0.3, 0.3])
    assert curve.fixation_lost(reached)[0] == pytest.approx([0, 0.5, 4.0, 20.0, 20.0])
    assert curve.recovered(reached)[0] == pytest.approx([0, 4.0, 23.0, 50.0, 50.0])


def test_a_failed_crop_gains_and_later_nitrogen_helps_it_less():
    reached = np.full((40, 1), 60.0)
    assert float(NOW.gain(reached).mean()) > 0.05
    assert float(LATER.gain(reached).mean()) < float(NOW.gain(reached).mean())
    assert np.all(NOW.recovered(reached) <= 60.0 + 1e-6)


def test_more_nitrogen_brings_less_and_less_for_a_kilogram():
    middle = NOW.relative_yield.mean(axis=0)
    steps = np.diff(middle) / np.diff(KNOTS)
    assert np.all(steps >= -1e-9)
    assert np.all(np.diff(steps) <= 1e-4)


def test_a_crop_with_nodules_gains_little_and_fixes_less():
    good = drawn(40, nodulation=np.full((40, 1), 1.1), mineral_n_at_sowing=np.full((40, 1), 25.0))
    (curve,) = curves(days=(50,), parameters=good)
    reached = np.full((40, 1), 60.0)
    assert float(curve.gain(reached).mean()) < 0.25 * float(NOW.gain(reached).mean())
    assert float(curve.fixation_lost(reached).mean()) > 3.0


def test_draws_come_as_often_and_in_the_order_that_they_count():
    of_draw = np.array([7, 3, 3, 39])
    (curve,) = curves(days=(50,), of_draw=of_draw)
    np.testing.assert_array_equal(curve.relative_yield, NOW.relative_yield[of_draw])


@given(st.lists(st.floats(0, 200), min_size=1, max_size=5))
def test_reading_never_leaves_what_the_balance_gave(amounts):
    gain = NOW.gain(np.tile(amounts, (40, 1)))
    assert np.all(gain <= (NOW.relative_yield - NOW.relative_yield[:, :1]).max(axis=1, keepdims=True) + 1e-12)


def test_without_a_day_there_is_no_curve():
    with pytest.raises(DomainError, match="one or more"):
        curves(days=())
