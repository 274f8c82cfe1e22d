"""What ``assess`` is given: a book's folder, or a plants table alone."""

from __future__ import annotations

import datetime as dt
import difflib
import shlex
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from spadework.cli.choices import crop_named
from spadework.errors import BookFaults

if TYPE_CHECKING:
    from spadework.knowledge.rows import Crop
    from spadework.records.types import DigRow, FieldRecords, PlantRow, Settings

__all__ = [
    "Counted",
    "Opened",
    "PlantsAlone",
    "choose_fields",
    "one_field",
    "open_records",
    "tell_what_is_left_out",
]


class Counted(StrEnum):
    """What the scorer counted, where no digs table says so."""

    NODULE = "nodule"
    CLUSTER = "cluster"


@dataclass(frozen=True)
class PlantsAlone:
    """What the command line adds to a plants table that stands alone."""

    crop: str | None = None
    counted: Counted | None = None
    stage_bbch: int | None = None

    @property
    def given(self) -> list[str]:
        """Names of the options that were used."""
        options = {"--crop": self.crop, "--counted": self.counted, "--stage": self.stage_bbch}
        return [name for name, value in options.items() if value is not None]


@dataclass(frozen=True)
class Opened:
    """Settings, the records of each field in the order of the file, and how many warnings reading gave."""

    settings: Settings
    fields: dict[str, FieldRecords]
    warnings: int


def open_records(path: Path, said: PlantsAlone) -> Opened:
    """Read a book, or a plants table with what the command line says about it.

    Raises BookFaults or RecordError for records that cannot be used, BadParameter for options that do
    not go with what was given.
    """
    if path.is_dir():
        return _open_book(path, said)
    return _open_plants(path, said)


def choose_fields(opened: Opened, wanted: Sequence[str]) -> list[FieldRecords]:
    """Return the fields asked for, in the order of the records; all of them where none was named."""
    for field_id in wanted:
        if field_id not in opened.fields:
            close = difflib.get_close_matches(field_id, opened.fields, n=3) or list(opened.fields)[:8]
            raise typer.BadParameter(
                f"There is no field {field_id!r}. Did you mean {', '.join(close)}?", param_hint="--field"
            )
    return [records for field_id, records in opened.fields.items() if not wanted or field_id in wanted]


def one_field(opened: Opened, wanted: str | None) -> FieldRecords:
    """Return the one field asked for; need not be named where the records have one alone."""
    if wanted is None and len(opened.fields) > 1:
        some = ", ".join(list(opened.fields)[:8])
        raise typer.BadParameter(f"Name one field of the book, such as {some}.", param_hint="--field")
    if not opened.fields:
        raise typer.BadParameter("There are no fields in the book. Add them to fields.csv.", param_hint="BOOK")
    (records,) = choose_fields(opened, [] if wanted is None else [wanted])
    return records


def tell_what_is_left_out(opened: Opened, path: Path, today: dt.date, chosen: Sequence[FieldRecords]) -> None:
    """Say on stderr that there are warnings about the records, and digs that a day does not know yet."""
    if opened.warnings:
        said = "1 warning" if opened.warnings == 1 else f"{opened.warnings} warnings"
        typer.echo(f"{said} about the records: `spadework check {shlex.quote(str(path))}` tells.", err=True)
    days = {(row.field, row.date) for records in chosen for row in records.digs}
    days |= {(row.field, row.date) for records in chosen for row in records.plants}
    later = sum(day > today for _, day in days)
    if later:
        said = f"1 dig after {today} is" if later == 1 else f"{later} digs after {today} are"
        typer.echo(f"{said} left out.", err=True)


def _open_book(folder: Path, said: PlantsAlone) -> Opened:
    from spadework.cli.named_rows import check_whole_book

    if said.given:
        go = "goes" if len(said.given) == 1 else "go"
        raise typer.BadParameter(
            f"{_and(said.given)} {go} with a plants table alone. In a book, fields.csv names the crop "
            "and digs.csv the stage and the counting unit.",
            param_hint="BOOK",
        )
    book, faults = check_whole_book(folder)
    if book is None:
        raise BookFaults(faults)
    return Opened(book.settings, book.by_field(), len(faults))


def _and(names: Sequence[str]) -> str:
    return " and ".join(filter(None, (", ".join(names[:-1]), names[-1])))


def _open_plants(path: Path, said: PlantsAlone) -> Opened:
    from spadework.records.read import check_plants_alone
    from spadework.records.types import FieldRecords, FieldRow, Settings

    crop = _crop(said.crop)
    read, faults = check_plants_alone(path)
    if read is None:
        raise BookFaults(faults)
    plants: dict[str, list[PlantRow]] = {}
    for row in read:
        plants.setdefault(row.field, []).append(row)
    fields = {
        field_id: FieldRecords(field=FieldRow(field=field_id, crop=crop), digs=_digs(rows, said), plants=tuple(rows))
        for field_id, rows in plants.items()
    }
    return Opened(Settings(title=path.stem, season=""), fields, len(faults))


def _crop(name: str | None) -> Crop:
    from spadework.knowledge.rows import Crop

    if name is None:
        raise typer.BadParameter(
            f"A plants table alone does not say which crop it is: add --crop with one of {', '.join(Crop)}.",
            param_hint="--crop",
        )
    return crop_named(name)


def _digs(rows: Sequence[PlantRow], said: PlantsAlone) -> tuple[DigRow, ...]:
    """Return a dig for each day of a field's plants; the stage is that of the last one."""
    from spadework.records.types import CountingUnit, DigRow

    counted = None if said.counted is None else CountingUnit(said.counted.value)
    dates = sorted({row.date for row in rows})
    return tuple(
        DigRow(
            field=rows[0].field,
            date=date,
            stage_bbch=said.stage_bbch if date == dates[-1] else None,
            counting_unit=counted,
        )
        for date in dates
    )
