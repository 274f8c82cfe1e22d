import csv
import json

import pytest

from spadework.demo import demo_book
from spadework.records.read import read_book
from spadework.records.write import write_book


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    """The demo run once, as a user runs it; returns the folder and what was printed."""
    from typer.testing import CliRunner

    from spadework.cli.app import app

    out = tmp_path_factory.mktemp("demo") / "out"
    result = CliRunner(env={"COLUMNS": None}).invoke(app, ["demo", "--out", str(out)], catch_exceptions=False)
    assert result.exit_code == 0
    return out, result.stdout


def test_writes_the_book_the_verdicts_and_a_report_for_each_field(demo):
    out, _ = demo
    fields = [row.field for row in demo_book().fields]

    assert read_book(out / "book") == demo_book()
    assert sorted(path.stem for path in (out / "fields").iterdir()) == sorted(fields)
    assert (out / "season.pdf").read_bytes().startswith(b"%PDF")
    with (out / "verdicts.csv").open(encoding="utf-8", newline="") as file:
        assert sorted(row["field"] for row in csv.DictReader(file)) == sorted(fields)
    told = json.loads((out / "verdicts.json").read_text("utf-8"))["fields"]
    assert sorted(field["field"] for field in told) == sorted(fields)


def test_prints_the_table(demo):
    out, shown = demo
    starts = [line.split()[0] for line in shown.splitlines() if line.split()]

    assert [row.field for row in demo_book().fields if row.field not in starts] == []
    assert max(len(line) for line in shown.splitlines() if str(out) not in line) <= 80


def test_its_book_passes_check_and_assess_gives_the_same(demo, run, tmp_path):
    out, _ = demo

    assert run("check", out / "book").exit_code == 0
    run("assess", out / "book", "--out", tmp_path, "--no-pdf")
    for name in ("verdicts.csv", "verdicts.json"):
        assert (tmp_path / name).read_bytes() == (out / name).read_bytes()


def test_the_invented_season_may_be_written_again(run, tmp_path, monkeypatch):
    write_book(demo_book(7), tmp_path / "book")
    monkeypatch.setattr("spadework.cli.demo.assess_season", lambda *_, **__: [])  # the book is what counts here

    assert run("demo", "--out", tmp_path).exit_code == 0
    assert read_book(tmp_path / "book") == demo_book()


def test_a_season_of_ones_own_is_not_written_over(run, book, tmp_path):
    before = (book / "plants.csv").read_bytes()
    assert book == tmp_path / "book"

    result = run("demo", "--out", tmp_path)

    assert result.exit_code == 4
    assert "already holds a book that is not the invented season" in result.stderr
    assert (book / "plants.csv").read_bytes() == before


def test_a_book_that_cannot_be_read_is_not_written_over(run, tmp_path):
    (tmp_path / "book").mkdir()
    (tmp_path / "book" / "book.toml").write_text("this is [ not TOML")

    assert run("demo", "--out", tmp_path).exit_code == 4
    assert (tmp_path / "book" / "book.toml").read_text() == "this is [ not TOML"


def test_tables_without_a_book_file_are_not_written_over(run, tmp_path):
    (tmp_path / "book").mkdir()
    (tmp_path / "book" / "plants.csv").write_text("mine")

    assert run("demo", "--out", tmp_path).exit_code == 4
    assert (tmp_path / "book" / "plants.csv").read_text() == "mine"


def test_a_place_that_cannot_be_written_ends_with_four(run, tmp_path):
    (tmp_path / "taken").write_text("mine")
    result = run("demo", "--out", tmp_path / "taken")
    assert result.exit_code == 4
    assert "could not be written" in result.stderr


def test_another_seed_draws_another_season(monkeypatch, run, tmp_path):
    seen = []

    def stop(fields, settings, wanted):
        seen.append((fields, settings))
        return []

    monkeypatch.setattr("spadework.cli.demo.assess_season", stop)
    run("demo", "--out", tmp_path / "a", "--seed", "5")
    run("demo", "--out", tmp_path / "b")

    (other, settings), (usual, _) = seen
    assert settings.seed == 5
    assert list(demo_book(5).by_field().values()) == other
    assert other != usual


def test_a_place_is_asked_for(run):
    assert run("demo").exit_code == 2
