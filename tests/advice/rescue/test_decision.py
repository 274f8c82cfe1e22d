import dataclasses
import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.advice.rescue.fields import HELD, PATCHY, a_soybean, decided, prices
from tests.factories import NONE, a_visit, advice_on

from spadework.advice.messages import render
from spadework.advice.schema import to_json
from spadework.records.types import Prices, RescuePlan

ALL_KINDS = {"leave", "apply", "dig_again", "dig_first", "needs_prices", "cannot_tell"}
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
    plan = RescuePlan(dig_again_days=60)
    cheap = advice_on(HELD["failed"], prices=prices(150.0, {"urea": 1.2}), rescue=plan).decision
    turn = next(one.values["price"] for one in cheap.would_change if one.id == "rescue.change.grain_price.above")
    for times, kind in ((0.98, "leave"), (1.03, "apply")):
        found = advice_on(HELD["failed"], prices=prices(turn * times, {"urea": 1.2}), rescue=plan).decision
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
    values = [decided("quarter", float(grain)) for grain in (600.0, 1000.0)]
    assert {found.kind for found in values} >= {"leave"}
    assert all(found.dig_again is not None for found in values)
    assert all(found.dig_again.on < found.dig_again.nitrogen_on for found in values)
    waiting = [found for found in values if found.kind == "dig_again"]
    for found in waiting:
        assert found.dig_again.value > 0
        assert found.chosen is None
        assert found.act_by == found.dig_again.on
        assert render(found.headline).startswith("Dig again on ")


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
