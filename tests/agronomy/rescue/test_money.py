import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.agronomy.rescue.money import (
    MoneyLine,
    PartialBudget,
    Section,
    break_even_chance,
    break_even_gain,
    net_return,
    option_cost,
)
from spadework.errors import DomainError

amounts = st.floats(0, 1e6)


def lines_of(*amount_of_section):
    return tuple(
        MoneyLine(section=section, name="line", amount=amount)
        for section, amount in zip(Section, amount_of_section, strict=True)
    )


def test_budget_by_hand():
    """Gains 90 + 5 + 2, losses 60 + 12."""
    more = MoneyLine(section=Section.REDUCED_COSTS, name="carried over", amount=2)
    budget = PartialBudget(lines=(*lines_of(90, 5, 60, 12), more))
    assert budget.total(Section.REDUCED_COSTS) == 7
    assert (budget.gains, budget.losses, budget.net) == (97, 72, 25)


def test_a_budget_without_lines_changes_nothing():
    assert PartialBudget(lines=()).net == 0


@given(amounts, amounts, amounts, amounts)
def test_each_section_pulls_its_own_way(returns, saved, costs, lost):
    assert PartialBudget(lines=lines_of(returns, saved, costs, lost)).net == pytest.approx(
        returns + saved - costs - lost, abs=1e-6
    )


def test_the_budget_agrees_with_the_net_return():
    cost = float(option_cost(rate=56.0, nitrogen_price=1.45, pass_price=14.0))
    budget = PartialBudget(lines=lines_of(0.5 * 310, 0, cost, 0.03 * 310))
    assert budget.net == pytest.approx(float(net_return(gain=0.5 - 0.03, grain_price=310, cost=cost)))


def test_cost_by_hand_and_nobody_drives_for_nothing():
    """56 kg at 1.45 is 81.20, a pass 14, an inhibitor 3."""
    found = option_cost(rate=[0.0, 56.0], nitrogen_price=1.45, pass_price=14.0, other=3.0)
    assert found == pytest.approx([0.0, 98.2])


def test_draws_and_options_are_spread_out():
    gain = np.array([[0.0, 0.4, 0.6], [0.0, 0.1, 0.1]])
    found = net_return(gain=gain, grain_price=300.0, cost=[0.0, 50.0, 90.0])
    assert found == pytest.approx(np.array([[0, 70, 90], [0, -20, -60]]))


@given(st.floats(0.01, 1e4), st.floats(0.01, 1e4))
def test_at_the_break_even_nothing_is_won_or_lost(cost, price):
    gain = break_even_gain(cost=cost, grain_price=price)
    assert net_return(gain=gain, grain_price=price, cost=cost) == pytest.approx(0, abs=1e-9 * cost)
    worth = 2 * cost
    assert break_even_chance(cost=cost, return_if_it_works=worth) * worth == pytest.approx(cost)


def test_what_costs_more_than_it_can_bring_has_a_chance_above_1():
    assert break_even_chance(cost=50.0, return_if_it_works=40.0) == 1.25


def test_unknown_stays_unknown():
    assert np.isnan(break_even_gain(cost=np.nan, grain_price=310.0))


@pytest.mark.parametrize(
    ("call", "given", "message"),
    [
        (break_even_gain, {"cost": 40.0, "grain_price": 0.0}, "grain_price must be above 0, but is 0.0"),
        (
            break_even_gain,
            {"cost": [1.0, -1.0], "grain_price": 9.0},
            "cost must be 0 or more, but is -1.0 at position 1",
        ),
        (break_even_chance, {"cost": 40.0, "return_if_it_works": 0.0}, "return_if_it_works must be above 0"),
        (net_return, {"gain": 1.0, "grain_price": -3.0, "cost": 1.0}, "grain_price must be 0 or more"),
        (option_cost, {"rate": -1.0, "nitrogen_price": 1.0, "pass_price": 1.0}, "rate must be 0 or more"),
        (option_cost, {"rate": 1.0, "nitrogen_price": -1.0, "pass_price": 1.0}, "nitrogen_price must be 0 or more"),
        (option_cost, {"rate": 1.0, "nitrogen_price": 1.0, "pass_price": -1.0}, "pass_price must be 0 or more"),
        (
            MoneyLine,
            {"section": Section.ADDED_COSTS, "name": "urea", "amount": -5.0},
            "amount of urea must be 0 or more",
        ),
        (MoneyLine, {"section": Section.ADDED_COSTS, "name": "urea", "amount": np.nan}, "amount of urea"),
    ],
)
def test_money_that_cannot_be_is_refused(call, given, message):
    with pytest.raises(DomainError, match=message):
        call(**given)
