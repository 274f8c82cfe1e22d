"""book.toml: the settings of a book, read and written."""

from __future__ import annotations

import datetime as dt
import json
import re
import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import asdict, dataclass
from operator import attrgetter
from typing import Any

from spadework.errors import Fault, RecordError
from spadework.knowledge.rows import Crop
from spadework.records.columns import columns_of
from spadework.records.dialect import SEPARATORS, decode
from spadework.records.refusal import one_line
from spadework.records.setting_checks import (
    Wrong,
    as_bearing,
    as_chance,
    as_crop,
    as_day,
    as_days,
    as_figures,
    as_grain_price,
    as_hour_price,
    as_local_b_value,
    as_local_target,
    as_local_ureide_line,
    as_money_word,
    as_price,
    as_rates,
    as_share,
    as_step,
    as_text,
    as_whole,
    as_width,
    as_yes_or_no,
    one_of,
    shown,
    unknown,
)
from spadework.records.types import TABLES, Prices, RescuePlan, Settings
from spadework.records.units import MEASURES

__all__ = ["BOOK_FILE", "BOOK_MEASURES", "line_of", "read_settings", "settings_text"]

BOOK_FILE = "book.toml"

BOOK_MEASURES: tuple[str, ...] = tuple(
    measure for measure in MEASURES if any(plan.measure == measure for table in TABLES for plan in columns_of(table))
)
"""Measures whose unit a book may declare: those that a column has."""

_DECIMAL_MARKS = ("point", "comma")
_DATE_ORDERS = ("iso", "dmy", "mdy")
_SYNTAX_PLACE = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$")


@dataclass(frozen=True)
class _Key:
    """One allowed key: where its value goes in Settings (within a part of it after a point) and how it is checked."""

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
        except Wrong as wrong:
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
    return _settings(values), faults


def _settings(values: Mapping[str, Any]) -> Settings:
    """Put values by path together: ``prices.dig`` is ``dig`` of ``prices``."""
    parts: dict[str, dict[str, Any]] = {"": {}, "prices": {}, "rescue": {}}
    for path, value in values.items():
        part, _, name = path.rpartition(".")
        parts[part][name] = value
    return Settings(**parts[""], prices=Prices(**parts["prices"]), rescue=RescuePlan(**parts["rescue"]))


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
            elif section in ("schemes", "prices") and key not in _KEYS["prices"] and isinstance(value, dict):
                yield from (((section, key, entry), content) for entry, content in value.items())
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
        case ("prices", *_) if path[1:] and (len(path) > 2 or path[1] not in _KEYS["prices"]):
            return _checked_price(path[1:], value)
        case (section, name) if section in _KEYS:
            keys = _KEYS[section]
            if name not in keys:
                raise unknown(name, list(keys), f"in [{section}]")
            return keys[name].setting, None, keys[name].check(value)
        case ("units", measure):
            if measure not in BOOK_MEASURES:
                raise unknown(measure, BOOK_MEASURES, "in [units]")
            return "units", measure, one_of(*MEASURES[measure], kind="unit")(value)
        case ("schemes", "target" | "window" as which, crop):
            return f"{which}_scheme", as_crop(crop), as_text(value)
        case ("schemes", which, *_):
            raise unknown(which, ("target", "window"), "in [schemes]")
        case ("local_target" | "local_b_value" | "local_ureide_line" as section, crop):
            return section, as_crop(crop), _LOCAL[section](value)
        case ("cause_prior" | "check_price" | "overrides" as section, entry):
            return section, entry, _ENTRIES[section](value)
    if path[0] in _SECTIONS:
        raise Wrong(
            "type",
            f"{path[0]} must be a section, but is {shown(value)}.",
            f"Write [{path[0]}] on a line of its own and its settings below.",
        )
    raise unknown(path[0], _SECTIONS, "at the top of the file")


def _checked_price(path: tuple[str, ...], value: Any) -> tuple[str, str | Crop, Any]:
    """Return what ``_checked`` does, for prices that go by crop or by product."""
    match path:
        case ("grain", crop):
            return "prices.grain", as_crop(crop), as_grain_price(value)
        case ("nitrogen", product):
            return "prices.nitrogen", product, as_price(value)
        case ("grain" | "nitrogen" as which,):
            example = "pea = 310" if which == "grain" else "urea = 1.3"
            raise Wrong(
                "type",
                f"{which} must be a section, but is {shown(value)}.",
                f"Write [prices.{which}] on a line of its own, and below it {example}.",
            )
    raise unknown(path[0], [*_KEYS["prices"], "grain", "nitrogen"], "in [prices]")


_KEYS: Mapping[str, Mapping[str, _Key]] = {
    "book": {
        "title": _Key("title", as_text),
        "season": _Key("season", as_text),
        "region": _Key("region", as_text),
        "today": _Key("today", as_day),
        "seed": _Key("seed", as_whole),
        "hour_price": _Key("hour_price", as_hour_price),
    },
    "files": {
        "separator": _Key("separator", one_of(*SEPARATORS)),
        "decimal": _Key("decimal_mark", one_of(*_DECIMAL_MARKS)),
    },
    "dates": {"order": _Key("date_order", one_of(*_DATE_ORDERS))},
    "sampling": {"settle_at": _Key("settle_at", as_share)},
    "degree_days": {"method": _Key("degree_day_method", as_text)},
    "prices": {
        "currency": _Key("prices.currency", as_money_word),
        "pass": _Key("prices.per_pass", as_price),
        "dig": _Key("prices.dig", as_price),
    },
    "rescue": {
        "lead_days": _Key("rescue.lead_days", as_days(0)),
        "dig_again_days": _Key("rescue.dig_again_days", as_days(1)),
        "rates": _Key("rescue.rates", as_rates),
        "rate_step": _Key("rescue.rate_step", as_step),
        "implement_width": _Key("rescue.implement_width", as_width),
        "strip_bearing": _Key("rescue.strip_bearing", as_bearing),
        "residue": _Key("rescue.residue", as_yes_or_no),
    },
}
_ENTRIES: Mapping[str, Callable[[Any], Any]] = {
    "cause_prior": as_chance,
    "check_price": as_price,
    "overrides": as_figures,
}
"""Sections whose keys are names of knowledge rows, and how their values are checked."""
_LOCAL: Mapping[str, Callable[[Any], Any]] = {
    "local_target": as_local_target,
    "local_b_value": as_local_b_value,
    "local_ureide_line": as_local_ureide_line,
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
    "prices",
    "rescue",
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
                name: attrgetter(key.setting)(settings)
                for name, key in keys.items()
                if key.setting in ("title", "season")
                or attrgetter(key.setting)(settings) != attrgetter(key.setting)(default)
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
    sections.append(("prices.grain", {str(crop): price for crop, price in settings.prices.grain.items()}))
    sections.append(("prices.nitrogen", {**settings.prices.nitrogen}))
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
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, tuple):
        return f"[{', '.join(map(_toml, value))}]"
    return value.isoformat() if isinstance(value, dt.date) else repr(value)


def _string(text: str) -> str:
    return json.dumps(str(text), ensure_ascii=False).replace("\x7f", "\\u007f")


def _bare(key: str) -> str:
    return key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else _string(key)
