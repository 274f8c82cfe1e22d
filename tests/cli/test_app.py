import re

import pytest

import spadework
from spadework.cli import advice_schema, assess, check, demo, diagnose, lab, new, rescue, source, table_schema
from spadework.cli.app import app
from spadework.cli.exits import EXIT_CODES

VERBS = {
    verb.NAME: verb for verb in (new, check, assess, diagnose, rescue, lab, demo, source, table_schema, advice_schema)
}


def test_every_verb_is_there_and_no_other():
    assert [command.name for command in app.registered_commands] == list(VERBS)


def test_version(run):
    assert run("--version").stdout == f"spadework {spadework.__version__}\n"


def test_without_a_verb_the_help_is_shown(run):
    result = run()
    assert result.exit_code == 2
    assert "Usage: spadework" in result.output.replace("root", "spadework")


def test_the_help_names_every_verb_and_every_exit_code(run):
    shown = run("--help").stdout

    for name, verb in VERBS.items():
        assert re.search(rf"^  {name} +{re.escape(verb.SHORT)}$", shown, re.MULTILINE)
    for code, meaning in EXIT_CODES.items():
        assert re.search(rf"^    {code.value} +{meaning}$", shown, re.MULTILINE)


@pytest.mark.parametrize("name", VERBS)
def test_each_verb_says_what_it_does_and_shows_an_example(run, name):
    shown = run(name, "--help").stdout

    assert re.search(r"Examples?:\n    spadework ", shown)
    for example in re.findall(r"^    (spadework .+)$", shown, re.MULTILINE):
        assert example.split()[1] in VERBS
    assert max(map(len, shown.splitlines())) <= 80
    assert run(name, "-h").stdout == shown


@pytest.mark.parametrize("name", VERBS)
def test_every_option_has_a_text(run, name):
    shown = run(name, "--help").stdout
    bare = [line for line in shown.splitlines() if re.match(r"^  -[-\w, ]+( <?[\w|]+>?)?$", line)]
    # An option too long for its column has its text on the next line, which starts far to the right.
    assert [line for line in bare if not re.search(rf"^{re.escape(line)}\n {{20,}}\w", shown, re.MULTILINE)] == []


def test_a_slip_of_the_pen_is_answered_with_the_verb_meant(run):
    result = run("aseess")
    assert result.exit_code == 2
    assert "Did you mean 'assess'?" in result.stderr
