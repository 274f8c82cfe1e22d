import datetime as dt

import pytest
import typer

from spadework.cli.choices import PaperSize, UnitSystem, crop_named, day
from spadework.knowledge.rows import Crop
from spadework.report import display


def test_units_are_those_of_the_report():
    assert [unit.value for unit in UnitSystem] == [unit.value for unit in display.UnitSystem]


def test_paper_sizes():
    assert [paper.value for paper in PaperSize] == ["a4", "letter"]


def test_day():
    assert day("2026-06-24") == dt.date(2026, 6, 24)


@pytest.mark.parametrize("text", ["24/06/2026", "06/24/26", "2026-06-31", "June", ""])
def test_a_day_that_could_be_misread_is_refused(text):
    with pytest.raises(typer.BadParameter, match="Write year-month-day"):
        day(text)


@pytest.mark.parametrize("text", ["faba_bean", "Faba bean", " faba-bean "])
def test_a_crop_is_read_as_people_write_it(text):
    assert crop_named(text) is Crop.FABA_BEAN


def test_a_crop_that_is_not_known_is_answered_with_those_that_are():
    with pytest.raises(typer.BadParameter, match=r"'maize' is not a crop that Spadework knows\. It knows pea, lentil"):
        crop_named("maize")
