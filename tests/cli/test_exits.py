import pickle

import pytest
import typer
from typer.testing import CliRunner

from spadework.cli.exits import EXIT_CODES, CannotWrite, Edge, ExitCode, Stopped, exit_code
from spadework.errors import BookFaults, DomainError, Fault, KnowledgeError, NotAnswerable, RecordError

FAULT = Fault("plants.csv", 14, "red_pink", "plants.colour", "What.", "Mend.")


@pytest.mark.parametrize(
    ("error", "code"),
    [
        (RecordError(FAULT), 1),
        (BookFaults((FAULT,)), 1),
        (KnowledgeError("target", "target.pea", "there is no such row"), 1),
        (DomainError("seed", -1, "0 or more"), 1),
        (NotAnswerable("weather", "degree-days"), 3),
        (CannotWrite("No."), 4),
        (Stopped("No.", 3), 3),
    ],
)
def test_each_error_has_its_code(error, code):
    assert exit_code(error) == code


def test_every_code_says_what_it_means():
    assert list(EXIT_CODES) == list(ExitCode)


def test_stopped_survives_the_way_between_processes():
    again = pickle.loads(pickle.dumps(Stopped("weather.csv has no rows.", 1)))  # noqa: S301 - made right here

    assert (str(again), again.code) == ("weather.csv has no rows.", ExitCode.FAULTS)


def edge_around(error):
    """A command whose only verb ends in ``error``."""
    app = typer.Typer(cls=Edge, pretty_exceptions_enable=False, rich_markup_mode=None)

    @app.command()
    def verb():
        raise error

    @app.command()
    def other():
        pass

    return app


def test_an_error_becomes_its_sentence_on_stderr():
    result = CliRunner().invoke(edge_around(NotAnswerable("weather", "degree-days")), ["verb"])

    assert result.exit_code == 3
    assert result.stderr == "weather is not recorded; it would add degree-days.\n"
    assert result.stdout == ""


def test_an_interrupt_is_said_and_has_its_code():
    result = CliRunner().invoke(edge_around(KeyboardInterrupt()), ["verb"])

    assert (result.exit_code, result.stderr) == (130, "Interrupted.\n")


def test_a_bug_keeps_its_traceback():
    with pytest.raises(ZeroDivisionError):
        CliRunner().invoke(edge_around(ZeroDivisionError()), ["verb"], catch_exceptions=False)
