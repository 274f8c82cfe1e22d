import datetime as dt
import io

import pytest
from tests.records.tiny import BOOK, tiny_book

from spadework.cli import dialogue
from spadework.cli.dialogue import Case, Dialogue, Kept
from spadework.cli.exits import CannotWrite
from spadework.errors import RecordError
from spadework.knowledge.load import load
from spadework.records.read import read_book
from spadework.records.types import ObservationRow, Settings

DAY = dt.date(2026, 8, 1)
SETTINGS = Settings(title="Tiny", season="2026")
ROW = ObservationRow(field="west", date=DAY, subject="hollow nodules", value="yes")
OTHER = ObservationRow(field="west", date=DAY, subject="bare crown", value="no")


def case_of(folder, **changed):
    book = read_book(tiny_book(folder, book=BOOK, **changed))
    return Case(book.by_field()["west"], book.settings, load(), DAY)


def test_answers_count_like_recorded_observations(tmp_path):
    asked = case_of(tmp_path / "asked")
    recorded = case_of(
        tmp_path / "recorded", observations="field,date,subject,value\nwest,2026-08-01,hollow nodules,yes\n"
    )

    assert asked.diagnosis([ROW]) == recorded.diagnosis([])
    assert asked.diagnosis([]) != recorded.diagnosis([])


def test_what_was_written_down_this_day_for_the_whole_field_is_not_asked(tmp_path):
    rows = "2026-08-01,,Hollow nodules,perhaps\nwest,2026-08-01,2,bare crown,yes\nwest,2026-07-31,,galls,yes\n"
    case = case_of(tmp_path, observations=f"field,date,stop,subject,value\nwest,{rows}")

    assert case.said_today() == {"hollow_nodules"}


def test_answers_stand_below_what_the_table_held_and_go_again(tmp_path):
    path = tmp_path / "observations.csv"
    path.write_bytes(b"subject;value;field;date\r\n")
    kept = Kept.of(tmp_path, SETTINGS)

    kept.write([ROW])
    kept.write([ROW, OTHER])
    assert path.read_bytes().count(b"\r\n") == 3
    assert kept.answers == 2
    kept.write([])

    assert path.read_bytes() == b"subject;value;field;date\r\n"
    assert kept.answers == 0


def test_a_table_that_was_not_there_goes_with_its_only_answer(tmp_path):
    kept = Kept.of(tmp_path, SETTINGS)
    kept.write([ROW])
    assert (tmp_path / "observations.csv").exists()
    kept.write([])

    assert list(tmp_path.iterdir()) == []


def test_a_table_changed_by_another_program_is_left_to_it(tmp_path):
    kept = Kept.of(tmp_path, SETTINGS)
    kept.write([ROW])
    (tmp_path / "observations.csv").write_bytes(b"field,date,subject,value\n")

    with pytest.raises(RecordError, match="Another program has changed the file"):
        kept.write([ROW, OTHER])
    assert (tmp_path / "observations.csv").read_bytes() == b"field,date,subject,value\n"


def test_a_table_that_cannot_be_written_says_how_to_go_on(tmp_path, monkeypatch):
    def refuse(*_args, **_more):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(dialogue, "replace_file", refuse)
    with pytest.raises(CannotWrite, match=r"could not be written \(No space left on device\).*--no-keep"):
        Kept.of(tmp_path, SETTINGS).write([ROW])


class Keyboard(io.StringIO):
    def isatty(self):
        return True


@pytest.mark.parametrize(("stdin", "echoed"), [(io.StringIO, True), (Keyboard, False)])
def test_a_piped_answer_is_shown_and_a_typed_one_is_there_already(stdin, echoed, tmp_path, monkeypatch, capsys):
    talk = Dialogue(case_of(tmp_path), None)
    monkeypatch.setattr("sys.stdin", stdin("?\n"))

    talk.go_through()

    assert ("y or n: ?\n" in capsys.readouterr().out) is echoed
