import dataclasses
import datetime as dt

import numpy as np
import pytest
from tests.advice.nitrogen.fields import a_balance_field, soil_test
from tests.factories import DUG, GOOD, NONE, POOR, SOWN, a_dig, a_visit, advice_on

from spadework.advice.messages import render
from spadework.advice.nitrogen.balance import balance_of, nitrogen_of
from spadework.advice.nitrogen.crop_seen import CropSeen, LeavesSeen, ShareMeasured, leaves_seen
from spadework.advice.nitrogen.dig import DigSeen
from spadework.agronomy.scoring.share import field_share
from spadework.agronomy.season.nodulation import DigReading
from spadework.knowledge.load import load, with_overrides
from spadework.records.types import LeafColour

KNOWN = load()
GREEN, PALE = LeafColour.GREEN, LeafColour.PALE
FIGURES = ("gap_at_maturity", "fixed", "from_soil", "soil_n_at_sowing", "yield_loss", "nodulation")
NOT_DUG = DigSeen(share=None, reading=DigReading.NONE_DUG, poor_with_nodules=1.0, colour_seen=True)


def looked_at(plants, *, pale=0, vigour=4.0):
    """The first plants of a visit with pale old leaves, the others green."""
    return tuple(
        row.model_copy(update={"leaf_old": PALE if place < pale else GREEN, "leaf_young": GREEN, "vigour": vigour})
        for place, row in enumerate(plants)
    )


def answered(crop_seen, *, knowledge=KNOWN, dig=NOT_DUG, **parts):
    held = a_balance_field(**parts)
    balance = balance_of(held, dig, knowledge=knowledge, seed=1, today=DUG, crop_seen=crop_seen)
    return nitrogen_of(balance, held, knowledge=knowledge, seed=1, settle_at=0.9, today=DUG)


def a_dig_of(adequate):
    """Thirty plants of three stops, all adequate or all without a nodule."""
    share = field_share(stop=np.repeat([0, 1, 2], 10), chance=np.full(30, adequate), prior_correlation=0.22)
    return DigSeen(share=share, reading=DigReading.AS_DUG, poor_with_nodules=0.0, colour_seen=True)


def leaves(**seen):
    return CropSeen(leaves=LeavesSeen(day=DUG, **seen))


RICH = {"soil_tests": soil_test(90, organic_matter=4.0)}


def test_a_crop_that_looks_short_is_never_told_to_have_enough():
    plants = looked_at(NONE, pale=30, vigour=2.0)
    before = advice_on(a_balance_field(NONE, field={"expected_yield": 1.0}, **RICH)).nitrogen
    advice = advice_on(a_balance_field(plants, field={"expected_yield": 1.0}, **RICH))

    assert before.state == "enough"
    assert advice.diagnosis.pallor.state == "nitrogen"
    assert advice.nitrogen.state == "cannot_tell"
    assert advice.nitrogen.headline.id == "nitrogen.headline.contradicted"
    first = advice.nitrogen.reasons[0]
    assert first.id == "nitrogen.contradiction.leaves"
    assert "outranks the balance" in render(first)
    assert set(first.sources) <= set(advice.nitrogen.rows)
    assert set(first.sources) <= {row.row for row in advice.basis.rows}


def test_pale_leaves_move_gap_soil_and_yield_together():
    plain, pale = (advice_on(a_balance_field(looked_at(POOR, pale=count, vigour=2.5))).nitrogen for count in (0, 30))
    assert pale.chance_of_gap > plain.chance_of_gap + 0.05
    assert pale.gap_at_maturity.value > plain.gap_at_maturity.value
    assert pale.yield_loss.high > plain.yield_loss.high
    assert pale.soil_n_at_sowing.value < plain.soil_n_at_sowing.value
    assert "nitrogen.reason.leaves.pale" in [reason.id for reason in pale.reasons]
    assert "nitrogen.reason.leaves.pale" not in [reason.id for reason in plain.reasons]


@pytest.mark.parametrize("plants", [NONE, POOR])
def test_more_pale_plants_never_lower_the_gap(plants):
    found = [
        advice_on(a_balance_field(looked_at(plants, pale=pale, vigour=2.5))).nitrogen for pale in (0, 6, 12, 18, 24, 30)
    ]
    for name in ("value", "high"):
        gaps = [getattr(one.gap_at_maturity, name) for one in found]
        assert gaps == sorted(gaps)
    chances = [one.chance_of_gap for one in found]
    assert chances == sorted(chances)
    assert chances[-1] > chances[0]


def test_surer_signs_move_the_gap_one_way():
    sure = (0.0, 0.25, 0.5, 0.75, 1.0)
    up = [answered(leaves(pale=one)).chance_of_gap for one in sure]
    down = [answered(leaves(green=one)).chance_of_gap for one in sure]
    assert up == sorted(up)
    assert up[-1] > up[0]
    assert down == sorted(down, reverse=True)
    assert down[-1] < down[0]
    assert up[0] == down[0] == answered(None).chance_of_gap


def test_green_tops_speak_for_draws_that_are_not_short():
    plain = advice_on(a_balance_field(POOR)).nitrogen
    green = advice_on(a_balance_field(looked_at(POOR, vigour=5.0))).nitrogen
    assert green.gap_at_maturity.high < plain.gap_at_maturity.high
    assert green.chance_of_gap < plain.chance_of_gap
    assert "nitrogen.reason.leaves.green" in [reason.id for reason in green.reasons]


def test_leaves_of_a_dig_at_the_wrong_time_are_not_used():
    early = advice_on(a_balance_field(looked_at(POOR, pale=30), digs=(a_dig(stage_bbch=14),)))
    assert early.timing.wrong_time == "early"
    assert leaves_seen(early.diagnosis, dug_on=DUG, in_time=early.timing.in_time) is None
    assert early.nitrogen.rows == advice_on(a_balance_field(POOR, digs=(a_dig(stage_bbch=14),))).nitrogen.rows


def test_leaves_that_nobody_looked_at_say_nothing():
    advice = advice_on(a_balance_field(a_visit([6] * 10, [4] * 10, vigour=None)))
    assert leaves_seen(advice.diagnosis, dug_on=DUG, in_time=True) is None
    assert leaves_seen(advice.diagnosis, dug_on=None, in_time=True) is None
    assert not any(row.startswith("leaves.") for row in advice.nitrogen.rows)


def test_pale_leaves_over_good_nodules_are_not_put_down_to_nitrogen():
    advice = advice_on(a_balance_field(looked_at(GOOD, pale=30)))
    assert advice.diagnosis.pallor.not_nitrogen is not None
    plain = advice_on(a_balance_field(looked_at(GOOD, vigour=2.0)))
    assert advice.nitrogen.chance_of_gap == plain.nitrogen.chance_of_gap


def test_how_much_leaves_count_can_be_overridden():
    blind = with_overrides(
        KNOWN,
        {
            "leaves.pale_without_shortage": {"value": 0.5, "low": 0.5, "high": 0.5},
            "leaves.pale_with_shortage": {"value": 0.5, "low": 0.5, "high": 0.5},
        },
    )
    assert answered(leaves(pale=1.0), knowledge=blind).chance_of_gap == answered(None).chance_of_gap


def test_figures_stay_ordered_and_finite_under_weights():
    for seen in (
        leaves(pale=1.0, short=True),
        leaves(green=1.0),
        CropSeen(measured=ShareMeasured(method="ureides", share=0.5, standard_error=0.05)),
    ):
        found = answered(seen)
        for name in FIGURES:
            quantity = getattr(found, name)
            assert 0 <= quantity.low <= quantity.value <= quantity.high < np.inf
        for name in ("need", "soil", "fixed"):
            low, high = (getattr(found.course, f"{name}_{end}") for end in ("low", "high"))
            assert all(a <= b for a, b in zip(low, high, strict=True))


MEASURED = dataclasses.replace(NOT_DUG, measured=True)


def measured(share, error=0.03, day=None):
    return CropSeen(measured=ShareMeasured(method="natural_abundance", share=share, standard_error=error, day=day))


def test_a_measured_share_pulls_the_balance_to_itself():
    low, high = (answered(measured(share), dig=MEASURED) for share in (0.2, 0.6))
    assert low.nodulation_from == "measured"
    assert low.fixed_share.value == pytest.approx(0.2, abs=0.06)
    assert high.fixed_share.value == pytest.approx(0.6, abs=0.06)
    assert low.nodulation.high < high.nodulation.high
    assert low.fixed.value < high.fixed.value
    open_width = answered(None).fixed_share
    assert high.fixed_share.high - high.fixed_share.low < open_width.high - open_width.low
    keys = [reason.id for reason in low.reasons]
    assert "nitrogen.reason.measured.ripe" in keys
    assert "nitrogen.reason.nodules.measured" in keys
    assert {"measured_share.error", "nodulation.not_dug"} <= set(low.rows)


@pytest.mark.parametrize("adequate", [0.0, 1.0])
def test_a_weak_measurement_does_not_undo_the_dig(adequate):
    dig = a_dig_of(adequate)
    weak = CropSeen(measured=ShareMeasured(method="nitrogen_difference", share=0.5, standard_error=0.3))
    alone, with_it = answered(None, dig=dig), answered(weak, dig=dataclasses.replace(dig, measured=True))
    assert with_it.nodulation.value == pytest.approx(alone.nodulation.value, abs=0.15)


def test_an_exact_measurement_overrules_a_dig_that_misleads():
    found = answered(measured(0.6, 0.02), dig=dataclasses.replace(a_dig_of(0.0), measured=True))
    assert found.fixed_share.value > 0.4
    assert {"nodulation.dig_misleads", "nodulation.not_dug"} <= set(found.rows)


def test_a_more_exact_measurement_narrows_more():
    widths = []
    for error in (0.02, 0.1, 0.4):
        share = answered(measured(0.5, error), dig=MEASURED).fixed_share
        widths.append(share.high - share.low)
    assert widths == sorted(widths)


def test_a_share_by_a_day_is_held_against_that_day():
    early = DUG - dt.timedelta(days=14)
    one, other = (answered(measured(0.3, day=day), dig=MEASURED) for day in (early, DUG))
    assert one.fixed_share.value > other.fixed_share.value  # fixation comes late: 30 % early on is more in the end
    assert "nitrogen.reason.measured.on_day" in [reason.id for reason in one.reasons]


def test_a_share_that_no_season_comes_near_is_a_contradiction():
    found = answered(measured(1.4, 0.02), dig=MEASURED)
    assert found.state == "cannot_tell"
    assert found.reasons[0].id == "nitrogen.contradiction.measured"
    assert "140 %" in render(found.reasons[0])


def test_a_share_before_the_crop_was_up_changes_nothing():
    found = answered(measured(0.5, day=SOWN), dig=MEASURED)
    assert found.fixed.value == answered(None, dig=MEASURED).fixed.value
