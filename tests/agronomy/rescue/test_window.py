import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.advice.messages import catalogue
from spadework.agronomy.rescue.window import (
    StageLimit,
    evidence_of,
    limits_of,
    limits_that_hold,
    rescue_days,
    time_factor,
)
from spadework.agronomy.season.seen_stage import stage_of_code
from spadework.errors import DomainError
from spadework.knowledge.load import load
from spadework.knowledge.rows import Crop, RescueEvidence

KNOWN = load()
PEA, SOYBEAN = (limits_of(crop, KNOWN) for crop in (Crop.PEA, Crop.SOYBEAN))
CROPS = st.sampled_from(Crop)


def a_course(flower, ripe, days=140):
    """Stage by day: even from emergence on day 10 to first flower and on to ripeness, for each draw."""
    day = np.arange(days)
    return np.array(
        [np.interp(day, [0, 10, first, last], [-1.0, 0.0, 1.0, 2.0]) for first, last in zip(flower, ripe, strict=True)]
    )


@pytest.mark.parametrize("crop", Crop)
def test_each_crop_has_a_limit_by_stage_and_its_sentences(crop):
    limits = limits_of(crop, KNOWN)

    assert [limit.in_days for limit in limits].count(False) == 1
    for limit in limits:
        assert limit.best_until < limit.too_late
        assert catalogue()[limit.row]
    assert catalogue()[f"rescue.evidence.{evidence_of(crop, KNOWN).trials}"]


def test_what_trials_there_are():
    words = {row.crop: row.trials for row in KNOWN.of(RescueEvidence)}

    assert {crop for crop, word in words.items() if word == "trials"} == {"pea", "soybean"}
    assert {"lentil", "faba_bean", "lupin"} <= {crop for crop, word in words.items() if word == "none"}
    assert set(words) == set(Crop)


def test_soybean_by_its_stages():
    at = {code: float(time_factor(SOYBEAN, day=60, stage=stage_of_code(code))) for code in (55, 60, 65, 69, 71, 73, 80)}

    assert [at[code] for code in (55, 60, 65, 69)] == [1, 1, 1, 1]
    assert at[71] == pytest.approx(0.5)
    assert (at[73], at[80]) == (pytest.approx(0, abs=1e-12), 0)


def test_pea_by_its_weeks():
    found = time_factor(PEA, day=np.array([7, 28, 42, 49, 56, 70]), stage=0.6)

    assert found.tolist() == [1, 1, 1, 0.5, 0, 0]


def test_the_narrower_of_weeks_and_stage_counts():
    # Three weeks after sowing, but pods seen.
    assert float(time_factor(PEA, day=21, stage=stage_of_code(75))) == 0
    assert float(time_factor(PEA, day=21, stage=stage_of_code(60))) == 1


def test_days_alone_count_where_the_stage_is_not_known():
    assert float(time_factor(PEA, day=49, stage=None)) == 0.5
    with pytest.raises(DomainError, match="stage must be known, for a crop whose limits are stages"):
        time_factor(SOYBEAN, day=49, stage=None)


def test_draws_each_have_their_own():
    found = time_factor(SOYBEAN, day=60, stage=np.array([[0.9], [stage_of_code(71)], [1.9]]))
    np.testing.assert_allclose(found, [[1], [0.5], [0]])


@given(CROPS, st.integers(0, 120), st.integers(0, 60), st.floats(0, 2), st.floats(0, 2))
def test_a_later_day_or_stage_never_raises_the_factor(crop, day, later, stage, further):
    limits = limits_of(crop, KNOWN)
    first = float(time_factor(limits, day=day, stage=stage))
    second = float(time_factor(limits, day=day + later, stage=max(stage, further)))

    assert 0 <= second <= first <= 1


# ---- Days


def test_days_of_soybean_worked_by_hand():
    # One stage in 50 days: R2 ends at 1 + 9/29, R4 begins at 1 + 13/29; days 60 + 15.5 and 60 + 22.4.
    found = rescue_days(SOYBEAN, a_course([60], [110]))

    assert (found.best_until[0], found.too_late[0]) == (75, 83)
    assert (found.last_day, found.closed_by) == (82, "rescue.limit.soybean.stage")


def test_weeks_close_pea_before_its_stage_does():
    found = rescue_days(PEA, a_course([60, 58], [95, 95]))

    assert found.best_until.tolist() == [42, 42]
    assert found.too_late.tolist() == [56, 56]
    assert (found.last_day, found.closed_by) == (55, "rescue.limit.pea.weeks")


@pytest.mark.parametrize(("flowers_after", "weeks"), [(60, True), (70, True), (71, False), (120, False), (None, False)])
def test_weeks_hold_for_crops_that_do_not_wait_through_a_winter(flowers_after, weeks):
    held = limits_that_hold(PEA, flowers_after=flowers_after, knowledge=KNOWN)

    assert [limit.row for limit in held if not limit.in_days] == ["rescue.limit.pea.stage"]
    assert any(limit.in_days for limit in held) is weeks


def test_a_hurried_crop_closes_by_its_stage():
    found = rescue_days(PEA, a_course([30, 30, 34], [60, 60, 64]))

    assert found.closed_by == "rescue.limit.pea.stage"
    assert found.last_day == found.too_late[0] - 1
    assert found.too_late[2] == found.too_late[0] + 4


def test_a_stage_never_reached_closes_with_the_weather():
    found = rescue_days(SOYBEAN, a_course([200], [300], days=90))

    assert (found.best_until[0], found.too_late[0], found.last_day) == (89, 90, 89)


@given(CROPS, st.integers(20, 70), st.integers(20, 60), st.integers(0, 30))
def test_days_and_factor_agree(crop, flower, filling, later):
    limits = limits_of(crop, KNOWN)
    stage = a_course(
        [flower, flower + later, flower + 2 * later], np.array([flower, flower + later, flower + 2 * later]) + filling
    )
    found = rescue_days(limits, stage)
    factor = time_factor(limits, day=np.arange(stage.shape[1]), stage=stage)

    for draw, (best, late) in enumerate(zip(found.best_until, found.too_late, strict=True)):
        assert np.all(factor[draw, : best + 1] == 1)
        assert np.all(factor[draw, late:] == 0)
        assert factor[draw, late - 1] > 0
    assert found.last_day < np.median(found.too_late)


def test_one_limit_alone():
    limit = StageLimit(best_until=10, too_late=20, in_days=True, row="some.row")
    assert time_factor((limit,), day=[5, 10, 15, 20, 25], stage=None).tolist() == [1, 1, 0.5, 0, 0]
