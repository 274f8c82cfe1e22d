"""What colours, places and double scoring say beside the verdict, and when they say nothing."""

import pytest
from tests.factories import GOOD, NONE, a_dig, a_plant, a_visit, advice_on, inoculated, records

from spadework.advice.messages import render
from spadework.records.types import InoculationRow


def readings(plants=GOOD, *, stage=55, inoculation=(), field=None):
    held = records(plants, digs=(a_dig(stage_bbch=stage),), inoculation=inoculation, field=field or {})
    return advice_on(held).readings


def cut(red, white, green_brown, **changes):
    """Three stops of eight plants, ten nodules cut on each."""
    return a_visit(*[[80] * 8] * 3, cut_open=10, red_pink=red, white=white, green_brown=green_brown, **changes)


def colour(plants, **visit):
    return readings(plants, **visit).colour


@pytest.mark.parametrize(
    ("colours", "stage", "reading"),
    [
        ((9, 1, 0), 55, "mostly_red"),
        ((9, 1, 0), 14, "mostly_red"),
        ((6, 2, 2), 55, "mixed"),
        ((5, 5, 0), 55, "white"),
        ((5, 5, 0), 79, "white"),
        # White insides may be young ones.
        ((5, 5, 0), 14, "white_early"),
        ((5, 5, 0), 7, "white_early"),
        ((5, 0, 5), 55, "green_brown"),
        ((5, 0, 5), 14, "green_brown"),
        # Nodules age once pods fill.
        ((5, 0, 5), 79, "green_brown_late"),
        # What is more of the two is named.
        ((2, 3, 5), 55, "green_brown"),
        ((2, 5, 3), 55, "white"),
    ],
)
def test_colours_are_read_with_the_stage(colours, stage, reading):
    assert colour(cut(*colours), stage=stage).message.id == f"colour.{reading}"


def test_white_nodules_of_a_crop_of_unknown_age_are_not_called_failed():
    found = colour(cut(5, 5, 0), stage=None, field={"sown_on": None, "emerged_on": None}).message
    assert found.id == "colour.white_undated"
    assert {"statement.colour.white_young", "statement.colour.white_old"} <= set(found.sources)


def test_shares_are_of_the_nodules_cut():
    found = colour(cut(6, 3, 1))
    assert found.cut_open == 240
    for share, value in ((found.red_pink, 0.6), (found.white, 0.3), (found.green_brown, 0.1)):
        assert share.value == pytest.approx(value, abs=0.03)
        assert share.low < share.value < share.high


def test_the_sentence_tells_what_was_counted_and_no_estimate():
    # Eight nodules cut and all of them white: an estimate for the field would be less than all.
    found = colour(a_visit([2] * 4, cut_open=2, red_pink=0, white=2), stage=14)
    assert found.white.value < 1
    assert render(found.message).startswith("Of 8 nodules cut, 8 were white or grey inside.")
    assert render(colour(cut(9, 1, 0)).message) == "Of 240 nodules cut, 216 were red or pink inside: they work."


def test_a_colour_that_nobody_wrote_down_is_not_zero():
    found = colour(cut(6, None, None))
    assert found.red_pink is not None
    assert (found.white, found.green_brown) == (None, None)
    assert found.message.id == "colour.mixed"


def test_red_follows_from_the_other_colours():
    assert colour(cut(None, 2, 1)).red_pink.value == pytest.approx(0.7, abs=0.03)


def test_nothing_cut_asks_for_cutting():
    found = colour(a_visit([80] * 9, cut_open=None, red_pink=None,
                   white=None, green_brown=None))  # fmt: skip
    assert (found.cut_open, found.red_pink, found.message.id) == (0, None, "colour.not_cut")


def test_bare_roots_cannot_be_cut():
    found = colour(NONE)
    assert found.message.id == "colour.none"
    assert render(found.message) == "There was no nodule to cut open."


def test_the_limits_of_a_reading_are_named_and_may_be_the_user_s_own():
    held = records(cut(6, 2, 2))
    assert advice_on(held).readings.colour.message.id == "colour.mixed"
    own = advice_on(held, overrides={"colour.mostly_red": {"value": 0.5}}).readings.colour.message
    assert own.id == "colour.mostly_red"
    assert {"colour.mostly_red", "colour.notable"} <= set(own.sources)


PEAT = inoculated()
FURROW = inoculated("liquid", "furrow")
GRANULES = inoculated("granule", None)
NO_INOCULANT = (InoculationRow(field="west", form="none"),)


@pytest.mark.parametrize(
    ("crown_share", "inoculation", "reading"),
    [
        (0.5, (), "both"),
        (0.5, PEAT, "both"),
        (0.95, PEAT, "crown"),
        (0.95, NO_INOCULANT, "crown"),
        (0.05, (), "lateral"),
        (0.05, NO_INOCULANT, "lateral"),
        (0.05, PEAT, "lateral_inoculated"),
        (0.05, FURROW, "lateral_granule"),
        (0.05, GRANULES, "lateral_granule"),
        # Some of each: what lies in the furrow can explain nodules farther out.
        (0.05, PEAT + GRANULES, "lateral_granule"),
    ],
)
def test_the_place_of_nodules_is_read_with_the_inoculant(crown_share, inoculation, reading):
    plants = a_visit(*[[80] * 8] * 3, crown_share=crown_share)
    found = readings(plants, inoculation=inoculation).position
    assert found.message.id == f"position.{reading}"
    assert found.crown_share.value == pytest.approx(crown_share, abs=0.01)
    assert 0 <= found.crown_share.low < found.crown_share.value < found.crown_share.high <= 1


def test_a_bare_crown_alone_never_proves_that_the_inoculant_failed():
    plants = a_visit(*[[80] * 8] * 3, crown_share=0.05)
    said = readings(plants, inoculation=PEAT).position.message
    assert "statement.position.salinity_confounder" in said.sources
    assert "salt also moves nodules off the crown" in render(said).lower()


def test_nodules_on_the_crown_do_not_say_that_an_inoculant_took_where_none_was_used():
    plants = a_visit(*[[80] * 8] * 3, crown_share=0.95)
    assert "the inoculant" not in render(readings(plants, inoculation=NO_INOCULANT).position.message)


def test_plants_with_crown_nodules_are_counted_over_all_plants():
    plants = (*a_visit([40] * 6), *(a_plant(crown=0, lateral=0, stop="2", plant=str(n), cut_open=0, red_pink=0)
                                    for n in range(3)))  # fmt: skip
    found = readings(plants).position
    assert found.plants_with_crown.value == pytest.approx(6 / 9)
    # Bare plants have no place to read: the share on the crown is that of the six others.
    assert found.crown_share.value == pytest.approx(0.6)


def test_place_is_not_read_where_there_are_no_nodules():
    found = readings(NONE).position
    assert (found.crown_share, found.plants_with_crown, found.message.id) == (None, None, "position.none")


def twice(plants, number, **second):
    """The plants, of which the first ``number`` are scored again by B."""
    return (*plants, *(row.model_copy(update={"scorer": "B", **second}) for row in plants[:number]))


MANY = a_visit([5, 12, 25, 60, 90, 8, 15, 30, 55, 110], [80] * 5)


def test_no_agreement_is_told_where_nobody_scored_twice():
    assert readings(MANY).agreement is None


def test_scorers_who_write_the_same_agree():
    found = readings(twice(MANY, 10)).agreement
    assert (found.plants, found.scorers, found.warning) == (10, ("A", "B"), False)
    assert found.weighted_kappa == pytest.approx(1)
    assert found.observed_agreement == pytest.approx(1)
    assert found.intraclass_correlation == pytest.approx(1)
    assert found.message.id == "agreement.good"


def test_a_scorer_who_finds_hardly_any_nodule_disagrees():
    blind = {"crown_nodules": a_plant(2).crown_nodules, "lateral_nodules": a_plant(0, 1).lateral_nodules,
             "cut_open": 3, "red_pink": 3}  # fmt: skip
    found = readings(twice(MANY, 10, **blind)).agreement
    assert found.warning
    assert found.weighted_kappa < 0.6
    assert found.message.id == "agreement.poor"
    assert "settle how to count" in render(found.message)


def test_fewer_than_five_plants_say_nothing_of_agreement():
    found = readings(twice(MANY, 4)).agreement
    assert (found.plants, found.weighted_kappa, found.warning) == (4, None, False)
    assert found.message.id == "agreement.unknown"
    assert readings(twice(MANY, 5)).agreement.weighted_kappa is not None


def test_equal_plants_say_nothing_of_agreement():
    assert readings(twice(a_visit([80] * 10), 10)).agreement.message.id == "agreement.unknown"


def test_plants_that_one_of_two_did_not_count_say_nothing_of_agreement():
    found = readings(twice(MANY, 10, lateral_nodules=None)).agreement
    assert (found.plants, found.weighted_kappa, found.message.id) == (0, None, "agreement.unknown")


def test_two_scorers_do_not_make_two_plants():
    once, again = (
        advice_on(records(plants, digs=(a_dig(stage_bbch=55),))).verdict for plants in (MANY, twice(MANY, 10))
    )
    assert once.plants == again.plants == 15
    assert again.share.value == pytest.approx(once.share.value, abs=0.005)
