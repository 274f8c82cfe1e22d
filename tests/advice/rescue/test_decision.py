import dataclasses
import json
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.advice.rescue.fields import HELD, KNOWN, PATCHY, QUARTER, a_soybean, decided, prices
from tests.factories import DUG, NONE, a_visit, advice_on

from spadework.advice import field
from spadework.advice.messages import render
from spadework.advice.rescue.decision import _choice, decide
from spadework.advice.schema import to_json
from spadework.records.types import ObservationRow, Prices, StopRow

ALL_KINDS = {"leave", "apply", "dig_again", "dig_first", "needs_prices", "cannot_tell"}
PLACES = tuple(
    StopRow(field="west", stop=str(number), latitude=51.2 + 0.002 * number, longitude=4.9 + 0.001 * (number % 2))
    for number in (1, 2, 3, 4)
)
ADEQUATE = st.lists(st.integers(0, 10), min_size=3, max_size=3)


def test_a_crop_that_failed_is_given_nitrogen_where_grain_is_dear():
    found = decided("failed", 800.0)
    assert (found.kind, found.why) == ("apply", "pays")
    assert found.chosen.option == "apply"
    assert found.chosen.on == found.act_by
    assert found.chosen.net_return.value > 0
    assert found.sure == pytest.approx(1 - found.chosen.chance_of_loss, abs=0.01)
    text = render(found.headline)
    assert text.startswith("Give about ")
    assert "as urea by 25 June 2026" in text
    assert "sure that it pays" in text
    assert "would change that" in text


def test_where_grain_is_cheap_the_same_crop_is_left():
    found = decided("failed", 150.0)
    assert (found.kind, found.why) == ("leave", "does_not_pay")
    assert found.chosen is found.options[0]
    assert all(option.net_return.value < 0 for option in found.options[1:])
    assert "a grain price above" in render(found.headline)


def test_the_price_told_is_the_one_that_turns_it():
    # Urea alone, and no second dig in the way: the price at which the best of the options is worth nothing.
    dear = {"urea": 1.2}
    cheap = advice_on(HELD["failed"], prices=prices(150.0, dear, dig=1e6)).decision
    turn = next(one.values["price"] for one in cheap.would_change if one.id == "rescue.change.grain_price.above")
    for times, kind in ((0.98, "leave"), (1.03, "apply")):
        found = advice_on(HELD["failed"], prices=prices(turn * times, dear, dig=1e6)).decision
        assert found.kind == kind


def test_without_prices_gains_are_told_and_money_is_not():
    found = decided("failed", nitrogen=None)
    assert (found.kind, found.why) == ("needs_prices", "no_prices")
    assert found.chosen is None
    assert found.sure is None
    assert all(option.net_return is None and option.cost is None for option in found.options)
    assert {option.product for option in found.options[1:]} == {"urea_inhibited", "urea", "uan_28"}
    assert all(option.gain.value > 0 for option in found.options if option.product == "urea_inhibited")
    assert found.budget == ()
    assert found.net_at_price == ()
    assert found.information == ()
    assert "needs your prices" in render(found.headline)


def test_one_price_of_nitrogen_stands_for_any_product():
    found = advice_on(HELD["failed"], prices=prices(310.0, {"any": 1.3})).decision
    assert {option.product for option in found.options[1:]} == {"urea_inhibited", "urea", "uan_28"}
    assert all(option.cost == pytest.approx(14 + 1.3 * option.rate.value) for option in found.options[1:])


def test_products_priced_by_name_are_the_ones_shown():
    found = advice_on(HELD["failed"], prices=prices(310.0, {"uan_32": 1.5})).decision
    assert {option.product for option in found.options[1:]} == {"uan_32"}
    assert {option.product_rate.unit for option in found.options[1:]} == {"L/ha"}


@pytest.mark.parametrize("nitrogen", [20.0, 1e9])
def test_nitrogen_that_costs_without_end_is_never_given(nitrogen):
    found = decided("failed", 310.0, nitrogen)
    assert (found.kind, found.why) == ("leave", "does_not_pay")
    assert found.dig_again.value < 0


def test_waiting_is_worth_something_where_it_is_not_known_who_failed():
    values = [decided("quarter", float(grain)) for grain in (600.0, 800.0, 1000.0)]
    assert {found.kind for found in values} >= {"leave"}
    assert all(found.dig_again is not None for found in values)
    assert all(found.dig_again.on < found.dig_again.nitrogen_on for found in values)
    digging = [found for found in values if found.kind == "dig_again"]
    assert digging
    for found in digging:
        assert found.dig_again.value > found.dig_again.error
        assert found.dig_again.told == "worth"
        assert found.chosen is None
        assert found.act_by == found.dig_again.on


def dig_of(held, price, **more):
    """What a dig is worth on a field, at a price of it."""
    return advice_on(held, prices=prices(800.0, {"urea": 1.2}, dig=price), **more).decision.dig_again


def test_more_plants_dug_at_once_cost_no_day():
    found = decided("quarter", 800.0)
    dig = found.dig_again
    assert dig.at_once
    assert dig.on == DUG
    assert dig.nitrogen_on == found.options[1].on
    assert render(found.headline).startswith("Dig more plants now before giving nitrogen")


def test_where_nodules_may_come_late_a_later_dig_is_weighed_too():
    wet = {"saturated_soil": "yes", "low_places": "yes", "host_new": "no", "no_inoculant": "no", "acid_soil": "no"}
    rows = tuple(ObservationRow(field="west", date=DUG, subject=name, value=said) for name, said in wet.items())
    held = dataclasses.replace(HELD["failed"], observations=rows)
    later = [
        dig
        for grain in (500.0, 600.0, 800.0, 1000.0)
        if not (dig := advice_on(held, prices=prices(grain, {"urea": 1.2})).decision.dig_again).at_once
    ]
    assert later
    assert all(dig.on > DUG for dig in later)


def test_the_cost_of_a_dig_is_spread_over_what_is_decided_on():
    # Held against the dig that costs nothing: what 600 cost, per ha.
    def spread_over(held):
        free, dear = (dig_of(held, price) for price in (0.0, 600.0))
        return 600.0 / (free.value - dear.value)

    assert spread_over(HELD["quarter"]) == pytest.approx(60.0)
    unknown = a_soybean(QUARTER, field={"area": None})
    assert spread_over(unknown) == pytest.approx(KNOWN.figure("rescue.second_dig.area").central)
    told = {reason.id for reason in advice_on(unknown, prices=prices()).decision.reasons}
    assert "rescue.reason.area_unknown" in told
    placed = dataclasses.replace(HELD["patchy"], stops=PLACES)
    part = advice_on(placed, prices=prices()).decision.part
    assert part.area.value < 60.0
    assert spread_over(placed) == pytest.approx(part.area.value)


def test_a_dig_without_a_price_costs_some_grain_of_the_field():
    grain = KNOWN.figure("rescue.second_dig.grain").central * 800.0
    assert dig_of(HELD["quarter"], None).value == pytest.approx(dig_of(HELD["quarter"], grain).value)


def test_the_dig_in_a_part_that_failed_is_one_of_the_part():
    found = decided("patchy", 500.0)
    assert found.dig_again.in_part
    assert not decided("quarter", 800.0).dig_again.in_part


def test_with_prices_money_decides_and_not_in_how_many_draws_grain_is_won():
    def chosen(gain, **of):
        net = None if of.get("price") is None else gain * of["price"] - 1.0
        best = 0 if net is None else int(np.argmax(np.insert(net[:, 1:].mean(axis=0), 0, 0.0)))
        return _choice(SimpleNamespace(gain=gain, net=net, best=best), of.get("again"))

    # Nitrogen brings 1 t/ha in two draws of five, nothing in the others.
    seldom = np.column_stack([np.zeros(5), [1.0, 1.0, 0.0, 0.0, 0.0]])
    assert chosen(seldom) == ("leave", "no_gain")
    assert chosen(seldom, price=100.0) == ("apply", "pays")
    assert chosen(seldom, price=1.0) == ("leave", "does_not_pay")
    assert chosen(-seldom, price=100.0) == ("leave", "no_gain")
    assert chosen(1 - seldom) == ("needs_prices", "no_prices")


@pytest.mark.parametrize(("value", "kind"), [(3.3, "dig_again"), (2.8, "apply"), (-3.0, "apply")])
def test_a_dig_is_advised_only_where_its_worth_exceeds_its_error(value, kind):
    dig = dataclasses.replace(decided("quarter", 800.0).dig_again, value=value, error=2.9)
    gain = np.column_stack([np.zeros(3), np.ones(3)])
    assert _choice(SimpleNamespace(gain=gain, net=100 * gain, best=1), dig)[0] == kind


def test_a_part_without_a_balance_of_its_own_is_not_spoken_of(monkeypatch):
    asked = []
    monkeypatch.setattr(field, "decide", lambda one, **how: asked.append((one, how)) or decide(one, **how))
    advice_on(HELD["patchy"], prices=prices(500.0))
    ((one, how),) = asked
    assert one.failed() is not None
    whole = decide(dataclasses.replace(one, failed=lambda: None), **how)
    assert "rescue.reason.part" not in {reason.id for reason in whole.reasons}
    assert whole.dig_again is None or not whole.dig_again.in_part


def test_a_part_that_failed_is_decided_on_by_itself():
    whole, part = decided("quarter", 500.0), decided("patchy", 500.0)
    assert part.options[1].gain.value > whole.options[1].gain.value
    assert "rescue.reason.part" in {reason.id for reason in part.reasons}


def test_the_same_records_give_the_same_decision_to_the_byte():
    held = HELD["quarter"]
    mixed = dataclasses.replace(held, plants=held.plants[::-1], weather=held.weather[::-1], normals=held.normals[::-1])
    one, other = (
        json.dumps(to_json(advice_on(item, prices=prices()))["decision"]) for item in (held, mixed)
    )  # fmt: skip
    assert one == other
    assert json.dumps(to_json(advice_on(held, prices=prices(), seed=2))["decision"]) != one


def test_what_it_rests_on_stands_in_the_basis():
    advice = advice_on(HELD["failed"], prices=prices())
    rows = {row.row for row in advice.basis.rows}
    assert {"rescue.limit.soybean.stage", "rescue.response.trials", "rescue.soaking_rain", "rescue.wheels.lost"} <= rows
    assert set(advice.decision.rows) <= rows
    assert {caution.id for caution in advice.decision.cautions} >= {"caution.rescue.label", "caution.rescue.drift"}


def test_no_price_of_anything_is_built_in():
    assert Prices() == Prices(currency="", grain={}, nitrogen={}, per_pass=None, dig=None)
    found = decided("failed", nitrogen=None)
    assert (found.grain_price, found.nitrogen_prices, found.pass_price, found.currency) == (None, (), None, "")


@settings(max_examples=5, deadline=None)
@given(adequate=ADEQUATE, grain=st.floats(50, 5000), nitrogen=st.floats(0.1, 20))
def test_any_field_and_price_gives_one_sound_decision(adequate, grain, nitrogen):
    plants = a_visit(*([60] * many + [0] * (10 - many) for many in adequate))
    advice = advice_on(a_soybean(plants), prices=prices(grain, {"urea": nitrogen}))
    found, verdict = advice.decision, advice.verdict
    assert found.kind in ALL_KINDS - {"needs_prices"}
    assert "None" not in render(found.headline)
    if verdict.leading == verdict.classes[-1].name and verdict.patch is None:
        assert (found.kind, found.why) == ("leave", "working")
    if found.kind == "apply":
        assert found.chosen.net_return.value > 0
        assert found.chosen.net_return.value == max(option.net_return.value for option in found.options)
    if found.options and found.options[0].net_return is not None:
        assert found.options[0].option == "leave"
        assert all(option.regret >= -1e-9 for option in found.options)


def test_the_patch_of_these_tests_is_one():
    assert advice_on(a_soybean(PATCHY)).verdict.patch is not None
    assert advice_on(a_soybean(NONE)).verdict.patch is None
