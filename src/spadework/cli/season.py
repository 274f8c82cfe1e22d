"""One run over a season's fields: the advice of each, and the files where they are wanted."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from spadework.cli.choices import PaperSize, UnitSystem
from spadework.cli.exits import ExitCode
from spadework.cli.outfolder import OutFolder, file_names
from spadework.cli.screen import progress
from spadework.cli.workers import Order, factors_of_book, work_through

if TYPE_CHECKING:
    from spadework.advice.value import FieldAdvice
    from spadework.records.types import FieldRecords, Settings

__all__ = ["Wanted", "assess_season", "ends_with"]


@dataclass(frozen=True)
class Wanted:
    """What a run is asked for. Without ``out`` nothing is written; ``pdf`` asks for the reports too."""

    today: dt.date
    units: UnitSystem
    paper: PaperSize
    out: Path | None
    pdf: bool
    jobs: int


def assess_season(
    fields: Sequence[FieldRecords], settings: Settings, wanted: Wanted, *, book: Iterable[FieldRecords] | None = None
) -> list[FieldAdvice]:
    """Assess the fields and write what is wanted; returns the advice on each, what needs attention first.

    ``book`` are all fields of the book, where they are more than those to assess: where fixation was measured in one,
    the others' digs are read by it.
    """
    from spadework.advice.next_step import attention_order
    from spadework.cli.verdicts import verdicts_csv, verdicts_json
    from spadework.report.display import UnitSystem as ReportUnits
    from spadework.report.season import season_report

    out = None if wanted.out is None else OutFolder(wanted.out)
    with_pdf = out is not None and wanted.pdf
    factors = factors_of_book(fields if book is None else book, settings, wanted.today)
    order = Order(settings, wanted.today, wanted.paper if with_pdf else None, wanted.units, factors)
    names = file_names(records.field.field for records in fields)

    all_advice: list[FieldAdvice] = []
    with progress("Fields", total=len(fields)) as one_done:
        for worked in work_through(fields, order, jobs=wanted.jobs):
            all_advice.append(worked.advice)
            if out is not None and worked.report is not None:
                out.write(f"fields/{names[worked.advice.field]}.pdf", worked.report)
            one_done()

    all_advice.sort(key=attention_order)
    units = ReportUnits(wanted.units.value)
    if out is not None:
        out.write("verdicts.csv", verdicts_csv(all_advice, units).encode("utf-8"))
        out.write("verdicts.json", verdicts_json(all_advice).encode("utf-8"))
    if out is not None and with_pdf:
        pages = season_report(
            all_advice, title=settings.title, season=settings.season, paper=wanted.paper.value, units=units
        )
        out.write("season.pdf", pages)
    return all_advice


def ends_with(all_advice: Sequence[FieldAdvice]) -> ExitCode:
    """Return how a run ends: ``NOT_ANSWERABLE`` where no field of it has a verdict."""
    if any(advice.verdict is not None for advice in all_advice):
        return ExitCode.DONE
    return ExitCode.NOT_ANSWERABLE
