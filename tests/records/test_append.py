import datetime as dt
import re

import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from tests.records.strategies import rows
from tests.records.tiny import BOOK, tiny_book

from spadework.errors import RecordError
from spadework.records.append import replace_file, with_observations
from spadework.records.columns import columns_of
from spadework.records.dialect import SEPARATORS
from spadework.records.read import check_book
from spadework.records.tables import read_table
from spadework.records.types import ObservationRow, Settings
from spadework.records.write import cell_writer

SETTINGS = Settings(title="Tiny", season="2026")
DAY = dt.date(2026, 7, 4)
NEW = ObservationRow(field="west", date=DAY, subject="hollow nodules", value="no")
COLUMNS = [plan.name for plan in columns_of(ObservationRow)]
FORMS = {
    "iso": ("%Y-%m-%d", "%Y/%m/%d", "%Y.%m.%d", "%Y%m%d"),
    "dmy": ("%d/%m/%Y", "%d.%m.%Y", "%Y-%m-%d"),
    "mdy": ("%m/%d/%Y", "%m-%d-%Y", "%Y%m%d"),
}


def read(data, settings=SETTINGS):
    found = read_table(ObservationRow, data, file="observations.csv", settings=settings)
    assert found.faults == []
    return list(found.rows)


def key(row):
    return (row.field, row.date, row.subject, row.stop)


@st.composite
def files(draw):
    """A file as some program or hand wrote it: its bytes, the rows in it, the settings it is read by, its line end."""
    order = draw(st.sampled_from(list(FORMS)))
    form = draw(st.sampled_from(FORMS[order]))
    mark = draw(st.sampled_from(list(SEPARATORS)))
    declared = draw(st.sampled_from((None, mark)))
    settings = Settings(title="Tiny", season="2026", date_order=order, separator=declared)
    separator, line_end = SEPARATORS[mark], draw(st.sampled_from(("\n", "\r\n", "\r")))
    headings = draw(st.permutations(COLUMNS))
    blank = draw(st.integers(0, 2))
    writers = {plan.name: cell_writer(plan, settings, separator) for plan in columns_of(ObservationRow)}

    def line(row):
        cells = []
        for name in headings:
            value = getattr(row, name)
            if name == "date":
                cells.append(value.strftime(form))
            else:
                cells.append("" if value is None else writers[name](value))
        return separator.join(cells + [""] * blank)

    old = draw(st.lists(rows(ObservationRow), max_size=3, unique_by=key))
    headed = draw(st.booleans())
    named = [draw(st.sampled_from((name, name.capitalize(), f" {name.upper()}"))) for name in headings]
    top = separator.join(named + [""] * (blank if headed else 0))
    lines = [f"sep={separator}"] * draw(st.booleans()) + [top, *map(line, old)]
    text = line_end.join(lines) + draw(st.sampled_from(("", line_end, line_end + line_end)))
    return draw(st.sampled_from((b"", b"\xef\xbb\xbf"))) + text.encode(), old, settings, line_end


@hypothesis_settings(max_examples=300)
@given(file=files(), added=st.lists(rows(ObservationRow), max_size=3, unique_by=key))
def test_what_is_added_is_read_back_and_all_else_stays_byte_for_byte(file, added):
    data, old, settings, line_end = file
    added = [row for row in added if key(row) not in {key(row) for row in old}]

    found = with_observations(data, added, settings)

    assert read(data, settings) == old
    assert read(found, settings) == [*old, *added]
    assert found.startswith(data)
    if added and line_end.encode() in data and not data.endswith((b"\n", b"\r")):
        assert found[len(data) :].startswith(line_end.encode())


def test_the_new_line_is_written_like_the_others():
    data = "sep=;\r\nValue;Subject;Date;Field;;\r\nyes;bare crown;25.06.2026;west;;".encode("utf-8-sig")

    found = with_observations(data, [NEW], Settings(title="Tiny", season="2026", date_order="dmy"))

    assert found == data + b"\r\nno;hollow nodules;04.07.2026;west;;\r\n"


@pytest.mark.parametrize(
    ("like", "order", "written"),
    [
        ("2026/6/25", "iso", "2026/07/04"),
        ("20260625", "dmy", "20260704"),
        ("25/06/2026", "dmy", "04/07/2026"),
        ("06-25-2026", "mdy", "07-04-2026"),
        ("2026-06-25", "mdy", "2026-07-04"),
        # Without a declared order 04/07/2026 could be read two ways, though 25/06/2026 could not.
        ("25/06/2026", "iso", "2026-07-04"),
    ],
)
def test_a_day_is_written_like_the_last_one_unless_it_could_be_misread(like, order, written):
    data = f"field,date,subject,value\nwest,{like},bare crown,yes\n".encode()

    found = with_observations(data, [NEW], Settings(title="Tiny", season="2026", date_order=order))

    assert found == data + f"west,{written},hollow nodules,no\n".encode()


def test_a_heading_alone_takes_the_first_row():
    assert with_observations(b"field;date;subject;value", [NEW], SETTINGS).endswith(
        b";value\nwest;2026-07-04;hollow nodules;no\n"
    )


def test_a_table_that_is_not_there_is_begun_with_all_columns():
    settings = Settings(title="Tiny", season="2026", separator="semicolon")

    found = with_observations(None, [NEW], settings)

    assert found.decode() == "field;date;stop;subject;value;note\nwest;2026-07-04;;hollow nodules;no;\n"


def test_nothing_to_add_changes_nothing():
    assert with_observations(b"field,date,subject,value", [], SETTINGS) == b"field,date,subject,value"


def test_what_somebody_wrote_that_day_is_not_replaced():
    data = b"field,date,subject,value\nwest,2026-07-04,hollow nodules,perhaps\n"

    with pytest.raises(RecordError, match="line 2") as caught:
        with_observations(data, [NEW], SETTINGS)

    fault = caught.value.fault
    assert (fault.line, fault.kind) == (2, "observations.row.stands")
    assert fault.what == "The row says already of 'hollow nodules' in west on 2026-07-04: 'perhaps'."


def test_another_stop_is_another_row():
    data = b"field,date,stop,subject,value\nwest,2026-07-04,2,hollow nodules,yes\n"

    assert len(read(with_observations(data, [NEW], SETTINGS))) == 2


def test_the_same_row_twice_is_refused_before_it_is_written():
    with pytest.raises(RecordError, match="says already of 'hollow nodules'"):
        with_observations(b"field,date,subject,value\n", [NEW, NEW], SETTINGS)


def test_no_column_is_added():
    row = NEW.model_copy(update={"stop": "2"})

    with pytest.raises(RecordError, match=re.escape("column stop: The column stop is missing, so that '2'")):
        with_observations(b"field,date,subject,value\n", [row], SETTINGS)


@pytest.mark.parametrize("data", [b"", b"\xff\xfe", b"field,date,subject,value\nwest,yesterday,crown,bare\n"])
def test_a_table_that_cannot_be_read_is_left_alone(data):
    with pytest.raises(RecordError):
        with_observations(data, [NEW], SETTINGS)


def test_a_whole_book_is_still_in_order_afterwards(tmp_path):
    folder = tiny_book(tmp_path, book=BOOK, observations="field,date,subject,value\n")
    path = folder / "observations.csv"

    before = path.read_bytes()
    replace_file(path, with_observations(before, [NEW], SETTINGS), before=before)

    book, faults = check_book(folder)
    assert faults == ()
    assert book.observations == (NEW,)


def test_a_file_is_replaced_whole_with_its_rights_and_nothing_left_beside_it(tmp_path):
    path = tmp_path / "observations.csv"
    path.write_bytes(b"old")
    path.chmod(0o640)

    replace_file(path, b"new", before=b"old")

    assert path.read_bytes() == b"new"
    assert path.stat().st_mode & 0o777 == 0o640
    assert [file.name for file in tmp_path.iterdir()] == ["observations.csv"]


def test_a_link_stays_a_link(tmp_path):
    (tmp_path / "kept").mkdir()
    real = tmp_path / "kept" / "observations.csv"
    real.write_bytes(b"old")
    link = tmp_path / "observations.csv"
    link.symlink_to(real)

    replace_file(link, b"new", before=b"old")

    assert link.is_symlink()
    assert real.read_bytes() == b"new"


@pytest.mark.parametrize(("there", "before"), [(b"theirs", b"old"), (b"theirs", None), (None, b"old")])
def test_what_another_program_did_meanwhile_is_not_overwritten(there, before, tmp_path):
    path = tmp_path / "observations.csv"
    if there is not None:
        path.write_bytes(there)

    with pytest.raises(RecordError, match="Another program has changed the file"):
        replace_file(path, b"new", before=before)

    assert (path.read_bytes() if path.exists() else None) == there


def test_a_file_that_was_begun_can_be_taken_away_again(tmp_path):
    path = tmp_path / "observations.csv"
    replace_file(path, b"new", before=None)
    replace_file(path, None, before=b"new")

    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_takes_no_file_says_so_and_keeps_the_old_one(tmp_path, monkeypatch):
    path = tmp_path / "observations.csv"
    path.write_bytes(b"old")

    def refuse(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", refuse)
    with pytest.raises(OSError, match="No space"):
        replace_file(path, b"new", before=b"old")

    assert [file.read_bytes() for file in tmp_path.iterdir()] == [b"old"]
