import pytest

from spadework.advice.messages import render
from spadework.advice.nitrogen.drivers import GROUPS, drivers_of
from spadework.agronomy.season.parameters import Parameters

SHARES = {
    "gap_at_maturity": {
        "nodulation": 0.4,
        "organic_matter": 0.1,
        "field_factor": 0.15,
        "catch_up_rate": 0.05,
        "n_per_tonne": 0.02,
        "weather": 0.0,
    },
    "fixed": {"weather": 0.5},
}


def drivers(**changes):
    return drivers_of(SHARES, **{"has_gap": True, "known": {}, **changes})


def test_inputs_are_told_in_groups_the_largest_first_and_small_ones_left_out():
    found = drivers()
    assert [(driver.name, round(driver.share, 9)) for driver in found] == [
        ("nodulation", 0.4),
        ("mineralisation", 0.25),
        ("crop", 0.05),
    ]
    assert [driver.message.id for driver in found] == [f"nitrogen.driver.{driver.name}" for driver in found]


def test_fixed_nitrogen_stands_in_where_there_is_no_gap():
    assert [driver.name for driver in drivers(has_gap=False)] == ["weather"]


def test_a_test_that_was_made_is_not_asked_for_again():
    assert drivers(known={"mineralisation": "tested"})[1].message.id == "nitrogen.driver.mineralisation_tested"


@pytest.mark.parametrize(
    ("known", "said", "unsaid"),
    [
        ({}, "dig at the right time", "more samples"),
        ({"nodulation": "measured"}, "more samples", "dig"),
        ({"nodulation": "closed"}, "a laboratory's samples", "dig at the right time"),
    ],
)
def test_what_would_narrow_the_nodules_goes_by_what_is_known_and_can_be_done(known, said, unsaid):
    text = render(drivers(known=known)[0].message)
    assert "makes 40 % of the doubt about the gap" in text
    assert said in text
    assert unsaid not in text
    assert "doubt about the nitrogen fixed" in render(drivers(has_gap=False, known=known)[0].message)


def test_shares_beyond_one_are_brought_back():
    found = drivers_of({"gap_at_maturity": {"nodulation": 0.9, "weather": 0.3}}, has_gap=True, known={})
    assert sum(driver.share for driver in found) == 1


def test_groups_hold_inputs_of_the_balance_once():
    names = [name for names in GROUPS.values() for name in names]
    assert len(set(names)) == len(names)
    assert set(names) - {"weather", "applied"} <= set(Parameters.__dataclass_fields__)
