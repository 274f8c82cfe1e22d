"""Which scheme is in force: the book's own figure, then the scheme it names, then the crop's default; never a mean."""

import pytest
from tests.factories import a_book

from spadework.advice.choose import settle_at_of, target_in_force, window_in_force
from spadework.errors import KnowledgeError, NotAnswerable
from spadework.knowledge.load import load, with_overrides
from spadework.knowledge.rows import Crop, DigWindow, Target
from spadework.quantity import Grade
from spadework.records.types import CountingUnit, LocalTarget

NODULE, CLUSTER = CountingUnit.NODULE, CountingUnit.CLUSTER
SEVEN_OF_2_MM = "target.soybean.seven_red_of_2_mm"
TWELVE_WEEKS = "window.any.ten_to_twelve_weeks_from_sowing"


def target(crop=Crop.SOYBEAN, counted=NODULE, **chosen):
    return target_in_force(crop=crop, counted=counted, settings=a_book(**chosen), knowledge=load())


def window(crop=Crop.SOYBEAN, **chosen):
    return window_in_force(crop=crop, settings=a_book(**chosen), knowledge=load())


def test_the_default_of_the_crop_where_the_book_says_nothing():
    found = target()
    assert (found.scheme, found.chosen_by) == ("target.soybean.ten_any_size", "default")
    assert (found.value, found.comparison, found.counts) == (10, "at_least", "any_size")


def test_the_scheme_that_the_book_names_goes_before_the_default():
    found = target(target_scheme={Crop.SOYBEAN: SEVEN_OF_2_MM})
    assert (found.scheme, found.value, found.counts, found.chosen_by) == (SEVEN_OF_2_MM, 7, "at_least_2_mm", "book")


def test_the_book_s_own_figure_goes_before_any_scheme():
    found = target(
        target_scheme={Crop.SOYBEAN: SEVEN_OF_2_MM},
        local_target={Crop.SOYBEAN: LocalTarget(value=14, source="strip beside the yard")},
    )
    assert (found.scheme, found.value, found.chosen_by) == ("local_target.soybean", 14, "local")
    assert (found.comparison, found.grade, found.source) == ("at_least", Grade.JUDGEMENT, "strip beside the yard")


def test_what_is_chosen_for_one_crop_holds_for_that_crop_only():
    assert target(Crop.PEA, local_target={Crop.SOYBEAN: LocalTarget(value=14)}).chosen_by == "default"


def test_schemes_are_never_averaged():
    values = {row.value for row in load().of(Target, Crop.SOYBEAN)}
    for scheme in (row.id for row in load().of(Target, Crop.SOYBEAN) if row.counting_unit == NODULE):
        assert target(target_scheme={Crop.SOYBEAN: scheme}).value in values


@pytest.mark.parametrize("crop", list(Crop))
def test_clusters_are_held_against_common_practice_for_any_crop(crop):
    # Common practice, no source: more than five clusters a plant is high potential.
    found = target(crop, CLUSTER)
    assert (found.value, found.comparison, found.counting_unit) == (5, "more_than", CLUSTER)
    assert found.grade is Grade.JUDGEMENT


def test_nodules_are_taken_where_nobody_said_what_was_counted():
    assert target(counted=None).counting_unit == NODULE


@pytest.mark.parametrize(
    "crop", [Crop.LENTIL, Crop.CHICKPEA, Crop.COMMON_BEAN, Crop.LUPIN, Crop.MUNG_BEAN, Crop.COWPEA]
)
def test_no_target_is_made_up_where_none_is_published(crop):
    with pytest.raises(NotAnswerable, match=f"target in nodules a plant for {crop.replace('_', ' ')}"):
        target(crop)


def test_a_figure_in_one_unit_does_not_answer_for_the_other():
    own = {"local_target": {Crop.LENTIL: LocalTarget(value=12, counting_unit=NODULE)}}
    assert target(Crop.LENTIL, NODULE, **own).value == 12
    assert target(Crop.LENTIL, CLUSTER, **own).scheme == "target.any.five_clusters"
    with pytest.raises(NotAnswerable):
        target(Crop.LENTIL, NODULE, local_target={Crop.LENTIL: LocalTarget(value=6, counting_unit=CLUSTER)})


def test_a_named_scheme_of_the_other_unit_gives_way_to_the_default():
    assert target(target_scheme={Crop.SOYBEAN: "target.any.five_clusters"}).scheme == "target.soybean.ten_any_size"


@pytest.mark.parametrize("named", ["target.pea.fifty_nodules", "window.pea.stage"])
def test_a_scheme_of_another_crop_or_kind_is_refused(named):
    with pytest.raises(KnowledgeError, match=f"{named}.*is not a target scheme for soybean; the book may not name it"):
        target(target_scheme={Crop.SOYBEAN: named})


def test_a_scheme_that_does_not_exist_is_refused():
    with pytest.raises(KnowledgeError, match=r"target\.soybean\.eleven"):
        target(target_scheme={Crop.SOYBEAN: "target.soybean.eleven"})


def test_a_verdict_counts_as_settled_by_the_book_s_own_level_else_by_the_row():
    assert settle_at_of(a_book(), load()) == pytest.approx(0.9)
    assert settle_at_of(a_book(settle_at=0.8), load()) == pytest.approx(0.8)
    own = with_overrides(load(), {"planning.settle_at": {"value": 0.95}})
    assert settle_at_of(a_book(), own) == pytest.approx(0.95)


@pytest.mark.parametrize("crop", list(Crop))
def test_each_crop_has_a_window_in_days_and_one_in_stages(crop):
    found = window(crop)
    assert found.days.id == "window.any.four_to_six_weeks"
    assert (found.stage.crop, found.stage.default) == (crop, True)
    assert found.rows == (found.days.id, found.stage.id)


def test_a_named_window_of_days_leaves_the_stages_of_the_crop_in_force():
    found = window(Crop.FABA_BEAN, window_scheme={Crop.FABA_BEAN: TWELVE_WEEKS})
    assert found.rows == (TWELVE_WEEKS, "window.faba_bean.stage")


def test_a_named_window_with_both_is_both():
    both = "window.soybean.five_to_six_weeks_from_planting"
    found = window(window_scheme={Crop.SOYBEAN: both})
    assert found.days is found.stage
    assert found.rows == (both,)


def test_a_named_window_of_stages_leaves_the_days_in_force():
    found = window(window_scheme={Crop.SOYBEAN: "window.soybean.presence"})
    assert found.rows == ("window.any.four_to_six_weeks", "window.soybean.presence")


def test_a_window_is_as_good_as_its_weaker_row():
    found = window(Crop.PEA)
    assert (found.days.grade, found.stage.grade, found.grade) == (Grade.JUDGEMENT, Grade.READ, Grade.JUDGEMENT)


@pytest.mark.parametrize("named", ["window.soybean.stage", "target.pea.fifty_nodules"])
def test_a_window_of_another_crop_or_kind_is_refused(named):
    with pytest.raises(KnowledgeError, match=f"{named}.*is not a dig window for pea; the book may not name it"):
        window(Crop.PEA, window_scheme={Crop.PEA: named})


def test_every_window_row_can_be_named_by_its_crop():
    for row in load().of(DigWindow):
        crop = Crop.PEA if row.crop == "any" else Crop(row.crop)
        assert row.id in window(crop, window_scheme={crop: row.id}).rows
