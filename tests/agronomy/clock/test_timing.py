import datetime as dt

import numpy as np
import pytest
from tests.agronomy.clock.seasons import CHAIN, SOWN, after, nodes, season, stages_of, thermal, window

from spadework.agronomy.clock import (
    ColdSpell,
    DayRange,
    DecidedBy,
    Doubt,
    MonthlyNormals,
    TimingRules,
    TimingState,
    WhyUnknown,
    judge_timing,
)
from spadework.errors import DomainError

RULES = TimingRules(first_look_days=14, first_look_bbch=12, late_bbch=75, infection_days=14, cold_limit=10.0)
DAYS = window(opens_days=28, closes_days=42)
FLOWERING = window(opens_bbch=60, closes_bbch=65)
LEAVES = window(opens_bbch=16, closes_bbch=69)

EARLY, LOOK, WITHIN, LATE, UNKNOWN = TimingState


def judge(days, seen=None, *, stages=None, days_window=DAYS, stage_window=None):
    return judge_timing(
        dug_on=after(days),
        days_window=days_window,
        stage_window=stage_window,
        stages=stages or stages_of(),
        rules=RULES,
        stage_seen=seen,
    )


def short(judgement):
    return judgement.state, judgement.decided_by, judgement.doubts


# ---- By the calendar: up on day 10, open on day 38, closed after day 52, pods filling on day 70


@pytest.mark.parametrize(
    ("days", "state", "doubts"),
    [
        (0, EARLY, ()),
        (23, EARLY, ()),
        (24, LOOK, ()),
        (37, LOOK, ()),
        (38, WITHIN, ()),
        (52, WITHIN, ()),
        (53, WITHIN, (Doubt.LATE_EDGE,)),
        (69, WITHIN, (Doubt.LATE_EDGE,)),
        (70, LATE, ()),
        (140, LATE, ()),
    ],
)
def test_calendar(days, state, doubts):
    found = judge(days)
    assert short(found) == (state, DecidedBy.CALENDAR, doubts)
    assert found.sure == (not doubts)


@pytest.mark.parametrize(
    ("days", "state", "doubts"),
    [
        # Up between day 9 and 11, so the first look lies between day 23 and 25 ...
        (22, EARLY, ()),
        (23, EARLY, (Doubt.FIRST_LOOK_NEAR,)),
        (24, LOOK, (Doubt.FIRST_LOOK_NEAR,)),
        (25, LOOK, ()),
        # ... the opening between day 37 and 39, the closing between day 51 and 53 ...
        (36, LOOK, ()),
        (37, LOOK, (Doubt.INSIDE_OPENING,)),
        (38, WITHIN, (Doubt.INSIDE_OPENING,)),
        (39, WITHIN, ()),
        (51, WITHIN, ()),
        (52, WITHIN, (Doubt.INSIDE_CLOSING,)),
        (53, WITHIN, (Doubt.INSIDE_CLOSING,)),
        (54, WITHIN, (Doubt.LATE_EDGE,)),
        # ... and pods fill between day 9 + 36 + 18 and day 11 + 44 + 22.
        (76, WITHIN, (Doubt.LATE_EDGE,)),
        (77, LATE, ()),
    ],
)
def test_calendar_with_a_range(days, state, doubts):
    assert short(judge(days, stages=stages_of(relative_range=0.1))) == (state, DecidedBy.CALENDAR, doubts)


@pytest.mark.parametrize(
    ("days", "state", "doubts"),
    [
        (53, WITHIN, (Doubt.LATE_EDGE, Doubt.NO_LATE_ESTIMATE)),
        (94, WITHIN, (Doubt.LATE_EDGE, Doubt.NO_LATE_ESTIMATE)),
        # More than twice 42 days after emergence on day 10.
        (95, LATE, (Doubt.NO_LATE_ESTIMATE,)),
    ],
)
def test_late_by_the_calendar_alone_is_never_sure(days, state, doubts):
    found = judge(days, stages=stages_of(rows=CHAIN[:1]))
    assert short(found) == (state, DecidedBy.CALENDAR, doubts)
    assert not found.sure


def test_late_from_sowing_where_emergence_is_unknown():
    from_sowing = window("sowing", opens_days=56, closes_days=84)
    stages = stages_of(rows=(), series=season(SOWN, [10.0] * 200))
    assert judge(168, stages=stages, days_window=from_sowing).state is WITHIN
    assert judge(169, stages=stages, days_window=from_sowing).state is LATE


def test_before_a_window_from_sowing_with_emergence_unknown():
    from_sowing = window("sowing", opens_days=56, closes_days=84)
    found = judge(40, stages=stages_of(rows=()), days_window=from_sowing)
    assert short(found) == (EARLY, DecidedBy.CALENDAR, (Doubt.EMERGENCE_UNKNOWN,))


def test_a_window_without_closing_lasts_to_the_late_limit():
    opening = window(opens_days=28)
    assert short(judge(69, days_window=opening))[::2] == (WITHIN, ())
    assert short(judge(70, days_window=opening))[::2] == (LATE, ())
    wide = stages_of(relative_range=0.1)
    assert judge(62, days_window=opening, stages=wide).doubts == ()
    assert judge(63, days_window=opening, stages=wide).doubts == (Doubt.INSIDE_CLOSING,)
    without = judge(60, days_window=opening, stages=stages_of(rows=CHAIN[:1]))
    assert short(without)[::2] == (WITHIN, (Doubt.NO_LATE_ESTIMATE,))


def test_unknown_says_why():
    found = judge(40, stages=stages_of(sown_on=None))
    assert short(found) == (UNKNOWN, DecidedBy.NONE, ())
    assert not found.sure
    assert found.why_unknown is WhyUnknown.NO_ANCHOR
    assert (found.days_since_anchor, found.cold, found.stage.low) == (None, None, None)


def test_what_can_be_said_without_an_opening():
    # Observed emergence, a window from an unknown sowing date, and no sums.
    stages = stages_of(sown_on=None, emerged_on=after(10), rows=())
    from_sowing = window("sowing", opens_days=56, closes_days=84)
    assert short(judge(23, stages=stages, days_window=from_sowing)) == (EARLY, DecidedBy.CALENDAR, ())
    assert judge(24, stages=stages, days_window=from_sowing).state is UNKNOWN
    with_sums = stages_of(sown_on=None, emerged_on=after(10))
    assert short(judge(70, stages=with_sums, days_window=from_sowing)) == (LATE, DecidedBy.CALENDAR, ())


def test_missing_weather_leaves_the_calendar_from_an_observed_emergence():
    stages = stages_of(emerged_on=after(10), series=season(SOWN, [10.0] * 12 + [None] * 8 + [10.0] * 130))
    found = judge(40, stages=stages)
    assert short(found) == (WITHIN, DecidedBy.CALENDAR, ())
    assert (found.late, found.stage.why_unknown) == (None, WhyUnknown.WEATHER_MISSING)


# ---- Where degree-days say otherwise


def test_clocks_that_disagree_are_said():
    # Flowering starts on day 50 by degree-days, half way on day 57.
    inside = judge(45, stage_window=FLOWERING)
    assert short(inside) == (WITHIN, DecidedBy.CALENDAR, (Doubt.CLOCKS_DISAGREE,))
    assert judge(50, stage_window=FLOWERING).doubts == ()
    # Within the range of the degree-day clock there is no disagreement.
    wide = stages_of(relative_range=0.1)
    assert judge(44, stage_window=FLOWERING, stages=wide).doubts == (Doubt.CLOCKS_DISAGREE,)
    assert judge(45, stage_window=FLOWERING, stages=wide).doubts == ()
    # A closing at first flower is still inside on day 50, and past on day 51.
    to_flower = window(opens_bbch=9, closes_bbch=60)
    assert judge(50, stage_window=to_flower).doubts == ()
    assert judge(51, stage_window=to_flower).doubts == (Doubt.CLOCKS_DISAGREE,)
    # Six leaves on day 34, before the calendar opens.
    leaves = stages_of(node_interval=nodes(40.0))
    assert judge(33, stage_window=LEAVES, stages=leaves).doubts == ()
    assert short(judge(34, stage_window=LEAVES, stages=leaves))[::2] == (LOOK, (Doubt.CLOCKS_DISAGREE,))


def test_a_hot_season_can_be_over_before_the_calendar_closes():
    hot = stages_of(series=season(SOWN, [25.0] * 150))
    # Up on day 4, flowering on day 20, pods filling on day 28; the calendar opens on day 32.
    assert hot.pod_fill.days == DayRange(after(28), after(28))
    assert judge(27, stages=hot).doubts == ()
    assert short(judge(28, stages=hot))[::2] == (LOOK, (Doubt.CLOCKS_DISAGREE,))
    assert short(judge(40, stages=hot))[::2] == (WITHIN, (Doubt.CLOCKS_DISAGREE,))
    assert short(judge(40, stages=hot, stage_window=FLOWERING))[::2] == (WITHIN, (Doubt.CLOCKS_DISAGREE,))


# ---- By the stage seen


@pytest.mark.parametrize(
    ("seen", "state", "doubts"),
    [
        (0, EARLY, ()),
        (8, EARLY, ()),
        (12, LOOK, ()),
        (15, LOOK, ()),
        (16, WITHIN, ()),
        (51, WITHIN, ()),
        (69, WITHIN, ()),
        (71, WITHIN, (Doubt.LATE_EDGE,)),
        (75, LATE, ()),
        (85, LATE, ()),
    ],
)
@pytest.mark.parametrize("days", [5, 45, 140])
def test_a_stage_seen_overrides_both_clocks(days, seen, state, doubts):
    found = judge(days, seen, stage_window=LEAVES)
    assert short(found) == (state, DecidedBy.STAGE_SEEN, doubts)
    assert found.stage_seen == seen


def test_few_leaves_are_a_first_look_only_with_time():
    # One leaf (or a shoot just through) on day 23 is 13 days after emergence; on day 24 it is 14.
    assert short(judge(23, 11, stage_window=LEAVES))[::2] == (EARLY, ())
    assert short(judge(24, 11, stage_window=LEAVES))[::2] == (LOOK, ())
    assert judge(24, 9, stage_window=LEAVES).state is LOOK
    wide = stages_of(relative_range=0.1)
    assert judge(24, 11, stage_window=LEAVES, stages=wide).doubts == (Doubt.FIRST_LOOK_NEAR,)
    unknown = judge(24, 11, stage_window=LEAVES, stages=stages_of(rows=()))
    assert short(unknown)[::2] == (EARLY, (Doubt.EMERGENCE_UNKNOWN,))


def test_side_shoots_and_stem_are_compared_by_their_tens():
    shoots = judge(45, 22, stage_window=LEAVES)
    assert short(shoots) == (WITHIN, DecidedBy.STAGE_SEEN, (Doubt.PARALLEL_STAGE,))
    assert judge(45, 33, stage_window=LEAVES).doubts == (Doubt.PARALLEL_STAGE,)
    # 20, no side shoots, says nothing of leaves: by the days since emergence.
    assert short(judge(20, 20, stage_window=LEAVES))[::2] == (EARLY, (Doubt.PARALLEL_STAGE,))
    assert short(judge(30, 20, stage_window=LEAVES))[::2] == (LOOK, (Doubt.PARALLEL_STAGE,))
    # Against buds there is no doubt: all of them come before.
    buds = window(opens_bbch=51, closes_bbch=65)
    for seen in (19, 25, 39):
        assert short(judge(45, seen, stage_window=buds)) == (LOOK, DecidedBy.STAGE_SEEN, ())


def test_a_window_that_closes_after_the_late_limit_wins():
    long = window(opens_bbch=60, closes_bbch=79)
    assert short(judge(45, 77, stage_window=long))[::2] == (WITHIN, ())
    assert short(judge(45, 80, stage_window=long))[::2] == (LATE, ())


def test_a_stage_without_a_closing_code():
    opening = window(opens_bbch=60)
    assert judge(45, 74, stage_window=opening).doubts == ()
    assert judge(45, 75, stage_window=opening).state is LATE


@pytest.mark.parametrize(
    ("days", "seen", "expected"),
    [
        # The stage rules out what it can ...
        (45, 5, (EARLY, DecidedBy.STAGE_SEEN, ())),
        (45, 11, (LOOK, DecidedBy.STAGE_SEEN, ())),
        (20, 14, (LOOK, DecidedBy.STAGE_SEEN, ())),
        (45, 77, (LATE, DecidedBy.STAGE_SEEN, ())),
        (100, 33, (WITHIN, DecidedBy.STAGE_SEEN, (Doubt.LATE_EDGE,))),
        (30, 60, (WITHIN, DecidedBy.STAGE_SEEN, (Doubt.CLOCKS_DISAGREE,))),
        (30, 59, (LOOK, DecidedBy.CALENDAR, ())),
        # ... and leaves the rest to the calendar.
        (30, 14, (LOOK, DecidedBy.CALENDAR, ())),
        (45, 33, (WITHIN, DecidedBy.CALENDAR, ())),
        (45, 63, (WITHIN, DecidedBy.CALENDAR, ())),
        (60, 66, (WITHIN, DecidedBy.CALENDAR, (Doubt.LATE_EDGE,))),
    ],
)
def test_stage_beside_a_window_of_days_alone(days, seen, expected):
    assert short(judge(days, seen)) == expected


def test_stage_beside_a_calendar_that_cannot_be_told():
    nothing = stages_of(sown_on=None)
    assert short(judge(45, 63, stages=nothing))[::2] == (WITHIN, (Doubt.EMERGENCE_UNKNOWN,))
    assert short(judge(45, 33, stages=nothing))[::2] == (LOOK, (Doubt.EMERGENCE_UNKNOWN,))
    closing = window(closes_bbch=59)
    assert short(judge(45, 63, stages=nothing, stage_window=closing))[::2] == (WITHIN, (Doubt.LATE_EDGE,))


# ---- What stands beside the state


def test_both_clocks_and_the_cold_are_shown():
    series = season(SOWN, [8.0] * 10 + [10.0] * 3 + [9.0] * 4 + [10.0] * 130)
    # 80 degree-days in ten days, up on day 12; one warm day, then four cold ones.
    stages = stages_of(series=series, relative_range=0.1)
    found = judge(45, stages=stages, stage_window=FLOWERING)
    assert stages.emergence.days == DayRange(after(11), after(13))
    assert found.days_since_anchor == found.days_since_emergence == (32, 34)
    assert found.cold == ColdSpell(cold_days=14, missing_days=0)
    assert found.window.cold_days_after_emergence == 4
    assert found.window.opens == DayRange(after(39), after(45))
    assert "window.test" in found.rows
    assert "thermal.first_flower_pod_fill" in found.rows


def test_a_dig_during_infection_counts_cold_to_its_own_day():
    series = season(SOWN, [10.0] * 10 + [5.0] * 100)
    assert judge(13, stages=stages_of(series=series)).cold == ColdSpell(cold_days=3, missing_days=0)
    unsown = stages_of(series=series, sown_on=None, emerged_on=after(10))
    assert judge(60, stages=unsown).cold == ColdSpell(cold_days=14, missing_days=0)


def test_a_cold_spring_can_open_the_window_after_its_closing():
    # Up on day 10, then all fourteen days of infection cold: open between day 38 and 52, closed after day 48.
    series = season(SOWN, [10.0] * 10 + [9.0] * 14 + [10.0] * 130)
    brief = window(opens_days=28, closes_days=38)
    stages = stages_of(series=series)
    assert judge(44, stages=stages, days_window=brief).doubts == (Doubt.INSIDE_OPENING,)
    assert judge(45, stages=stages, days_window=brief).state is WITHIN
    assert judge(48, stages=stages, days_window=brief).doubts == (Doubt.INSIDE_OPENING,)
    assert judge(49, stages=stages, days_window=brief).doubts == (Doubt.LATE_EDGE,)


def test_days_before_emergence_are_negative():
    found = judge(4)
    assert found.days_since_emergence == (-6, -6)
    assert found.stage.high == 3


@pytest.mark.parametrize("sown", [dt.date(2026, 5, 1), dt.date(2026, 11, 28), dt.date(2028, 1, 25)])
def test_north_south_and_leap_year_alike(sown):
    normals = MonthlyNormals(tmin=np.full(12, 5.0), tmax=np.full(12, 15.0))
    stages = stages_of(sown_on=sown, series=season(sown, [10.0] * 20, normals=normals, days=200))
    states = [
        judge_timing(
            dug_on=after(days, sown),
            days_window=DAYS,
            stage_window=None,
            stages=stages,
            rules=RULES,
        ).state
        for days in (10, 24, 38, 52, 70)
    ]
    assert states == [EARLY, LOOK, WITHIN, WITHIN, LATE]


def test_late_limit_between_flower_and_maturity():
    rows = (*CHAIN[:2], thermal("first_flower", "maturity", 290.0))
    found = judge(65, stages=stages_of(rows=rows))
    assert found.late == DayRange(after(65), after(65))
    assert found.state is LATE


def test_refusals():
    with pytest.raises(DomainError, match=r"dug_on must be on or after sowing \(2026-05-01\), but is '2026-04-30'"):
        judge(-1)
    with pytest.raises(DomainError, match="stage_seen must be a BBCH code from 0 to 99, but is 100"):
        judge(45, 100)
