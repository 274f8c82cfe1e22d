"""Messages turned into sentences: one catalogue a language, keyed by message id."""

from __future__ import annotations

import datetime as dt
import string
import tomllib
from collections.abc import Callable, Mapping
from functools import cache
from importlib import resources
from typing import Any

from spadework.advice.message import Message, Scalar
from spadework.errors import KnowledgeError

__all__ = ["Amounts", "catalogue", "fill", "inside_amounts", "render", "with_minus"]

Amounts = Callable[[float, str], str]
"""Shows a value of an inside unit, with its unit."""

_MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


class _Formatter(string.Formatter):
    """Adds what sentences need.

    ``{name:cause}``, ``{name:check}`` and ``{name:product}`` for what these are called, ``{n:more}`` for how many
    further ones, ``{day:date}``, ``{share:percent}``, ``{n:about}`` for a number that need not be whole,
    ``{n:plural:plant|plants}`` with the number and ``{n:word:plant|plants}`` without, ``{rate:as:kg/ha}`` for an
    amount, ``{rate:in:kg/ha}`` for its number alone, ``{yield:as:t/ha:.1f}`` for one with a format of its own
    where the unit stays, ``{price:as:per t}`` for money, which ``amounts`` may show in the reader's units;
    ``{why:said:lab}`` for another sentence of the catalogue, with the same values.
    """

    def __init__(self, language: str, amounts: Amounts, values: Mapping[str, Scalar]) -> None:
        self.language = language
        self.amounts = amounts
        self.values = values

    def format_field(self, value: Any, format_spec: str) -> str:
        kind, _, words = format_spec.partition(":")
        if kind == "said" or kind in _NAMED:
            name = f"{words}.{value}" if kind == "said" else f"{_NAMED[kind]}.{value}.name"
            return self.vformat(catalogue(self.language)[name], (), self.values)
        if kind in ("as", "in"):
            return self._amount(value, words, with_unit=kind == "as")
        if kind in ("word", "plural"):
            one, many = words.split("|")
            return (f"{value} " if kind == "plural" else "") + (one if value == 1 else many)
        if format_spec in _NUMBERS:
            return _NUMBERS[format_spec](value)
        if format_spec == "date" and isinstance(value, dt.date):
            return f"{value.day} {_MONTHS[value.month - 1]} {value.year}"
        text = str(super().format_field(value, format_spec))
        return with_minus(text) if isinstance(value, int | float) else text

    def _amount(self, value: float, words: str, *, with_unit: bool) -> str:
        unit, _, decimals = words.partition(":")
        number, _, shown = self.amounts(value, unit).partition(" ")
        if decimals and shown == unit:
            number = with_minus(f"{value:{decimals}}")
        return f"{number} {shown}" if with_unit else number


_NAMED: Mapping[str, str] = {"cause": "cause", "check": "check", "product": "rescue.product"}
"""Where the catalogue keeps the names that a format stands for."""


def _percent(share: float) -> str:
    """Whole per cent; never rounded to a certainty that is not there."""
    if 0 < share < 0.01:
        return "under 1"
    if 0.99 < share < 1:
        return "over 99"
    return with_minus(f"{share * 100:.0f}")


def with_minus(number: str) -> str:
    """A number with a real minus sign, and no minus on what rounds to zero."""
    return number.replace("-", "\u2212") if any(digit in "123456789" for digit in number) else number.removeprefix("-")


def _about(number: float) -> str:
    """A number that is as good as whole as it is; of any other only about how much it is."""
    if abs(number - round(number)) < 0.05:
        return f"{number:.0f}"
    return "fewer than 1" if number < 0.5 else f"about {number:.0f}"


_NUMBERS: Mapping[str, Callable[[Any], str]] = {
    "percent": lambda share: f"{_percent(float(share))} %",
    "about": lambda number: _about(float(number)),
    "more": lambda number: {0: "", 1: " and one more"}.get(number, f" and {number} more"),
}


def inside_amounts(value: float, unit: str) -> str:
    """Show an amount, or money per unit, in the units that Spadework reckons in."""
    return f"{with_minus(f'{value:.{_DECIMALS.get(unit, 0)}f}')} {unit}"


_DECIMALS: Mapping[str, int] = {"t/ha": 2, "per kg": 2}


@cache
def catalogue(language: str = "en") -> Mapping[str, str]:
    """Return id -> template of one language, from all its files, read once.

    Raises KnowledgeError where two files name the same message.
    """
    templates: dict[str, str] = {}
    for file in sorted(resources.files("spadework.advice").iterdir(), key=lambda entry: entry.name):
        if file.name.endswith(f"_{language}.toml"):
            for name, template in _flatten(tomllib.loads(file.read_text("utf-8")), ""):
                if name in templates:
                    raise KnowledgeError(file.name, name, "this message stands in another file, too")
                templates[name] = template
    return templates


def _flatten(tree: Mapping[str, Any], prefix: str) -> list[tuple[str, str]]:
    pairs: list[tuple[str, str]] = []
    for key, value in tree.items():
        name = f"{prefix}{key}"
        pairs.extend(_flatten(value, f"{name}.") if isinstance(value, dict) else [(name, str(value))])
    return pairs


def fill(
    template: str, values: Mapping[str, Scalar], language: str = "en", *, amounts: Amounts = inside_amounts
) -> str:
    """Put values into a template, with the formats of sentences: ``{x:date}``, ``{x:percent}``, ``{n:plural:a|b}``."""
    return _Formatter(language, amounts, values).vformat(template, (), dict(values))


def render(message: Message, language: str = "en", *, amounts: Amounts = inside_amounts) -> str:
    """Return the sentence of a message; raises KnowledgeError where the catalogue lacks its id.

    ``amounts`` shows a value of an inside unit (``kg/ha``, ``t/ha``, ``mm``) or money (``per t``, ``per kg``,
    ``per ha``) with its unit, in the units of the reader.
    """
    try:
        template = catalogue(language)[message.id]
    except KeyError:
        raise KnowledgeError(f"messages_{language}", message.id, "there is no such message") from None
    return fill(template, message.values, language, amounts=amounts)
