import csv
import os
import re
import signal
import subprocess
import sys

import pytest
from tests.records.tiny import BOOK, tiny_book
from typer.testing import CliRunner

from spadework.advice.field import advise
from spadework.advice.messages import render
from spadework.cli.app import app
from spadework.knowledge.load import load
from spadework.records.read import read_book

POSIX = pytest.mark.skipif(os.name == "nt", reason="signals of POSIX systems")


@pytest.fixture
def folder(tmp_path):
    return tiny_book(tmp_path / "tiny", book=BOOK)


@pytest.fixture
def answer():
    """Run the verb within this process with answers piped in, one a line."""

    def invoke(folder, *answers, options=()):
        words = ["diagnose", str(folder), *options]
        typed = "".join(f"{one}\n" for one in answers)
        return CliRunner(env={"COLUMNS": "200"}).invoke(app, words, input=typed, catch_exceptions=False)

    return invoke


def rows_of(folder):
    path = folder / "observations.csv"
    if not path.exists():
        return []
    with path.open(encoding="utf-8", newline="") as file:
        return [(row["subject"], row["value"]) for row in csv.DictReader(file)]


def diagnosis_of(folder):
    book = read_book(folder)
    return advise(book.by_field()["west"], book.settings, load(), book.settings.today).diagnosis


def questions_in(text):
    return re.findall(r"^  (?:If there is a result: )?([A-Z].*\?)$", text, re.MULTILINE)


def test_it_says_where_the_diagnosis_stands_asks_and_ends_with_what_to_do(folder, answer):
    result = answer(folder, "y", "s")

    assert result.exit_code == 0
    assert result.stdout.startswith("west, pea, on 2026-08-01\n")
    assert re.search(r"^    .+: (under )?\d+ % -> \d+ %\.", result.stdout, re.MULTILINE)
    for part in ("Where it stands", "How sure", "Checks worth making next"):
        assert f"\n{part}\n" in result.stdout
    assert result.stdout.endswith(f"\n1 answer is kept in {folder / 'observations.csv'}.\n")


def test_the_first_question_is_of_the_best_check_that_can_be_answered_at_once(folder, answer):
    best = next(check for check in diagnosis_of(folder).checks if not check.laboratory and not check.waits_days)

    result = answer(folder, "s")

    headings = [line for line in result.stdout.splitlines() if line.endswith(" minutes)")]
    assert headings[0].casefold().startswith(render(best.name).casefold())


def test_answers_are_rows_that_the_book_reads_and_the_next_run_does_not_ask_for(folder, answer):
    first = answer(folder, "y", "n", "y")
    second = answer(folder, "n", "n")

    assert (first.exit_code, second.exit_code) == (0, 0)
    asked = questions_in(first.stdout)[:3]
    assert len(asked) == 3
    assert not set(asked) & set(questions_in(second.stdout))
    assert len(rows_of(folder)) == 5
    assert len(read_book(folder).observations) == 5


def test_the_end_tells_the_same_causes_as_the_advice_on_the_book(folder, answer):
    result = answer(folder, "y", "y", "n")

    ranking = result.stdout.rpartition("\nWhere it stands\n")[2].split("\n\n")[0].splitlines()
    found = diagnosis_of(folder)
    assert ranking[0] == f"  {render(found.headline)}"
    assert [line.split(" %  ")[1] for line in ranking[1:]][: len(found.causes)] == [
        render(cause.name) for cause in found.causes
    ]
    for cause in found.causes:
        assert render(cause.this_season)[:40] in result.stdout


def test_what_is_not_known_is_not_written_and_not_asked_again(folder, answer):
    result = answer(folder, "?", "?", "y")

    asked = questions_in(result.stdout)[:3]
    assert len(set(asked)) == 3
    assert len(rows_of(folder)) == 1


def test_an_answer_can_be_taken_back(folder, answer):
    result = answer(folder, "y", "u", "n", "s")

    first, *_ = questions_in(result.stdout)
    assert f"Taken back: {first}" in result.stdout
    assert questions_in(result.stdout).count(first) == 2
    assert [value for _, value in rows_of(folder)] == ["no"]


def test_taking_back_the_only_answer_leaves_the_book_as_it_was(folder, answer):
    before = sorted(path.name for path in folder.iterdir())

    result = answer(folder, "u", "y", "u", "?", "u", "s")

    assert "There is no answer to take back." in result.stdout
    assert result.stdout.count("Taken back: ") == 2
    assert sorted(path.name for path in folder.iterdir()) == before
    assert result.stdout.endswith("Nothing was answered, so nothing was written.\n")


def test_why_tells_the_reason_and_asks_again(folder, answer):
    result = answer(folder, "w", "s")

    assert re.search(r"y or n: w\n    Bears on .+\n  y or n: s\n", result.stdout)


def test_an_answer_that_is_none_is_told_what_is(folder, answer):
    result = answer(folder, "perhaps", "", "Yes", "S")

    assert result.stdout.count("That is no answer here. Write y or n; or ?, w, u, s.") == 2
    assert [value for _, value in rows_of(folder)] == ["yes"]


def test_without_keeping_nothing_is_written(folder, answer):
    before = {path.name: path.read_bytes() for path in folder.iterdir()}

    result = answer(folder, "y", "n", options=["--no-keep"])

    assert result.exit_code == 0
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before
    assert result.stdout.endswith("Nothing was written: --no-keep.\n")
    assert "are kept" not in result.stdout
    assert " -> " in result.stdout


def test_the_whole_way_ends_by_itself(folder, answer):
    result = answer(folder, *["?"] * 200)

    assert "No question is left that would tell more than a little." in result.stdout
    asked = questions_in(result.stdout)
    assert len(asked) == len(set(asked))
    # What needs a laboratory or days comes last, and one "no result yet" settles its check.
    waiting = ["If there is" in line for line in re.findall(r"^  [A-Z].*\?$", result.stdout, re.MULTILINE)]
    assert waiting == sorted(waiting)
    assert any(waiting)


def test_a_pattern_is_chosen_by_number(folder, answer):
    way = answer(folder, *["?"] * 200)
    before = questions_in(way.stdout).index("How do good and bad parts lie in the field?")

    result = answer(folder, *["?"] * before, "9", "1", "s")

    assert "That is no answer here. Write 1 to 8, n for none of them; or ?, w, u, s." in result.stdout
    assert rows_of(folder) == [("pattern", "strips")]


def test_none_of_the_patterns_is_an_answer_too(folder, answer):
    way = answer(folder, *["?"] * 200)
    before = questions_in(way.stdout).index("How do good and bad parts lie in the field?")

    answer(folder, *["?"] * before, "n", "s")

    assert rows_of(folder) == [("pattern", "none")]
    assert {one.finding: one.sure for one in diagnosis_of(folder).evidence}["strips"] == 0
    assert diagnosis_of(folder).unread == ()


def test_the_day_of_the_answers_can_be_named(folder, answer):
    answer(folder, "y", options=["--today", "2026-07-02"])

    assert [str(row.date) for row in read_book(folder).observations] == ["2026-07-02"]


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--field", "wset"], "There is no field 'wset'. Did you mean west?"),
        (["--today", "soon"], "'soon' is no date."),
    ],
)
def test_wrong_use_is_told(options, words, folder, answer):
    result = answer(folder, options=options)

    assert result.exit_code == 2
    assert words in result.stderr


def test_a_book_of_several_fields_wants_one_named(season_book, answer):
    result = answer(season_book)

    assert result.exit_code == 2
    assert "Name one field of the book, such as north-01, " in result.stderr


def test_plants_alone_are_refused_with_the_way_out(folder, answer):
    result = answer(folder / "plants.csv")

    assert result.exit_code == 2
    assert "spadework new DIR" in result.stderr


def test_a_book_with_faults_is_refused_before_any_question(folder, answer):
    (folder / "observations.csv").write_text("field,date,subject,value\nwest,soon,bare crown,yes\n", "utf-8")

    result = answer(folder, "y")

    assert result.exit_code == 1
    assert result.stdout == ""
    assert "observations.csv line 2" in result.stderr


def test_a_folder_that_takes_nothing_ends_with_its_code(folder, answer, monkeypatch):
    def refuse(*_args, **_more):
        raise OSError(30, "Read-only file system")

    monkeypatch.setattr("spadework.cli.dialogue.replace_file", refuse)
    result = answer(folder, "y")

    assert result.exit_code == 4
    assert "Read-only file system" in result.stderr


def process_of(folder):
    program = [sys.executable, "-W", "error", "-m", "spadework.cli", "diagnose", str(folder)]
    return subprocess.Popen(
        program, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True
    )


def test_answers_are_taken_from_a_pipe_whatever_its_bytes(folder):
    with process_of(folder) as process:
        stdout, stderr = process.communicate(b"\xff\r\ny\r\nn", timeout=120)

    assert (process.returncode, stderr) == (0, b"")
    assert b"2 answers are kept in" in stdout
    first, second = (value for _, value in rows_of(folder))
    assert first == "yes"
    assert second in ("no", "none")  # none where the second question is the one of the pattern


@POSIX
def test_an_interrupt_keeps_the_answers_and_says_so(folder):
    with process_of(folder) as process:
        process.stdin.write(b"y\n")
        process.stdin.flush()
        for line in process.stdout:
            if line.startswith(b"    "):  # what the answer changed
                break
        os.killpg(process.pid, signal.SIGINT)
        _, stderr = process.communicate(timeout=120)

    assert process.returncode == 130
    assert stderr.decode() == f"\nInterrupted. 1 answer is kept in {folder / 'observations.csv'}.\n"
    assert len(rows_of(folder)) == 1


def test_where_nothing_is_wrong_nothing_is_asked_and_no_cause_is_listed(season_book, answer):
    result = answer(season_book, options=["--field", "north-01"])

    assert result.exit_code == 0
    assert questions_in(result.stdout) == []
    assert "No question is left that would tell more than a little." in result.stdout
    assert "under 1 %" not in result.stdout
    assert result.stdout.count("Nothing wrong with the nodules") == 2


def test_cautions_stand_with_what_can_be_done(season_book, answer):
    result = answer(season_book, "s", options=["--field", "north-20"])

    assert "\nWhat can be done this season\n" in result.stdout
    assert "\nCautions\n" in result.stdout
    assert "\nNot used, because no rule reads it\n" in result.stdout


def test_nothing_is_to_be_done_for_a_crop_that_nobody_has_looked_at(folder, answer):
    untouched = answer(folder, "s", options=["--no-keep"])
    seen = answer(folder, *["y"] * 3, options=["--no-keep"])

    assert "\nWhat can be done this season\n" not in untouched.stdout
    assert "\nCautions\n" not in untouched.stdout
    assert "\nChecks worth making next\n" in untouched.stdout
    assert "\nWhat can be done this season\n" in seen.stdout
