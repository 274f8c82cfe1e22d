"""The direction of imports is held by import-linter; each contract must also be able to fail."""

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
LINT = "from importlinter.cli import lint_imports_command; lint_imports_command()"


def lint_imports(source: Path) -> subprocess.CompletedProcess[str]:
    """Check the package found in ``source``; the working directory comes first on the path there."""
    command = [sys.executable, "-c", LINT, "--no-cache", str(ROOT / "pyproject.toml")]
    return subprocess.run(command, cwd=source, capture_output=True, text=True, check=False)


def test_contracts_hold():
    seen = lint_imports(ROOT / "src")
    assert seen.returncode == 0, seen.stdout + seen.stderr


@pytest.mark.parametrize(
    ("module", "line", "contract"),
    [
        ("knowledge/breach.py", "import spadework.cli", "Data goes one way"),
        ("report/breach.py", "import spadework.demo", "Data goes one way"),
        ("office/__init__.py", "", "Data goes one way"),  # a new folder must be given its place
        ("agronomy/breach.py", "import spadework.records", "The science is pure"),
        ("agronomy/breach.py", "import pathlib", "The science is pure"),
        ("report/breach.py", "import spadework.knowledge.load", "Only advice and the command line"),
    ],
)
def test_breach_is_found(tmp_path, module, line, contract):
    shutil.copytree(ROOT / "src" / "spadework", tmp_path / "spadework")
    breach = tmp_path / "spadework" / module
    breach.parent.mkdir(exist_ok=True)
    breach.write_text(f"{line}\n")

    seen = lint_imports(tmp_path)

    assert seen.returncode != 0
    broken = [row for row in seen.stdout.splitlines() if row.endswith("BROKEN")]
    assert [row for row in broken if row.startswith(contract)], seen.stdout + seen.stderr
