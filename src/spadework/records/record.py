"""What all rows of a book share: how they are compared, and the kinds of text that their cells hold."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, ClassVar

from pydantic import BaseModel, ConfigDict, Field

from spadework.records.words import Column

__all__ = ["Day", "FieldId", "LongText", "Name", "Note", "Record", "ShortName", "Text"]

# Control characters make spreadsheets and terminals stumble; only a note may run over several lines.
_ONE_LINE = r"^[^\x00-\x1f\x7f]*$"
_LINES = r"^[^\x00-\x08\x0b\x0c\x0e-\x1f\x7f]*$"

Name = Annotated[str, Field(min_length=1, max_length=40, pattern=_ONE_LINE)]
ShortName = Annotated[str, Field(min_length=1, max_length=20, pattern=_ONE_LINE)]
Text = Annotated[str, Field(min_length=1, max_length=200, pattern=_ONE_LINE)]
LongText = Annotated[str, Field(min_length=1, max_length=2000, pattern=_LINES)]
Day = Annotated[dt.date, Field(ge=dt.date(1900, 1, 1), le=dt.date(2100, 12, 31))]

FieldId = Annotated[Name, Column("Short name of the field, used in every table", "north-12")]
Note = Annotated[LongText | None, Column("Anything else worth remembering", "hail on the 4th")]


class Record(BaseModel):
    """One row of a table."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", populate_by_name=True, str_strip_whitespace=True, allow_inf_nan=False
    )

    file: ClassVar[str] = ""
    title: ClassVar[str] = ""
    key: ClassVar[tuple[str, ...]] = ()
    line: Annotated[int | None, Field(exclude=True)] = None
    """Line in the file it came from, for messages; not a column."""

    def __eq__(self, other: object) -> bool:
        """Compare what was written down; the line it stands on is no part of it."""
        if type(self) is not type(other):
            return NotImplemented
        return {**self.__dict__, "line": None} == {**other.__dict__, "line": None}

    def __hash__(self) -> int:
        return hash(tuple(value for name, value in self.__dict__.items() if name != "line"))
