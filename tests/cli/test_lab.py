import json

import pytest

from spadework.records.laboratory import laboratory_template
from spadework.records.new import new_book
from spadework.records.words import LaboratoryMethod


@pytest.fixture
def results(tmp_path):
    """Write an example table, by default of natural abundance, and return its path."""

    def write(method=LaboratoryMethod.NATURAL_ABUNDANCE, change=lambda text: text):
        path = tmp_path / "results.csv"
        path.write_text(change(laboratory_template(method)), encoding="utf-8")
        return str(path)

    return write


def flat(text):
    return " ".join(text.split())


@pytest.mark.parametrize("method", LaboratoryMethod)
def test_a_template_is_printed_as_it_is_and_can_be_measured(run, results, method):
    assert run("lab", "--template", method).stdout == laboratory_template(method)
    line = ("--ureide-line", "0.1,0.8") if method is LaboratoryMethod.UREIDES else ()

    result = run("lab", results(method), "--crop", "soybean", "--method", method, *line)

    assert result.exit_code == 0
    assert "north-12" in result.stdout


def test_the_share_comes_with_interval_sensitivity_and_warnings(run, results):
    shown = flat(run("lab", results(), "--crop", "soybean", "--method", "natural_abundance").stdout)

    assert "67 % 59 to 75 % 4 + 4 fair" in shown
    assert "If B were 1 permil lower the share would be 60 %" in shown
    assert "By the reference plant: 65 % with thistle alone, 69 % with ryegrass alone." in shown
    assert "A share is not an amount" in shown


def test_a_figure_of_ones_own_for_b_is_taken(run, results):
    path = results()
    own = run("lab", path, "--crop", "pea", "--b-value", "-0.7", "--b-sd", "0.3", "--format", "json")
    (field,) = json.loads(own.stdout)["fields"]

    assert field["methods"][0]["b_value"]["value"] == -0.7
    named = run("lab", path, "--crop", "field pea", "--b-value", "b_value.pea.remembered")
    assert named.exit_code == 2
    assert "'field pea' is not a crop that Spadework knows" in flat(named.stderr)
    named = run("lab", path, "--crop", "Pea", "--b-value", "b_value.pea.remembered")
    assert named.exit_code == 0
    assert "Rest on judgement (grade C)" in named.stdout
    assert "b_value.pea.remembered" in named.stdout


def test_without_any_share_it_ends_with_3_and_says_why(run, results):
    result = run("lab", results(), "--crop", "lupin", "--method", "natural_abundance")

    assert result.exit_code == 3
    assert "No B value of lupin is known here." in flat(result.stdout)
    assert result.stderr == "No share can be given; the reasons stand with each method.\n"


def test_faults_of_the_table_end_with_1_and_are_all_listed(run, results):
    path = results(change=lambda text: text.replace("legume", "bean", 1).replace("5.7", "none"))
    result = run("lab", path, "--crop", "soybean")

    assert result.exit_code == 1
    assert "2 faults found" in result.stderr
    assert "results.csv line 2, column kind" in result.stderr
    assert "results.csv line 7, column delta_15n" in result.stderr


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((), "Name the table of results; --template METHOD prints one"),
        (("FILE",), "Name the legume with --crop"),
        (("FILE", "--crop", "maize"), "'maize' is not a crop that Spadework knows"),
        (("FILE", "--crop", "pea", "--b-value", "low"), "'low' is neither a figure in permil, such as -1.2, nor the"),
        (("FILE", "--crop", "pea", "--b-value", "nan"), "'nan' is neither a figure in permil"),
        (("FILE", "--crop", "pea", "--ureide-line", "0.1"), "'0.1' is no line. Write intercept and slope"),
        (("FILE", "--crop", "pea", "--ureide-line", "0.1,0"), "'0.1,0' is no line: slope must be above 0"),
        (("FILE", "--crop", "pea", "--ureide-line", "8,70"), "shares are meant, so that 8 % is 0.08"),
        (("FILE", "--crop", "pea", "--ureide-line", "0.1,0.5,1,0"), "not per cent, the lowest below the highest"),
    ],
)
def test_what_is_not_understood_is_answered_with_what_would_be(run, results, arguments, message):
    path = results()
    result = run("lab", *(path if argument == "FILE" else argument for argument in arguments))

    assert result.exit_code == 2
    assert message in flat(result.stderr.replace("│", " "))


def test_a_row_that_is_no_b_value_of_the_crop_is_refused(run, results):
    result = run("lab", results(), "--crop", "soybean", "--b-value", "b_value.pea.remembered")

    assert result.exit_code == 1
    assert "is not a B value of soybean" in result.stderr


def test_a_row_that_is_not_there_names_those_that_are(run, results):
    result = run("lab", results(), "--crop", "pea", "--b-value", "b_value.pea.field_mean")

    assert result.exit_code == 1
    assert "the rows are b_value.pea.remembered; or give your own figure in permil" in flat(result.stderr)


def test_the_method_asked_for_names_the_columns_that_it_lacks(run, results):
    result = run("lab", results(), "--crop", "soybean", "--method", "isotope_dilution", "--method", "ureides")

    assert result.exit_code == 3
    shown = flat(result.stdout)
    assert "Isotope dilution needs atom_percent_excess" in shown
    assert "Ureides need ureides, nitrate and amino_n" in shown
    assert "delta_15n" not in shown


def test_b_value_and_line_of_a_book_are_used_and_named_as_its_own(run, results, tmp_path):
    book = tmp_path / "book"
    new_book(book)
    settings = book / "book.toml"
    own = "\n[local_b_value]\npea = -1.0\n[local_ureide_line.soybean]\nintercept = 0.1\nslope = 0.8\n"
    settings.write_text(settings.read_text("utf-8") + own)
    result = run("lab", results(), "--crop", "pea", "--method", "natural_abundance", "--book", str(book))

    assert result.exit_code == 0
    assert "local_b_value.pea" in result.stdout
    told = run(
        "lab",
        results(LaboratoryMethod.UREIDES),
        "--crop",
        "soybean",
        "--method",
        "ureides",
        "--book",
        str(book),
        "--format",
        "json",
    )
    assert json.loads(told.stdout)["fields"][0]["methods"][0]["share"]["sources"][-1] == "local_ureide_line.soybean"


def test_figures_of_a_book_are_used(run, results, tmp_path):
    book = tmp_path / "book"
    new_book(book)
    settings = book / "book.toml"
    settings.write_text(settings.read_text("utf-8") + '\n[overrides."b_value.soybean.published_mean"]\nvalue = -1.0\n')
    result = run("lab", results(), "--crop", "soybean", "--book", str(book), "--format", "json")

    assert result.exit_code == 0
    assert json.loads(result.stdout)["fields"][0]["methods"][0]["b_value"]["value"] == -1.0


def test_a_book_at_fault_is_told(run, results, tmp_path):
    (tmp_path / "empty").mkdir()
    result = run("lab", results(), "--crop", "soybean", "--book", str(tmp_path / "empty"))

    assert result.exit_code == 1
    assert "book.toml" in result.stderr
