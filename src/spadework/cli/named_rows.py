"""What book.toml names beyond itself: schemes, causes, checks, overridden rows and the degree-day method."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from spadework.errors import Fault, KnowledgeError, RecordError

if TYPE_CHECKING:
    from spadework.knowledge.rows import Crop, Knowledge, Row
    from spadework.records.types import Book, Settings

__all__ = ["check_whole_book", "priced_products", "what_is_wrong_with_product"]


def check_whole_book(folder: Path) -> tuple[Book | None, tuple[Fault, ...]]:
    """Read a book and list all faults, those of what it names in the knowledge tables with them.

    The book is None where one of the faults is an error. Faults come in the order of the files.
    """
    from spadework.records.book_toml import BOOK_FILE
    from spadework.records.read import check_book

    book, faults = check_book(folder)
    named = list(_faults_of_names(folder / BOOK_FILE))
    if not named:
        return book, faults
    in_settings = [*(fault for fault in faults if fault.file == BOOK_FILE), *named]
    in_settings.sort(key=lambda fault: fault.line or 0)
    return None, (*in_settings, *(fault for fault in faults if fault.file != BOOK_FILE))


def _faults_of_names(path: Path) -> Iterator[Fault]:
    """Yield a fault for each name in book.toml that stands for nothing; what else is wrong there is not said again."""
    from spadework.records.book_toml import line_of, read_settings
    from spadework.records.dialect import read_bytes

    try:
        data = read_bytes(path)
    except RecordError:
        return
    settings, _ = read_settings(data)
    if settings is None:
        return
    for key, kind, what, mend in _wrong_names(settings):
        yield Fault(path.name, line_of(data, key), ".".join(key), f"settings.{kind}", what, mend)


_Wrong = tuple[tuple[str, ...], str, str, str]
"""Path of the key, kind of fault, what is wrong, how to mend it."""


def _wrong_names(settings: Settings) -> Iterator[_Wrong]:
    if (
        settings.target_scheme
        or settings.window_scheme
        or settings.cause_prior
        or settings.check_price
        or settings.prices.nitrogen
        or settings.overrides
    ):
        from spadework.knowledge.load import load
        from spadework.knowledge.rows import Cause, Check, DigWindow, Target

        knowledge = load()
        yield from _wrong_schemes("target", settings.target_scheme, Target, knowledge)
        yield from _wrong_schemes("window", settings.window_scheme, DigWindow, knowledge)
        causes = [row.name for row in knowledge.of(Cause)]
        yield from _wrong_entries("cause_prior", "cause", settings.cause_prior, causes)
        checks = [row.name for row in knowledge.of(Check)]
        yield from _wrong_entries("check_price", "check", settings.check_price, checks)
        yield from _wrong_products(settings.prices.nitrogen, knowledge)
        for row_id, figures in settings.overrides.items():
            yield from _wrong_override(row_id, figures, knowledge)
    if settings.degree_day_method is not None:
        from spadework.agronomy.clock import METHODS

        method = settings.degree_day_method
        if method not in METHODS:
            mend = f"{_did_you_mean(method, METHODS)}Allowed: {', '.join(METHODS)}."
            yield ("degree_days", "method"), "method", f"There is no degree-day method '{method}'.", mend


def _wrong_schemes(which: str, schemes: Mapping[Crop, str], kind: type[Row], knowledge: Knowledge) -> Iterator[_Wrong]:
    for crop, named in schemes.items():
        fitting = [row.id for row in knowledge.of(kind, crop)]
        if named in fitting:
            continue
        row: Any = knowledge.rows.get(named)
        if row is None:
            what = f"There is no {which} scheme '{named}'."
        elif not isinstance(row, kind):
            what = f"'{named}' is no {which} scheme, but a row of the table {row.table}."
        else:
            what = f"'{named}' is a {which} scheme for {_said(row.crop)}, not for {_said(crop)}."
        mend = f"{_did_you_mean(named, fitting)}For {_said(crop)} there are: {', '.join(fitting)}."
        yield ("schemes", which, str(crop)), "scheme", what, mend


def _wrong_entries(section: str, what: str, named: Iterable[str], known: Sequence[str]) -> Iterator[_Wrong]:
    """Yield the entries of a section that name no cause, or no check, of the knowledge tables."""
    for name in named:
        if name not in known:
            mend = f"{_did_you_mean(name, known)}Known: {', '.join(known)}."
            yield (section, name), what, f"There is no {what} '{name}'.", mend


def _wrong_products(named: Iterable[str], knowledge: Knowledge) -> Iterator[_Wrong]:
    """Yield the products that have a price and are not offered for a standing crop, each with the reason."""
    known = priced_products(knowledge)
    for name in named:
        if name not in known:
            what, mend = what_is_wrong_with_product(name, known, knowledge)
            yield ("prices", "nitrogen", name), "product", what, mend


def priced_products(knowledge: Knowledge) -> list[str]:
    """Return the words under which nitrogen may have a price: any product, and each that is offered."""
    from spadework.advice.rescue.options import ANY_PRODUCT
    from spadework.agronomy.rescue.products import offered_products

    return [ANY_PRODUCT, *(row.name for row in offered_products(knowledge))]


def what_is_wrong_with_product(name: str, known: Sequence[str], knowledge: Knowledge) -> tuple[str, str]:
    """Return what is wrong with a product that is not offered, and how to mend it."""
    from spadework.advice.message import Message
    from spadework.advice.messages import render

    why = render(Message(f"rescue.product.{name}.why_not")) if f"rescue.product.{name}" in knowledge.rows else ""
    what = why or f"There is no product '{name}' for a standing crop."
    return what, f"{_did_you_mean(name, known)}Known: {', '.join(known)}."


def _wrong_override(row_id: str, figures: Mapping[str, float], knowledge: Knowledge) -> Iterator[_Wrong]:
    """Yield what keeps an override from being taken: the row, each figure that it does not have, or its sense."""
    from spadework.knowledge.load import with_overrides

    if row_id not in knowledge.rows:
        mend = f"{_did_you_mean(row_id, knowledge.rows)}`spadework source --list` names all rows."
        yield ("overrides", row_id), "override", f"There is no knowledge row '{row_id}' to override.", mend
        return
    left = dict(figures)
    while left:
        try:
            with_overrides(knowledge, {row_id: left})
        except KnowledgeError as error:
            at_fault = next((name for name in left if _is_about(error.what, name)), None)
            key = ("overrides", row_id) if at_fault is None else ("overrides", row_id, at_fault)
            said, *hints = _sentences(error.what)
            yield key, "override", said, " ".join(hints) or "Correct the figure, or take the override out."
            if at_fault is None:
                return
            del left[at_fault]
        else:
            return


def _is_about(what: str, name: str) -> bool:
    return repr(name) in what or what.startswith(f"{name} is overridden")


def _sentences(what: str) -> list[str]:
    """Turn ``no such figure; did you mean low?; it has low`` into sentences."""
    parts = [part.strip() for part in what.split(";")]
    return [part[:1].upper() + part[1:] + ("" if part.endswith(("?", ".")) else ".") for part in parts if part]


def _did_you_mean(name: str, known: Iterable[str]) -> str:
    close = difflib.get_close_matches(name, list(known), n=2)
    return f"Did you mean {' or '.join(close)}? " if close else ""


def _said(crop: str) -> str:
    return crop.replace("_", " ")
