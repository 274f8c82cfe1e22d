"""The command run two ways: within this process, and as a process of its own."""

import os
import subprocess
import sys

import pytest
from typer.testing import CliRunner

from spadework.advice.field import advise
from spadework.cli.app import app
from spadework.demo import demo_book
from spadework.knowledge.load import load
from spadework.records.write import write_book


@pytest.fixture
def run():
    """Run a command within this process; a bug of ours shows its traceback."""

    def invoke(*arguments, env=None):
        words = [str(argument) for argument in arguments]
        return CliRunner(env={"COLUMNS": None, **(env or {})}).invoke(app, words, catch_exceptions=False)

    return invoke


@pytest.fixture
def command():
    """Run a command as a process of its own, with its output piped."""

    def invoke(*arguments, cwd=None, env=None):
        clean = {name: value for name, value in os.environ.items() if name not in ("COLUMNS", "NO_COLOR")}
        return subprocess.run(
            [sys.executable, "-W", "error", "-m", "spadework.cli", *map(str, arguments)],
            capture_output=True,
            cwd=cwd,
            env={**clean, "PYTHONUTF8": "1", **(env or {})},
            check=False,
            text=True,
        )

    return invoke


@pytest.fixture
def book(tmp_path, run):
    """The example book that ``new`` makes."""
    folder = tmp_path / "book"
    assert run("new", folder).exit_code == 0
    return folder


@pytest.fixture(scope="session")
def season():
    """The invented season in memory."""
    return demo_book()


@pytest.fixture(scope="session")
def all_advice(season):
    """The advice on each of its fields, in the order of the book."""
    knowledge = load()
    return [
        advise(records, season.settings, knowledge, season.settings.today) for records in season.by_field().values()
    ]


@pytest.fixture
def season_book(season, tmp_path):
    """The invented season as files."""
    folder = tmp_path / "season"
    write_book(season, folder)
    return folder
