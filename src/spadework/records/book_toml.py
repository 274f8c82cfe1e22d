"""book.toml: the settings of a book, read and written."""

from __future__ import annotations

import datetime as dt
import json
import math
import re
import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import asdict, dataclass
from typing import Any

from spadework.errors import DomainError, Fault, RecordError
from spadework.knowledge.rows import Crop
from spadework.records.cells import closest
from spadework.records.columns import columns_of
from spadework.records.dialect import SEPARATORS, decode
from spadework.records.refusal import one_line, quoted
from spadework.records.types import TABLES, CountingUnit, LocalBValue, LocalTarget, LocalUreideLine, Settings
from spadework.records.units import MEASURES

__all__ = ["BOOK_FILE", "BOOK_MEASURES", "line_of", "read_settings", "settings_text"]

BOOK_FILE = "book.toml"

BOOK_MEASURES: tuple[str, ...] = tuple(
    measure for measure in MEASURES if any(plan.measure == measure for table in TABLES for plan in columns_of(table))
)
"""Measures whose unit a book may declare: those that a column has."""

_DECIMAL_MARKS = ("point", "comma")
_DATE_ORDERS = ("iso", "dmy", "mdy")
_LAST_DAY = dt.date(2100, 12, 31)
_SYNTAX_PLACE = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$")


class _Wrong(Exception):
    def __init__(self, kind: str, what: str, mend: str) -> None:
        super().__init__(what)
        self.kind, self.what, self.mend = kind, what, mend


@dataclass(frozen=True)
class _Key:
    """One allowed key: where its value goes in Settings and how it is checked."""

    setting: str
    check: Callable[[Any], Any]


def read_settings(data: bytes) -> tuple[Settings | None, list[Fault]]:
    """Read the settings; every fault is collected. None where the file cannot be parsed or a must is missing."""
    try:
        text = _text_of(data)
        document = tomllib.loads(text)
    except RecordError as error:
        return None, [error.fault]
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        return None, [_syntax_fault(str(error), text)]
    faults: list[Fault] = []
    values: dict[str, Any] = {}
    for path, value in _walk(document):
        try:
            setting, entry, checked = _checked(path, value)
        except _Wrong as wrong:
            line = _line_of(text, path)
            faults.append(
                Fault(BOOK_FILE, line, ".".join(map(one_line, path)), f"settings.{wrong.kind}", wrong.what, wrong.mend)
            )
            continue
        if entry is None:
            values[setting] = checked
        else:
            values.setdefault(setting, {})[entry] = checked
    for name in ("title", "season"):
        if name not in values and not any(fault.column == f"book.{name}" for fault in faults):
            example = {"title": "North farms", "season": "2026"}[name]
            faults.append(
                Fault(
                    BOOK_FILE,
                    None,
                    f"book.{name}",
                    "settings.missing",
                    f"[book] does not say its {name}.",
                    f'Write under [book]: {name} = "{example}".',
                )
            )
    if not {"title", "season"} <= values.keys():
        return None, faults
    return Settings(**values), faults


def _syntax_fault(error: str, text: str) -> Fault:
    place = _SYNTAX_PLACE.search(error)
    what = _SYNTAX_PLACE.sub("", error)
    if place is not None and place[1]:
        line, where = int(place[1]), f" (at character {place[2]} of the line)"
    else:
        line, where = text.rstrip("\n").count("\n") + 1, " (at the end of the file)"
    return Fault(
        BOOK_FILE,
        line,
        None,
        "settings.syntax",
        f"The line is no TOML: {what[:1].lower() + what[1:]}{where}.",
        'Write name = value, text between quotation marks, and sections as [name]: season = "2026".',
    )


def _walk(document: Mapping[str, Any]) -> Iterator[tuple[tuple[str, ...], Any]]:
    """Yield the value at each path that a setting can stand at."""
    for section, content in document.items():
        if section not in _SECTIONS or not isinstance(content, dict):
            yield (section,), content
            continue
        for key, value in content.items():
            if section == "overrides" and isinstance(value, dict):
                yield from (((section, row_id), figures) for row_id, figures in _override_rows(key, value))
            elif section == "schemes" and isinstance(value, dict):
                yield from (((section, key, crop), scheme) for crop, scheme in value.items())
            else:
                yield (section, key), value


def _override_rows(row_id: str, content: Mapping[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    """Read [overrides.a.b.c] like [overrides."a.b.c"]: row ids have dots, and people forget the quotes."""
    figures = {key: value for key, value in content.items() if not isinstance(value, dict)}
    if figures or not content:
        yield row_id, figures
    for key, value in content.items():
        if isinstance(value, dict):
            yield from _override_rows(f"{row_id}.{key}", value)


def _checked(path: tuple[str, ...], value: Any) -> tuple[str, str | Crop | None, Any]:
    """Return the setting, the entry within it (for mappings) and the checked value."""
    match path:
        case ("book" | "sampling" | "degree_days" | "files" | "dates" as section, name):
            keys = _KEYS[section]
            if name not in keys:
                raise _unknown(name, list(keys), f"in [{section}]")
            return keys[name].setting, None, keys[name].check(value)
        case ("units", measure):
            if measure not in BOOK_MEASURES:
                raise _unknown(measure, BOOK_MEASURES, "in [units]")
            return "units", measure, _one_of(*MEASURES[measure], kind="unit")(value)
        case ("schemes", "target" | "window" as which, crop):
            return f"{which}_scheme", _crop(crop), _text(value)
        case ("schemes", which, *_):
            raise _unknown(which, ("target", "window"), "in [schemes]")
        case ("local_target" | "local_b_value" | "local_ureide_line" as section, crop):
            return section, _crop(crop), _LOCAL[section](value)
        case ("cause_prior" | "check_price" | "overrides" as section, entry):
            return section, entry, _ENTRIES[section](value)
    if path[0] in _SECTIONS:
        raise _Wrong(
            "type",
            f"{path[0]} must be a section, but is {_shown(value)}.",
            f"Write [{path[0]}] on a line of its own and its settings below.",
        )
    raise _unknown(path[0], _SECTIONS, "at the top of the file")


def _text(value: Any) -> str:
    if not isinstance(value, str) or not value.strip():
        raise _Wrong("type", f"Must be a text, but is {_shown(value)}.", 'Write it between quotation marks: "2026".')
    return value.strip()


def _day(value: Any) -> dt.date:
    if not isinstance(value, dt.date) or isinstance(value, dt.datetime):
        raise _Wrong(
            "type", f"Must be a date, but is {_shown(value)}.", "Write it without quotation marks: 2026-06-24."
        )
    return value


def _whole(value: Any) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or not 0 <= value < 2**63:
        raise _Wrong("type", f"Must be a whole number of 0 or more, but is {_shown(value)}.", "Write it so: 1.")
    return value


def _figure(value: Any) -> float:
    if not isinstance(value, int | float) or isinstance(value, bool) or not math.isfinite(value):
        raise _Wrong("type", f"Must be a number, but is {_shown(value)}.", "Write it without quotation marks: 12.5.")
    return float(value)


def _share(value: Any) -> float:
    share = _figure(value)
    if not 0.5 <= share < 1:
        raise _Wrong(
            "out_of_bounds",
            f"Must be a probability from 0.5 to below 1, but is {_shown(value)}.",
            "Write it so: 0.9.",
        )
    return share


def _chance(value: Any) -> float:
    chance = _figure(value)
    if not 0 < chance < 1:
        raise _Wrong(
            "out_of_bounds",
            f"Must be a probability above 0 and below 1, but is {_shown(value)}.",
            "Write it so: 0.05 for one field in twenty. Even what hardly ever happens is not 0.",
        )
    return chance


def _price(value: Any) -> float:
    price = _figure(value)
    if price < 0:
        raise _Wrong("out_of_bounds", f"Must be a price of 0 or more, but is {_shown(value)}.", "Write it so: 45.")
    return price


def _hour_price(value: Any) -> float:
    price = _figure(value)
    if price <= 0:
        raise _Wrong("out_of_bounds", f"Must be a price above 0, but is {_shown(value)}.", "Write it so: 60.")
    return price


def _one_of(*names: str, kind: str = "choice") -> Callable[[Any], str]:
    def check(value: Any) -> str:
        if value not in names:
            near = closest(value, names) if isinstance(value, str) else None
            raise _Wrong(
                kind,
                f"{_shown(value)} is not known here.",
                (f"Did you mean {near}? " if near else "") + f"Allowed: {', '.join(names)}.",
            )
        return str(value)

    return check


def _crop(name: str) -> Crop:
    try:
        return Crop(name)
    except ValueError:
        raise _unknown(name, list(Crop), "among the crops", kind="crop") from None


def _local_target(value: Any) -> LocalTarget:
    if not isinstance(value, dict):
        raise _Wrong(
            "type", f"Must be a section, but is {_shown(value)}.", "Write [local_target.lentil] and value = 30."
        )
    _only_known(value, ("value", "counting_unit", "source"), "in a local target")
    if "value" not in value:
        raise _Wrong("missing", "The local target has no value.", "Write value = and the number of nodules.")
    figure = _figure(value["value"])
    if not 0 < figure <= 1000:
        raise _Wrong("out_of_bounds", f"The value must be above 0 and up to 1000, but is {figure:g}.", "Correct it.")
    unit = CountingUnit(_one_of(*CountingUnit)(value.get("counting_unit", "nodule")))
    return LocalTarget(value=figure, counting_unit=unit, source=_source_in(value))


def _local_b_value(value: Any) -> LocalBValue:
    """Read B as a figure alone, or as a section with its standard error and source."""
    content = value if isinstance(value, dict) else {"value": value}
    _only_known(content, ("value", "standard_error", "source"), "in a local B value")
    if "value" not in content:
        raise _Wrong("missing", "The local B value has no value.", "Write value = and the figure in permil: -1.1.")
    figure = _figure(content["value"])
    if not -10 <= figure <= 10:
        raise _Wrong("out_of_bounds", f"B must be -10 to 10 permil, but is {figure:g}.", "Correct it.")
    error = content.get("standard_error")
    if error is not None and not 0 < (error := _figure(error)) <= 10:
        raise _Wrong(
            "out_of_bounds", f"The standard error must be above 0 and up to 10 permil, but is {error:g}.", "Correct it."
        )
    return LocalBValue(value=figure, standard_error=error, source=_source_in(content))


def _local_ureide_line(value: Any) -> LocalUreideLine:
    example = "Write [local_ureide_line.soybean], and below it intercept = 0.08 and slope = 0.7."
    if not isinstance(value, dict):
        raise _Wrong("type", f"Must be a section, but is {_shown(value)}.", example)
    figures = ("intercept", "slope", "lowest", "highest")
    _only_known(value, (*figures, "source"), "in a ureide line")
    for name in figures[:2]:
        if name not in value:
            raise _Wrong("missing", f"The ureide line has no {name}.", example)
    given = {name: _figure(value[name]) for name in figures if name in value}
    try:
        return LocalUreideLine(**given, source=_source_in(value))
    except DomainError as error:
        raise _Wrong("out_of_bounds", str(error), example) from None


def _only_known(content: Mapping[str, Any], known: tuple[str, ...], where: str) -> None:
    for name in content:
        if name not in known:
            raise _unknown(name, known, where)


def _source_in(content: Mapping[str, Any]) -> str | None:
    return _text(content["source"]) if "source" in content else None


def _figures(value: Any) -> dict[str, float]:
    if not isinstance(value, dict) or not value:
        raise _Wrong(
            "type",
            f"An override must hold figures, but is {_shown(value)}.",
            'Write [overrides."id of the row"] and below it value = 12 (or low, high, mean, sd).',
        )
    return {name: _figure(figure) for name, figure in value.items()}


def _unknown(name: str, known: Any, where: str, kind: str = "unknown") -> _Wrong:
    near = closest(name, known)
    return _Wrong(
        kind,
        f"There is no {quoted(name)} {where}.",
        (f"Did you mean {near}? " if near else "") + f"Known: {', '.join(known)}.",
    )


def _shown(value: Any) -> str:
    return repr(value)[:60]


_KEYS: Mapping[str, Mapping[str, _Key]] = {
    "book": {
        "title": _Key("title", _text),
        "season": _Key("season", _text),
        "region": _Key("region", _text),
        "today": _Key("today", _day),
        "seed": _Key("seed", _whole),
        "hour_price": _Key("hour_price", _hour_price),
    },
    "files": {
        "separator": _Key("separator", _one_of(*SEPARATORS)),
        "decimal": _Key("decimal_mark", _one_of(*_DECIMAL_MARKS)),
    },
    "dates": {"order": _Key("date_order", _one_of(*_DATE_ORDERS))},
    "sampling": {"settle_at": _Key("settle_at", _share)},
    "degree_days": {"method": _Key("degree_day_method", _text)},
}
_ENTRIES: Mapping[str, Callable[[Any], Any]] = {"cause_prior": _chance, "check_price": _price, "overrides": _figures}
"""Sections whose keys are names of knowledge rows, and how their values are checked."""
_LOCAL: Mapping[str, Callable[[Any], Any]] = {
    "local_target": _local_target,
    "local_b_value": _local_b_value,
    "local_ureide_line": _local_ureide_line,
}
"""Sections of the user's own figures by crop."""
_SECTIONS = (
    "book",
    "units",
    "files",
    "dates",
    "schemes",
    *_LOCAL,
    "sampling",
    "degree_days",
    "cause_prior",
    "check_price",
    "overrides",
)


def line_of(data: bytes, path: tuple[str, ...]) -> int | None:
    """Return the line of book.toml on which a setting stands; None where it is written in a way that hides it."""
    return _line_of(_text_of(data), path)


def _text_of(data: bytes) -> str:
    return re.sub(r"\r\n?", "\n", decode(data, BOOK_FILE))


def _line_of(text: str, path: tuple[str, ...]) -> int | None:
    """Find the line on which a setting stands; None where it is written in a way that hides it."""
    section: list[str] = []
    best: int | None = None
    for number, line in enumerate(text.split("\n"), start=1):
        if header := re.match(r"\s*\[([^\[\]]+)\]", line):
            section = _keys(header[1])
            joined = section
        elif setting := re.match(r"\s*([^#=]+?)\s*=", line):
            joined = section + _keys(setting[1])
        else:
            continue
        if ".".join(joined) == ".".join(path):
            return number
        if best is None and joined[: len(path)] == list(path):
            best = number
    return best


def _keys(text: str) -> list[str]:
    return [part.strip().strip("\"'") for part in re.findall(r"\"[^\"]*\"|'[^']*'|[^.]+", text)]


def settings_text(settings: Settings) -> str:
    """Write settings as book.toml; what stands at its default is left out."""
    default = Settings(title="", season="")
    sections: list[tuple[str, dict[str, Any]]] = [
        (
            section,
            {
                name: getattr(settings, key.setting)
                for name, key in keys.items()
                if key.setting in ("title", "season") or getattr(settings, key.setting) != getattr(default, key.setting)
            },
        )
        for section, keys in _KEYS.items()
    ]
    sections.append(("units", {**settings.units}))
    sections.append(("schemes.target", {str(crop): scheme for crop, scheme in settings.target_scheme.items()}))
    sections.append(("schemes.window", {str(crop): scheme for crop, scheme in settings.window_scheme.items()}))
    for section in _LOCAL:
        for crop, own in getattr(settings, section).items():
            entry = {key: value for key, value in asdict(own).items() if value is not None}
            sections.append((f"{section}.{crop}", entry))
    sections.append(("cause_prior", {**settings.cause_prior}))
    sections.append(("check_price", {**settings.check_price}))
    for row_id, figures in settings.overrides.items():
        sections.append((f"overrides.{_string(row_id)}", {**figures}))
    parts = [
        f"[{name}]\n" + "".join(f"{_bare(key)} = {_toml(value)}\n" for key, value in content.items())
        for name, content in sections
        if content
    ]
    return "\n".join(parts)


def _toml(value: Any) -> str:
    if isinstance(value, str):
        return _string(value)
    return value.isoformat() if isinstance(value, dt.date) else repr(value)


def _string(text: str) -> str:
    return json.dumps(str(text), ensure_ascii=False).replace("\x7f", "\\u007f")


def _bare(key: str) -> str:
    return key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else _string(key)
