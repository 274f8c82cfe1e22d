"""Figures as people read them: the only place where inside units become shown units.

Inside, everything is SI plus kg/ha and degree-days. Printed pages and the terminal both come here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from enum import StrEnum

from spadework.advice.messages import fill
from spadework.quantity import Quantity
from spadework.records.units import from_inside

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


_LAND: Mapping[str, tuple[str, str]] = {"ha": ("area", "ac"), "kg/ha": ("mass_per_area", "lb/ac")}
_SHOWN_AS: Mapping[UnitSystem, Mapping[str, tuple[str, str]]] = {
    UnitSystem.METRIC: {},
    UnitSystem.CANADA: _LAND,
    UnitSystem.US: {
        **_LAND,
        "degC": ("temperature", "degF"),
        "degC d": ("degree_days", "degF d"),
        "mm": ("rain", "in"),
        "cm": ("depth", "in"),
    },
}
"""Measure and unit in which each inside unit is shown, where it is not shown as it is."""

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
    if quantity.unit not in _SHOWN_AS[units]:
        return quantity
    measure, unit = _SHOWN_AS[units][quantity.unit]

    def outward(value: float | None) -> float | None:
        return None if value is None else from_inside(value, measure=measure, unit=unit)

    return replace(
        quantity,
        value=from_inside(quantity.value, measure=measure, unit=unit),
        unit=unit,
        low=outward(quantity.low),
        high=outward(quantity.high),
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
