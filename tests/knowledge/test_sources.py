"""Every source is used, every key that code names is a source, and cautions have their sentences."""

import ast
import re
from pathlib import Path

import pytest

from spadework.advice.messages import catalogue
from spadework.knowledge.load import load
from spadework.knowledge.rows import Caution

ROOT = Path(__file__).resolve().parents[2]
KNOWN = load()
SET_BY_BOOKS = {"users_own_figure"}


def keys_in(docstring):
    """Source keys of a References section: what stands before a remark in brackets."""
    section = re.search(r"References\n *-+\n(.*?)(?:\n *\n|\Z)", docstring, re.DOTALL)
    if section is None:
        return set()
    without_remarks = re.sub(r"\([^()]*\)", "", section[1])
    return {key.strip(" .\n") for key in re.split(r"[,;]", without_remarks) if key.strip(" .\n")}


def keys_in_code():
    found = {}
    for path in sorted((ROOT / "src").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef):
                for key in keys_in(ast.get_docstring(node) or ""):
                    found.setdefault(key, path.relative_to(ROOT).as_posix())
    return found


def test_references_are_found_in_docstrings():
    assert keys_in("A.\n\nReferences\n----------\na1999 (one, two); b2000,\nc2001.\n") == {"a1999", "b2000", "c2001"}
    assert keys_in("No references.") == set()
    assert "mcmaster_wilhelm1997" in keys_in_code()


def test_every_key_in_a_docstring_is_a_source():
    assert {key: path for key, path in keys_in_code().items() if key not in KNOWN.sources} == {}


def test_every_source_is_used():
    used = {key for row in KNOWN.rows.values() for key in row.source_keys}

    assert set(KNOWN.sources) - used - set(keys_in_code()) == SET_BY_BOOKS


@pytest.mark.parametrize("source", KNOWN.sources.values(), ids=lambda source: source.key)
def test_addresses_are_plain(source):
    assert source.doi is None or re.fullmatch(r"10\.\d{4,}/\S+", source.doi)
    assert source.url is None or re.fullmatch(r"https?://[^/\s]+/\S*", source.url)


def test_what_is_common_practice_says_so():
    assert "no published source" in KNOWN.sources["common_practice"].citation


@pytest.mark.parametrize("caution", KNOWN.of(Caution), ids=lambda row: row.id)
def test_a_caution_has_its_sentence(caution):
    assert caution.message == caution.id
    assert catalogue()[caution.message]
    assert caution.when in ("dig", "seed", "field", "always", *Caution.WITH_ADVICE)
