import io

import pytest
from rich.text import Text

from spadework.cli import screen


class Terminal(io.StringIO):
    def isatty(self):
        return True


@pytest.fixture
def piped(monkeypatch):
    """A pipe in the place of stdout, laid when called: pytest lays its own when a test begins."""
    monkeypatch.delenv("COLUMNS", raising=False)

    def lay():
        stream = io.StringIO()
        monkeypatch.setattr("sys.stdout", stream)
        return stream

    return lay


def test_a_pipe_gets_eighty_columns_and_no_colours(piped):
    stream = piped()
    screen.show(Text("adequate", style="green"))

    assert screen.console().width == 80
    assert stream.getvalue() == "adequate\n"


def test_columns_can_be_asked_for(piped, monkeypatch):
    piped()
    monkeypatch.setenv("COLUMNS", "132")
    assert screen.console().width == 132


def test_lines_carry_no_spaces_at_their_ends(piped):
    stream = piped()
    screen.show(Text("verdict   "), Text("  poor "))
    assert stream.getvalue() == "verdict\n  poor\n"


def test_a_terminal_has_colours_unless_the_user_has_none(monkeypatch):
    for name in ("NO_COLOR", "COLUMNS", "FORCE_COLOR"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setattr("sys.stdout", stream := Terminal())
    screen.show(Text("poor", style="red"))
    assert stream.getvalue() == "\x1b[31mpoor\x1b[0m\n"

    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.setattr("sys.stdout", stream := Terminal())
    screen.show(Text("poor", style="red"))
    assert stream.getvalue() == "poor\n"


def test_texts_of_users_are_never_read_as_markup(piped):
    stream = piped()
    screen.console().print("[bold]field[/bold] :smile:")
    assert stream.getvalue() == "[bold]field[/bold] :smile:\n"


def test_data_is_utf8_whatever_the_terminal_speaks(monkeypatch):
    raw = io.BytesIO()
    monkeypatch.setattr("sys.stdout", io.TextIOWrapper(raw, encoding="ascii"))

    screen.write_data("Köln\n")

    assert raw.getvalue() == "Köln\n".encode()


def test_progress_is_silent_where_nobody_watches(monkeypatch):
    monkeypatch.setattr("sys.stderr", stream := io.StringIO())
    with screen.progress("Fields", total=40) as one_done:
        one_done()
    assert stream.getvalue() == ""


def test_progress_counts_on_a_terminal(monkeypatch):
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setattr("sys.stderr", stream := Terminal())
    with screen.progress("Fields", total=2) as one_done:
        one_done()
        one_done()
    assert "Fields" in stream.getvalue()
    assert "2/2" in stream.getvalue()


def test_a_section_counts_what_it_does_not_show(piped):
    stream = piped()
    screen.show(*screen.section("Warnings", ["One.", "Two.", "Three."], most=2))
    assert stream.getvalue() == "\nWarnings\n  One.\n  Two.\n  and 1 more; --format json holds them all.\n"
