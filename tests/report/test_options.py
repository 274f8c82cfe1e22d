from dataclasses import replace

import pytest
from tests.report.decisions import LEAVE, a_decision, an_option, dig_again, left_alone, without_prices

from spadework.knowledge.rows import Crop
from spadework.quantity import Quantity
from spadework.report.display import UnitSystem
from spadework.report.labels import labels
from spadework.report.options import Money, best_option, money_of, option_line, option_rows
from spadework.report.reader import Reader

METRIC = Reader(units=UnitSystem.METRIC, language="en", crop=Crop.PEA, currency="mk")
WORDS = labels()["rescue"]


def an_offer():
    """A rate with round figures."""
    return replace(
        an_option(56.0),
        gain=Quantity(0.5, "t/ha", 0.1, 0.9, 0.9),
        cost=100.0,
        net_return=Quantity(50.0, "1", -70.0, 180.0, 0.9),
        chance_of_loss=0.31,
        regret=12.0,
    )


def rows_of(decision, units=UnitSystem.METRIC, crop=Crop.PEA):
    return option_rows(decision, replace(METRIC, units=units, crop=crop))


def test_an_option_as_texts():
    leave, offer = rows_of(a_decision(options=(LEAVE, an_offer()), chosen=an_offer()))
    assert (leave.name, leave.net, leave.given_up, leave.chosen) == ("leave it", "0", "38", False)
    assert leave.gain == leave.cost == leave.loss == leave.net_range == ""
    assert (offer.name, offer.product, offer.amount, offer.on) == (
        "56 kg/ha",
        "urea with a urease inhibitor",
        "122 kg/ha",
        "29 Jun",
    )
    assert (offer.gain, offer.gain_range, offer.gain_unit) == ("0.50", "0.10 to 0.90", "t/ha")
    assert (offer.cost, offer.net, offer.net_range) == ("100", "+50", "−70 to 180")
    assert (offer.loss, offer.given_up, offer.chosen) == ("31 %", "12", True)


@pytest.mark.parametrize(
    ("crop", "gain", "unit"),
    [
        # 0.5 t/ha / 0.0672510693717 t/ha a bushel an acre; 500 kg/ha / 1.12085115619 kg/ha a pound an acre
        (Crop.PEA, "7.4", "bu/ac"),
        (Crop.LUPIN, "446", "lb/ac"),
    ],
)
def test_an_option_on_acres(crop, gain, unit):
    _, offer = rows_of(a_decision(options=(LEAVE, an_offer())), UnitSystem.US, crop)
    assert (offer.name, offer.gain, offer.gain_unit) == ("50 lb/ac", gain, unit)
    # money on an acre of 0.40468564224 ha: 40.5 of 100, 20.2 of 50, -28.3 and 72.8
    assert (offer.cost, offer.net, offer.net_range) == ("40", "+20", "−28 to 73")


def test_what_is_not_known_is_empty():
    _, *offers = rows_of(without_prices())
    assert {(row.cost, row.net, row.net_range, row.loss, row.given_up) for row in offers} == {("",) * 5}
    assert all(row.gain for row in offers)


def test_small_sums_get_a_decimal():
    small = replace(an_offer(), cost=12.34)
    assert money_of(a_decision(options=(LEAVE, small)), METRIC).amount(5.678) == "5.7"
    assert money_of(a_decision(options=(LEAVE, an_offer())), METRIC).amount(5.678) == "6"


def test_money_names_its_currency_where_it_has_one():
    assert Money(units=UnitSystem.METRIC, currency="mk", decimals=0).told(-12.4) == "−12 mk/ha"
    assert Money(units=UnitSystem.CANADA, currency="", decimals=1).told(10.0) == "4.0 per ac"


@pytest.mark.parametrize(("value", "text"), [(12.0, "+12"), (-12.0, "−12"), (0.3, "0"), (-0.3, "0")])
def test_a_gain_has_a_plus_and_nothing_has_no_sign(value, text):
    assert Money(units=UnitSystem.METRIC, currency="mk", decimals=0).amount(value, sign=True) == text


def test_the_best_option_is_the_one_chosen_else_the_one_that_pays_best():
    decision = dig_again()
    paying = max(decision.options[1:], key=lambda option: option.net_return.value)
    assert best_option(decision) == paying
    other = decision.options[5]
    assert other != paying
    assert best_option(replace(decision, chosen=other)) == other
    assert best_option(replace(decision, chosen=LEAVE)) == paying
    assert best_option(left_alone()) is None
    assert best_option(without_prices()) is None


def test_an_option_in_one_line():
    decision = a_decision(options=(LEAVE, an_offer()), chosen=an_offer())
    leave, offer = (option_line(row, WORDS, money_of(decision, METRIC)) for row in rows_of(decision))
    assert leave == "leave it: net return 0 mk/ha, given up 38 mk/ha"
    assert offer == (
        "56 kg/ha urea with a urease inhibitor (122 kg/ha, 29 Jun), chosen: gains 0.50 (0.10 to 0.90) t/ha, "
        "costs 100 mk/ha, net return +50 (−70 to 180) mk/ha, chance of a loss 31 %, given up 12 mk/ha"
    )
