import pytest

from spadework.errors import RecordError
from spadework.records.dialect import decode, line_at, read_bytes, read_sheet

KNOWN = ("field", "date", "note", "area")


def sheet(text, **more):
    return read_sheet(text, file="t.csv", known=KNOWN, **more)


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_every_separator_and_line_end(separator, end):
    text = end.join(separator.join(cells) for cells in (["field", "note"], ["west", "wet"], ["east", ""])) + end
    found = sheet(text)

    assert found.headings == ("field", "note")
    assert found.rows == [["west", "wet"], ["east", ""]]
    assert found.lines == [2, 3]
    assert found.faults == []


def test_the_separator_is_the_one_that_finds_most_columns():
    found = sheet("Field;note, or what was seen;AREA\nwest;a, b, c;1,5\n")

    assert found.headings == ("Field", "note, or what was seen", "AREA")
    assert found.rows == [["west", "a, b, c", "1,5"]]


def test_a_declared_separator_wins():
    assert sheet("field,note;area\n", separator=";").headings == ("field,note", "area")


def test_the_hint_of_a_spreadsheet_is_followed_and_counted_as_a_line():
    found = sheet("sep=;\r\nfield;note\r\nwest;a,b\r\n")

    assert found.rows == [["west", "a,b"]]
    assert (found.heading_line, found.lines) == (2, [3])


def test_blank_rows_are_passed_over_and_lines_still_counted_as_an_editor_does():
    found = sheet('\n  \nfield,note\n\n,\nwest,"two\nlines"\n ,\t\neast,\n')

    assert found.heading_line == 3
    assert found.rows == [["west", "two\nlines"], ["east", ""]]
    assert found.lines == [6, 9]


@pytest.mark.parametrize(
    "text",
    [
        "field,note,,\nwest,wet,,\neast,,,\n",  # heading and rows alike
        "field,note,,\nwest,wet\neast,,\n",  # none longer than the heading line
        "field,note\nwest,wet,,\neast,,,\n",  # all rows alike
        "field,note\nwest,wet,\n,,,,\neast,,\n",  # blank rows do not matter
    ],
)
def test_empty_columns_at_the_right_are_dropped(text):
    found = sheet(text)

    assert found.headings == ("field", "note")
    assert found.rows == [["west", "wet"], ["east", ""]]
    assert found.faults == []


@pytest.mark.parametrize(
    "text",
    [
        "field,date,area\nwest,,12\neast,15,5,\n",
        "field,date,area\nwest,,12,\neast,15,5,,\n",
        "field,date,area,\nwest,,12,\neast,15,5,,\n",
        "field,date,area\nwest,,12,13\neast,15,5,\n",
    ],
)
def test_a_single_longer_row_is_refused_even_where_its_last_cells_are_empty(text):
    # 15,5 is one number typed with a decimal comma: its cells have moved to the right.
    found = sheet(text)

    assert ["east", "15", "5"] not in found.rows
    fault = found.faults[-1]
    assert (fault.kind, fault.line) == ("table.row.extra_cells", 3)
    assert "under 3 headings; its last ones are empty, unlike other rows." in fault.what
    assert '("3,5")' in fault.mend


def test_quotes_hold_separators_quotes_and_line_ends():
    assert sheet('field,note\n"a,b","say ""hi""\r\nthere"\n').rows == [["a,b", 'say "hi"\r\nthere']]


def test_blanks_before_a_quote_do_not_matter():
    assert sheet('field,note\nwest, "a, b"\n').rows == [["west", "a, b"]]


def test_an_inch_mark_in_a_plain_cell_is_just_a_sign():
    assert sheet('field,note\nwest,2" pipe\n').rows == [["west", '2" pipe']]


def test_rows_after_a_stray_quote_are_still_read():
    found = sheet('field,note\nwest,"a"b\neast,c\n')

    assert found.rows == [["east", "c"]]
    assert [(fault.kind, fault.line) for fault in found.faults] == [("file.quote.stray", 2)]


def test_an_open_quote_is_reported_where_it_opens():
    found = sheet('field,note\nwest,ok\neast,"open\nnorth,x\nsouth,y\n')

    assert found.rows == [["west", "ok"]]
    assert [(fault.kind, fault.line) for fault in found.faults] == [("file.quote.unclosed", 3)]


@pytest.mark.parametrize("text", ["", "\n\n", "sep=;\n"])
def test_a_file_without_headings_is_refused(text):
    with pytest.raises(RecordError, match="holds no heading line"):
        sheet(text)


def test_text_with_and_without_byte_order_mark_is_the_same():
    assert decode("süd".encode(), "t.csv") == decode("süd".encode("utf-8-sig"), "t.csv") == "süd"


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("end", [b"\n", b"\r\n", b"\r"])
def test_an_undecodable_byte_is_named_with_its_line(mark, end):
    with pytest.raises(RecordError, match=r"t\.csv line 3: .*0xFC.*'ü'.*CSV UTF-8"):
        decode(mark + end.join([b"field", "s\u00fcd".encode(), b"s\xfcd"]), "t.csv")


def test_a_byte_that_is_nothing_in_windows_either_gets_no_guess():
    with pytest.raises(RecordError, match=r"0x81, which is not UTF-8\. Save"):
        decode(b"\x81", "t.csv")


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be", "utf-32"])
def test_wide_encodings_are_refused(encoding):
    with pytest.raises(RecordError, match="CSV UTF-8"):
        decode("field".encode(encoding), "t.csv")


def test_lines_are_counted_as_an_editor_does():
    data = b"a\r\nb\rc\nd"

    assert [line_at(data, data.index(sign)) for sign in (b"a", b"b", b"c", b"d")] == [1, 2, 3, 4]


def test_a_file_that_is_not_there_says_so(tmp_path):
    with pytest.raises(RecordError, match=r"gone\.csv: The file cannot be read: no such file"):
        read_bytes(tmp_path / "gone.csv")
