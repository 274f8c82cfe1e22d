import datetime as dt
import io

import pypdf
import pytest
import typst
from hypothesis import example, given, settings
from hypothesis import strategies as st

from spadework.report import UnitSystem
from spadework.report.field import field_page
from spadework.report.season import season_page
from spadework.report.typeset import tidy, typeset

DAY = dt.date(2026, 6, 26)


@pytest.fixture
def data(situation):
    return field_page(situation("good"), units=UnitSystem.METRIC)


def test_unknown_paper_is_refused(data):
    with pytest.raises(ValueError, match="paper must be one of a4, letter, but is 'a5'"):
        typeset("field.typ", data, paper="a5", date=DAY)


def test_fault_in_a_template_is_not_hidden(data):
    del data["labels"]
    with pytest.raises(typst.TypstError, match="labels"):
        typeset("field.typ", data, paper="a4", date=DAY)


# ISO 216: A4 is 210 mm x 297 mm. ANSI/ASME Y14.1: letter is 8.5 in x 11 in. One point is 1/72 in.
@pytest.mark.parametrize(
    ("paper", "size"), [("a4", (210 / 25.4 * 72, 297 / 25.4 * 72)), ("letter", (8.5 * 72, 11 * 72))]
)
def test_paper_sizes(data, paper, size):
    page = pypdf.PdfReader(io.BytesIO(typeset("field.typ", data, paper=paper, date=DAY))).pages[0]
    assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(size, abs=0.01)


def test_document_carries_the_day_of_the_advice_and_no_other(data):
    reader = pypdf.PdfReader(io.BytesIO(typeset("field.typ", data, paper="a4", date=DAY)))
    assert reader.metadata.creation_date.date() == DAY
    assert reader.metadata.modification_date.date() == DAY


@pytest.mark.parametrize(
    ("text", "set_as"),
    [
        ("64 % of 12 °C", "64\u00a0% of 12\u00a0°C"),
        ("two\nlines\tand\x00nothing", "two lines and nothing"),
        ("turned \u202eround", "turned  round"),
        ("half a pair \ud800", "half a pair ?"),
        ("x" * 40, "x" * 28 + "\u200b" + "x" * 12),
    ],
)
def test_tidy(text, set_as):
    assert tidy(text) == set_as
    assert tidy({"a": [text, (text,)]}) == {"a": [set_as, [set_as]]}


def test_tidy_leaves_all_but_texts_alone():
    assert tidy({"a": [1, 0.5, None, True]}) == {"a": [1, 0.5, None, True]}


@example("x" * 33)
@given(st.text())
def test_tidy_twice_is_tidy_once(text):
    assert tidy(tidy(text)) == tidy(text)


@settings(max_examples=25, deadline=None)
@given(text=st.text(max_size=200))
def test_any_text_can_be_set(text):
    data = season_page((), title=text, season=text, units=UnitSystem.METRIC)
    assert len(pypdf.PdfReader(io.BytesIO(typeset("season.typ", data, paper="a4", date=None))).pages) == 1


def test_plain_letters_make_an_accessible_pdf(data):
    # ISO 14289-1 (PDF/UA-1) wants pdfuaid:part 1 in the document's metadata.
    assert b"<pdfuaid:part>1</pdfuaid:part>" in metadata(data)


def test_letters_that_no_face_draws_make_a_plain_one(data):
    assert b"pdfuaid" not in metadata(data | {"name": "\U0010fffd"})


def metadata(data):
    reader = pypdf.PdfReader(io.BytesIO(typeset("field.typ", data, paper="a4", date=DAY)))
    return reader.trailer["/Root"]["/Metadata"].get_data()
