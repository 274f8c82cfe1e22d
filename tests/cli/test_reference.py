from pathlib import Path

from spadework.cli.app import app
from spadework.cli.reference import commands_markdown, helps
from spadework.cli.verdicts import COLUMNS

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "commands.md").read_text(encoding="utf-8")


def test_the_page_is_fresh():
    assert commands_markdown() == PAGE, "run make docs"


def test_the_page_does_not_depend_on_the_window(monkeypatch):
    monkeypatch.setenv("COLUMNS", "132")
    assert commands_markdown() == PAGE


def test_every_verb_has_help_and_stands_in_the_page():
    told = dict(helps())
    for command in app.registered_commands:
        name = f"spadework {command.name}"
        assert command.callback.__doc__.strip()
        assert f"Usage: {name} " in told[name]
        assert f"## `{name}`\n" in PAGE


def test_every_column_of_the_verdicts_stands_in_the_page():
    assert [column.heading for column in COLUMNS if column.description not in PAGE] == []
