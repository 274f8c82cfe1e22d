"""Checks of single settings: what a value of book.toml may be, and how to mend it where it is not."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Mapping
from typing import Any

from spadework.errors import DomainError
from spadework.knowledge.rows import Crop
from spadework.records.cells import closest
from spadework.records.refusal import quoted
from spadework.records.types import CountingUnit, LocalBValue, LocalTarget, LocalUreideLine

__all__ = [
    "HIGHEST_RATE",
    "Wrong",
    "as_bearing",
    "as_chance",
    "as_crop",
    "as_day",
    "as_days",
    "as_figure",
    "as_figures",
    "as_grain_price",
    "as_hour_price",
    "as_local_b_value",
    "as_local_target",
    "as_local_ureide_line",
    "as_money_word",
    "as_price",
    "as_rates",
    "as_share",
    "as_step",
    "as_text",
    "as_whole",
    "as_width",
    "as_yes_or_no",
    "one_of",
    "shown",
    "unknown",
]

_LONGEST_MONEY_WORD = 12
_WIDEST_STEP = 100.0
_MOST_RATES, HIGHEST_RATE = 4, 150
"""Rates of nitrogen that may be asked for, and up to where the balance knows what they do [kg/ha]."""


class Wrong(Exception):
    """What is wrong with a setting: a word for scripts, a sentence, and how to mend it."""

    def __init__(self, kind: str, what: str, mend: str) -> None:
        super().__init__(what)
        self.kind, self.what, self.mend = kind, what, mend


def as_text(value: Any) -> str:
    """A text that is not blank."""
    if not isinstance(value, str) or not value.strip():
        raise Wrong("type", f"Must be a text, but is {shown(value)}.", 'Write it between quotation marks: "2026".')
    return value.strip()


def as_day(value: Any) -> dt.date:
    """A date, not a time."""
    if not isinstance(value, dt.date) or isinstance(value, dt.datetime):
        raise Wrong("type", f"Must be a date, but is {shown(value)}.", "Write it without quotation marks: 2026-06-24.")
    return value


def as_whole(value: Any) -> int:
    """A whole number of 0 or more."""
    if not isinstance(value, int) or isinstance(value, bool) or not 0 <= value < 2**63:
        raise Wrong("type", f"Must be a whole number of 0 or more, but is {shown(value)}.", "Write it so: 1.")
    return value


def as_figure(value: Any) -> float:
    """Any number."""
    if not isinstance(value, int | float) or isinstance(value, bool) or not math.isfinite(value):
        raise Wrong("type", f"Must be a number, but is {shown(value)}.", "Write it without quotation marks: 12.5.")
    return float(value)


def as_share(value: Any) -> float:
    """A probability at which something counts as settled."""
    share = as_figure(value)
    if not 0.5 <= share < 1:
        raise Wrong(
            "out_of_bounds",
            f"Must be a probability from 0.5 to below 1, but is {shown(value)}.",
            "Write it so: 0.9.",
        )
    return share


def as_chance(value: Any) -> float:
    """A probability that is neither 0 nor 1."""
    chance = as_figure(value)
    if not 0 < chance < 1:
        raise Wrong(
            "out_of_bounds",
            f"Must be a probability above 0 and below 1, but is {shown(value)}.",
            "Write it so: 0.05 for one field in twenty. Even what hardly ever happens is not 0.",
        )
    return chance


def as_price(value: Any) -> float:
    """A price of 0 or more."""
    price = as_figure(value)
    if price < 0:
        raise Wrong("out_of_bounds", f"Must be a price of 0 or more, but is {shown(value)}.", "Write it so: 45.")
    return price


def as_hour_price(value: Any) -> float:
    """A price above 0."""
    price = as_figure(value)
    if price <= 0:
        raise Wrong("out_of_bounds", f"Must be a price above 0, but is {shown(value)}.", "Write it so: 60.")
    return price


def as_grain_price(value: Any) -> float:
    """A price above 0; grain that is worth nothing is grain whose price is not known."""
    price = as_figure(value)
    if price <= 0:
        raise Wrong(
            "out_of_bounds",
            f"Must be a price above 0, but is {shown(value)}.",
            "Write the price of a tonne, such as 310, or take the line out where it is not known.",
        )
    return price


def as_money_word(value: Any) -> str:
    """What the money is called: one short line, for the heads of tables."""
    word = as_text(value)
    if len(word) > _LONGEST_MONEY_WORD or not word.isprintable():
        raise Wrong(
            "out_of_bounds",
            f"Must be a word of up to {_LONGEST_MONEY_WORD} letters on one line, but is {shown(value)}.",
            "Write the short name of the money.",
        )
    return word


def as_days(least: int) -> Callable[[Any], int]:
    """Return the check of a number of days from ``least`` to 60."""

    def check(value: Any) -> int:
        days = as_whole(value)
        if not least <= days <= 60:
            raise Wrong("out_of_bounds", f"Must be {least} to 60 days, but is {shown(value)}.", "Write it so: 5.")
        return days

    return check


def as_rates(value: Any) -> tuple[float, ...]:
    """Rates of nitrogen [kg/ha]."""
    if not isinstance(value, list) or not 0 < len(value) <= _MOST_RATES:
        raise Wrong(
            "type", f"Must be a list of up to {_MOST_RATES} rates, but is {shown(value)}.", "Write it so: [40, 67.5]."
        )
    rates = tuple(as_figure(rate) for rate in value)
    if not all(0 < rate <= HIGHEST_RATE for rate in rates):
        raise Wrong(
            "out_of_bounds",
            f"Rates must be above 0 and up to {HIGHEST_RATE} kg/ha of nitrogen, but are {shown(value)}.",
            "Write nitrogen, not product.",
        )
    return rates


def as_step(value: Any) -> float:
    """A step in which a machine can be set, kg or L a ha."""
    step = as_figure(value)
    if not 0 < step <= _WIDEST_STEP:
        raise Wrong(
            "out_of_bounds",
            f"Must be a step of product above 0 and up to {_WIDEST_STEP:g} kg/ha or L/ha, but is {shown(value)}.",
            "Write it so: 5.",
        )
    return step


def as_width(value: Any) -> float:
    """A working width [m]."""
    width = as_figure(value)
    if not 0 < width <= 100:
        raise Wrong("out_of_bounds", f"Must be above 0 and up to 100 m, but is {shown(value)}.", "Write it so: 24.")
    return width


def as_bearing(value: Any) -> float:
    """A direction from north [deg]."""
    bearing = as_figure(value)
    if not 0 <= bearing <= 360:
        raise Wrong(
            "out_of_bounds",
            f"Must be 0 to 360 degrees from north, but is {shown(value)}.",
            "Write 0 for passes that run north and south, 90 for east and west.",
        )
    return bearing


def as_yes_or_no(value: Any) -> bool:
    """True or false."""
    if not isinstance(value, bool):
        raise Wrong(
            "type", f"Must be true or false, but is {shown(value)}.", "Write true or false, without quotation marks."
        )
    return value


def one_of(*names: str, kind: str = "choice") -> Callable[[Any], str]:
    """Return the check that a value is one of these names."""

    def check(value: Any) -> str:
        if value not in names:
            near = closest(value, names) if isinstance(value, str) else None
            raise Wrong(
                kind,
                f"{shown(value)} is not known here.",
                (f"Did you mean {near}? " if near else "") + f"Allowed: {', '.join(names)}.",
            )
        return str(value)

    return check


def as_crop(name: str) -> Crop:
    """A crop by its name."""
    try:
        return Crop(name)
    except ValueError:
        raise unknown(name, list(Crop), "among the crops", kind="crop") from None


def as_local_target(value: Any) -> LocalTarget:
    """A target with its counting unit and source."""
    if not isinstance(value, dict):
        raise Wrong("type", f"Must be a section, but is {shown(value)}.", "Write [local_target.lentil] and value = 30.")
    _only_known(value, ("value", "counting_unit", "source"), "in a local target")
    if "value" not in value:
        raise Wrong("missing", "The local target has no value.", "Write value = and the number of nodules.")
    figure = as_figure(value["value"])
    if not 0 < figure <= 1000:
        raise Wrong("out_of_bounds", f"The value must be above 0 and up to 1000, but is {figure:g}.", "Correct it.")
    unit = CountingUnit(one_of(*CountingUnit)(value.get("counting_unit", "nodule")))
    return LocalTarget(value=figure, counting_unit=unit, source=_source_in(value))


def as_local_b_value(value: Any) -> LocalBValue:
    """Read B as a figure alone, or as a section with its standard error and source."""
    content = value if isinstance(value, dict) else {"value": value}
    _only_known(content, ("value", "standard_error", "source"), "in a local B value")
    if "value" not in content:
        raise Wrong("missing", "The local B value has no value.", "Write value = and the figure in permil: -1.1.")
    figure = as_figure(content["value"])
    if not -10 <= figure <= 10:
        raise Wrong("out_of_bounds", f"B must be -10 to 10 permil, but is {figure:g}.", "Correct it.")
    error = content.get("standard_error")
    if error is not None and not 0 < (error := as_figure(error)) <= 10:
        raise Wrong(
            "out_of_bounds", f"The standard error must be above 0 and up to 10 permil, but is {error:g}.", "Correct it."
        )
    return LocalBValue(value=figure, standard_error=error, source=_source_in(content))


def as_local_ureide_line(value: Any) -> LocalUreideLine:
    """A ureide line with its bounds and source."""
    example = "Write [local_ureide_line.soybean], and below it intercept = 0.08 and slope = 0.7."
    if not isinstance(value, dict):
        raise Wrong("type", f"Must be a section, but is {shown(value)}.", example)
    figures = ("intercept", "slope", "lowest", "highest")
    _only_known(value, (*figures, "source"), "in a ureide line")
    for name in figures[:2]:
        if name not in value:
            raise Wrong("missing", f"The ureide line has no {name}.", example)
    given = {name: as_figure(value[name]) for name in figures if name in value}
    try:
        return LocalUreideLine(**given, source=_source_in(value))
    except DomainError as error:
        raise Wrong("out_of_bounds", str(error), example) from None


def _only_known(content: Mapping[str, Any], known: tuple[str, ...], where: str) -> None:
    for name in content:
        if name not in known:
            raise unknown(name, known, where)


def _source_in(content: Mapping[str, Any]) -> str | None:
    return as_text(content["source"]) if "source" in content else None


def as_figures(value: Any) -> dict[str, float]:
    """Figures by name."""
    if not isinstance(value, dict) or not value:
        raise Wrong(
            "type",
            f"An override must hold figures, but is {shown(value)}.",
            'Write [overrides."id of the row"] and below it value = 12 (or low, high, mean, sd).',
        )
    return {name: as_figure(figure) for name, figure in value.items()}


def unknown(name: str, known: Any, where: str, kind: str = "unknown") -> Wrong:
    """Return what to say of a name that is not known."""
    near = closest(name, known)
    return Wrong(
        kind,
        f"There is no {quoted(name)} {where}.",
        (f"Did you mean {near}? " if near else "") + f"Known: {', '.join(known)}.",
    )


def shown(value: Any) -> str:
    """Return a value as it stands in a sentence."""
    return repr(value)[:60]
