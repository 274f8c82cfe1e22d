import dataclasses
import json

import pytest
from tests.advice.nitrogen.fields import a_balance_field
from tests.advice.test_calibration import HALF, measured_field
from tests.factories import DUG, a_book

from spadework.advice.next_step import attention_order
from spadework.cli.choices import PaperSize, UnitSystem
from spadework.cli.exits import ExitCode
from spadework.cli.season import Wanted, assess_season, ends_with


@pytest.fixture
def three(season):
    return list(season.by_field().values())[:3]


@pytest.fixture
def wanted(season):
    return Wanted(
        today=season.settings.today,
        units=UnitSystem.METRIC,
        paper=PaperSize.A4,
        out=None,
        pdf=True,
        jobs=1,
    )


def files(folder):
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())


def test_nothing_is_written_unasked(season, three, wanted, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert len(assess_season(three, season.settings, wanted)) == 3
    assert files(tmp_path) == []


def test_tables_only(season, three, wanted, tmp_path):
    assess_season(three, season.settings, dataclasses.replace(wanted, out=tmp_path, pdf=False))
    assert files(tmp_path) == ["verdicts.csv", "verdicts.json"]


def test_tables_and_reports(season, three, wanted, tmp_path):
    all_advice = assess_season(three, season.settings, dataclasses.replace(wanted, out=tmp_path))

    reports = [f"fields/{records.field.field}.pdf" for records in three]
    assert files(tmp_path) == sorted(["season.pdf", "verdicts.csv", "verdicts.json", *reports])
    for name in ["season.pdf", *reports]:
        assert (tmp_path / name).read_bytes().startswith(b"%PDF")
    told = json.loads((tmp_path / "verdicts.json").read_text("utf-8"))["fields"]
    assert [field["field"] for field in told] == [advice.field for advice in all_advice]


def test_what_needs_attention_comes_first(season, wanted):
    all_advice = assess_season(list(season.by_field().values()), season.settings, wanted)
    assert [advice.field for advice in all_advice] == [a.field for a in sorted(all_advice, key=attention_order)]
    judged = [advice.verdict.leading for advice in all_advice if advice.verdict and advice.timing.in_time]
    assert (judged[0], judged[-1]) == ("poor", "adequate")


def test_a_field_whose_name_is_no_file_name(season, three, wanted, tmp_path):
    strange = dataclasses.replace(three[0], field=three[0].field.model_copy(update={"field": "../../up"}))

    assess_season([strange], season.settings, dataclasses.replace(wanted, out=tmp_path / "out"))

    (name,) = [name for name in files(tmp_path) if name.startswith("out/fields/")]
    assert name.startswith("out/fields/field-_.._up~")
    assert [name for name in files(tmp_path) if not name.startswith("out/")] == []


def test_a_run_without_any_verdict_is_told_apart(all_advice):
    without = [dataclasses.replace(advice, verdict=None) for advice in all_advice]

    assert ends_with(all_advice) is ExitCode.DONE
    assert ends_with([all_advice[0], *without]) is ExitCode.DONE
    assert ends_with(without) is ExitCode.NOT_ANSWERABLE
    assert ends_with([]) is ExitCode.NOT_ANSWERABLE


def test_a_field_is_read_by_what_was_measured_in_fields_that_are_not_asked_for():
    asked, measured = a_balance_field(HALF), measured_field("measured", 0.2)
    wanted = Wanted(today=DUG, units=UnitSystem.METRIC, paper=PaperSize.A4, out=None, pdf=False, jobs=1)

    def reasons(*book):
        (advice,) = assess_season([asked], a_book(), wanted, book=book)
        return {reason.id for reason in advice.nitrogen.reasons}

    assert "nitrogen.reason.corrected" in reasons(asked, measured)
    assert "nitrogen.reason.corrected" not in reasons(asked)
