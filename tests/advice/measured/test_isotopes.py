"""Natural abundance and dilution: shares by hand, intervals, and every refusal and warning."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.advice.measured.bags import abundance, legume, only, reference, said

from spadework.advice.messages import render
from spadework.knowledge.rows import Crop
from spadework.quantity import Grade


def test_share_by_hand():
    found = only(abundance(), b_value=-1.0, b_spread=0.4)
    # Means 1 and 6: 5/7. Standard deviations 0.3651 over two: s2 = (0.04+0.04+0.16+0.16)/3 = 0.1333, over 4.
    assert found.share.value == pytest.approx(5 / 7)
    error = math.sqrt(0.1333333 / 4 + (2 / 7) ** 2 * 0.1333333 / 4 + (5 / 7) ** 2 * 0.16) / 7
    assert found.standard_error == pytest.approx(error, rel=1e-5)
    # Wider than with as many samples as one likes, by the quantile of t.
    assert found.share.high - found.share.low > 2 * 1.645 * error
    assert found.share.low < 5 / 7 < found.share.high
    assert found.share.level == 0.9
    assert (found.legume_samples, found.reference_samples, found.quality) == (4, 4, "fair")
    assert (found.reference.value, found.b_value.value) == (pytest.approx(6.0), -1.0)
    assert found.refused is None


def test_the_line_on_sensitivity_by_hand():
    (moved, plants) = only(abundance(), b_value=-1.0, b_spread=0.4).sensitivity
    # B -2: 5/8; B 0: 5/6; reference 5: 4/6; reference 7: 6/8.
    assert render(moved) == (
        "If B were 1 permil lower the share would be 62 %, 1 permil higher 83 %; "
        "if the reference were 1 permil lower 67 %, 1 permil higher 75 %."
    )
    # Ryegrass 6.3: 5.3/7.3; thistle 5.7: 4.7/6.7.
    assert render(plants) == "By the reference plant: 70 % with thistle alone, 73 % with ryegrass alone."


def test_a_sure_b_and_paired_plots_narrow_the_interval():
    def width(found):
        return found.share.high - found.share.low

    loose = only(abundance(), b_value=-1.0, b_spread=0.4)
    assert width(only(abundance(), b_value=-1.0, b_spread=0.1)) < width(loose)
    uneven = [1.0, 2.0, 0.0, 1.5], [6.0, 7.0, 5.0, 6.5]
    apart = abundance(*uneven)
    pairs = [row.model_copy(update={"plot": row.sample[1:]}) for row in apart]
    assert width(only(pairs, b_value=-1.0)) < width(only(apart, b_value=-1.0))


@pytest.mark.parametrize(
    ("references", "quality"),
    [((1.9,) * 4, "not_usable"), ((2.0,) * 4, "indicative"), ((4.0,) * 4, "fair"), ((8.0,) * 4, "good")],
)
def test_distance_from_air_has_its_class(references, quality):
    found = only(abundance(references=references))
    assert found.quality == quality
    assert (found.share is None) is (quality == "not_usable")
    # What is called good is not called weak beside it.
    assert not (quality == "good" and "warning.not_precise" in said(found))


REFUSED = [
    (abundance(references=()), {}, "refused.no_reference", "No reference plant was analysed"),
    # The stored case of a reference below B, which gave 57 % in the open data (perkowski_data, plant e_y_0_2).
    (
        abundance((-1.24,), (-1.99, -1.73, -0.22, -2.41)),
        {"b_value": -0.98},
        "refused.close_to_b",
        "The reference (−1.6 permil) lies less than 1 permil above B (−1.0)",
    ),
    (abundance(references=(1.5, 1.6)), {}, "refused.close_to_air", "lies less than 2 permil above air"),
    (
        abundance(references=(0.5, 9.5)),
        {},
        "refused.not_told_apart",
        "vary so much that the two cannot be told apart",
    ),
]


@pytest.mark.parametrize(("rows", "chosen", "message", "text"), REFUSED, ids=[case[2] for case in REFUSED])
def test_where_the_samples_cannot_tell_no_share_is_given(rows, chosen, message, text):
    found = only(rows, **chosen)
    assert found.share is None
    assert found.standard_error is None
    assert found.refused.id == f"lab.{message}"
    assert text in render(found.refused)


def test_crops_without_a_published_b_ask_for_one():
    assert "--b-value b_value.pea.remembered" in render(only(abundance(), Crop.PEA).refused)
    assert "No B value of lupin is known" in render(only(abundance(), Crop.LUPIN).refused)
    assert "mung bean" in render(only(abundance(), Crop.MUNG_BEAN).refused)
    assert only(abundance(), Crop.LUPIN, b_value=-0.5).share is not None


def test_a_b_from_memory_stands_as_judgement_and_says_so():
    found = only(abundance(), Crop.PEA, b_value="b_value.pea.remembered")
    assert found.share.grade is Grade.JUDGEMENT
    assert "warning.b_judgement" in said(found)
    assert "warning.b_judgement" not in said(only(abundance()))


def test_negative_shares_are_kept_raw():
    found = only(abundance((6.1, 7.5, 6.6, 6.0)), b_value=-1.0)
    # Legume 6.55, reference 6: -0.55/7, with 0.34 for one standard error of the legume.
    assert found.share.value == pytest.approx(-0.55 / 7)
    assert "warning.below_zero" in said(found)
    assert "warning.far_below_zero" in said(only(abundance((12.0, 12.1, 12.2, 12.1)), b_value=-1.0))


def test_shares_above_one_are_kept_raw():
    found = only(abundance((-2.0, -2.2, -1.9, -2.1)), b_value=-1.0)
    assert found.share.value > 1
    assert {"warning.above_one", "warning.b_not_lowest"} <= said(found)


def test_one_sample_has_no_interval():
    found = only(abundance((1.0,)))
    assert (found.share.low, found.share.high, found.share.level, found.standard_error) == (None,) * 4
    assert "warning.one_sample" in said(found)


@pytest.mark.parametrize(
    ("rows", "warning", "is_given"),
    [
        (abundance((1.0, 1.2, 0.9)), "few_samples", True),
        (abundance(), "few_samples", False),
        (abundance(plants=("ryegrass",)), "one_plant", True),
        (abundance(plants=()), "one_plant", True),
        (abundance(), "one_plant", False),
        (abundance(), "not_precise", True),
        (abundance(references=(8.4, 8.0, 8.2, 8.1)), "not_precise", False),
    ],
)
def test_warnings_come_where_they_belong(rows, warning, is_given):
    assert (f"warning.{warning}" in said(only(rows))) is is_given


def test_a_spread_of_ones_own_answers_the_warning_on_precision():
    assert "warning.not_precise" not in said(only(abundance(), b_value=-1.0, b_spread=0.1))


def test_a_b_of_another_tissue_says_so():
    assert "warning.b_tissue" in said(only(abundance(), Crop.FABA_BEAN))


def test_a_reference_plant_too_close_to_b_is_named():
    rows = abundance(references=(7.0, 1.0, 7.0, 1.0))
    assert "sensitivity.plant_too_close" in said(only(rows, b_value=0.5, b_spread=0.1))


def test_an_edge_says_what_can_be_said():
    rows = abundance(references=(2.2, 2.3, 2.2, 2.3), plants=("ryegrass",))
    assert "sensitivity.edge" in said(only(rows, b_value=0.8, b_spread=0.05))


@given(st.lists(st.floats(-0.5, 5), min_size=2, max_size=6), st.lists(st.floats(5, 12), min_size=2, max_size=6))
def test_the_share_lies_in_its_interval(deltas, references):
    found = only(abundance(deltas, references), b_value=-1.0, b_spread=0.3)
    if found.share is not None:
        assert found.share.low <= found.share.value <= found.share.high


def dilution(legumes=(0.10, 0.12, 0.14, 0.12), references=(0.40, 0.42, 0.38, 0.40)):
    rows = [legume(n, atom_percent_excess=value) for n, value in enumerate(legumes)]
    return rows + [reference(n, atom_percent_excess=value, plant="ryegrass") for n, value in enumerate(references)]


def test_dilution_by_hand():
    found = only(dilution())
    # 1 - 0.12/0.40; a tenth less label 1 - 0.12/0.36, a tenth more 1 - 0.12/0.44.
    assert found.share.value == pytest.approx(0.7)
    assert found.share.low < 0.7 < found.share.high
    assert found.method == "isotope_dilution"
    assert render(found.sensitivity[0]).count("67 %") == 1
    assert "73 %" in render(found.sensitivity[0])
    assert {"warning.same_label", "warning.one_plant"} <= said(found)


@pytest.mark.parametrize(
    ("references", "message"),
    [((), "no_reference"), ((0.0, 0.0), "no_label"), ((0.001, 0.9), "label_weak")],
)
def test_dilution_without_a_label_to_dilute(references, message):
    found = only(dilution(references=references))
    assert found.share is None
    assert found.refused.id == f"lab.refused.{message}"
    assert render(found.refused)
