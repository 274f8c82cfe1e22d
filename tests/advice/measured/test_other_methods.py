"""Nitrogen difference and ureides: by hand, and every refusal and warning."""

import math

import pytest
from tests.advice.measured.bags import legume, only, reference, said

from spadework.advice.measured.other_methods import interval_about
from spadework.advice.messages import render
from spadework.knowledge.rows import Crop
from spadework.quantity import Grade
from spadework.records.types import LocalUreideLine


def crops(held=(150.0, 160.0, 140.0, 150.0), other=(60.0, 64.0, 56.0, 60.0), soils=None):
    """Crops by their nitrogen: dry matter in hundredweights of 2 % nitrogen."""
    rows = [legume(n, shoot_n=2.0, shoot_dry_matter=50 * kg) for n, kg in enumerate(held)]
    rows += [reference(n, shoot_n=2.0, shoot_dry_matter=50 * kg) for n, kg in enumerate(other)]
    if soils is not None:
        of_kind = {"legume": soils[0], "reference": soils[1]}
        rows = [row.model_copy(update={"soil_mineral_n": of_kind[row.kind]}) for row in rows]
    return rows


def test_difference_by_hand():
    found = only(crops())
    # 150 - 60 = 90 of 150; 20 kg/ha are 13 points of 150.
    assert found.share.value == pytest.approx(0.6)
    assert found.fixed_shoot.value == pytest.approx(90)
    # Variances 200/3 and 32/3 over 4 samples each.
    error = math.sqrt((200 / 3 + 32 / 3) / 4)
    assert found.fixed_shoot.high - 90 > 1.645 * error
    assert found.standard_error == pytest.approx(math.sqrt(0.4**2 * 200 / 12 + 32 / 12) / 150)
    assert "13 points" in render(found.sensitivity[0])
    assert {"warning.difference", "warning.no_soil_term"} <= said(found)
    assert found.share.grade is Grade.SECOND_HAND


def test_the_soil_term_counts_where_every_sample_has_it():
    found = only(crops(soils=(30.0, 20.0)))
    assert found.fixed_shoot.value == pytest.approx(100)
    assert "warning.no_soil_term" not in said(found)
    rows = crops(soils=(30.0, 20.0))
    rows[0] = rows[0].model_copy(update={"soil_mineral_n": None})
    assert only(rows).fixed_shoot.value == pytest.approx(90)


def test_a_reference_that_took_up_more_is_told():
    found = only(crops(other=(200.0, 210.0)))
    assert found.share.value < 0
    assert {"warning.difference_negative", "warning.few_samples"} <= said(found)


def test_one_crop_cut_has_no_interval():
    found = only(crops(held=(150.0,)))
    assert found.share.low is None
    assert found.fixed_shoot is None
    assert found.standard_error is None
    assert "warning.one_sample" in said(found)


def saps(ureides=(2.0, 2.0, 2.0, 2.0), nitrate=5.0, amino=3.0):
    return [legume(n, ureides=value, nitrate=nitrate, amino_n=amino) for n, value in enumerate(ureides)]


def test_without_a_line_there_is_the_index_and_no_share():
    found = only(saps())
    # 8 of 16.
    assert found.index.value == pytest.approx(0.5)
    assert found.share is None
    assert found.refused.id == "lab.refused.no_line"
    assert "50 %" in render(found.refused)


def test_the_users_own_line_gives_a_share_that_stands_as_judgement():
    found = only(saps((1.8, 2.0, 2.2, 2.0)), ureide_line=LocalUreideLine(0.1, 0.8))
    assert found.share.value == pytest.approx((found.index.value - 0.1) / 0.8)
    assert found.share.low < found.share.value < found.share.high
    assert found.share.grade is Grade.JUDGEMENT
    # 5 points of the index over a slope of 0.8.
    assert "6 points" in render(found.sensitivity[0])
    assert "warning.own_line" in said(found)


def test_the_line_is_not_drawn_out():
    found = only(saps(), ureide_line=LocalUreideLine(0.1, 0.8, 0.0, 0.4))
    assert found.share is None
    assert "shares from 0 % to 40 %" in render(found.refused)


@pytest.mark.parametrize("crop", [Crop.PEA, Crop.LENTIL, Crop.CHICKPEA, Crop.FABA_BEAN, Crop.LUPIN])
def test_the_sap_of_amide_crops_tells_nothing(crop):
    found = only(saps(), crop, ureide_line=LocalUreideLine(0.1, 0.8))
    assert found.refused.id == "lab.refused.amides"
    assert found.index is None
    assert render(found.refused).startswith(crop.replace("_", " ").capitalize())


def test_a_low_index_proves_nothing_in_soybean():
    assert "warning.index_of_idle" in said(only(saps((0.5,) * 4)))
    assert "warning.index_of_idle" not in said(only(saps()))
    assert "warning.index_of_idle" not in said(only(saps((0.5,) * 4), Crop.COWPEA))
    assert "warning.index_between" in said(only(saps()))


def test_few_saps_are_told():
    assert "warning.few_saps" in said(only(saps((2.0, 2.1))))
    assert only(saps((2.0,))).index.low is None


def test_an_interval_reaches_evenly_and_is_absent_where_the_error_is():
    known = interval_about(1.0, 0.1, degrees=math.inf, level=0.9, unit="1", sources=(), grade=Grade.READ)
    assert (known.low, known.high) == (pytest.approx(1 - 0.16449, abs=1e-4), pytest.approx(1.16449, abs=1e-4))
    assert interval_about(1.0, math.nan, degrees=3, level=0.9, unit="1", sources=(), grade=Grade.READ).low is None
