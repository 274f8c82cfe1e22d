"""Typesetting: a template of this folder and plain data in, PDF bytes out.

Texts travel as JSON beside the template and never become markup, so that ``#``, ``$`` or ``[`` in a
field's name are only letters. The same data give the same bytes on every machine: faces come from this
folder and from Typst itself, and the only date is the one given.
"""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import typst

__all__ = ["PAPERS", "tidy", "typeset"]

PAPERS = ("a4", "letter")
_FOLDER = Path(__file__).parent
_PAPER_NAMES = {"a4": "a4", "letter": "us-letter"}

_STEERING = re.compile(r"[\u0000-\u001f\u007f-\u009f\u2028-\u202e\u2066-\u2069\ufeff]")
_LONG_WORD = re.compile(r"([^\s\u200b]{28})(?=[^\s\u200b])")
_BREAK_BEFORE_UNIT = re.compile(r"(?<=\d) (?=[%°])")


def typeset(template: str, data: Mapping[str, Any], *, paper: str, date: dt.date | None) -> bytes:
    """Compile a template of this folder with its data to a tagged PDF.

    Parameters
    ----------
    template : str
        File name, such as ``field.typ``.
    data : mapping
        Anything that JSON holds; the template reads it as ``data``.
    paper : str
        One of ``PAPERS``.
    date : datetime.date, optional
        Date of the document; it carries none where none is given.

    Raises
    ------
    ValueError
        If ``paper`` is not one of ``PAPERS``.
    """
    if paper not in PAPERS:
        raise ValueError(f"paper must be one of {', '.join(PAPERS)}, but is {paper!r}.")
    text = json.dumps(tidy(data), ensure_ascii=False, sort_keys=True)
    inputs = {"data": text, "paper": _PAPER_NAMES[paper], "date": "" if date is None else date.isoformat()}
    made = dt.datetime.combine(date or dt.date(1970, 1, 1), dt.time(), dt.UTC)
    # The faces at hand draw Latin, Greek, Cyrillic, Hebrew and Arabic letters. Other letters take whatever face the
    # machine has; the accessible standard refuses letters that no face can draw, a plain PDF shows them as boxes.
    for system_fonts in (False, True):
        try:
            return _pdf(_compiler(template, system_fonts=system_fonts), inputs, made, accessible=True)
        except typst.TypstError:
            continue
    return _pdf(_compiler(template, system_fonts=True), inputs, made, accessible=False)


def _pdf(compiler: typst.Compiler, inputs: dict[str, str], made: dt.datetime, *, accessible: bool) -> bytes:
    pdf = compiler.compile(
        format="pdf", sys_inputs=inputs, timestamp=made, pdf_standards="ua-1" if accessible else None
    )
    assert isinstance(pdf, bytes)  # noqa: S101 - one document, no output path
    return pdf


@cache
def _compiler(template: str, *, system_fonts: bool) -> typst.Compiler:
    """One compiler a template."""
    fonts = typst.Fonts(include_system_fonts=system_fonts, font_paths=[_FOLDER / "fonts"])
    return typst.Compiler(_FOLDER / template, root=_FOLDER, font_paths=fonts, ignore_system_fonts=not system_fonts)


def tidy(value: Any) -> Any:
    """Make texts fit to set: one line, no steering characters, endless words breakable, figures kept with signs."""
    if isinstance(value, str):
        plain = _STEERING.sub(" ", value.encode("utf-8", "replace").decode("utf-8"))
        return _BREAK_BEFORE_UNIT.sub("\u00a0", _LONG_WORD.sub("\\1\u200b", plain))
    if isinstance(value, Mapping):
        return {key: tidy(part) for key, part in value.items()}
    if isinstance(value, list | tuple):
        return [tidy(part) for part in value]
    return value
