"""docs/commands.md, made from the program itself so that it cannot fall behind."""

from __future__ import annotations

from collections.abc import Iterator

from typer.core import TyperGroup
from typer.main import get_command

from spadework.cli.app import app
from spadework.cli.exits import EXIT_CODES
from spadework.cli.verdicts import COLUMNS

__all__ = ["commands_markdown", "helps"]

_WIDTH = 78
"""Columns of a help text; what a terminal of 80 columns or more shows."""

_INTRO = """\
# Commands

Made from the program by `make docs`; do not edit.

Each command prints for people (a table) or, on request, for programs: `--format json` and `--format csv` write nothing
else to standard output. Progress and errors go to standard error. Piped output is 80 columns wide unless COLUMNS says
otherwise; NO_COLOR turns colours off.
"""

_FILES = """\
## What `assess --out DIR` writes

| file | holds |
|---|---|
| `verdicts.csv` | one row a field, as below |
| `verdicts.json` | `schema` (the id of what `spadework advice-schema` prints), `version`, and `fields`: all advice |
| `fields/ID.pdf` | the report of one field; an id that is no safe file name gets a safe one with a hash behind |
| `season.pdf` | the report of the season |

Fields that need attention come first in all of them. A file is written whole or not at all, replaces an older one of
its name, and never lies outside DIR; files of earlier runs under other names stay. The same records, options and
version give the same bytes, whatever the number of `--jobs`. Without `--today`, and without a day in the book, the
calendar's day is an input too.

## Columns of verdicts.csv

UTF-8, commas between columns, points for decimals, dates as year-month-day, `yes` and `no`; a cell is empty where
nothing was recorded or no answer is possible. Units stand in the heading; `--units us` turns the one column in degrees
Celsius into degrees Fahrenheit, and its heading with it. A text that a spreadsheet would run as a formula (it begins
with = + - or @) gets an apostrophe in front.
"""


def commands_markdown() -> str:
    """Return the page: each command's help as it is printed, exit codes, and the columns of verdicts.csv."""
    return "\n".join(_parts())


def helps() -> Iterator[tuple[str, str]]:
    """Yield each command line and its help as on a terminal: the program first, then its verbs in order."""
    group = get_command(app)
    assert isinstance(group, TyperGroup)  # noqa: S101 - more than one verb makes a group
    # The width is fixed here, so that the page does not depend on the window it was made in.
    root = group.make_context("spadework", [], resilient_parsing=True, terminal_width=_WIDTH)
    yield "spadework", group.get_help(root)
    for name in group.list_commands(root):
        verb = group.get_command(root, name)
        assert verb is not None  # noqa: S101 - the group has just named it
        yield f"spadework {name}", verb.get_help(verb.make_context(name, [], root, resilient_parsing=True))


def _parts() -> Iterator[str]:
    yield _INTRO
    for name, text in helps():
        yield f"## `{name}`\n\n```text\n{text.strip()}\n```\n"
    yield "## Exit codes\n\n| code | means |\n|---|---|"
    for code, meaning in EXIT_CODES.items():
        yield f"| {code.value} | {meaning} |"
    yield ""
    yield _FILES
    yield "| column | holds |\n|---|---|"
    for column in COLUMNS:
        yield f"| `{column.heading.format(unit='degC')}` | {column.description} |"
    yield ""
