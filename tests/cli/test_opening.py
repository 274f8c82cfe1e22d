import datetime as dt

import pytest
import typer

from spadework.cli.opening import Counted, PlantsAlone, choose_fields, open_records
from spadework.errors import BookFaults
from spadework.records.read import read_book


@pytest.fixture
def plants(tmp_path):
    """A plants table alone: two fields, one of them dug twice."""
    path = tmp_path / "scored in june.csv"
    path.write_text(
        "field,date,stop,plant,crown_nodules,lateral_nodules\n"
        "east,2026-06-10,1,1,3,4\n"
        "west,2026-06-24,1,1,9,11-20\n"
        "east,2026-06-24,1,1,8,>50\n"
    )
    return path


def test_a_book_is_read_as_it_stands(book):
    opened = open_records(book, PlantsAlone())

    assert opened.settings == read_book(book).settings
    assert opened.fields == read_book(book).by_field()


@pytest.mark.parametrize(
    ("said", "named"),
    [
        (PlantsAlone(crop="pea"), "--crop goes"),
        (PlantsAlone(counted=Counted.CLUSTER), "--counted goes"),
        (PlantsAlone(stage_bbch=0), "--stage goes"),
        (PlantsAlone(crop="pea", stage_bbch=61), "--crop and --stage go"),
        (PlantsAlone(crop="pea", counted=Counted.NODULE, stage_bbch=61), "--crop, --counted and --stage go"),
    ],
)
def test_what_a_book_says_itself_is_not_taken_from_the_command_line(book, said, named):
    with pytest.raises(typer.BadParameter, match=f"{named} with a plants table alone"):
        open_records(book, said)


def test_a_plants_table_alone_is_sorted_into_fields_and_digs(plants):
    opened = open_records(plants, PlantsAlone(crop="pea", counted=Counted.CLUSTER, stage_bbch=61))

    assert opened.settings.title == "scored in june"
    assert list(opened.fields) == ["east", "west"]
    east = opened.fields["east"]
    assert (east.field.crop, len(east.plants)) == ("pea", 2)
    assert [(dig.date, dig.stage_bbch, dig.counting_unit) for dig in east.digs] == [
        (dt.date(2026, 6, 10), None, "cluster"),
        (dt.date(2026, 6, 24), 61, "cluster"),  # the stage given is that of the last dig
    ]


def test_nothing_is_made_up_for_a_plants_table_alone(plants):
    west = open_records(plants, PlantsAlone(crop="pea")).fields["west"]

    assert west.digs[0].counting_unit is None
    assert west.digs[0].stage_bbch is None
    assert west.field.model_dump(exclude_none=True) == {"field": "west", "crop": "pea"}


@pytest.mark.parametrize("name", ["faba_bean", "faba bean", "Faba-Bean", " FABA BEAN "])
def test_crops_are_known_however_they_are_written(plants, name):
    assert open_records(plants, PlantsAlone(crop=name)).fields["east"].field.crop == "faba_bean"


def test_without_a_crop_it_says_how_to_give_one(plants):
    with pytest.raises(typer.BadParameter, match="add --crop with one of pea, lentil"):
        open_records(plants, PlantsAlone())


def test_an_unknown_crop_is_answered_with_those_known(plants):
    with pytest.raises(typer.BadParameter, match=r"'barley' is not a crop that Spadework knows\. It knows pea"):
        open_records(plants, PlantsAlone(crop="barley"))


def test_faults_of_a_plants_table_alone_are_all_listed(tmp_path):
    path = tmp_path / "plants.csv"
    path.write_text("field,date,stop,plant,crown_nodules\na,2026-06-24,1,1,many\na,soon,1,2,3\n")

    with pytest.raises(BookFaults) as raised:
        open_records(path, PlantsAlone(crop="pea"))

    assert [(fault.line, fault.column) for fault in raised.value.faults] == [(2, "crown_nodules"), (3, "date")]


def test_fields_asked_for_come_in_the_order_of_the_records(plants):
    opened = open_records(plants, PlantsAlone(crop="pea"))

    assert [records.field.field for records in choose_fields(opened, [])] == ["east", "west"]
    assert [records.field.field for records in choose_fields(opened, ["west", "east"])] == ["east", "west"]
    assert [records.field.field for records in choose_fields(opened, ["west"])] == ["west"]


def test_a_field_that_is_not_there_is_answered_with_what_is_near(plants):
    with pytest.raises(typer.BadParameter, match=r"There is no field 'wset'\. Did you mean west"):
        choose_fields(open_records(plants, PlantsAlone(crop="pea")), ["wset"])
