import pytest
from tests.advice.rescue.fields import KNOWN, looked_at, prices
from tests.factories import DUG

from spadework.advice.messages import render
from spadework.advice.rescue.budget import budget_of
from spadework.advice.rescue.options import Market, plans

_, (NOW, _) = looked_at()
MARKET = Market(grain_price=400.0, prices=prices(400.0, {"urea": 1.2}))
PLANNED = plans(NOW, on=DUG, market=MARKET, level=0.9, knowledge=KNOWN)
LINES = budget_of(PLANNED, NOW, MARKET, grain_price=400.0, knowledge=KNOWN)


def total(section):
    return sum(line.amount for line in LINES if line.section == section)


def test_all_four_sections_are_there_with_amounts_not_below_none():
    assert [line.section for line in LINES] == [
        "added_returns", "reduced_costs", "added_costs", "added_costs", "reduced_returns", "reduced_returns"
    ]  # fmt: skip
    assert all(line.amount >= 0 for line in LINES)
    assert total("reduced_costs") == 0


def test_gains_less_losses_are_the_expected_net_return_of_the_best_rate():
    option = PLANNED.options[PLANNED.best_apply]
    net = total("added_returns") + total("reduced_costs") - total("added_costs") - total("reduced_returns")
    assert net == pytest.approx(option.net_return.value)
    assert total("added_costs") == pytest.approx(option.cost)


def test_lines_say_what_they_are_for():
    told = [render(line.name) for line in LINES]
    assert told[0].startswith("Grain won by ")
    assert " kg/ha of nitrogen as urea, " in told[0]
    assert told[1:4] == [
        "Nothing is saved by giving nitrogen",
        f"Nitrogen, {PLANNED.options[PLANNED.best_apply].rate.value:.0f} kg/ha as urea",
        "One pass over the field",
    ]
