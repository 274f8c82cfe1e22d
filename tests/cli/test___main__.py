"""The command as a process of its own: what only shows at the edge of the operating system."""

import json
import os
import re
import signal
import subprocess
import sys
import time
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
HEAVY = ["matplotlib", "numba", "numpy", "pint", "pydantic", "rich", "scipy", "typst"]
POSIX = pytest.mark.skipif(os.name == "nt", reason="signals and pipes of POSIX systems")


def test_each_way_to_end_has_its_code(command, tmp_path):
    (tmp_path / "taken").write_text("")
    assert command("new", "book", cwd=tmp_path).returncode == 0
    assert command("new", "book", cwd=tmp_path).returncode == 1
    assert command("assess", "nowhere", cwd=tmp_path).returncode == 2
    assert command("assess", "book", "--today", "2026-06-01", cwd=tmp_path).returncode == 3
    assert command("assess", "book", "--out", "taken", cwd=tmp_path).returncode == 4


def test_nothing_but_json_on_stdout_and_nothing_on_stderr(command, tmp_path):
    command("new", "book", cwd=tmp_path)

    result = command("assess", "book", "--format", "json", "--out", "out", cwd=tmp_path)

    assert json.loads(result.stdout)["fields"][0]["field"] == "north-12"
    assert result.stderr == ""


def test_the_help_loads_nothing_heavy():
    code = f"import sys; from spadework.cli.app import app; print([m for m in {HEAVY} if m in sys.modules])"
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert result.stdout == "[]\n"


def only_for_work_on_the_code():
    """Import names of packages that a user does not have."""
    extras = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["optional-dependencies"]
    names = [re.match(r"[\w-]+", line)[0].replace("-", "_") for line in extras["dev"]]
    assert "pytest" in names
    return names


def test_works_without_what_only_developers_have(tmp_path):
    code = (
        "import sys\n"
        f"sys.modules.update(dict.fromkeys({only_for_work_on_the_code()}))\n"  # None there makes an import fail
        "from spadework.cli import main\n"
        "main()\n"
    )
    steps = [["--help"], ["new", "book"], ["check", "book"], ["assess", "book", "--out", "out"], ["source", "--list"]]
    for words in steps:
        result = subprocess.run(
            [sys.executable, "-c", code, *words], cwd=tmp_path, capture_output=True, text=True, check=False
        )
        assert (result.returncode, result.stderr) == (0, ""), words
    assert (tmp_path / "out" / "season.pdf").exists()


def test_an_output_that_lacks_signs_is_no_trouble(command, tmp_path):
    command("new", "book", cwd=tmp_path)

    result = command("assess", "book", cwd=tmp_path, env={"PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"})

    assert (result.returncode, result.stderr) == (0, "")
    assert "degree-days" in result.stdout


def test_no_colours_in_a_pipe(command, tmp_path):
    command("new", "book", cwd=tmp_path)
    assert "\x1b" not in command("assess", "book", cwd=tmp_path).stdout


@POSIX
@pytest.mark.parametrize("form", ["table", "json", "csv"])
def test_a_reader_that_goes_away_is_no_trouble(form, tmp_path):
    program = [sys.executable, "-m", "spadework.cli"]
    subprocess.run([*program, "new", "book"], cwd=tmp_path, check=True, capture_output=True)
    reader, writer = os.pipe()
    os.close(reader)

    result = subprocess.run(
        [*program, "assess", "book", "--format", form],
        cwd=tmp_path,
        stdout=writer,
        stderr=subprocess.PIPE,
        text=True,
        check=False,
    )

    os.close(writer)
    assert (result.returncode, result.stderr) == (141, "")


@POSIX
def test_an_interrupt_ends_at_once_and_leaves_whole_files(tmp_path):
    out = tmp_path / "out"
    program = [sys.executable, "-m", "spadework.cli", "demo", "--out", str(out)]
    # A group of its own, as on a terminal: the interrupt reaches the processes that it started, too.
    process = subprocess.Popen(program, stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True)
    give_up = time.monotonic() + 120
    while not list(out.glob("fields/*.pdf")):
        assert process.poll() is None, process.stderr.read()
        assert time.monotonic() < give_up
        time.sleep(0.02)

    os.killpg(process.pid, signal.SIGINT)
    stdout, stderr = process.communicate(timeout=120)

    assert (process.returncode, stdout, stderr) == (130, b"", b"Interrupted.\n")
    assert [path for path in out.rglob("*") if path.name.endswith(".partial")] == []
    for path in out.glob("fields/*.pdf"):
        assert path.read_bytes().rstrip().endswith(b"%%EOF")
    assert not (out / "verdicts.csv").exists()
