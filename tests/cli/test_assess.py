import csv
import io
import json
import re

import pytest

from spadework.advice.schema import ADVICE_SCHEMA_ID


def files(folder):
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def table(text):
    return list(csv.DictReader(io.StringIO(text)))


@pytest.fixture
def plants(tmp_path):
    path = tmp_path / "plants.csv"
    rows = [f"n,2026-06-24,{1 + plant % 3},{plant},{60 + plant},5,5,0,0" for plant in range(12)]
    heading = "field,date,stop,plant,crown_nodules,cut_open,red_pink,white,green_brown"
    # A plant counts only where both zones were counted.
    path.write_text("\n".join([f"{heading},lateral_nodules", *(f"{row},9" for row in rows)]) + "\n")
    return path


def test_the_example_book_gets_a_verdict(run, book):
    result = run("assess", book)

    assert result.exit_code == 0
    assert re.search(r"north-12 .*(poor|borderline|adequate)", result.stdout)
    assert "Cautions" in result.stdout
    assert result.stderr == ""


def test_writes_verdicts_and_reports_whole(run, book, tmp_path):
    out = tmp_path / "deep" / "verdicts"

    result = run("assess", book, "--out", out)

    assert result.exit_code == 0
    assert sorted(files(out)) == ["fields/north-12.pdf", "season.pdf", "verdicts.csv", "verdicts.json"]
    assert result.stdout.endswith(f"Written to {out}.\n")


def test_json_on_stdout_is_json_and_nothing_else(run, book, tmp_path):
    result = run("assess", book, "--format", "json", "--out", tmp_path / "out", "--no-pdf")

    document = json.loads(result.stdout)
    assert document["schema"] == ADVICE_SCHEMA_ID
    assert [field["field"] for field in document["fields"]] == ["north-12"]
    assert (tmp_path / "out" / "verdicts.json").read_text("utf-8") == result.stdout


def test_csv_on_stdout_is_the_file(run, season_book, tmp_path):
    result = run("assess", season_book, "--format", "csv", "--out", tmp_path / "out", "--no-pdf")

    assert (tmp_path / "out" / "verdicts.csv").read_text("utf-8") == result.stdout
    assert sorted(files(tmp_path / "out")) == ["verdicts.csv", "verdicts.json"]


def test_the_same_records_give_the_same_bytes(run, season_book, tmp_path):
    chosen = ["--field", "north-01", "--field", "north-05", "--field", "south-02"]
    first = run("assess", season_book, *chosen, "--out", tmp_path / "a")
    second = run("assess", season_book, *chosen, "--out", tmp_path / "b", "--jobs", "2")

    assert files(tmp_path / "a") == files(tmp_path / "b")
    assert first.stdout.replace(str(tmp_path / "a"), "") == second.stdout.replace(str(tmp_path / "b"), "")


def test_only_the_fields_asked_for(run, season_book):
    rows = table(run("assess", season_book, "--field", "south-02", "--field", "north-05", "--format", "csv").stdout)
    assert sorted(row["field"] for row in rows) == ["north-05", "south-02"]


def test_a_field_that_is_not_there(run, season_book):
    result = run("assess", season_book, "--field", "nort-01")
    assert result.exit_code == 2
    assert "Did you mean north-01" in " ".join(result.stderr.split())


def test_the_day_can_be_chosen(run, book):
    # The example was dug on 24 June 2026; the day before, it had not been.
    before = run("assess", book, "--today", "2026-06-23", "--format", "csv")
    after = run("assess", book, "--today", "2026-06-24", "--format", "csv")

    assert [table(result.stdout)[0]["dug_on"] for result in (before, after)] == ["", "2026-06-24"]
    assert [result.exit_code for result in (before, after)] == [3, 0]


def test_a_day_in_another_form_is_refused(run, book):
    result = run("assess", book, "--today", "24/06/2026")
    assert result.exit_code == 2
    assert "2026-06-24" in result.stderr


def test_no_verdict_at_all_ends_with_three_and_still_answers_when(run, book, tmp_path):
    heading = (book / "plants.csv").read_text("utf-8").splitlines()[0]
    (book / "plants.csv").write_text(heading + "\n", "utf-8")
    (book / "digs.csv").unlink()

    result = run("assess", book, "--out", tmp_path / "out")

    assert result.exit_code == 3
    assert result.stderr.startswith("No field has a verdict yet")
    assert "north-12" in result.stdout
    assert "plants dug: how well the crop is nodulated" in result.stdout
    assert "fields/north-12.pdf" in files(tmp_path / "out")


def test_a_book_with_faults_is_refused_with_all_of_them(run, book, tmp_path):
    plants = book / "plants.csv"
    text = plants.read_text("utf-8").replace("11-20", "eleven", 1).replace("under_2_mm", "tiny", 1)
    plants.write_text(text.replace("2026-06-24", "24th of June", 1), "utf-8")

    result = run("assess", book, "--out", tmp_path / "out")

    assert result.exit_code == 1
    assert "plants.csv line 2, column date" in result.stderr
    assert "column lateral_nodules" in result.stderr
    assert result.stdout == ""
    assert not (tmp_path / "out").exists()


def test_warnings_are_counted_and_stay_out_of_the_data(run, book):
    (book / "shopping.csv").write_text("what\nmilk\n")

    result = run("assess", book, "--format", "json")

    assert result.exit_code == 0
    assert result.stderr == f"1 warning about the records: `spadework check {book}` tells.\n"
    assert json.loads(result.stdout)["fields"]


def test_a_place_that_cannot_be_written_ends_with_four(run, book, tmp_path):
    (tmp_path / "taken").write_text("mine")

    result = run("assess", book, "--out", tmp_path / "taken")

    assert result.exit_code == 4
    assert "name another folder with --out" in result.stderr
    assert (tmp_path / "taken").read_text() == "mine"


def test_verdicts_are_not_written_among_the_records(run, book, plants):
    before = files(book)

    result = run("assess", book, "--out", book)

    assert result.exit_code == 2
    assert "among the records" in result.stderr
    assert files(book) == before
    verdicts = plants.rename(plants.with_name("verdicts.csv"))
    assert run("assess", verdicts, "--crop", "pea", "--out", verdicts.parent).exit_code == 2


def test_files_of_others_in_the_folder_are_left_alone(run, book, tmp_path):
    out = tmp_path / "out"
    (out / "fields").mkdir(parents=True)
    (out / "notes.txt").write_text("mine")
    (out / "fields" / "other.pdf").write_bytes(b"mine")
    (out / "verdicts.csv").write_text("old")

    run("assess", book, "--out", out)

    written = files(out)
    assert (written["notes.txt"], written["fields/other.pdf"]) == (b"mine", b"mine")
    assert written["verdicts.csv"].startswith(b"field,")


def test_units_and_paper_reach_the_page(run, book, tmp_path):
    pypdf = pytest.importorskip("pypdf")
    run("assess", book, "--out", tmp_path, "--units", "us", "--paper", "letter")

    page = pypdf.PdfReader(tmp_path / "fields" / "north-12.pdf").pages[0]
    # Letter is 8.5 x 11 inches (ANSI/ASME Y14.1, size A); a point is 1/72 inch.
    assert [float(side) for side in page.mediabox[2:]] == pytest.approx([612, 792], abs=0.5)
    assert "degree_days_degF_d" in (tmp_path / "verdicts.csv").read_text("utf-8")


def test_the_seed_is_told(run, book):
    told = json.loads(run("assess", book, "--seed", "7", "--format", "json").stdout)
    assert told["fields"][0]["basis"]["seed"] == 7


def test_a_plants_table_alone_is_answered_as_far_as_it_goes(run, plants):
    result = run("assess", plants, "--crop", "pea", "--stage", "61", "--today", "2026-06-25")

    assert result.exit_code == 0
    assert re.search(r"n .*adequate", result.stdout)
    # Whatever else could be recorded is named with what it would add.
    for record in (
        "day of sowing",
        "day of emergence",
        "daily weather",
        "latitude",
        "vigour of the plants",
        "inoculation",
    ):
        assert f"\n  {record}: " in result.stdout


def test_a_plants_table_alone_without_its_stage_cannot_tell_the_time(run, plants):
    (row,) = table(run("assess", plants, "--crop", "pea", "--today", "2026-06-25", "--format", "csv").stdout)
    assert (row["timing"], row["verdict"]) == ("unknown", "adequate")
    assert "stage_bbch" in row["missing"]


def test_clusters_are_not_taken_for_nodules(run, plants):
    in_nodules, in_clusters = (
        table(run("assess", plants, "--crop", "pea", "--counted", unit, "--format", "csv").stdout)[0]
        for unit in ("nodule", "cluster")
    )
    assert (in_nodules["counting_unit"], in_clusters["counting_unit"]) == ("nodule", "cluster")
    assert in_nodules["target_scheme"] != in_clusters["target_scheme"]


def test_a_plants_table_without_rows(run, plants):
    plants.write_text(plants.read_text().splitlines()[0] + "\n")
    result = run("assess", plants, "--crop", "pea")
    assert result.exit_code == 1
    assert "Add a row for each plant" in result.stderr


def test_order_of_rows_does_not_matter(run, season_book):
    before = run("assess", season_book, "--format", "csv").stdout
    for name in ("plants.csv", "digs.csv", "weather.csv", "fields.csv"):
        heading, *rows = (season_book / name).read_text("utf-8").splitlines()
        (season_book / name).write_text("\n".join([heading, *reversed(rows)]) + "\n", "utf-8")

    assert run("assess", season_book, "--format", "csv").stdout == before


def test_digs_after_the_day_of_the_advice_are_said_to_be_left_out(run, book, season_book):
    day_before = run("assess", book, "--today", "2026-05-10")
    assert "1 dig after 2026-05-10 is left out.\n" in day_before.stderr

    later = run("assess", season_book, "--field", "north-01", "--today", "2026-12-31")
    assert "left out" not in later.stderr

    assert re.search(
        r"^\d+ digs after 2026-01-01 are left out\.$", run("assess", season_book, "--today", "2026-01-01").stderr, re.M
    )


@pytest.mark.parametrize(
    ("option", "value", "said"),
    [
        ("--units", "uk", "'uk' is not one of 'metric', 'us', 'canada'."),
        ("--stage", "200", "It must be 99 or less, but is 200."),
        ("--jobs", "0", "It must be 1 or more, but is 0."),
        ("--seed", "x", "'x' is not a whole number."),
    ],
)
def test_a_value_that_an_option_does_not_take_is_answered_in_plain_words(run, book, option, value, said):
    result = run("assess", book, option, value)

    assert result.exit_code == 2
    assert result.stderr.splitlines()[-1] == f"Error: Invalid value for '{option}': {said}"
