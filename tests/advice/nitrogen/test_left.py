import datetime as dt

import numpy as np
import pytest
from tests.advice.nitrogen.fields import FIELDS, a_balance_field, sky, soil_test
from tests.factories import GOOD, NONE, advice_on

from spadework.advice.messages import render
from spadework.knowledge.load import load
from spadework.knowledge.rows import Credit as CreditRow
from spadework.knowledge.rows import Crop

KNOWN = load()
FOUND = {name: advice_on(FIELDS[name]).nitrogen for name in ("failed pea", "good pea", "good soybean")}
PARTS = ("grain", "net_shoot", "net_whole", "residue_shoot", "residue_below_ground")


@pytest.mark.parametrize("name", FOUND)
def test_every_figure_carries_its_interval(name):
    for part in PARTS:
        figure = getattr(FOUND[name].left, part)
        assert figure.low <= figure.value <= figure.high
        assert figure.unit == "kg/ha"


def test_the_grain_takes_what_its_yield_holds():
    # 3 t/ha of peas at 87 % dry matter with 4.21 % N (Ludemann 2023): 110 kg/ha.
    left = FOUND["good pea"].left
    assert left.grain.value == pytest.approx(3000 * 0.87 * 0.0421, rel=0.05)
    assert left.grain.low < 105
    assert left.grain.high > 115


@pytest.mark.parametrize("name", FOUND)
def test_what_is_left_adds_up(name):
    nitrogen, left = FOUND[name], FOUND[name].left
    assert left.net_shoot.value == pytest.approx(nitrogen.fixed.value - left.grain.value, abs=8)
    assert left.net_whole.value >= left.net_shoot.value
    held = nitrogen.fixed.value + nitrogen.from_soil.value
    # The seed brings the rest, some 5 to 15 kg/ha; middles of draws do not add up to the last digit.
    assert held - 3 < left.residue_shoot.value + left.grain.value < held + 18


def test_a_failed_crop_takes_more_from_the_soil_than_a_good_one():
    assert FOUND["failed pea"].left.net_whole.value < FOUND["good pea"].left.net_whole.value
    assert FOUND["failed pea"].left.net_whole.high < 0


@pytest.mark.parametrize("crop", Crop)
def test_credits_stand_one_by_one_by_kind(crop):
    field = {"crop": crop, "expected_yield": 1.5}
    warm = {"mean": 15.0, "swing": 12.0}
    nitrogen = advice_on(a_balance_field(GOOD, field=field, weather=sky(**warm))).nitrogen
    if nitrogen is None:
        pytest.skip("does not ripen here")
    rows = [row for row in KNOWN.of(CreditRow, crop) if row.per != "residue"]
    credits = nitrogen.left.credits
    assert [credit.row for credit in credits] == [row.id for row in rows]
    for credit, row in zip(credits, rows, strict=True):
        assert (credit.kind, credit.in_soil_test) == (row.kind, row.in_soil_test)
        if row.per == "hectare":
            assert credit.nitrogen.value == row.central
        if credit.nitrogen.low is not None:
            assert credit.nitrogen.low <= credit.nitrogen.value <= credit.nitrogen.high


def test_a_credit_by_grain_follows_the_grain():
    credit = next(one for one in FOUND["good pea"].left.credits if one.row == "credit.any.soil_test_by_grain")
    assert credit.nitrogen.value == pytest.approx(18 * 3 * 0.87, rel=0.03)
    assert credit.nitrogen.low < 9 * 3 * 0.87
    assert credit.nitrogen.high > 27 * 3 * 0.87 * 0.99


def test_a_test_after_ripeness_holds_its_credits_already():
    over = dt.date(2026, 10, 30)
    tests = soil_test(60, day=dt.date(2026, 10, 1))
    plain, tested = (
        advice_on(a_balance_field(NONE, weather=sky(last=over), soil_tests=held), today=over).nitrogen
        for held in ((), tests)
    )
    assert plain.left.messages[-1].id == "nitrogen.left.credits_by_kind"
    assert tested.left.messages[-1].id == "nitrogen.left.credits_tested"
    assert "holds those marked as held; add none of them to it" in render(tested.left.messages[-1])
    # The figures stay; those that the test finds are marked as held by it, the others stand as before.
    assert [credit.nitrogen for credit in tested.left.credits] == [credit.nitrogen for credit in plain.left.credits]
    assert not any(credit.held for credit in plain.left.credits)
    assert [credit.held for credit in tested.left.credits] == [credit.in_soil_test for credit in tested.left.credits]
    assert {credit.held for credit in tested.left.credits} == {True, False}


def test_its_rows_are_in_the_basis():
    nitrogen = FOUND["good soybean"]
    assert set(nitrogen.left.rows) <= set(nitrogen.rows)
    assert all(np.isfinite(credit.nitrogen.value) for credit in nitrogen.left.credits)
