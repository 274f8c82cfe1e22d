"""The only reader of the knowledge tables: TOML in, checked rows out."""

from __future__ import annotations

import difflib
import hashlib
import json
import math
import re
import tomllib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import MISSING, asdict, fields, replace
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Any, TypeVar

from spadework.errors import KnowledgeError
from spadework.knowledge.rows import (
    TABLES,
    UNITS,
    Cardinal,
    Cause,
    Caution,
    Check,
    Classes,
    DigWindow,
    EvidenceLine,
    Finding,
    Knowledge,
    Measured,
    NodeInterval,
    PrincipalStage,
    RescueEvidence,
    Row,
    Source,
    Statement,
    ThermalTime,
    WordList,
    field_names,
)
from spadework.quantity import Grade

__all__ = ["SCHEMA", "load", "parse", "with_overrides"]

SCHEMA = 1
"""The schema number that this reader knows; every file states its own."""

SOURCES_FILE = "sources.toml"
USERS_OWN = "users_own_figure"

HASH_DIGITS = 12
"""How many hexadecimal digits of the content hash are kept and shown."""

BuiltT = TypeVar("BuiltT", Row, Source)

_ID = re.compile(r"[a-z0-9_]+(\.[a-z0-9_]+)+")
_FIXED_UNIT: Mapping[type[Row], str] = {
    Cardinal: "degC",
    ThermalTime: "degC d",
    NodeInterval: "degC d",
    DigWindow: "d",
}
_WITHOUT_FIGURE = (PrincipalStage, Statement, Caution, Finding, Cause, Check, WordList, RescueEvidence)
_RANGE_FIELDS = ("low", "high", "mean", "sd")


@cache
def load() -> Knowledge:
    """Read the tables that come with the package, once; raises KnowledgeError where a row is not fit."""
    folder = resources.files("spadework.knowledge")
    texts = {entry.name: entry.read_text("utf-8") for entry in folder.iterdir() if entry.name.endswith(".toml")}
    sources = texts.pop(SOURCES_FILE)
    return parse(dict(sorted(texts.items())), sources)


def parse(tables: Mapping[str, str], sources: str) -> Knowledge:
    """Build the knowledge from texts: ``tables`` maps a file name to its TOML, ``sources`` is sources.toml.

    Raises
    ------
    KnowledgeError
        On the first row that is not fit; names file, table, id and field.
    """
    known = _sources(sources)
    rows: dict[str, Row] = {}
    for file, text in tables.items():
        for table, entries in _document(file, text).items():
            if table not in TABLES:
                raise KnowledgeError(table, "-", f"no such table; the tables are {', '.join(TABLES)}", file=file)
            if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
                raise KnowledgeError(table, "-", f"rows are written as [[{table}]]", file=file)
            for entry in entries:
                row = _row(TABLES[table], entry, file)
                if row.id in rows:
                    raise KnowledgeError(table, row.id, "this id stands twice; ids are unique", file=file)
                for key in row.source_keys:
                    if key not in known:
                        raise KnowledgeError(
                            table, row.id, f"source {key!r} is not in {SOURCES_FILE}{_close(key, known)}", file=file
                        )
                rows[row.id] = row
    for row in rows.values():
        for table, name in _rows_named(row):
            if f"{table}.{name}" not in rows:
                names = [row_id.removeprefix(f"{table}.") for row_id in rows if row_id.startswith(f"{table}.")]
                raise KnowledgeError(row.table, row.id, f"there is no {table} {name!r}{_close(name, names)}")
    return _knowledge(rows, known)


def with_overrides(knowledge: Knowledge, overrides: Mapping[str, Mapping[str, float]]) -> Knowledge:
    """Return the knowledge with figures of named rows replaced by the user's own.

    ``overrides`` maps a row id to ``{field: number}``; class limits are called ``limit_1``, ``limit_2``.
    A row so changed is marked ``overridden``, carries grade C and names the user as its source. A new
    ``value`` stands alone: the row's range, mean and sd fall away unless they are given with it.

    Raises
    ------
    KnowledgeError
        If a row or field is not known (close matches are named), or the figures do not fit the row.
    """
    if not overrides:
        return knowledge
    rows = dict(knowledge.rows)
    for row_id, figures in overrides.items():
        if row_id not in rows:
            raise KnowledgeError("any", row_id, f"there is no such row to override{_close(row_id, rows)}")
        if figures:
            rows[row_id] = _overridden(rows[row_id], figures)
    return _knowledge(rows, knowledge.sources)


def _rows_named(row: Row) -> list[tuple[str, str]]:
    """Findings and cautions that a row names: table and name of each."""
    if isinstance(row, Cause):
        return [("finding", line.finding) for line in row.evidence] + [("caution", name) for name in row.cautions]
    return [("finding", name) for name in row.findings] if isinstance(row, Check) else []


def _document(file: str, text: str) -> dict[str, Any]:
    """Parse one file and check its schema number, which is taken out."""
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise KnowledgeError("-", "-", f"not valid TOML: {error}", file=file) from error
    schema = document.pop("schema", None)
    if schema != SCHEMA or isinstance(schema, bool):
        raise KnowledgeError("-", "-", f"schema is {schema!r}; this version reads schema = {SCHEMA}", file=file)
    return document


def _sources(text: str) -> Mapping[str, Source]:
    known: dict[str, Source] = {}
    for key, entry in _document(SOURCES_FILE, text).items():
        if not isinstance(entry, dict):
            raise KnowledgeError("source", key, "a source is written as a table [key]", file=SOURCES_FILE)
        known[key] = _build(Source, {"key": key, **entry}, table="source", row_id=key, file=SOURCES_FILE)
    return known


def _row(kind: type[Row], entry: Mapping[str, Any], file: str) -> Row:
    """Build one row; on top of what the row itself checks, a row in a file has a proper id and unit."""
    table = kind.table
    row_id = entry.get("id")
    if not isinstance(row_id, str) or not _ID.fullmatch(row_id):
        shape = "an id is lower case words with dots between them, such as target.pea.fifty_nodules"
        raise KnowledgeError(table, str(row_id), f"id is {row_id!r}; {shape}", file=file)
    if kind not in _WITHOUT_FIGURE:
        unit = entry.get("unit")
        allowed = (_FIXED_UNIT[kind],) if kind in _FIXED_UNIT else tuple(UNITS)
        if unit not in allowed:
            what = "unit is missing" if unit is None else f"unit is {unit!r}"
            raise KnowledgeError(
                table, row_id, f"{what}; here it is {' or '.join(allowed)} (1 for a share or a plain number)", file=file
            )
    return _build(kind, entry, table=table, row_id=row_id, file=file)


def _build(kind: type[BuiltT], entry: Mapping[str, Any], *, table: str, row_id: str, file: str) -> BuiltT:
    """Turn what TOML holds into a frozen dataclass, field by field."""
    readers, required = _FIELDS[kind]
    values: dict[str, Any] = {}
    for name, raw in entry.items():
        if name not in readers:
            raise KnowledgeError(table, row_id, f"there is no field {name!r}{_close(name, readers)}", file=file)
        expected, read = readers[name]
        try:
            values[name] = read(raw)
        except (TypeError, ValueError):
            raise KnowledgeError(table, row_id, f"{name} is {raw!r}; it must be {expected}", file=file) from None
    missing = [name for name in required if name not in values]
    if missing:
        raise KnowledgeError(
            table,
            row_id,
            f"{' and '.join(missing)} missing; write {'it' if len(missing) == 1 else 'them'} in",
            file=file,
        )
    try:
        return kind(**values)
    except KnowledgeError as error:
        raise KnowledgeError(table, row_id, error.what, file=file) from None


def _overridden(row: Row, figures: Mapping[str, float]) -> Row:
    """Return the row with the user's figures in place of its own."""
    numeric = {
        field.name: str(field.type)
        for field in fields(row)
        if str(field.type) in ("float", "float | None", "int | None")
    }
    limits = list(row.limits) if isinstance(row, Classes) else []
    names = (*numeric, *(f"limit_{place + 1}" for place in range(len(limits))))
    changed: dict[str, Any] = {}
    for name, figure in figures.items():
        if name not in names:
            choice = f"it has {', '.join(names)}" if names else "it carries no figure"
            raise row.fault(f"there is no figure {name!r} to override{_close(name, names)}; {choice}")
        try:
            finite = math.isfinite(_number(figure))
        except TypeError:
            finite = False
        if not finite:
            raise row.fault(f"{name} is overridden with {figure!r}; it must be a finite number")
        if name.startswith("limit_"):
            limits[int(name.removeprefix("limit_")) - 1] = float(figure)
            changed["limits"] = tuple(limits)
        elif numeric[name] == "int | None" and figure != int(figure):
            raise row.fault(f"{name} is overridden with {figure!r}; it must be a whole number")
        else:
            changed[name] = int(figure) if numeric[name] == "int | None" else float(figure)
    if isinstance(row, Measured):
        replaced = {"value": _RANGE_FIELDS, "mean": ("value",)}
        for name, falls_away in replaced.items():
            if name in figures:
                changed = {**dict.fromkeys(falls_away), **changed}
    return replace(
        row,
        **changed,
        source=USERS_OWN,
        also=(),
        grade=Grade.JUDGEMENT,
        overridden=True,
        note=f"figure of the user's own; the table's stands on {row.source}, grade {row.grade}",
    )


def _knowledge(rows: Mapping[str, Row], sources: Mapping[str, Source]) -> Knowledge:
    """Freeze rows and sources, with a hash of all that they hold."""
    content = {
        kind: {key: {f.name: getattr(item, f.name) for f in fields(item)} for key, item in items.items()}
        for kind, items in (("rows", rows), ("sources", sources))
    }
    digest = hashlib.sha256(json.dumps(content, sort_keys=True, default=asdict).encode()).hexdigest()
    return Knowledge(
        rows=MappingProxyType(dict(rows)), sources=MappingProxyType(dict(sources)), content_hash=digest[:HASH_DIGITS]
    )


def _close(name: str, known: Iterable[str]) -> str:
    """Return a hint with the known names that look like this one, or nothing."""
    close = difflib.get_close_matches(name, list(known), n=3)
    return f"; did you mean {' or '.join(close)}?" if close else ""


def _text(raw: object) -> str:
    if not isinstance(raw, str):
        raise TypeError
    return raw.strip()


def _number(raw: object) -> float:
    if isinstance(raw, bool) or not isinstance(raw, int | float):
        raise TypeError
    return float(raw)


def _whole(raw: object) -> int:
    if isinstance(raw, bool) or not isinstance(raw, int):
        raise TypeError
    return raw


def _truth(raw: object) -> bool:
    if not isinstance(raw, bool):
        raise TypeError
    return raw


def _items(read: Callable[[object], Any]) -> Callable[[object], tuple[Any, ...]]:
    def read_all(raw: object) -> tuple[Any, ...]:
        if not isinstance(raw, list):
            raise TypeError
        return tuple(read(item) for item in raw)

    return read_all


def _evidence(raw: object) -> EvidenceLine:
    """Read one line of a cause's evidence, an inline table."""
    if not isinstance(raw, dict):
        raise TypeError
    readers = {field.name: _READERS[str(field.type)][1] for field in fields(EvidenceLine)}
    if not raw.keys() <= readers.keys():
        raise ValueError
    return EvidenceLine(**{name: readers[name](value) for name, value in raw.items()})


_Reader = tuple[str, Callable[[object], Any]]
"""What a field must be, in words, and how it is read."""

# What TOML may hold for a field, by the annotation of the field in the rows.
_READERS: Mapping[str, _Reader] = {
    "str": ("text", _text),
    "str | None": ("text", _text),
    "float": ("a number", _number),
    "float | None": ("a number", _number),
    "int": ("a whole number", _whole),
    "int | None": ("a whole number", _whole),
    "bool": ("true or false", _truth),
    "tuple[str, ...]": ("a list of texts", _items(_text)),
    "tuple[float, ...]": ("a list of numbers", _items(_number)),
    "tuple[EvidenceLine, ...]": (
        "a list of tables {finding, level, source, grade} and, where they hold, crops, stated, note",
        _items(_evidence),
    ),
    "Grade": ("A, B or C", lambda raw: Grade(_text(raw))),
}

# For each kind of row: how its fields are read, and which of them must be there.
_FIELDS: Mapping[type[Row | Source], tuple[Mapping[str, _Reader], tuple[str, ...]]] = {
    kind: (
        {field.name: _READERS[str(field.type)] for field in fields(kind) if field.name in field_names(kind)},
        tuple(field.name for field in fields(kind) if field.default is MISSING),
    )
    for kind in (*TABLES.values(), Source)
}
