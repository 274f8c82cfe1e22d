"""The three-factor index: its ranges, its units, and that more working nodules never lower it."""

import hypothesis.strategies as st
import pytest
from hypothesis import assume, given, settings
from tests.advice.strategies import visits, visits_with_one_more_red
from tests.factories import GOOD, NONE, POOR, a_dig, a_plant, a_visit, advice_on, count, records

from spadework.advice.messages import render
from spadework.knowledge.rows import Crop
from spadework.quantity import Grade
from spadework.records.types import LocalTarget


def index(plants=GOOD, *, unit="nodule", stage=55, field=None, **chosen):
    held = records(plants, digs=(a_dig(counting_unit=unit, stage_bbch=stage),), field=field or {})
    return advice_on(held, **chosen).index


def test_a_strong_plant_with_its_target_on_crown_and_laterals_has_full_marks():
    # 5 for vigour; 80 x 1 / 50, at most 1, times 5; 2 for the crown and 1 for the laterals (10 red ones are enough).
    found = index(a_visit(*[[80] * 10] * 3, vigour=5))
    parts = (found.vigour, found.abundance_and_colour, found.position, found.total)
    assert [part.value for part in parts] == pytest.approx([5, 5, 3, 13])
    assert found.leading == "effective"


def test_plants_that_differ_leave_the_field_open():
    found = index(a_visit(*[[10, 40, 25, 60, 5] * 2] * 3))
    for part in (found.abundance_and_colour, found.total):
        assert part.low < part.value < part.high


def test_half_the_target_earns_half_the_points_for_abundance():
    # 25 nodules, all cut ones red, against 50: 2.5 points; 15 on the crown are more than a fifth of 50.
    found = index(a_visit(*[[25] * 10] * 3, vigour=3))
    assert found.abundance_and_colour.value == pytest.approx(2.5)
    assert found.total.value == pytest.approx(3 + 2.5 + 3)


def test_colour_counts_in_abundance():
    # 50 nodules of which 3 of 5 cut are red: 30 work, 3 points; 18 on the crown and 12 on the laterals are enough.
    found = index(a_visit(*[[50] * 10] * 3, cut_open=5, red_pink=3, white=2, vigour=3))
    assert found.abundance_and_colour.value == pytest.approx(3)


def test_bare_roots_leave_vigour_alone():
    found = index(NONE)
    assert (found.vigour.value, found.abundance_and_colour.value, found.position.value) == (4, 0, 0)


# Common practice, no source: crown and lateral together is best, then crown, then lateral.
def test_crown_and_laterals_go_before_crown_and_crown_before_laterals():
    both, crown, lateral = (index(a_visit(*[[20] * 10] * 3, crown_share=share)).position.value for share in (0.5, 1, 0))
    assert both > crown > lateral


# Common practice, no source: 10 and above effective, 6 to 10 doubtful, below 5 failing; silent from 5 to 6.
@pytest.mark.parametrize(
    ("plants", "leading"),
    [
        (a_visit(*[[80] * 10] * 3), "effective"),
        (a_visit(*[[20] * 10] * 3, vigour=2.5), "doubtful"),
        (a_visit(*[[25] * 10] * 3, vigour=0.2), "doubtful"),
        (a_visit(*[[2] * 10] * 3, vigour=1), "failing"),
    ],
)
def test_the_class_follows_common_practice(plants, leading):
    found = index(plants)
    assert found.leading == leading
    assert found.message.id == f"index.{leading}"
    assert sum(chance.probability for chance in found.classes) == pytest.approx(1)
    assert [chance.name for chance in found.classes] == ["failing", "doubtful", "effective"]


def test_a_total_between_five_and_six_is_doubtful():
    found = index(a_visit(*[[25] * 10] * 3, vigour=0.2))
    assert 5 < found.total.value < 6


def test_clusters_make_full_marks_at_five_whatever_the_crop_and_target():
    # Common practice, no source: more than five clusters a plant is high potential.
    six = a_visit(*[[6] * 10] * 3, vigour=4)
    assert index(six, unit="cluster").abundance_and_colour.value == pytest.approx(5)
    assert index(six, unit="cluster", field={"crop": Crop.LUPIN}).abundance_and_colour.value == pytest.approx(5)
    # Six single nodules are few for peas.
    assert index(six).abundance_and_colour.value == pytest.approx(5 * 6 / 50)
    assert "index.full_clusters" in index(six, unit="cluster").total.sources
    assert "target.pea.fifty_nodules" in index(six).total.sources


def test_no_index_of_single_nodules_without_a_target():
    lentil = {"crop": Crop.LENTIL}
    assert index(field=lentil) is None
    own = index(field=lentil, local_target={Crop.LENTIL: LocalTarget(value=20)})
    assert "local_target.lentil" in own.total.sources


def test_no_index_without_vigour():
    assert index(a_visit([80] * 10, vigour=None)) is None


def test_plants_without_vigour_are_left_out():
    assert index((*a_visit([80] * 5, vigour=4), a_plant(stop="2", vigour=None))).vigour.value == pytest.approx(4)


def test_a_zone_with_nodules_is_no_bare_root_though_the_other_was_not_counted():
    blind = {"cut_open": None, "red_pink": None, "white": None, "green_brown": None}
    assert index((a_plant(25, lateral=None, **blind), *a_visit([0], **blind))) is None


def test_nodules_that_nobody_looked_into_give_no_index():
    assert index(a_visit(*[[25] * 10] * 3, cut_open=None, red_pink=None, white=None, green_brown=None)) is None


@pytest.mark.parametrize(
    ("stage", "message"), [(7, "index.early"), (14, "index.early"), (79, "index.late"), (55, "index.failing")]
)
def test_no_class_is_told_of_a_dig_at_the_wrong_time(stage, message):
    found = index(POOR, stage=stage, field={}, overrides={"classes.three_factor": {"limit_1": 6}})
    assert found.message.id == message
    assert ("failing" in render(found.message)) == (stage == 55)


def test_the_index_is_judgement_and_its_rows_are_named():
    found = index()
    for part in (found.vigour, found.abundance_and_colour, found.position, found.total):
        assert part.grade is Grade.JUDGEMENT
        assert part.unit == "point"
        assert {"index.crown_weight", "index.presence_share", "index.position_max"} <= set(part.sources)
    assert found.message.sources == ("classes.three_factor",)


def test_own_figures_change_the_scale_and_the_sentence():
    found = index(overrides={"index.position_max": {"value": 2}, "index.crown_weight": {"value": 1}})
    assert render(found.message).startswith("Three-factor index 11.0 of 12:")


@settings(max_examples=60)
@given(visits_with_one_more_red())
def test_one_more_red_nodule_never_lowers_the_index(pair):
    before, after = (index(rows) for rows in pair)
    for part in ("vigour", "abundance_and_colour", "position", "total"):
        assert getattr(after, part).value >= getattr(before, part).value - 1e-9


@settings(max_examples=60)
@given(visits())
def test_every_part_stays_on_its_scale_with_its_interval(rows):
    found = index(rows)
    assume(found is not None)
    for part, most in ((found.vigour, 5), (found.abundance_and_colour, 5), (found.position, 3), (found.total, 13)):
        assert 0 <= part.low <= part.value <= part.high <= most + 1e-9


@settings(max_examples=40)
@given(visits(), st.integers(0, 400))
def test_one_more_nodule_never_lowers_the_index(rows, at):
    at %= len(rows)
    # The same share red inside of one crown nodule more.
    more = rows[at].model_copy(update={"crown_nodules": count(rows[at].crown_nodules.low + 1)})
    before, after = index(rows), index((*rows[:at], more, *rows[at + 1 :]))
    assume(before is not None and after is not None)
    assert after.total.value >= before.total.value - 1e-9
