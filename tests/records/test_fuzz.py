"""Whatever bytes stand in a file: faults with a place and a way to mend them, never a traceback."""

import random
import string

import pytest
from hypothesis import HealthCheck, example, given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from tests.records.strategies import books
from tests.records.tiny import BOOK, FILES, tiny_book

from spadework.errors import BookFaults
from spadework.records.columns import columns_of
from spadework.records.read import check_book, check_plants_alone, read_book
from spadework.records.types import TABLES
from spadework.records.write import write_book

MANY = hypothesis_settings(max_examples=50, suppress_health_check=list(HealthCheck))

CELLS = (
    st.sampled_from(
        ["", "0", "1", "-1", "12", "1e999", "1e-999", "9" * 400, "nan", "-99", "1,5", "1.5", "1,234", "1 234"]
    )
    | st.sampled_from(
        ["½", "٣", "+", "11-20", "20-11", ">50", "<0", "5+", "20-Nov", "46160", "99999", "#N/A", "=1", "''="]
    )
    | st.sampled_from(
        ["2026-06-24", "24/06/2026", "1/2/3", "0000-00-00", "pea", "Faba bean", "yes", "nodule", "west", "hill"]
    )
    | st.sampled_from(["\ufeff", "\u2028", "\x85", "\ud7ff", "\x0b"])
    | st.text(max_size=8)
)
MARKS = st.sampled_from([",", ";", "\t", '"', "\n", "\r", "\r\n", "\0", "''", "sep=;\n", " ", "\ufeff"])


def looked_through(folder):
    """Check a folder, and hold every fault to its promises."""
    book, faults = check_book(folder)
    for fault in faults:
        assert fault.what
        assert fault.mend
        assert "\n" not in str(fault)
        assert fault.line is None or fault.line >= 1
        assert fault.severity in ("error", "warning")
    assert (book is None) == any(fault.severity == "error" for fault in faults)
    return book, faults


@st.composite
def tables(draw, table):
    """A text that has something of this table: its headings, or most of them, above cells of all kinds."""
    names = [plan.name for plan in columns_of(table)]
    headings = draw(st.just(names) | st.lists(st.sampled_from(names) | st.text(max_size=5), max_size=20))
    width = len(headings)
    rows = draw(st.lists(st.lists(CELLS, min_size=max(width - 1, 0), max_size=width + 1), max_size=5))
    separator = draw(st.sampled_from(",;\t"))
    end = draw(st.sampled_from(["\n", "\r\n", "\r"]))
    return end.join(separator.join(cells) for cells in [headings, *rows])


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.file)
@MANY
@given(data=st.data())
def test_a_table_of_anything_gives_faults_or_a_book(table, data, tmp_path_factory):
    text = data.draw(tables(table))
    folder = tiny_book(tmp_path_factory.mktemp("book"))
    (folder / table.file).write_bytes(text.encode("utf-8", errors="surrogatepass"))

    looked_through(folder)


@pytest.mark.parametrize("file", ["book.toml", *(table.file for table in TABLES)])
@MANY
@given(content=st.binary(max_size=200) | st.lists(CELLS | MARKS, max_size=40).map("".join).map(str.encode))
@example(content=b"\xef\xbb\xbf\xff")
@example(content=b'"' * 200_001)
@example(content=b"\xff\xfe")
def test_a_file_of_anything_gives_faults_or_a_book(file, content, tmp_path_factory):
    folder = tiny_book(tmp_path_factory.mktemp("book"))
    (folder / file).write_bytes(content)

    looked_through(folder)


@MANY
@given(
    lines=st.lists(
        st.sampled_from(["[a]", "[[book]]", "[units]", "rain", "=", '"in"', "1", "[overrides.x.y]"]), max_size=9
    )
)
def test_settings_of_anything_give_faults_or_a_book(lines, tmp_path_factory):
    folder = tiny_book(tmp_path_factory.mktemp("book"), book=BOOK + " ".join(lines) + "\n" + "\n".join(lines))

    looked_through(folder)


@hypothesis_settings(max_examples=25, suppress_health_check=list(HealthCheck))
@given(book=books(), seed=st.integers(0, 2**32 - 1))
def test_a_good_book_with_damage_gives_faults_or_a_book(book, seed, tmp_path_factory):
    folder = tmp_path_factory.mktemp("book")
    write_book(book, folder)
    (folder / "datapackage.json").unlink()
    dice = random.Random(seed)  # noqa: S311 - not for secrets
    for _ in range(5):
        path = dice.choice(sorted(folder.iterdir()))
        content = bytearray(path.read_bytes())
        place = dice.randrange(len(content) + 1)
        match dice.randrange(4):
            case 0:
                content[place : place + dice.randrange(1, 9)] = b""
            case 1:
                content[place:place] = dice.choice([b'"', b",", b";", b"\r", b"\n", b"\t", b"=", b"-", b"\xff", b"\0"])
            case 2:
                content[place : place + 1] = bytes([dice.randrange(256)])
            case _:
                content[place:place] = dice.choice(string.printable).encode() * 3
        path.write_bytes(bytes(content))

        looked_through(folder)


@MANY
@given(text=tables(TABLES[2]))
def test_a_plants_table_alone_gives_faults_or_rows(text, tmp_path_factory):
    path = tmp_path_factory.mktemp("alone") / "dug.csv"
    path.write_bytes(text.encode("utf-8", errors="surrogatepass"))

    rows, faults = check_plants_alone(path)

    assert (rows is None) == any(fault.severity == "error" for fault in faults)
    assert all(fault.file == "dug.csv" for fault in faults)


@pytest.mark.parametrize("file", FILES)
def test_a_file_cut_short_anywhere_gives_faults_or_a_book(file, tmp_path):
    folder = tiny_book(tmp_path)
    whole = (folder / file).read_bytes()
    for length in range(len(whole)):
        (folder / file).write_bytes(whole[:length])
        book, _ = looked_through(folder)
        if book is None:
            with pytest.raises(BookFaults):
                read_book(folder)
