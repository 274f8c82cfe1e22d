import json

import pytest

from spadework.cli.source import grade_in_words
from spadework.knowledge.load import load
from spadework.quantity import Grade

ROW = "target.pea.fifty_nodules"
SOURCE = load().rows[ROW].source


def test_a_row_shows_figure_unit_scope_grade_and_citation(run):
    row = load().rows[ROW]

    shown = run("source", ROW).stdout

    assert shown.startswith(f"{ROW}\n")
    lines = dict(line.strip().split("  ", 1) for line in shown.splitlines()[1:] if "  " in line.strip())
    assert lines["figure"].strip() == f"{row.value:g} {row.unit}"
    assert lines["scope"].strip() == row.scope
    assert lines["grade"].strip() == "A (read at the source)"
    assert " ".join(shown.split()).find(load().sources[row.source].citation) > 0


@pytest.mark.parametrize("key", sorted(load().rows))
def test_every_row_can_be_shown(run, key):
    result = run("source", key)
    assert result.exit_code == 0
    assert load().rows[key].source in result.stdout


def test_a_cause_lists_its_evidence_in_words(run):
    shown = " ".join(run("source", "cause.nodule_larvae").stdout.split())

    assert (
        "evidence notched_leaves: common, in pea, lentil, faba_bean (ag_canada_plw, stated, grade A); shows the adults"
        in shown
    )
    assert "evidence field_edge: sometimes (own_judgement, read from the mechanism, grade C)" in shown
    assert "EvidenceLine" not in shown


@pytest.mark.parametrize("key", sorted(load().sources))
def test_every_source_can_be_shown(run, key):
    assert run("source", key).exit_code == 0


def test_a_source_lists_the_rows_that_rest_on_it(run):
    rows = [row.id for row in load().rows.values() if SOURCE in (row.source, *row.also)]

    shown = run("source", SOURCE).stdout

    assert [row for row in rows if row not in shown] == []


def test_addresses_stay_whole(run):
    for key, source in load().sources.items():
        if source.url:
            assert source.url in run("source", key).stdout


def test_json_carries_the_row_and_its_source(run):
    told = json.loads(run("source", ROW, "--format", "json").stdout)

    assert (told["id"], told["table"], told["value"]) == (ROW, "target", load().rows[ROW].value)
    assert told["sources"][0]["citation"] == load().sources[SOURCE].citation


def test_a_slip_of_the_pen_is_answered_with_what_is_near(run):
    result = run("source", "target.pea.fifty_noduls")

    assert result.exit_code == 2
    assert "The nearest are: target.pea.fifty_nodules" in " ".join(result.stderr.split())


def test_a_key_like_nothing_points_to_the_list(run):
    assert "--list" in run("source", "zzzzzz").stderr


def test_without_a_key_it_says_what_to_give(run):
    result = run("source")
    assert result.exit_code == 2
    assert "--list" in result.stderr


def test_the_list_names_everything(run):
    shown = run("source", "--list").stdout
    assert [name for name in (*load().rows, *load().sources) if name not in shown] == []


def test_the_list_can_be_narrowed(run):
    told = json.loads(run("source", "--list", "TARGET.pea", "--format", "json").stdout)
    assert ROW in told["rows"]
    assert all("target.pea" in name for name in told["rows"])
    assert run("source", "--list", "zzzzzz").stderr == "Nothing holds the word 'zzzzzz'.\n"


def test_a_book_shows_the_figure_that_it_puts_in_place(run, book):
    with (book / "book.toml").open("a", encoding="utf-8") as file:
        file.write(f'\n[overrides."{ROW}"]\nvalue = 41\n')

    shown = run("source", ROW, "--book", book).stdout

    assert "41 " in shown
    assert "the user's own" in shown
    assert "judgement" in shown
    assert "41 " not in run("source", ROW).stdout


def test_a_target_of_the_books_own_can_be_shown(run, season_book, season):
    (crop, target), *_ = season.settings.local_target.items()

    shown = run("source", f"local_target.{crop}", "--book", season_book).stdout

    assert f"{target.value:g} {target.counting_unit}/plant" in shown
    assert target.source in " ".join(shown.split())
    assert "--book" in run("source", f"local_target.{crop}").stderr


def test_laboratory_figures_of_the_books_own_can_be_shown(run, book):
    with (book / "book.toml").open("a", encoding="utf-8") as file:
        file.write("\n[local_b_value.pea]\nvalue = -1.1\nstandard_error = 0.3\nsource = 'pots, 2025'\n")
        file.write("[local_b_value]\nlentil = -0.7\n")
        file.write("[local_ureide_line.soybean]\nintercept = 0.08\nslope = 0.7\n")

    shown = run("source", "local_b_value.pea", "--book", book).stdout
    assert "mean -1.1, standard deviation 0.3 permil" in shown
    assert "pots, 2025" in shown
    assert "second-hand" in shown
    assert "judgement or memory" in run("source", "local_b_value.lentil", "--book", book).stdout
    assert "0.08 + 0.7 x share" in run("source", "local_ureide_line.soybean", "--book", book).stdout


def test_every_row_that_an_advice_rests_on_can_be_shown(run, season_book, all_advice):
    listed = run("source", "--list", "--book", season_book, "--format", "json").stdout
    rows = {row.row for advice in all_advice for row in advice.basis.rows}
    assert rows - set(json.loads(listed)["rows"]) == set()


def test_grades_in_words():
    assert grade_in_words(Grade.JUDGEMENT) == "C (judgement or memory)"
    assert {grade_in_words(grade)[0] for grade in Grade} == {"A", "B", "C"}
