import datetime as dt

import pytest
from tests.agronomy.clock.seasons import CHAIN, SOWN, after, nodes, season, stages_of, thermal

from spadework.agronomy.clock import DayRange, Order, WhyUnknown, compare_codes

# Ten degree-days a day, so a leaf of 40 takes four days; buds from 80 % of the way to flower.
EXACT = {"node_interval": nodes(40.0), "bud_share": 0.8}


def bounds(stages, days):
    found = stages.bbch_on(after(days))
    return found.low, found.high


@pytest.mark.parametrize(
    ("days", "low", "high"),
    [
        (0, 0, 0),
        (5, 4, 4),  # half way to emergence (9)
        (9, 8, 8),
        (10, 9, 10),  # the day of emergence itself
        (13, 10, 10),
        (14, 11, 11),  # the first leaf four days on
        (41, 17, 17),
        (42, 18, 59),  # 80 % of the 400 to first flower: buds may show, leaves go on counting
        (49, 19, 59),
        (50, 60, 60),
        (54, 63, 63),  # a fifth of the way from 60 to 75
        (69, 74, 74),
        (70, 75, 75),
        (85, 82, 82),  # half way from 75 to 89
        (100, 89, 89),
        (140, 89, 89),
    ],
)
def test_code_on_a_day(days, low, high):
    assert bounds(stages_of(**EXACT), days) == (low, high)


def test_range_of_codes_spans_both_cases():
    stages = stages_of(node_interval=nodes(low=20.0, high=40.0), bud_share=0.8, relative_range=0.1)
    # Day 20: up on day 9 and 110 d later at 20 a leaf, five leaves; or up on day 11 and 90 at 40 a leaf, two.
    assert bounds(stages, 20) == (12, 15)
    # Day 30: 210 at 20 a leaf is past nine leaves, when the stem may be what is scored.
    assert bounds(stages, 30) == (14, 39)
    assert set(stages.bbch_on(after(30)).rows) == {
        "thermal.sowing_emergence",
        "thermal.emergence_first_flower",
        "node.pea",
    }


def test_from_nine_leaves_on_the_stem_may_be_scored():
    stages = stages_of(node_interval=nodes(40.0), bud_share=0.95)
    assert bounds(stages, 45) == (18, 18)
    assert bounds(stages, 46) == (19, 39)


def test_without_leaf_counts_only_bounds_are_known():
    assert bounds(stages_of(bud_share=0.8), 30) == (10, 39)
    assert bounds(stages_of(), 30) == (10, 59)
    assert bounds(stages_of(rows=CHAIN[:1]), 30) == (10, 89)
    assert bounds(stages_of(rows=CHAIN[:2]), 60) == (60, 89)


def test_observed_emergence_without_a_sum_to_it():
    stages = stages_of(rows=CHAIN[1:], emerged_on=after(20))
    assert bounds(stages, 5) == (0, 8)
    assert bounds(stages, 30) == (10, 59)


def test_why_there_is_no_code():
    unknown = stages_of(rows=()).bbch_on(after(10))
    assert (unknown.low, unknown.high, unknown.why_unknown) == (None, None, WhyUnknown.NO_ROW)
    holed = stages_of(series=season(SOWN, [10.0] * 20 + [None] * 9 + [10.0] * 90), node_interval=nodes(40.0))
    assert holed.bbch_on(after(15)).why_unknown is None
    assert holed.bbch_on(after(40)).why_unknown is WhyUnknown.WEATHER_MISSING


@pytest.mark.parametrize(
    ("code", "days"),
    [
        (0, 0),
        (3, 4),  # a third of 100 degree-days
        (9, 10),
        (10, 10),
        (11, 14),
        (16, 34),
        (19, 46),
        (51, 42),
        (59, 50),  # 80 % + 20 % x 8/9 of 400 = 391, on the 40th day
        (60, 50),
        (65, 57),  # a third of 200 is 66.7
        (75, 70),
        (82, 85),
        (89, 100),
    ],
)
def test_day_of_a_code(code, days):
    assert stages_of(**EXACT).day_of(code).days == DayRange(after(days), after(days))


def test_days_of_codes_span_both_cases():
    stages = stages_of(node_interval=nodes(low=20.0, high=40.0), relative_range=0.1)
    # Six leaves: up on day 9 and 120 on, or up on day 11 and 240 on.
    assert stages.day_of(16).days == DayRange(after(9 + 12), after(11 + 24))
    # A third of the way from flower to pod fill: 60 of 180 after day 45, or 73.3 of 220 after day 55.
    assert stages.day_of(65).days == DayRange(after(45 + 6), after(55 + 8))


def test_codes_without_a_clock():
    stages = stages_of(**EXACT)
    for code in (20, 31, 49, 90, 97):
        assert stages.day_of(code).why_unknown is WhyUnknown.NO_ROW
    assert stages_of().day_of(14).why_unknown is WhyUnknown.NO_ROW
    assert stages_of().day_of(51).why_unknown is WhyUnknown.NO_ROW
    assert stages_of(rows=CHAIN[:2]).day_of(65).why_unknown is WhyUnknown.NO_ROW
    assert stages_of().day_of(10).days == DayRange(after(10), after(10))
    unsown = stages_of(sown_on=None, node_interval=nodes(40.0))
    assert unsown.day_of(14).why_unknown is WhyUnknown.NO_ANCHOR
    assert stages_of(sown_on=None).day_of(0).why_unknown is WhyUnknown.NO_ANCHOR
    assert stages_of(rows=CHAIN[1:]).day_of(9).why_unknown is WhyUnknown.NO_ROW


def test_pod_fill_without_a_sum_of_its_own():
    # First flower on day 50 and maturity 290 later: 75 lies at 15/29 of the way, 150 degree-days.
    stages = stages_of(rows=(*CHAIN[:2], thermal("first_flower", "maturity", 290.0)))
    assert stages.pod_fill.why_unknown is WhyUnknown.NO_ROW
    assert stages.day_of(75).days == DayRange(after(65), after(65))
    assert bounds(stages, 65) == (75, 75)


def test_day_of_a_code_and_code_on_that_day_agree():
    stages = stages_of(**EXACT)
    for code in (*range(1, 10), *range(11, 19), *range(60, 90)):
        day = stages.day_of(code).days.low
        found = stages.bbch_on(day)
        before = stages.bbch_on(day - dt.timedelta(days=1))
        assert before.low < code <= found.high


@pytest.mark.parametrize(
    ("seen", "other", "order", "certain"),
    [
        (13, 16, Order.BEFORE, True),
        (16, 16, Order.REACHED, True),
        (19, 16, Order.PAST, True),
        (9, 11, Order.BEFORE, True),
        (61, 65, Order.BEFORE, True),
        (51, 19, Order.PAST, True),
        (39, 51, Order.BEFORE, True),
        # Leaves, side shoots and stem grow side by side: by the tens only, and not for certain.
        (21, 16, Order.PAST, False),
        (31, 19, Order.PAST, False),
        (33, 22, Order.PAST, False),
        (19, 31, Order.BEFORE, False),
        # No side shoots says no more than leaves.
        (20, 11, Order.BEFORE, False),
        (20, 51, Order.BEFORE, True),
    ],
)
def test_order_of_codes(seen, other, order, certain):
    assert compare_codes(seen, other) == (order, certain)


def test_a_stage_not_reached_in_the_series_still_bounds_the_codes():
    # Flower on day 50, pods filling only after the series ends; the sum says how far it has come.
    linked = stages_of(series=season(SOWN, [10.0] * 60))
    assert bounds(linked, 60) == (67, 67)
    assert linked.bbch_on(after(61)).why_unknown is WhyUnknown.BEYOND_SERIES
    # A sum from sowing cannot say how much of it is left at first flower; it has not come to 75 though.
    unlinked = stages_of(series=season(SOWN, [10.0] * 60), rows=(*CHAIN[:2], thermal("sowing", "pod_fill", 700.0)))
    assert bounds(unlinked, 60) == (60, 74)
    reached = stages_of(rows=(*CHAIN[:2], thermal("sowing", "pod_fill", 700.0)))
    assert bounds(reached, 60) == (67, 67)


def test_missing_weather_after_flower_leaves_the_code_unknown():
    stages = stages_of(series=season(SOWN, [10.0] * 55 + [None] * 5 + [10.0] * 90))
    assert bounds(stages, 54) == (63, 63)
    assert stages.bbch_on(after(64)).why_unknown is WhyUnknown.WEATHER_MISSING
    assert stages.day_of(63).days == DayRange(after(54), after(54))
    assert stages.day_of(70).why_unknown is WhyUnknown.WEATHER_MISSING


def test_missing_weather_before_flower_without_leaf_counts():
    stages = stages_of(series=season(SOWN, [10.0] * 20 + [None] * 5 + [10.0] * 90), bud_share=0.8)
    assert bounds(stages, 15) == (10, 39)
    assert stages.bbch_on(after(30)).why_unknown is WhyUnknown.WEATHER_MISSING
