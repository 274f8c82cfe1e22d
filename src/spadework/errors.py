"""What can go wrong, by kind.

::

    SpadeworkError
    ├── RecordError       a record cannot be read as it stands (also a ValueError)
    ├── BookFaults        every fault of a book, collected and shown together
    ├── KnowledgeError    a row of the knowledge tables is not fit for use
    ├── DomainError       an argument lies outside the range a formula holds for (also a ValueError)
    └── NotAnswerable     a question needs a record that is not there

Messages say what, where, the value seen, the values allowed and how to mend it. Only the edges
(command line, later the web) turn these into exit codes; a bug still shows its traceback.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = [
    "BookFaults",
    "DomainError",
    "Fault",
    "KnowledgeError",
    "NotAnswerable",
    "RecordError",
    "SpadeworkError",
]


class SpadeworkError(Exception):
    """Root of all errors that Spadework raises on purpose."""


@dataclass(frozen=True, order=True)
class Fault:
    """One thing wrong in a book: where it is, what is wrong, how to mend it.

    ``line`` is the line in the file as an editor counts it (1 is the heading line of a table);
    ``None`` where the fault is the whole file's. ``kind`` is a stable dotted id
    (``plants.colour.more_than_cut``); ``severity`` is ``"error"`` or ``"warning"``.
    """

    file: str
    line: int | None
    column: str | None
    kind: str
    what: str
    mend: str
    severity: str = "error"

    def __str__(self) -> str:
        place = self.file
        if self.line is not None:
            place += f" line {self.line}"
        if self.column is not None:
            place += f", column {self.column}"
        return f"{place}: {self.what} {self.mend}"


class RecordError(SpadeworkError, ValueError):
    """A record cannot be read; carries the fault with file, line and column."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(str(fault))
        self.fault = fault


class BookFaults(SpadeworkError):
    """A book holds faults that stop it from being used; carries them all, in file order."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        lines = "\n".join(str(fault) for fault in faults)
        super().__init__(f"{len(faults)} fault{'s' if len(faults) != 1 else ''} found:\n{lines}")
        self.faults = faults


class KnowledgeError(SpadeworkError):
    """A knowledge row is missing or malformed; names table and row id, and the file where one was read."""

    def __init__(self, table: str, row_id: str, what: str, *, file: str | None = None) -> None:
        where = "" if file is None else f"{file}: "
        super().__init__(f"{where}knowledge table {table}, row {row_id}: {what}")
        self.table = table
        self.row_id = row_id
        self.what = what
        self.file = file


class DomainError(SpadeworkError, ValueError):
    """An argument lies outside the range that a formula holds for."""

    def __init__(self, argument: str, value: object, allowed: str, *, index: int | None = None) -> None:
        where = "" if index is None else f" at position {index}"
        super().__init__(f"{argument} must be {allowed}, but is {value!r}{where}.")
        self.argument = argument
        self.value = value
        self.index = index


class NotAnswerable(SpadeworkError):
    """A question needs a record that the book does not hold; names it and what it would add."""

    def __init__(self, record: str, adds: str) -> None:
        super().__init__(f"{record} is not recorded; it would add {adds}.")
        self.record = record
        self.adds = adds
