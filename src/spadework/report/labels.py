"""Words of the page itself (headings, names of classes, grades); sentences of the advice are not here."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib import resources
from typing import Any

__all__ = ["labels", "word"]

Labels = Mapping[str, Mapping[str, str]]


@cache
def labels(language: str = "en") -> Labels:
    """Return section -> key -> text of one language, read once."""
    text = resources.files("spadework.report").joinpath(f"labels_{language}.toml").read_text("utf-8")
    tables: dict[str, Any] = tomllib.loads(text)
    return tables


def word(texts: Labels, section: str, key: str) -> str:
    """Return the word for a key of the advice; a key without one shows as it is, in plain letters."""
    return texts[section].get(key, key.replace("_", " "))
