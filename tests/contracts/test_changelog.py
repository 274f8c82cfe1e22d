"""The newest entry of the changelog is about the version at hand, and has its fixed sections."""

import re
from pathlib import Path

import spadework

TEXT = (Path(__file__).resolve().parents[2] / "CHANGELOG.md").read_text(encoding="utf-8")


def test_newest_entry_is_this_version():
    versions = re.findall(r"^## (\S+)", TEXT, flags=re.MULTILINE)
    assert versions[0] == spadework.__version__


def test_sections_are_the_fixed_ones():
    newest = re.split(r"^## ", TEXT, flags=re.MULTILINE)[1]
    assert re.findall(r"^### (.+)", newest, flags=re.MULTILINE) == ["New", "Changed", "Fixed", "Knowledge"]
