"""From the text of one cell to its value, or a refusal that says what would be right."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from spadework.records.columns import ColumnPlan, Kind
from spadework.records.counts import read_count
from spadework.records.dates import read_date
from spadework.records.refusal import Refused, quoted
from spadework.records.units import Unit, unit_of

__all__ = ["CellRules", "bounds_in_words", "closest", "converter", "outside_bounds", "unguarded"]


@dataclass(frozen=True)
class CellRules:
    """What the book says about its cells. ``date_order`` is iso, dmy or mdy; ``decimal_mark`` point, comma or None."""

    date_order: str = "iso"
    decimal_mark: str | None = None


_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:[eE][+-]?[0-9]{1,3})?")
_NUMBER_AND_MORE = re.compile(r"([+-]?[0-9]+(?:[.,][0-9]+)?)(?:\s+[^0-9.,\s+-].*|[^0-9.,\s+_-][^0-9]*)", re.DOTALL)
_GROUPED = re.compile(
    r"[+-]?[0-9]{1,3}(?:(?:[ '’\u00a0\u202f][0-9]{3})+(?:[.,][0-9]*)?|(?:,[0-9]{3})+\.[0-9]*|(?:\.[0-9]{3})+,[0-9]*"
    r"|(?:,[0-9]{3}){2,}|(?:\.[0-9]{3}){2,})"
)
_COMMA_READ_TWO_WAYS = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}")
_LONGEST_NUMBER = 60
_MISSING_WORDS = frozenset(
    ("na", "n/a", "n.a.", "none", "null", "nil", "missing", "unknown", "-", "--", "–", "—", "?", ".")
)
_NOT_FINITE = frozenset(("nan", "inf", "infinity", "1.#inf", "1.#qnan"))
_SPREADSHEET_ERROR = re.compile(r"#[A-Z0-9/]+[!?]?")
_NAMED_SIGNS = {"\n": "a line break", "\r": "a line break", "\t": "a tab"}
_GUARDED = re.compile(r"'+[=+\-@]")


def converter(plan: ColumnPlan, rules: CellRules, unit: str | None) -> Callable[[str], object]:
    """Return the function that turns a non-empty, trimmed cell of this column into its value.

    ``unit`` is the unit of the book's file for a column with a measure. The function raises Refused.
    """
    source = unit_of(plan.measure, unit) if plan.measure is not None and unit is not None else None
    read: Mapping[Kind, Callable[[str], object]] = {
        Kind.TEXT: lambda text: _read_text(text, plan),
        Kind.CHOICE: lambda text: _read_choice(text, plan),
        Kind.YES_NO: _read_yes_no,
        Kind.DATE: lambda text: read_date(text, plan, rules.date_order),
        Kind.COUNT: lambda text: read_count(text, plan),
        Kind.WHOLE: lambda text: _read_whole(text, plan, rules),
        Kind.NUMBER: lambda text: _read_number(text, plan, rules, source),
    }
    of_its_kind = read[plan.kind]
    if plan.kind is Kind.TEXT:
        return of_its_kind

    def convert(text: str) -> object:
        _refuse_stand_ins(text, plan)
        return of_its_kind(text)

    return convert


def closest(text: str, names: Collection[str], *, likeness: float = 0.6) -> str | None:
    """Return the name that the text was most likely meant to be, if any is near (1 is the same but for case)."""
    folded = {name.casefold(): name for name in names}
    found = difflib.get_close_matches(text.casefold()[:100], folded, n=1, cutoff=likeness)
    return folded[found[0]] if found else None


def unguarded(text: str) -> str:
    """Take off the apostrophe that keeps a spreadsheet from running a cell as a formula."""
    return text[1:] if _GUARDED.match(text) else text


def _refuse_stand_ins(text: str, plan: ColumnPlan) -> None:
    """Refuse what people and programs write where nothing is known."""
    folded = text.casefold()
    if _SPREADSHEET_ERROR.fullmatch(text):
        raise Refused(
            "cell.spreadsheet_error",
            f"The cell says {quoted(text)}, an error of the spreadsheet.",
            "Mend the formula there, or leave the cell empty.",
        )
    if folded.lstrip("+-") in _NOT_FINITE:
        raise Refused(
            "number.not_finite",
            f"The cell says {quoted(text)}, which is no figure.",
            f"Write {bounds_in_words(plan)}, or leave the cell empty if it is not known.",
        )
    if folded in _MISSING_WORDS and not (plan.choices and folded in set(plan.choices)):
        zero = "Write 0 if there was none; l" if plan.kind in (Kind.COUNT, Kind.WHOLE, Kind.NUMBER) else "L"
        raise Refused(
            "cell.missing_word",
            f"The cell says {quoted(text)}.",
            f"{zero}eave the cell empty where nothing was recorded.",
        )


def _read_text(text: str, plan: ColumnPlan) -> str:
    if plan.pattern is not None and not re.fullmatch(plan.pattern, text):
        sign = next(sign for sign in text if not re.fullmatch(plan.pattern, sign))
        name = _NAMED_SIGNS.get(sign, f"the control character 0x{ord(sign):02X}")
        raise Refused(
            "cell.control_character",
            f"The cell {quoted(text)} holds {name}.",
            "Type the text anew, on one line." if sign in _NAMED_SIGNS else "Type the text anew.",
        )
    text = unguarded(text)
    if plan.max_length is not None and len(text) > plan.max_length:
        raise Refused(
            "cell.too_long",
            f"The cell {quoted(text)} has {len(text):,} characters.",
            f"Shorten it to {plan.max_length:,} characters or fewer.",
        )
    return text


def _read_choice(text: str, plan: ColumnPlan) -> StrEnum:
    assert plan.choices is not None  # noqa: S101 - a choice column has choices
    word = re.sub(r"[\s\-_–]+", "_", text.casefold())
    try:
        return plan.choices(word)
    except ValueError:
        near = closest(word, list(plan.choices))
        raise Refused(
            "choice.unknown",
            f"{quoted(text)} is not one of the words for {plan.name}.",
            (f"Did you mean {near}? " if near else "") + f"Allowed: {', '.join(plan.choices)}.",
        ) from None


_YES_NO = {"yes": True, "y": True, "true": True, "no": False, "n": False, "false": False}


def _read_yes_no(text: str) -> bool:
    try:
        return _YES_NO[text.casefold()]
    except KeyError:
        raise Refused(
            "yes_no.unknown",
            f"{quoted(text)} is neither yes nor no.",
            "Write yes or no, or leave the cell empty if nobody knows.",
        ) from None


def _read_whole(text: str, plan: ColumnPlan, rules: CellRules) -> int:
    value = _exact(text, plan, rules)
    if value.denominator != 1:
        raise Refused(
            "whole.decimals",
            f"{plan.name} must be a whole number, but the cell says {quoted(text)}.",
            f"Write {bounds_in_words(plan)}, without decimals.",
        )
    if outside_bounds(int(value), plan):
        raise _out_of_bounds(text, plan, None)
    return int(value)


def _read_number(text: str, plan: ColumnPlan, rules: CellRules, source: Unit | None) -> float:
    exact = _exact(text, plan, rules)
    value = source.inward(exact) if source is not None else float(exact)
    if outside_bounds(value, plan):
        raise _out_of_bounds(text, plan, source)
    return value


def _exact(text: str, plan: ColumnPlan, rules: CellRules) -> Fraction:
    """Read a number exactly as written; the decimal mark must be beyond doubt."""
    number = text.replace("−", "-")
    if _GROUPED.fullmatch(number):
        raise Refused(
            "number.grouped",
            f"{quoted(text)} has marks between the thousands.",
            "Write the digits without them: 1250, not 1 250 or 1,250.0.",
        )
    if len(number) > _LONGEST_NUMBER or not _NUMBER.fullmatch(number):
        raise _no_number(text, plan)
    if _COMMA_READ_TWO_WAYS.fullmatch(number) and rules.decimal_mark is None:
        as_decimal, as_thousands = number.replace(",", "."), number.replace(",", "")
        raise Refused(
            "number.two_ways",
            f"{quoted(text)} could be {as_decimal} or {as_thousands}.",
            f'Write {as_thousands} or {as_decimal}, or declare the mark in book.toml: [files] decimal = "comma".',
        )
    other = {"comma": ".", "point": ","}.get(rules.decimal_mark or "")
    if other is not None and other in number:
        raise Refused(
            "number.decimal_mark",
            f"{quoted(text)} uses '{other}', but book.toml declares decimal = \"{rules.decimal_mark}\".",
            "Write the number with the declared mark, or change the declaration.",
        )
    number = number.replace(",", ".")
    if not math.isfinite(float(number)):
        raise _out_of_bounds(text, plan, None)
    return Fraction(number)


def _no_number(text: str, plan: ColumnPlan) -> Refused:
    with_more = _NUMBER_AND_MORE.fullmatch(text)
    if with_more is not None and plan.kind is Kind.WHOLE and text.endswith("%"):
        return Refused(
            "whole.share",
            f"{quoted(text)} is a share, but {plan.name} is a count.",
            f"Write how many there were, {bounds_in_words(plan)}, or leave the cell empty if nobody counted.",
        )
    if with_more is not None:
        return Refused(
            "number.with_unit",
            f"{quoted(text)} has more in it than the number.",
            f"Write {with_more[1]} alone; units are declared once, under [units] in book.toml.",
        )
    return Refused(
        "number.unreadable",
        f"{quoted(text)} is not a number.",
        f"Write {bounds_in_words(plan)}, or leave the cell empty if it is not known.",
    )


def outside_bounds(value: float, plan: ColumnPlan) -> bool:
    """Whether a value in the inside unit lies outside what the column may hold."""
    if plan.low is not None and (value < plan.low or (plan.low_is_open and value == plan.low)):
        return True
    return plan.high is not None and value > plan.high


def bounds_in_words(plan: ColumnPlan, source: Unit | None = None) -> str:
    """Say what the column may hold, in the unit of the book's file: ``a number from -22 to 140 [degF]``."""
    what = "a whole number" if plan.kind is Kind.WHOLE else f"a {plan.kind}"

    def shown(bound: float) -> str:
        return f"{float(source.outward(Fraction(bound))) if source is not None else bound:.6g}"

    unit = source.name if source is not None else plan.meaning.unit
    ending = f" [{unit}]" if unit else ""
    if plan.kind not in (Kind.WHOLE, Kind.NUMBER) or plan.low is None:
        return what + ending
    if plan.low_is_open:
        return f"{what} above {shown(plan.low)} and up to {shown(plan.high)}{ending}"
    return f"{what} from {shown(plan.low)} to {shown(plan.high)}{ending}"


def _out_of_bounds(text: str, plan: ColumnPlan, source: Unit | None) -> Refused:
    return Refused(
        "number.out_of_bounds",
        f"{plan.name} must be {bounds_in_words(plan, source)}, but the cell says {quoted(text)}.",
        "Correct it, or leave the cell empty if it is not known." if not plan.required else "Correct it.",
    )
