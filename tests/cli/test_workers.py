import dataclasses
import signal

import pytest

from spadework.cli import workers
from spadework.cli.choices import PaperSize, UnitSystem
from spadework.cli.exits import ExitCode, Stopped
from spadework.cli.workers import Order, processes_free, work_through
from spadework.errors import KnowledgeError
from spadework.knowledge.rows import Crop


@pytest.fixture
def peas(season):
    """A few fields of the invented season that make different verdicts."""
    return [records for records in season.by_field().values() if records.field.crop is Crop.PEA][:4]


@pytest.fixture
def order(season):
    return Order(season.settings, season.settings.today, None, UnitSystem.METRIC)


@pytest.fixture
def spread(monkeypatch):
    """Let even a few fields be worth a second process."""
    monkeypatch.setattr(workers, "_WORTH_A_PROCESS", 1)
    monkeypatch.setattr(workers, "_WORTH_A_PROCESS_WITH_REPORT", 1)


def test_no_report_unless_asked_for(peas, order):
    assert [worked.report for worked in work_through(peas, order, jobs=1)] == [None] * 4


def test_results_do_not_depend_on_the_number_of_processes(peas, order, spread):
    order = dataclasses.replace(order, paper=PaperSize.LETTER)

    alone = list(work_through(peas, order, jobs=1))
    together = list(work_through(peas, order, jobs=2))

    assert [worked.advice.field for worked in alone] == [records.field.field for records in peas]
    assert alone[0].report.startswith(b"%PDF")
    assert together == alone


def test_an_error_in_another_process_arrives_as_its_sentence(peas, order, spread):
    settings = dataclasses.replace(order.settings, target_scheme={Crop.PEA: "target.pea.none_such"})
    order = dataclasses.replace(order, settings=settings)

    with pytest.raises(KnowledgeError) as told_here:
        list(work_through(peas, order, jobs=1))
    with pytest.raises(Stopped) as told_there:
        list(work_through(peas, order, jobs=2))

    assert str(told_there.value) == str(told_here.value)
    assert told_there.value.code is ExitCode.FAULTS


def test_an_override_that_does_not_fit_is_told_before_processes_start(peas, order, spread):
    settings = dataclasses.replace(order.settings, overrides={"target.pea.none_such": {"value": 4.0}})

    with pytest.raises(KnowledgeError, match="no such row to override"):
        list(work_through(peas, dataclasses.replace(order, settings=settings), jobs=2))


def test_overrides_of_the_book_are_in_force(peas, order):
    own = {"target.pea.fifty_nodules": {"value": 3.0}}
    settings = dataclasses.replace(order.settings, overrides=own)

    worked = next(iter(work_through(peas, dataclasses.replace(order, settings=settings), jobs=1)))

    assert worked.advice.verdict.target.value == 3.0


def test_the_interrupt_works_again_after_processes_have_started(peas, order, spread):
    before = signal.getsignal(signal.SIGINT)
    list(work_through(peas, order, jobs=2))
    assert signal.getsignal(signal.SIGINT) is before


def test_there_is_a_processor():
    assert processes_free() >= 1
