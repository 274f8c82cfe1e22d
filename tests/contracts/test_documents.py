"""What the documents name is there."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]

# Names in capitals stand for whatever is being added.
PLACEHOLDER = re.compile(r"[A-Z]{4,}(?!\.md)")


def paths_named_in(document: str) -> list[str]:
    text = (ROOT / document).read_text(encoding="utf-8")
    quoted = re.findall(r"`((?:src|tests|docs|scripts|benchmarks|requirements)/[^`\s]*|\w+\.md)`", text)
    linked = re.findall(r"\]\(([^):]+)\)", text)
    return sorted({name for name in quoted + linked if not PLACEHOLDER.search(name)})


@pytest.mark.parametrize("document", ["README.md", "CONTRIBUTING.md"])
def test_every_path_named_is_there(document):
    named = paths_named_in(document)

    assert named
    assert [name for name in named if not (ROOT / name).exists()] == []
