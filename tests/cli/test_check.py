import csv
import io
import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from spadework.cli.check import fault_line
from spadework.errors import Fault


@pytest.fixture
def faulty(book):
    """The example book with three faults in plants.csv, and a date that makes no sense in fields.csv."""
    path = book / "plants.csv"
    lines = path.read_text("utf-8").splitlines()
    columns = lines[0].split(",")
    for number, (column, value) in {1: ("crown_nodules", "many"), 3: ("vigour", "9"), 5: ("red_pink", "-2")}.items():
        cells = lines[number].split(",")
        cells[columns.index(column)] = value
        lines[number] = ",".join(cells)
    path.write_text("\n".join(lines) + "\n", "utf-8")
    fields = book / "fields.csv"
    fields.write_text(fields.read_text("utf-8").replace("2026-05-04", "2026-05-44"), "utf-8")
    return book


@pytest.fixture
def warned(book):
    """The example book with a table that belongs to nothing."""
    (book / "shopping.csv").write_text("what\nmilk\n")
    return book


def test_a_clean_book(run, book):
    result = run("check", book)
    assert (result.exit_code, result.stdout) == (0, f"{book} is in order.\n")


def test_lists_every_fault_in_lines_an_editor_can_jump_to(run, faulty):
    result = run("check", faulty)

    assert result.exit_code == 1
    places = [line.split(": ")[0] for line in result.stdout.splitlines()]
    assert {
        "fields.csv:2:sown_on",
        "plants.csv:2:crown_nodules",
        "plants.csv:4:vigour",
        "plants.csv:6:red_pink",
    } <= set(places)
    assert "faults" in result.stdout.splitlines()[-1]


def test_json_holds_the_same_faults_and_nothing_else(run, faulty):
    result = run("check", faulty, "--format", "json")

    faults = json.loads(result.stdout)["faults"]
    assert result.exit_code == 1
    assert {"file", "line", "column", "kind", "severity", "what", "mend"} == set(faults[0])
    assert ("plants.csv", 4, "vigour") in [(each["file"], each["line"], each["column"]) for each in faults]


def test_csv_holds_the_same_faults(run, faulty):
    in_json = json.loads(run("check", faulty, "--format", "json").stdout)["faults"]
    in_csv = list(csv.DictReader(io.StringIO(run("check", faulty, "--format", "csv").stdout)))

    assert [row["what"] for row in in_csv] == [fault["what"] for fault in in_json]


def test_warnings_stand_apart_and_do_no_harm(run, warned):
    result = run("check", warned)

    assert result.exit_code == 0
    assert result.stdout.startswith("warning: shopping.csv: ")
    assert result.stdout.endswith("can be used; 1 warning to look at.\n")


def test_a_plants_table_alone(run, tmp_path):
    path = tmp_path / "plants.csv"
    path.write_text("field,date,stop,plant,crown_nodules\na,2026-06-24,1,1,lots\n")

    result = run("check", path)

    assert result.exit_code == 1
    assert result.stdout.startswith("plants.csv:2:crown_nodules: ")


def test_a_folder_that_is_not_there(run, tmp_path):
    result = run("check", tmp_path / "nowhere")
    assert result.exit_code == 2
    assert "does not exist" in result.stderr


def test_a_fault_takes_one_line_even_where_its_text_does_not():
    fault = Fault("book.toml", None, None, "book.toml", "Not\nTOML.", "Mend\n it.")
    assert fault_line(fault) == "book.toml: Not TOML. Mend it."


def test_a_terminal_gets_a_table(run, faulty, monkeypatch):
    monkeypatch.setattr("spadework.cli.check.is_terminal", lambda: True)

    shown = run("check", faulty).stdout

    assert "Faults (" in shown
    assert "What, and how to mend it" in shown
    assert "crown_nodules" in shown


def test_a_terminal_gets_one_row_for_faults_that_differ_in_figures_only(run, tmp_path, monkeypatch):
    rows = "".join(f"a,{number}/9/2026,1,{number},3\n" for number in (1, 2, 3, 4))
    path = tmp_path / "plants.csv"
    path.write_text(f"field,date,stop,plant,crown_nodules\n{rows}a,2026-06-24,1,7,3\na,5/9/2026,1,8,3\na,soon,1,9,3\n")
    assert len(json.loads(run("check", path, "--format", "json").stdout)["faults"]) == 6
    assert len(run("check", path).stdout.splitlines()) == 7

    monkeypatch.setattr("spadework.cli.check.is_terminal", lambda: True)
    shown = run("check", path, env={"COLUMNS": "200"}).stdout

    assert "Faults (6)" in shown
    assert shown.count("plants.csv") == 2 + 1  # two rows and the summary
    assert "2-5, 7" in shown


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    data=st.binary(max_size=400)
    | st.text(st.sampled_from("field,date;\t\"\n\r0123-/.'=é"), max_size=200).map(str.encode)
)
def test_whatever_a_table_holds_is_a_fault_and_no_traceback(run, book, data):
    (book / "plants.csv").write_bytes(data)

    result = run("check", book)

    assert result.exit_code in (0, 1)
    assert result.stdout
    assert run("assess", book / "plants.csv", "--crop", "pea").exit_code in (0, 1, 3)
