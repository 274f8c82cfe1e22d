"""How a command ends: the exit codes, and errors told as one sentence."""

from __future__ import annotations

import os
import sys
from enum import IntEnum
from typing import Any

import typer
from typer.core import TyperGroup

from spadework.errors import NotAnswerable, SpadeworkError

__all__ = ["EXIT_CODES", "CannotWrite", "Edge", "ExitCode", "Stopped", "exit_code"]


class ExitCode(IntEnum):
    """What a script can tell from the end of a command."""

    DONE = 0
    FAULTS = 1
    WRONG_USE = 2
    NOT_ANSWERABLE = 3
    CANNOT_WRITE = 4
    INTERRUPTED = 130
    READER_GONE = 141


EXIT_CODES: dict[ExitCode, str] = {
    ExitCode.DONE: "done",
    ExitCode.FAULTS: "the records or figures given have faults; each is listed",
    ExitCode.WRONG_USE: "the command was not written as it expects",
    ExitCode.NOT_ANSWERABLE: "what is recorded cannot answer the question",
    ExitCode.CANNOT_WRITE: "a result could not be written",
    ExitCode.INTERRUPTED: "interrupted by the user",
    ExitCode.READER_GONE: "the program that read the output closed it",
}


class CannotWrite(SpadeworkError):
    """A result could not be written where the user wanted it."""


class Stopped(SpadeworkError):
    """An error of a worker process, as the sentence and exit code that can travel between processes."""

    def __init__(self, sentence: str, code: int) -> None:
        super().__init__(sentence, code)
        self.sentence = sentence
        self.code = ExitCode(code)

    def __str__(self) -> str:
        return self.sentence


def exit_code(error: SpadeworkError) -> ExitCode:
    """Return the code that a command ends with after this error."""
    match error:
        case Stopped():
            return error.code
        case NotAnswerable():
            return ExitCode.NOT_ANSWERABLE
        case CannotWrite():
            return ExitCode.CANNOT_WRITE
        case _:
            return ExitCode.FAULTS


class Edge(TyperGroup):
    """The one place where errors become a sentence on stderr and a code; a bug keeps its traceback."""

    def invoke(self, ctx: typer.Context) -> Any:  # type: ignore[override]
        """Run the verb; see ``ExitCode`` for how it can end."""
        try:
            result = super().invoke(ctx)
            sys.stdout.flush()
        except SpadeworkError as error:
            typer.echo(str(error), err=True)
            raise typer.Exit(exit_code(error)) from error
        except typer.BadParameter as error:
            raise _in_plain_words(error) from error.__cause__
        except KeyboardInterrupt:
            typer.echo("Interrupted.", err=True)
            raise typer.Exit(ExitCode.INTERRUPTED) from None
        except BrokenPipeError:
            # What is still buffered has no reader; without this, Python complains about it at exit.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            raise typer.Exit(ExitCode.READER_GONE) from None
        return result


def _in_plain_words(error: typer.BadParameter) -> typer.BadParameter:
    """Return the error without the wording of the library that checked the option's value."""
    from pydantic import ValidationError

    if isinstance(error.__cause__, ValidationError):
        detail = error.__cause__.errors()[0]
        bounds = detail.get("ctx", {})
        match detail["type"]:
            case "int_parsing" | "int_from_float":
                error.message = f"{detail['input']!r} is not a whole number."
            case "greater_than_equal":
                error.message = f"It must be {bounds['ge']} or more, but is {detail['input']}."
            case "less_than_equal":
                error.message = f"It must be {bounds['le']} or less, but is {detail['input']}."
            case _:
                error.message = error.message.removeprefix("Value error, ")
    return error
