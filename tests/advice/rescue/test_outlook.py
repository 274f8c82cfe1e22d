import numpy as np
import pytest
from tests.advice.rescue.fields import KNOWN, looked_at

from spadework.advice.rescue.outlook import counted_draws
from spadework.agronomy.rescue.products import placements_of
from spadework.knowledge.load import with_overrides

RATES = [0.0, 28.02, 56.04, 84.06, 112.1]
BALANCE, (NOW, LATER) = looked_at()


def effect(outlook=NOW, product="urea", rates=RATES, knowledge=KNOWN):
    return outlook.effect(product, placements_of(product, knowledge)[0], rates, knowledge)


def test_a_rate_of_none_does_nothing_and_costs_no_grain():
    found = effect()
    assert np.all(found.gross[:, 0] == 0)
    assert np.all(found.harm[:, 0] == 0)


def test_more_nitrogen_brings_less_for_a_kilogram_and_later_nitrogen_less_altogether():
    gross = effect().gross.mean(axis=0)
    assert np.all(np.diff(gross) > 0)
    assert np.all(np.diff(gross, n=2) < 0)
    assert np.all(effect(LATER).gross.mean(axis=0)[1:] < gross[1:])


def test_what_reaches_the_roots_is_what_is_neither_lost_nor_kept_from_them():
    found = effect()
    expected = 56.04 * (1 - found.lost[:, 0]) * NOW.access[:, 0]
    np.testing.assert_allclose(found.reached[:, 2], expected)


def test_an_inhibitor_loses_less_and_brings_more():
    plain, held = effect(), effect(product="urea_inhibited")
    assert np.all(held.lost <= plain.lost)
    assert held.gross[:, 2].mean() > plain.gross[:, 2].mean()


def test_the_bend_agrees_with_the_balance_at_the_common_rate_and_with_the_published_field_beyond():
    sharp = {"rescue.response.bent": {"value": 1.0}, "rescue.rate.common": {"value": 56.04}}
    found = effect(knowledge=with_overrides(KNOWN, sharp))
    bent = NOW.__class__(**{**NOW.__dict__, "bent": np.ones_like(NOW.bent)})
    straight = NOW.__class__(**{**NOW.__dict__, "bent": np.zeros_like(NOW.bent)})
    np.testing.assert_allclose(effect(bent).gross[:, 2], effect(straight).gross[:, 2])
    # 24 % at 56 kg/ha and 32 % at 112 on one field in Manitoba.
    ratio = effect(bent, rates=[56.04, 112.08]).gross.mean(axis=0)
    assert ratio[1] / ratio[0] == pytest.approx(32 / 24, abs=0.005)
    assert found.gross.shape == (counted_draws(BALANCE).size, len(RATES))


def test_wheels_take_their_part_of_what_stands():
    lost = NOW.run_down(KNOWN)
    assert np.all(lost >= 0)
    assert float(lost.mean()) == pytest.approx(float(effect(rates=[1e-9]).harm.mean()), rel=1e-6)
    assert float((lost / NOW.without).max()) < 0.1


def test_time_takes_away_what_the_window_says():
    assert np.all((NOW.factor >= LATER.factor) & (NOW.factor <= 1))
