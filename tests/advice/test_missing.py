"""What is not recorded, and what it would add; nothing nags where all is there."""

import pytest
from tests.factories import (
    GOOD,
    NONE,
    a_dig,
    a_plant,
    a_season,
    a_visit,
    advice_on,
    everything,
    inoculated,
    normals,
    records,
)

from spadework.advice.messages import render
from spadework.advice.nitrogen.missing import missing_for_nitrogen
from spadework.advice.rescue.missing import missing_for_decision
from spadework.knowledge.rows import Crop

SEVEN_OF_2_MM = {"target_scheme": {Crop.SOYBEAN: "target.soybean.seven_red_of_2_mm"}}


def missing(held, **chosen):
    """What is missing and what it would add, apart from what only balance and decision on nitrogen ask for."""
    advice = advice_on(held, **chosen)
    asked = {**missing_for_nitrogen(held, advice.nitrogen), **missing_for_decision(advice.decision)}
    return {part.record: render(part.adds) for part in advice.missing if part.record not in asked}


def nearly_everything(plants=None, **parts):
    """All records of ``everything`` but those given."""
    full = everything() if plants is None else everything(plants)
    own = {"digs": full.digs, "weather": full.weather, "normals": full.normals, "inoculation": full.inoculation}
    field = parts.pop("field", {})
    return records(full.plants, field=field, **{**own, **parts})


def test_nothing_is_missing_where_all_is_there():
    assert missing(everything()) == {}


@pytest.mark.parametrize(
    ("without", "record", "adds"),
    [
        ({"field": {"emerged_on": None}}, "emerged_on", "a sharper dig window"),
        ({"field": {"latitude": None}}, "latitude", "day length"),
        ({"weather": ()}, "weather", "degree-days"),
        ({"normals": ()}, "normals", "beyond today"),
        ({"inoculation": ()}, "inoculation", "the inoculant"),
        ({"digs": (a_dig(stage_bbch=None),)}, "stage_bbch", "the surest word on timing"),
    ],
)
def test_each_gap_says_what_it_would_add(without, record, adds):
    found = missing(nearly_everything(**without))
    assert set(found) == {record}
    assert adds in found[record]


def test_neither_sowing_nor_emergence():
    found = missing(nearly_everything(field={"sown_on": None, "emerged_on": None}))
    assert set(found) == {"sown_on", "emerged_on"}


def test_an_emergence_stands_in_for_the_sowing():
    assert missing(nearly_everything(field={"sown_on": None})) == {}


def test_a_field_not_dug_asks_for_plants_and_not_for_what_belongs_to_a_dig():
    found = missing(records(weather=a_season(), normals=normals(), inoculation=inoculated()))
    assert set(found) == {"plants"}


def test_a_field_of_which_nothing_is_known_is_asked_for_all_of_it():
    found = missing(records(field={"sown_on": None, "emerged_on": None, "latitude": None}))
    assert list(found) == ["plants", "sown_on", "emerged_on", "weather", "latitude", "inoculation"]


@pytest.mark.parametrize("column", ["vigour", "cut_open"])
def test_a_column_that_no_plant_has(column):
    colours = {"cut_open": None, "red_pink": None, "white": None, "green_brown": None}
    blank = colours if column == "cut_open" else {column: None}
    plants = a_visit(*[[80] * 10] * 3, **blank)
    assert set(missing(nearly_everything(plants))) == {column}


def test_a_column_that_one_plant_has_is_not_asked_for():
    plants = (*a_visit([80] * 10, [80] * 10, vigour=None), a_plant(stop="3"))
    assert missing(nearly_everything(plants)) == {}


def test_bare_roots_are_not_asked_to_be_cut():
    bare = a_visit([0] * 10, [0] * 10, [0] * 10, cut_open=None, red_pink=None, white=None, green_brown=None)
    assert "cut_open" not in missing(nearly_everything(bare))
    assert "cut_open" not in missing(nearly_everything(NONE))


def test_nothing_cut_is_missing_also_where_the_scorer_wrote_a_zero():
    plants = a_visit([80] * 10, cut_open=0, red_pink=None, white=None, green_brown=None)
    assert "cut_open" in missing(nearly_everything(plants))


def test_one_nodule_cut_is_not_nothing_cut():
    plants = (*a_visit([80] * 9, cut_open=None, red_pink=None, white=None, green_brown=None),
              a_plant(stop="2", cut_open=1, red_pink=0, white=1))  # fmt: skip
    assert "cut_open" not in missing(nearly_everything(plants))


def test_colours_without_a_number_cut_are_not_missing():
    plants = a_visit([80] * 10, cut_open=None, red_pink=0, white=3, green_brown=2)
    assert "cut_open" not in missing(nearly_everything(plants))


def test_no_target_for_the_crop():
    found = missing(nearly_everything(field={"crop": Crop.COMMON_BEAN}))
    assert set(found) == {"target", "index_full"}
    assert "a local target for common bean in nodules" in found["target"]
    assert "local_target" in found["target"]


def test_zones_that_nobody_counted_stand_between_plants_and_a_verdict():
    plants = tuple(a_plant(stop=str(stop), plant=str(plant), lateral=None) for stop in (1, 2) for plant in range(6))
    found = missing(nearly_everything(plants))
    assert set(found) == {"zones"}
    assert "write 0 where there are none" in found["zones"]


def test_one_zone_left_blank_is_no_matter_where_others_give_a_verdict():
    assert "zones" not in missing(nearly_everything((*GOOD, a_plant(stop="4", lateral=None))))


def test_a_size_that_nobody_noted_is_asked_for_and_not_the_zones():
    plants = a_visit([20] * 10, [20] * 10, size_class=None)
    found = missing(nearly_everything(plants, field={"crop": Crop.SOYBEAN}), **SEVEN_OF_2_MM)
    assert set(found) == {"size_class"}
    # Without a target by size there is no need of it.
    assert missing(nearly_everything(plants, field={"crop": Crop.SOYBEAN})) == {}


def test_a_second_scorer_is_asked_for_where_there_are_plants_enough():
    many = records(GOOD, weather=a_season(), normals=normals(), inoculation=inoculated())
    assert set(missing(many)) == {"second_scorer"}
    ten = records(a_visit([80] * 10), weather=a_season(), normals=normals(), inoculation=inoculated())
    assert set(missing(ten)) == {"second_scorer"}
    few = records(a_visit([80] * 9), weather=a_season(), normals=normals(), inoculation=inoculated())
    assert missing(few) == {}


def test_a_missing_answer_is_never_read_as_no():
    # No inoculation row: position is read without a word on an inoculant, and the record is asked for.
    held = records(a_visit(*[[80] * 10] * 3, crown_share=0.05))
    assert advice_on(held).readings.position.message.id == "position.lateral"
    assert "inoculation" in missing(held)
