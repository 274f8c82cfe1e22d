import pytest
from tests.advice.rescue.fields import HELD, decided, prices
from tests.factories import advice_on

from spadework.advice.messages import render
from spadework.advice.rescue.missing import missing_for_decision
from spadework.records.types import Prices


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ({"prices": Prices()}, {"grain_price", "nitrogen_price", "pass_price"}),
        ({"prices": Prices(nitrogen={"urea": 1.2}, per_pass=0.0)}, {"grain_price"}),
        ({"prices": prices(310.0, {})}, {"nitrogen_price"}),
        ({"prices": prices(310.0, {"urea": 1.2}, per_pass=None)}, {"pass_price"}),
        ({"prices": prices(310.0, {"urea": 1.2})}, set()),
    ],
)
def test_prices_are_asked_for_where_they_stand_in_the_way(given, expected):
    advice = advice_on(HELD["failed"], **given)
    assert {name for name, gone in missing_for_decision(advice.decision).items() if gone} == expected
    told = {gap.record: render(gap.adds) for gap in advice.missing}
    assert expected <= set(told)
    assert all("nitrogen" in told[name] for name in expected)


def test_no_price_is_asked_for_where_nothing_was_reckoned():
    assert not any(missing_for_decision(decided("good", nitrogen=None)).values())
