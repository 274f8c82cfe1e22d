import pytest
from pydantic import ValidationError

from spadework.records.columns import columns_of
from spadework.records.lab_result import FieldLabResultRow, LabResultRow
from spadework.records.types import TABLES, Book, FieldRow, Settings


def test_a_book_asks_for_the_field_and_a_table_of_its_own_does_not():
    assert LabResultRow(sample="L1", kind="legume").field is None
    with pytest.raises(ValidationError, match="field"):
        FieldLabResultRow(sample="L1", kind="legume")


def test_both_tables_have_the_same_columns():
    assert [plan.name for plan in columns_of(FieldLabResultRow)] == [plan.name for plan in columns_of(LabResultRow)]
    assert FieldLabResultRow in TABLES


def test_samples_of_a_book_are_gathered_by_field():
    rows = tuple(FieldLabResultRow(field=name, sample="L1", kind="legume") for name in ("west", "east"))
    fields = tuple(FieldRow(field=name, crop="pea") for name in ("east", "west"))
    book = Book(settings=Settings(title="Tiny", season="2026"), fields=fields, lab_results=rows)
    assert [held.lab_results[0].field for held in book.by_field().values()] == ["east", "west"]
