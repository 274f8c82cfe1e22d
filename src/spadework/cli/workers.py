"""Many fields at once: a field's advice and its report page, in this process or in several."""

from __future__ import annotations

import datetime as dt
import multiprocessing
import os
import signal
from collections.abc import Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from spadework.cli.choices import PaperSize, UnitSystem
from spadework.cli.exits import Stopped, exit_code
from spadework.errors import SpadeworkError

if TYPE_CHECKING:
    from spadework.advice.value import FieldAdvice
    from spadework.knowledge.rows import Knowledge
    from spadework.records.types import FieldRecords, Settings

__all__ = ["Order", "Worked", "factors_of_book", "processes_free", "work_through"]

_WORTH_A_PROCESS = 60
_WORTH_A_PROCESS_WITH_REPORT = 6
"""Fields whose work takes about as long as starting one more process."""

_LARGEST_CHUNK = 50
"""Fields handed over at once; those of one chunk share the weather of their stations."""


@dataclass(frozen=True)
class Order:
    """What all fields of a run are assessed with. ``paper`` is None where no report is wanted.

    ``factors`` is what fixation measured in fields of the book says of their digs (``advice.calibration``).
    """

    settings: Settings
    today: dt.date
    paper: PaperSize | None
    units: UnitSystem
    factors: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Worked:
    """A field's advice and, where wanted, its report as PDF."""

    advice: FieldAdvice
    report: bytes | None


def processes_free() -> int:
    """Return how many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def factors_of_book(fields: Iterable[FieldRecords], settings: Settings, today: dt.date) -> Mapping[str, float]:
    """What fixation measured in fields of a book says of their digs; nothing is loaded where none was measured."""
    measured = [records for records in fields if records.lab_results]
    if not measured:
        return {}
    from spadework.advice.calibration import factors_measured

    return factors_measured(measured, settings, _knowledge_of(settings), today)


def work_through(fields: Sequence[FieldRecords], order: Order, *, jobs: int) -> Iterator[Worked]:
    """Yield each field's advice and report, in the order given; the results do not depend on ``jobs``."""
    worth = _WORTH_A_PROCESS if order.paper is None else _WORTH_A_PROCESS_WITH_REPORT
    jobs = min(jobs, len(fields) // worth + 1)
    worker = _Worker(order)  # in any case, so that an override that does not fit is told here
    if jobs == 1:
        yield from map(worker.work, fields)
        return
    # "spawn" starts clean processes everywhere; copies of this one could inherit a lock held by a thread.
    pool = ProcessPoolExecutor(jobs, multiprocessing.get_context("spawn"), _begin, (order,))
    chunk = max(1, min(_LARGEST_CHUNK, len(fields) // (jobs * 8)))
    try:
        with _interrupts_ignored():
            results = pool.map(_work, fields, chunksize=chunk)
        yield from results
    finally:
        pool.shutdown(cancel_futures=True)


@contextmanager
def _interrupts_ignored() -> Iterator[None]:
    """Let processes that start within ignore the user's interrupt: this one answers it for all."""
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


class _Worker:
    def __init__(self, order: Order) -> None:
        self._order = order
        self._knowledge = _knowledge_of(order.settings)

    def work(self, records: FieldRecords) -> Worked:
        from spadework.advice.calibration import calibration_without
        from spadework.advice.field import advise

        order = self._order
        calibration = calibration_without(records.field.field, order.factors, self._knowledge)
        advice = advise(records, order.settings, self._knowledge, order.today, calibration=calibration)
        if self._order.paper is None:
            return Worked(advice, None)
        from spadework.report import UnitSystem as ReportUnits
        from spadework.report import field_report

        units = ReportUnits(self._order.units.value)
        return Worked(advice, field_report(advice, paper=self._order.paper.value, units=units))


def _knowledge_of(settings: Settings) -> Knowledge:
    from spadework.knowledge.load import load, with_overrides

    return with_overrides(load(), settings.overrides)


_worker: _Worker | None = None
"""Set once in each worker process."""


def _begin(order: Order) -> None:
    global _worker  # noqa: PLW0603 - a pool gives its processes no other place to keep something
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # where it was not inherited, as on Windows
    _worker = _Worker(order)


def _work(records: FieldRecords) -> Worked:
    assert _worker is not None  # noqa: S101 - set by _begin
    try:
        return _worker.work(records)
    except SpadeworkError as error:
        # Errors with arguments of their own do not survive the way back; their sentence does.
        raise Stopped(str(error), exit_code(error)) from None
