"""The lock files install the same files everywhere: pinned, hashed, and silent about where from."""

import re
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from packaging.version import Version

ROOT = Path(__file__).resolve().parents[2]
LOCKS = ["run.txt", "dev.txt"]
ADDRESS = re.compile(r"https?:|file:/|\bgit\+|--(extra-)?index-url|--find-links|--trusted-host| @ ")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def lock_text(name: str) -> str:
    return (ROOT / "requirements" / name).read_text(encoding="utf-8")


def pins(name: str) -> dict[str, Version]:
    found = re.findall(r"^([A-Za-z0-9._-]+)==(\S+)", lock_text(name), flags=re.MULTILINE)
    return {canonicalize_name(package): Version(version) for package, version in found}


@pytest.mark.parametrize("name", LOCKS)
def test_no_address(name):
    assert [line for line in lock_text(name).splitlines() if ADDRESS.search(line)] == []


@pytest.mark.parametrize("name", LOCKS)
def test_every_entry_is_pinned_and_hashed(name):
    logical = lock_text(name).replace("\\\n", " ").splitlines()
    entries = [line for line in logical if line.strip() and not line.lstrip().startswith(("#", "--"))]

    assert entries
    assert [line[:60] for line in entries if not re.search(r"^\S+==\S+\s.*--hash=sha256:[0-9a-f]{64}", line)] == []


def test_demo_and_tests_run_on_the_same_versions():
    everything = pins("dev.txt")
    assert {package: everything.get(package) for package in pins("run.txt")} == pins("run.txt")


@pytest.mark.parametrize(("name", "extras"), [("run.txt", ["build"]), ("dev.txt", ["build", "dev"])])
def test_locks_answer_to_pyproject(name, extras):
    wanted = [*PROJECT["dependencies"], *(line for extra in extras for line in PROJECT["optional-dependencies"][extra])]
    locked = pins(name)
    for requirement in map(Requirement, wanted):
        version = locked.get(canonicalize_name(requirement.name))
        assert version is not None, f"{requirement.name} is not in {name}; run make lock"
        assert requirement.specifier.contains(version), f"{requirement} but {name} has {version}; run make lock"
