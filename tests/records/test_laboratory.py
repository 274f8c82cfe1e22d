"""Laboratory results: what is read, every fault by its text, and examples that can be read back."""

import csv
import io
from pathlib import Path

import pytest

from spadework.records.columns import columns_of
from spadework.records.laboratory import (
    LabResultRow,
    SampleKind,
    check_laboratory,
    laboratory_template,
)
from spadework.records.types import Settings
from spadework.records.words import LaboratoryMethod


def read(tmp_path, text, **settings):
    path = tmp_path / "results.csv"
    path.write_text(text, encoding="utf-8")
    return check_laboratory(path, Settings(title="", season="", **settings))


def test_rows_are_read_and_what_is_empty_stays_unknown(tmp_path):
    rows, faults = read(tmp_path, "sample,kind,delta_15n,shoot_n\nL1,legume,0.8,\nR1,Reference,6.1,1.3\n")
    assert faults == ()
    assert [row.kind for row in rows] == [SampleKind.LEGUME, SampleKind.REFERENCE]
    assert (rows[0].delta_15n, rows[0].shoot_n, rows[0].field) == (0.8, None, None)


def test_units_and_marks_of_a_book_hold_here_too(tmp_path):
    rows, faults = read(
        tmp_path,
        "sample;kind;shoot_dry_matter\nL1;legume;5000,5\n",
        units={"mass_per_area": "lb/ac"},
        decimal_mark="comma",
    )
    assert faults == ()
    # A pound is 0.45359237 kg, an acre 0.40468564224 ha.
    assert rows[0].shoot_dry_matter == pytest.approx(5000.5 * 0.45359237 / 0.40468564224)


FAULTS = [
    ("sample,kind\nL1,weed\n", "results.csv line 2, column kind: 'weed' is not one of the words for kind."),
    ("sample,kind,shoot_dry_matter\nL1,legume,5.8\n", "from 100 to 40000 [kg/ha], but the cell says '5.8'"),
    ("sample,kind,delta_15n\nL1,legume,0.8 permil\n", "'0.8 permil' has more in it than the number."),
    ("sample,kind,delta_15n\nL1,legume,n/a\n", "The cell says 'n/a'."),
    ("sample,kind,shoot_n\nL1,legume,26\n", "shoot_n must be a number above 0 and up to 8 [%]"),
    ("sample,delta_15n\nL1,0.8\n", "The column kind is missing"),
    ("sample,kind,delta15n\nL1,legume,0.8\n", "Did you mean delta_15n?"),
    ("sample,kind\nL1,legume\nL1,legume\n", "line 3, column sample: The row is there twice (sample L1)"),
    ("sample,kind\n", "There is a heading line but no row below it."),
    ("", "The file holds no heading line."),
]


@pytest.mark.parametrize(("text", "message"), FAULTS, ids=[message[:30] for _, message in FAULTS])
def test_a_fault_is_told_with_its_place(tmp_path, text, message):
    rows, faults = read(tmp_path, text)
    assert rows is None
    assert message in "\n".join(map(str, faults))


def test_all_faults_come_at_once_in_the_order_of_the_file(tmp_path):
    rows, faults = read(tmp_path, "sample,kind,delta_15n\nL1,weed,none\nL2,legume,400\n")
    assert rows is None
    assert [(fault.line, fault.column) for fault in faults] == [(2, "kind"), (2, "delta_15n"), (3, "delta_15n")]


def test_a_file_that_cannot_be_opened_is_a_fault(tmp_path):
    rows, (fault,) = check_laboratory(tmp_path / "none.csv", Settings(title="", season=""))
    assert rows is None
    assert fault.kind == "file.unreadable"


@pytest.mark.parametrize("method", LaboratoryMethod)
def test_an_example_can_be_read_back(tmp_path, method):
    rows, faults = read(tmp_path, laboratory_template(method))
    assert faults == ()
    legumes = [row for row in rows if row.kind is SampleKind.LEGUME]
    references = [row for row in rows if row.kind is SampleKind.REFERENCE]
    assert len(legumes) == 4
    assert len(references) == (0 if method is LaboratoryMethod.UREIDES else 4)
    columns = next(csv.reader(io.StringIO(laboratory_template(method))))
    measured = [name for name in columns[6:] if name not in ("grain_dry_matter", "grain_n")]
    assert all(getattr(row, name) is not None for row in legumes for name in measured)


def test_every_column_is_in_some_example_and_explains_itself():
    shown = {name for method in LaboratoryMethod for name in laboratory_template(method).splitlines()[0].split(",")}
    plans = columns_of(LabResultRow)
    assert shown | {"note"} == {plan.name for plan in plans}
    assert all(plan.meaning.description and plan.meaning.example for plan in plans)


def test_every_column_and_method_stands_in_the_guide():
    guide = (Path(__file__).resolve().parents[2] / "docs" / "laboratory.md").read_text(encoding="utf-8")
    names = [*(plan.name for plan in columns_of(LabResultRow)), *LaboratoryMethod]
    assert [name for name in names if f"`{name}`" not in guide] == []
