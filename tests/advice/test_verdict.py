"""How well: the share of plants adequate, its class with a probability, the headline, and every reason beside it."""

import numpy as np
import pytest
from tests.factories import DUG, GOOD, NONE, POOR, a_dig, a_plant, a_visit, advice_on, records

from spadework.advice.messages import render
from spadework.knowledge.rows import Crop
from spadework.quantity import Grade
from spadework.records.types import LocalTarget, SizeClass

SEVEN_OF_2_MM = {"target_scheme": {Crop.SOYBEAN: "target.soybean.seven_red_of_2_mm"}}
THREE_IN_FIVE = a_visit([80] * 12 + [5] * 8, [75] * 12 + [4] * 8, [90] * 12 + [7] * 8)


def verdict(plants=GOOD, *, stage=55, field=None, **chosen):
    held = records(plants, digs=(a_dig(stage_bbch=stage),), field=field or {})
    return advice_on(held, **chosen).verdict


def reasons(found):
    return {message.id.removeprefix("verdict.reason."): message for message in found.reasons}


@pytest.mark.parametrize(
    ("plants", "leading"), [(GOOD, "adequate"), (THREE_IN_FIVE, "borderline"), (POOR, "poor"), (NONE, "poor")]
)
def test_classes_sum_to_one_and_the_likeliest_leads(plants, leading):
    found = verdict(plants)
    chances = [chance.probability for chance in found.classes]
    assert [chance.name for chance in found.classes] == ["poor", "borderline", "adequate"]
    assert sum(chances) == pytest.approx(1)
    assert (found.leading, found.probability) == (leading, max(chances))
    # Below half poor, from 70 % adequate: the leaflet behind the row classes.share_adequate.
    assert found.class_limits == (0.5, 0.7)


@pytest.mark.parametrize("plants", [GOOD, THREE_IN_FIVE, POOR, NONE, a_visit([60], [60]), a_visit([0])])
def test_every_interval_holds_its_value(plants):
    found = verdict(plants)
    for part in (found.share, found.mean_effective, *(stop.share for stop in found.stop_summaries)):
        assert part.low <= part.value <= part.high
        assert part.level == pytest.approx(0.9)
    assert 0 <= found.share.low <= found.share.high <= 1


def test_what_was_counted_stands_beside_what_it_means_for_the_field():
    # 36 of 60 plants are well above and the rest far below the 50 nodules of peas.
    found = verdict(THREE_IN_FIVE)
    assert (found.plants, found.stops, found.adequate_as_counted) == (60, 3, pytest.approx(36, abs=0.01))
    assert found.share.value == pytest.approx(0.6, abs=0.02)
    said = render(reasons(found)["counted"])
    assert said == "Of 60 plants, 36 carried at least 50 working nodules, the target in force."


@pytest.mark.parametrize(
    ("plants", "settled", "unsettled"),
    [(GOOD, "adequate.settled", "adequate.unsettled"), (POOR, "poor.settled", "poor.unsettled"),
     (NONE, "none.settled", "none.unsettled")],
)  # fmt: skip
def test_in_the_window_the_headline_tells_the_class_and_whether_it_is_settled(plants, settled, unsettled):
    assert verdict(plants).headline.id == f"verdict.headline.{settled}"
    assert verdict(plants, settle_at=0.9999).headline.id == f"verdict.headline.{unsettled}"


def test_borderline_has_its_headline():
    assert verdict(THREE_IN_FIVE).headline.id == "verdict.headline.borderline.unsettled"
    assert verdict(THREE_IN_FIVE, settle_at=0.4).headline.id == "verdict.headline.borderline.settled"


@pytest.mark.parametrize(("stage", "state"), [(7, "early"), (14, "early"), (79, "late")])
@pytest.mark.parametrize(
    ("plants", "found"), [(GOOD, "adequate"), (THREE_IN_FIVE, "borderline"), (POOR, "poor"), (NONE, "none")]
)
def test_at_the_wrong_time_the_headline_says_so_first(stage, state, plants, found):
    assert verdict(plants, stage=stage).headline.id == f"verdict.headline.{state}.{found}"


def test_at_an_unknown_time_the_class_is_told_and_the_timing_says_its_doubt():
    found = verdict(POOR, stage=None, field={"sown_on": None, "emerged_on": None})
    assert found.headline.id == "verdict.headline.poor.settled"


def test_the_limits_in_the_headline_are_those_in_force():
    assert "fewer than 50 % of the plants" in render(verdict(POOR).headline)
    own = {"overrides": {"classes.share_adequate": {"limit_1": 0.4}}}
    assert "fewer than 40 % of the plants" in render(verdict(POOR, **own).headline)


def test_a_patch_is_told_and_never_averaged_away():
    good = [70, 82, 95, 110, 64, 88, 101, 75]
    plants = a_visit(good, good[::-1], [3, 0, 5, 9, 2, 4, 7, 1], good)
    found = verdict(plants)
    assert found.headline.id == "verdict.headline.patchy.any"
    assert (found.patch.poor_stops, found.patch.good_stops) == (("3",), ("1", "2", "4"))
    assert found.patch.poor_share.high < found.patch.good_share.low
    for part in (found.patch.poor_share, found.patch.good_share):
        assert part.low <= part.value <= part.high
    assert [stop.in_patch for stop in found.stop_summaries] == ["good", "good", "poor", "good"]
    said = render(found.headline)
    assert said == "A patchy crop: stop 3 poor, stops 1, 2, 4 better. The average describes neither."
    assert "planning.patch_p" in found.patch.message.sources


def test_even_stops_are_no_patch():
    found = verdict(GOOD)
    assert found.patch is None
    assert {stop.in_patch for stop in found.stop_summaries} == {None}


def test_stop_summaries_are_the_plants_dug_there():
    found = verdict(a_visit([80] * 4, [80] * 2 + [6] * 2, [4] * 4))
    assert [(stop.stop, stop.plants) for stop in found.stop_summaries] == [("1", 4), ("2", 4), ("3", 4)]
    assert [stop.adequate for stop in found.stop_summaries] == pytest.approx([4, 2, 0], abs=0.01)
    assert [stop.share.value for stop in found.stop_summaries] == pytest.approx([1, 0.5, 0], abs=0.01)
    mixed = found.stop_summaries[1].share
    assert (mixed.low < 0.3, mixed.high > 0.7) == (True, True)
    # All cut nodules were red, so that the mean of effective nodules is the mean count.
    assert [stop.mean_effective for stop in found.stop_summaries] == pytest.approx([80, 43, 4])


def test_a_stop_of_which_nothing_is_known_is_named_and_left_empty():
    unknown = a_plant(stop="2", lateral=None)
    found = verdict((*a_visit([80] * 6), unknown))
    stop = found.stop_summaries[1]
    assert (stop.stop, stop.plants, stop.adequate, stop.share, stop.mean_effective) == ("2", 1, None, None, None)
    assert (found.plants, found.stops) == (6, 1)


def test_mean_effective_is_count_times_red_share():
    plants = a_visit([100] * 10, [50] * 10, cut_open=4, red_pink=3, white=1)
    found = verdict(plants).mean_effective
    assert found.value == pytest.approx(0.75 * 75)
    assert 0 < found.low < found.value < found.high
    assert found.unit == "nodule/plant"


def test_plants_with_a_blank_are_left_out_and_said():
    found = verdict((*GOOD, a_plant(stop="1", plant="11", crown=None), a_plant(stop="1", plant="12", lateral=None)))
    assert found.plants == 30
    assert render(reasons(found)["unknown"]) == (
        "2 plants are left out because crown or laterals were not counted: a blank is not a zero."
    )
    assert "unknown" not in reasons(verdict(GOOD))


def test_a_blank_is_not_a_zero():
    blank, zero = (a_plant(stop="1", plant="11", crown=count, lateral=count, cut_open=None, red_pink=None,
                           white=None, green_brown=None) for count in (None, 0))  # fmt: skip
    assert verdict((*GOOD, blank)).share == verdict(GOOD).share
    assert verdict((*GOOD, zero)).share.value < verdict(GOOD).share.value


def test_no_verdict_where_no_plant_could_be_read():
    plants = tuple(a_plant(stop=str(stop), lateral=None) for stop in (1, 2, 3))
    assert verdict(plants) is None


def test_one_plant_left_out_is_one_plant():
    found = verdict((*GOOD, a_plant(stop="1", plant="11", crown=None)))
    assert render(reasons(found)["unknown"]).startswith("1 plant is left out")


def test_a_target_by_size_leaves_out_plants_without_a_size_and_says_so():
    soybean = {"crop": Crop.SOYBEAN}
    plants = (*a_visit([20] * 10, [20] * 10), a_plant(stop="1", plant="11", size_class=None))
    found = verdict(plants, field=soybean, **SEVEN_OF_2_MM)
    assert found.plants == 20
    assert render(reasons(found)["size_unknown"]).startswith("1 plant is left out because no size")
    assert "unknown" not in reasons(found)


def test_a_target_by_size_counts_bare_plants_as_bare():
    soybean = {"crop": Crop.SOYBEAN}
    found = verdict(NONE, field=soybean, **SEVEN_OF_2_MM)
    assert (found.plants, found.none_found, found.leading) == (30, True, "poor")
    mixed = verdict(a_visit([20] * 5 + [0] * 5), field=soybean, **SEVEN_OF_2_MM)
    assert mixed.adequate_as_counted == pytest.approx(5, abs=0.01)


def test_a_target_by_size_does_not_count_small_nodules():
    small = a_visit([20] * 10, [20] * 10, size_class=SizeClass.UNDER_2_MM)
    soybean = {"crop": Crop.SOYBEAN}
    assert verdict(small, field=soybean, **SEVEN_OF_2_MM).adequate_as_counted == 0
    assert verdict(small, field=soybean).adequate_as_counted == pytest.approx(20, abs=0.01)


def test_none_at_all_is_said_with_what_may_still_be_there():
    found = verdict(NONE)
    assert (found.none_found, found.by_number_only) == (True, False)
    assert render(found.headline) == "No nodules at all on 30 plants."
    # 1 - 0.05^(1/30) = 0.095: the rule of three, 3 / 30, exact (hanley1983).
    assert reasons(found)["none_upper"].values["high"] == pytest.approx(1 - 0.05 ** (1 / 30))
    assert "30 places" in render(reasons(found)["none_upper"])
    assert "at most 10 %" in render(reasons(found)["none_upper"])
    assert found.share.low == 0
    assert not verdict(POOR).none_found


def test_by_number_only_where_nothing_was_cut():
    plants = a_visit([80] * 10, [80] * 10, cut_open=None, red_pink=None, white=None, green_brown=None)
    found = verdict(plants)
    assert found.by_number_only
    assert "number_only" in reasons(found)
    assert not verdict(GOOD).by_number_only
    assert "number_only" not in reasons(verdict(GOOD))


def test_one_plant_cut_is_enough_not_to_go_by_number_alone():
    plants = a_visit([80] * 10, [80] * 10, cut_open=None, red_pink=None, white=None, green_brown=None)
    found = verdict((*plants[:-1], a_plant(stop="2", plant="10")))
    assert not found.by_number_only


def test_all_from_one_stop_is_said():
    assert "one_stop" in reasons(verdict(a_visit([80] * 30)))
    assert "one_stop" not in reasons(verdict(GOOD))


def test_one_stop_leaves_more_open_than_three():
    one, three = verdict(a_visit([80] * 21 + [5] * 9)).share, verdict(a_visit(*[[80] * 7 + [5] * 3] * 3)).share
    assert one.high - one.low > three.high - three.low


def test_fewer_nodules_are_normal_on_sand():
    sandy = reasons(verdict(field={"soil_texture": "sand"}))
    assert sandy["sandy"].sources == ("statement.score.sandy_fewer",)
    for texture in ("loam", "clay", None):
        assert "sandy" not in reasons(verdict(field={"soil_texture": texture}))


def test_a_target_of_judgement_is_said_to_be_one():
    clusters = verdict(a_visit([9] * 10, [9] * 10))
    assert clusters.target.grade is Grade.READ
    assert not {"target_judgement", "target_own"} & set(reasons(clusters))
    held = records(a_visit([9] * 10, [9] * 10), digs=(a_dig(counting_unit="cluster"),))
    found = advice_on(held).verdict
    assert found.target.grade is Grade.JUDGEMENT
    assert reasons(found)["target_judgement"].sources == ("target.any.five_clusters",)
    assert found.share.grade is Grade.JUDGEMENT


@pytest.mark.parametrize(
    "chosen",
    [{"local_target": {Crop.PEA: LocalTarget(value=30)}}, {"overrides": {"target.pea.fifty_nodules": {"value": 30}}}],
)
def test_a_target_of_the_book_s_own_is_said_to_be_one(chosen):
    found = verdict(a_visit([40] * 10, [40] * 10), **chosen)
    assert found.target.value == 30
    assert found.leading == "adequate"
    assert "target_own" in reasons(found)
    # It is the book's already: it is no use to say that the book can override it.
    assert "target_judgement" not in reasons(found)


def test_clusters_must_be_more_than_five():
    # Common practice, no source: more than five clusters a plant.
    def adequate(number):
        held = records(a_visit([number] * 10), digs=(a_dig(counting_unit="cluster"),))
        return advice_on(held).verdict.adequate_as_counted

    assert adequate(5) == 0
    # Five of the six were cut and red; the one that was not cut is red with nearly the chance of all others.
    assert adequate(6) == pytest.approx(10, abs=1)
    assert adequate(7) > adequate(6)


def test_a_count_class_enters_as_what_it_leaves_open():
    def one_of_many(crown, lateral):
        plants = (*a_visit([80] * 9, [80] * 9), a_plant(crown, lateral, stop="2", plant="10"))
        return verdict(plants)

    above, around, below = one_of_many((51, None), 10), one_of_many((21, 60), 0), one_of_many((6, 10), (0, 5))
    assert above.adequate_as_counted == pytest.approx(19, abs=0.02)
    assert 18.05 < around.adequate_as_counted < 18.95
    assert below.adequate_as_counted == pytest.approx(18, abs=0.01)
    assert reasons(around)["doubtful"].values["plants"] == 1
    assert "doubtful" not in reasons(above)


def test_open_and_closed_classes_of_every_plant_give_a_verdict():
    rows = tuple(
        a_plant((11, 20), (51, None), stop=str(stop), plant=str(plant)) for stop in (1, 2) for plant in range(5)
    )
    found = verdict(rows)
    assert (found.plants, found.leading) == (10, "adequate")


def test_a_few_red_nodules_leave_a_plant_near_the_target_in_doubt():
    found = verdict(a_visit([60] * 10, [60] * 10, cut_open=5, red_pink=4, white=1))
    assert 0.05 < found.adequate_as_counted / 20 < 0.95
    assert reasons(found)["doubtful"].values["plants"] == 20


def test_the_share_rests_on_named_rows():
    assert verdict().share.sources == (
        "target.pea.fifty_nodules", "classes.share_adequate", "planning.stop_correlation", "planning.interval_level",
        "red.plant_correlation",
    )  # fmt: skip
    uncut = a_visit([80] * 5, cut_open=None, red_pink=None, white=None, green_brown=None)
    assert "red.plant_correlation" not in verdict(uncut).share.sources


def test_more_plants_narrow_the_interval_on_average():
    # Twenty fields of which about six plants in ten are adequate; five, then twenty plants a stop.
    rng = np.random.default_rng(1)

    def width(each):
        found = verdict(a_visit(*(np.where(rng.random(each) < 0.6, 80, 5).tolist() for _ in range(3)))).share
        return found.high - found.low

    assert np.mean([width(20) for _ in range(20)]) < np.mean([width(5) for _ in range(20)]) - 0.05


def test_the_dig_of_the_verdict_is_the_dig_of_its_plants():
    assert verdict().plants == len([row for row in GOOD if row.date == DUG])
