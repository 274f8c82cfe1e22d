"""Errors say what, where and how to mend it."""

import pytest

from spadework.errors import BookFaults, DomainError, Fault, KnowledgeError, NotAnswerable, RecordError, SpadeworkError

FAULT = Fault(
    file="plants.csv",
    line=14,
    column="crown_nodules",
    kind="plants.count.negative",
    what="Crown nodules are -3, and a count is 0 or more.",
    mend="Correct it, or leave it empty if nobody counted.",
)


def test_a_fault_reads_as_place_what_and_mend():
    assert str(FAULT) == (
        "plants.csv line 14, column crown_nodules: Crown nodules are -3, and a count is 0 or more. "
        "Correct it, or leave it empty if nobody counted."
    )


def test_a_fault_of_a_whole_file_names_only_the_file():
    fault = Fault(file="book.toml", line=None, column=None, kind="book.missing", what="There is none.", mend="Make it.")
    assert str(fault) == "book.toml: There is none. Make it."


def test_a_record_error_carries_its_fault_and_is_a_value_error():
    error = RecordError(FAULT)
    assert error.fault is FAULT
    assert isinstance(error, ValueError)


@pytest.mark.parametrize(("number", "words"), [(1, "1 fault found"), (2, "2 faults found")])
def test_book_faults_list_all_of_them(number, words):
    error = BookFaults((FAULT,) * number)
    assert str(error).startswith(words)
    assert str(error).count("plants.csv line 14") == number


def test_a_knowledge_error_names_table_and_row():
    assert "table target, row target.pea" in str(KnowledgeError("target", "target.pea", "has no unit"))


def test_a_domain_error_names_argument_value_bounds_and_place():
    error = DomainError("tmax", 3.0, "at least tmin (5)", index=2)
    assert str(error) == "tmax must be at least tmin (5), but is 3.0 at position 2."
    assert str(DomainError("mean", 2, "between 0 and 1")) == "mean must be between 0 and 1, but is 2."


def test_not_answerable_says_which_record_and_what_it_would_add():
    error = NotAnswerable("a target", "the share adequate")
    assert str(error) == "a target is not recorded; it would add the share adequate."
    assert (error.record, error.adds) == ("a target", "the share adequate")


@pytest.mark.parametrize(
    "error", [RecordError(FAULT), BookFaults((FAULT,)), KnowledgeError("a", "b", "c"), DomainError("a", 1, "2")]
)
def test_everything_raised_on_purpose_has_one_root(error):
    assert isinstance(error, SpadeworkError)
