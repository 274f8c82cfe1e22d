import re

import pytest

from spadework.agronomy.clock.degree_days import METHODS
from spadework.errors import RecordError
from spadework.knowledge.load import load
from spadework.records.new import example_book, new_book
from spadework.records.read import check_book
from spadework.records.types import TABLES


def test_a_new_book_is_in_order_and_holds_the_example(tmp_path):
    new_book(tmp_path / "deep" / "book")

    book, faults = check_book(tmp_path / "deep" / "book")

    assert faults == ()
    assert book == example_book()


def test_a_new_book_has_every_table_with_its_headings(tmp_path):
    new_book(tmp_path)

    assert {path.name for path in tmp_path.iterdir()} == {
        "book.toml",
        "boundaries.geojson",
        "datapackage.json",
        *(table.file for table in TABLES),
    }
    assert (tmp_path / "soil_tests.csv").read_text(encoding="utf-8").startswith("field,date,depth_top")


def test_settings_that_are_commented_out_are_right_as_they_stand(tmp_path):
    new_book(tmp_path)
    path = tmp_path / "book.toml"
    used = re.sub(r"^# (?=\[|\w+ = )", "", path.read_text(encoding="utf-8"), flags=re.MULTILINE)
    # The example itself is written with commas and decimal points.
    used = used.replace('separator = "semicolon"', 'separator = "comma"').replace(
        'decimal = "comma"', 'decimal = "point"'
    )
    path.write_text(used, encoding="utf-8")

    book, faults = check_book(tmp_path)

    assert faults == ()
    assert book is not None
    said = book.settings
    assert (said.date_order, said.separator, said.decimal_mark, said.settle_at) == ("dmy", "comma", "point", 0.9)
    assert said.target_scheme == {"pea": "target.pea.fifty_nodules"}
    assert said.window_scheme == {"pea": "window.pea.stage"}
    assert said.local_target["lentil"].value == 30
    assert said.degree_day_method == "mean_then_floor"
    assert (said.cause_prior, said.check_price) == ({"dead_inoculant": 0.1}, {"soil_nitrate": 45.0})
    assert said.hour_price == 60
    assert said.overrides == {"target.pea.fifty_nodules": {"value": 40.0}}


def test_the_names_in_the_example_settings_are_known(tmp_path):
    """So that taking a # away never leads to an error."""
    new_book(tmp_path)
    known = load()
    text = (tmp_path / "book.toml").read_text(encoding="utf-8")

    named = re.findall(r"\b((?:target|window)\.\w+\.\w+)", text)
    assert named
    assert [name for name in named if name not in known.rows] == []
    for section, table in (("cause_prior", "cause"), ("check_price", "check")):
        name = re.search(rf"^# .{section}.\n# (\w+) = ", text, re.MULTILINE)[1]
        assert f"{table}.{name}" in known.rows
    assert re.search(r'method = "(\w+)"', text)[1] in METHODS


def test_the_example_is_small():
    book = example_book()

    assert (len(book.fields), len(book.digs), len(book.plants)) == (1, 1, 12)
    assert len({plant.stop for plant in book.plants}) == 3


def test_a_folder_with_anything_in_it_is_left_alone(tmp_path):
    (tmp_path / "mine.txt").write_text("mine", encoding="utf-8")

    with pytest.raises(RecordError, match="holds files already"):
        new_book(tmp_path)

    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]


def test_a_file_in_the_place_of_the_folder_is_refused(tmp_path):
    (tmp_path / "book").write_text("", encoding="utf-8")

    with pytest.raises(RecordError, match="cannot be made"):
        new_book(tmp_path / "book")
