"""The command run two ways: within this process, and as a process of its own."""

import os
import subprocess
import sys

import pytest
from typer.testing import CliRunner

from spadework.cli.app import app


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
