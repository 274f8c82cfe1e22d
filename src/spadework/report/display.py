"""Figures as people read them: the only place where inside units become shown units.

Inside, everything is SI plus kg/ha and degree-days. Printed pages and the terminal both come here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from spadework.advice.messages import fill
from spadework.quantity import Quantity

__all__ = [
    "UnitSystem",
    "format_number",
    "format_quantity",
    "format_share",
    "shown",
    "unit_word",
]


class UnitSystem(StrEnum):
    """Units on the page. ``canada`` counts land in acres and heat in degrees Celsius."""

    METRIC = "metric"
    US = "us"
    CANADA = "canada"


@dataclass(frozen=True)
class _Scale:
    """``shown = inside * factor + offset``, in the unit called ``unit``."""

    unit: str
    factor: float
    offset: float = 0.0


_ACRE_HA = 0.40468564224  # international acre, 4840 square yards of 0.9144 m; not the survey acre
_POUND_KG = 0.45359237  # international avoirdupois pound, by definition
_INCH_MM = 25.4  # by definition

_LAND: Mapping[str, _Scale] = {
    "ha": _Scale("ac", 1 / _ACRE_HA),
    "kg/ha": _Scale("lb/ac", _ACRE_HA / _POUND_KG),
}
_SCALES: Mapping[UnitSystem, Mapping[str, _Scale]] = {
    UnitSystem.METRIC: {},
    UnitSystem.CANADA: _LAND,
    UnitSystem.US: {
        **_LAND,
        "degC": _Scale("degF", 1.8, 32.0),
        "degC d": _Scale("degF d", 1.8),
        "mm": _Scale("in", 1 / _INCH_MM),
        "cm": _Scale("in", 10 / _INCH_MM),
    },
}

# Decimals that a reader can use; other units show three significant digits.
_DECIMALS: Mapping[str, int] = {
    "degC": 1,
    "degF": 1,
    "degC d": 0,
    "degF d": 0,
    "d": 0,
    "h": 1,
    "ha": 1,
    "ac": 1,
    "kg/ha": 0,
    "lb/ac": 0,
    "mm": 0,
    "cm": 0,
    "in": 1,
}
_SYMBOLS: Mapping[str, str] = {"degC": "°C", "degF": "°F", "degC d": "°C d", "degF d": "°F d"}


def shown(quantity: Quantity, units: UnitSystem) -> Quantity:
    """Return the quantity in the unit that this system shows; unchanged where that is the inside unit."""
    scale = _SCALES[units].get(quantity.unit)
    if scale is None:
        return quantity
    return Quantity(
        value=quantity.value * scale.factor + scale.offset,
        unit=scale.unit,
        low=None if quantity.low is None else quantity.low * scale.factor + scale.offset,
        high=None if quantity.high is None else quantity.high * scale.factor + scale.offset,
        level=quantity.level,
        sources=quantity.sources,
        grade=quantity.grade,
    )


def unit_word(unit: str) -> str:
    """Return the unit as printed: ``degC d`` becomes ``°C d``; a share or plain number has none."""
    return "" if unit == "1" else _SYMBOLS.get(unit, unit)


def format_share(share: float) -> str:
    """Whole per cent; a share short of 0 or 1 is never rounded to it."""
    return fill("{share:percent}", {"share": share})


def format_number(value: float, decimals: int) -> str:
    """A number with a real minus sign, and no minus on what rounds to zero."""
    text = f"{value:.{decimals}f}"
    if float(text) == 0:
        return text.removeprefix("-")
    return text.replace("-", "−")


def format_quantity(
    quantity: Quantity, units: UnitSystem, *, interval: bool = True, decimals: int | None = None
) -> str:
    """Value, interval and unit as one text: ``64 % (52 to 75 %)``, ``312 °C d``.

    A quantity in unit ``1`` is a share and shows as per cent, unless ``decimals`` asks for the plain
    number (a score, a correlation). The level of the interval is not part of the text.
    """
    seen = shown(quantity, units)
    word = unit_word(seen.unit)
    text = _figure(seen.value, seen.unit, decimals)
    if interval and seen.low is not None and seen.high is not None:
        low, high = _figure(seen.low, seen.unit, decimals), _figure(seen.high, seen.unit, decimals)
        if low != high:
            inside = f"{low.removesuffix(' %')} to {high}"
            return f"{text} {word} ({inside})" if word else f"{text} ({inside})"
    return f"{text} {word}" if word else text


def _figure(value: float, unit: str, decimals: int | None) -> str:
    if decimals is not None:
        return format_number(value, decimals)
    if unit == "1":
        return format_share(value)
    if unit in _DECIMALS:
        return format_number(value, _DECIMALS[unit])
    return format_number(value, 0 if abs(value) >= 100 else 1 if abs(value) >= 10 else 2)
