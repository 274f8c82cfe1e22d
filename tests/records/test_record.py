from spadework.records.lab_result import LabResultRow
from spadework.records.types import InoculationRow


def test_the_line_of_a_row_is_no_part_of_it():
    one, other = (InoculationRow(field="west", form="peat", line=line) for line in (2, 7))
    assert one == other
    assert hash(one) == hash(other)
    assert one != InoculationRow(field="east", form="peat", line=2)


def test_rows_of_different_tables_are_never_alike():
    assert InoculationRow(field="west", form="peat") != LabResultRow(field="west", sample="1", kind="legume")
