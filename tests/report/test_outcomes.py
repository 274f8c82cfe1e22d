from dataclasses import replace

import pytest
from tests.report.decisions import LEAVE, a_decision, an_option, dig_again, endless, without_prices

from spadework.knowledge.rows import Crop
from spadework.quantity import Quantity
from spadework.report.display import UnitSystem
from spadework.report.options import option_rows
from spadework.report.outcomes import outcomes
from spadework.report.reader import Reader

READER = Reader(units=UnitSystem.METRIC, language="en", crop=Crop.PEA, currency="mk")


def drawn(decision, units=UnitSystem.METRIC):
    reader = replace(READER, units=units)
    return outcomes(decision, option_rows(decision, reader), reader)


def one(net, **changes):
    option = replace(an_option(56.0), net_return=Quantity(net[1], "1", net[0], net[2], 0.9), **changes)
    return a_decision(options=(LEAVE, option), chosen=option, dig_again=None)


def test_places_by_hand():
    """From -100 to 200 in steps of 50: zero stands at a third, 50 at a half, -70 at a tenth."""
    figure = drawn(one((-70.0, 50.0, 170.0), chance_of_loss=0.31))
    assert figure["zero"] == pytest.approx(1 / 3, abs=1e-5)
    assert [tick["text"] for tick in figure["ticks"]] == ["−100", "−50", "0", "50", "100", "150", "200"]
    leave, offer = figure["rows"]
    assert (leave["low"], leave["at"], leave["high"]) == (figure["zero"],) * 3
    assert (offer["low"], offer["at"], offer["high"]) == pytest.approx((0.1, 0.5, 0.9), abs=1e-5)
    assert (offer["label"], offer["text"], offer["chosen"]) == ("56 kg/ha", "loses in 3 of 10 cases", True)
    assert "56 kg/ha 50 (−70 to 170)" in figure["alt"]


@pytest.mark.parametrize(
    ("chance", "words"), [(0.02, "hardly ever loses"), (0.5, "loses in 5 of 10 cases"), (0.97, "nearly always loses")]
)
def test_the_chance_of_a_loss_in_words(chance, words):
    assert drawn(one((-70.0, 50.0, 170.0), chance_of_loss=chance))["rows"][1]["text"] == words


@pytest.mark.parametrize("net", [(-1.0, 0.0, 3.0), (5.0, 8.0, 9.0), (-900.0, -300.0, -20.0), (0.0, 0.0, 0.0)])
def test_zero_and_everything_else_lies_in_the_figure(net):
    figure = drawn(one(net))
    places = [row[end] for row in figure["rows"] for end in ("low", "at", "high")]
    places += [tick["at"] for tick in figure["ticks"]] + [figure["zero"]]
    assert min(places) >= 0
    assert max(places) <= 1
    assert figure["zero"] in [tick["at"] for tick in figure["ticks"]]
    assert len(figure["ticks"]) <= 9


def test_of_each_rate_the_product_that_pays_best_is_drawn():
    rows = drawn(a_decision(dig_again=None))["rows"]
    assert [row["label"] for row in rows] == ["leave it", "28 kg/ha", "56 kg/ha", "84 kg/ha", "112 kg/ha"]
    assert {row["under"] for row in rows[1:]} == {"urea with a urease inhibitor"}


def test_the_chosen_is_drawn_even_where_another_product_pays_more():
    decision = a_decision(dig_again=None)
    liquid = next(option for option in decision.options if option.product == "uan_28")
    rows = drawn(replace(decision, chosen=liquid))["rows"]
    assert [row["under"] for row in rows if row["chosen"]] == ["urea ammonium nitrate solution, 28 % N"]


def test_rates_stand_in_their_order_whatever_the_order_of_the_options():
    decision = a_decision(dig_again=None)
    leave, *others = decision.options
    rows = drawn(replace(decision, options=(leave, *others[::-1])))["rows"]
    assert [row["label"] for row in rows] == ["leave it", "28 kg/ha", "56 kg/ha", "84 kg/ha", "112 kg/ha"]


def test_of_many_rates_a_dozen_at_most_are_drawn():
    decision = endless()
    rows = drawn(replace(decision, dig_again=None))["rows"]
    assert len(rows) == 12
    assert rows[0]["label"] == "leave it"
    assert sum(row["chosen"] for row in rows) == 1


def test_waiting_stands_with_its_return_and_is_marked_where_it_is_the_decision():
    *_, wait = drawn(a_decision())["rows"]
    assert (wait["label"], wait["chosen"]) == ("dig again, then choose", False)
    assert wait["low"] == wait["at"] == wait["high"]
    assert drawn(dig_again())["rows"][-1]["chosen"]


def test_without_prices_grain_is_drawn():
    figure = drawn(without_prices(), UnitSystem.US)
    assert "grain gained, bu/ac" in figure["title"]
    assert figure["zero"] == 0
    assert {row["text"] for row in figure["rows"]} == {""}
    assert len(figure["rows"]) == 5
