"""Figures as people read them: the only place where inside units become shown units.

Inside, everything is SI plus kg/ha and degree-days. Printed pages and the terminal both come here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from enum import StrEnum

from spadework.advice.messages import Amounts, fill, with_minus
from spadework.knowledge.rows import Crop
from spadework.quantity import Quantity
from spadework.records.units import from_inside

__all__ = [
    "UnitSystem",
    "amounts_in",
    "format_number",
    "format_quantity",
    "format_share",
    "grain_price",
    "grain_shown",
    "land_word",
    "money_per_land",
    "nitrogen_price",
    "shown",
    "unit_word",
]


class UnitSystem(StrEnum):
    """Units on the page. ``canada`` counts land in acres and heat in degrees Celsius."""

    METRIC = "metric"
    US = "us"
    CANADA = "canada"


_LAND: Mapping[str, tuple[str, str]] = {
    "ha": ("area", "ac"),
    "kg/ha": ("mass_per_area", "lb/ac"),
    "L/ha": ("volume_per_area", "gal/ac"),
    "kg": ("mass", "lb"),
    "L": ("volume", "gal"),
    "m": ("length", "ft"),
}
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

_BUSHEL_CROPS = frozenset({Crop.PEA, Crop.LENTIL, Crop.CHICKPEA, Crop.FABA_BEAN, Crop.COMMON_BEAN, Crop.SOYBEAN})
"""Crops that trade in bushels of 60 lb where land is counted in acres; common practice, no source."""

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
    "L/ha": 0,
    "gal/ac": 1,
    "t/ha": 2,
    "bu/ac": 1,
    "kg": 0,
    "lb": 0,
    "L": 0,
    "gal": 0,
    "m": 0,
    "ft": 0,
    "mm": 0,
    "cm": 0,
    "in": 1,
}
_SYMBOLS: Mapping[str, str] = {
    "degC": "°C",
    "degF": "°F",
    "degC d": "°C d",
    "degF d": "°F d",
    "gal/ac": "US gal/ac",
    "gal": "US gal",
}


def shown(quantity: Quantity, units: UnitSystem) -> Quantity:
    """Return the quantity in the unit that this system shows; unchanged where that is the inside unit."""
    if quantity.unit not in _SHOWN_AS[units]:
        return quantity
    measure, unit = _SHOWN_AS[units][quantity.unit]
    return _in_unit(quantity, measure=measure, unit=unit)


def grain_shown(yield_: Quantity, units: UnitSystem, crop: Crop) -> Quantity:
    """Return a yield [t/ha] as tonnes, as bushels of 60 lb, or as pounds where the crop does not trade in bushels."""
    if units is UnitSystem.METRIC:
        return yield_
    return _in_unit(yield_, measure="yield", unit="bu/ac" if crop in _BUSHEL_CROPS else "lb/ac")


def land_word(units: UnitSystem) -> str:
    """Return what land is counted in: ``ha`` or ``ac``."""
    return "ha" if units is UnitSystem.METRIC else "ac"


def money_per_land(per_ha: float, units: UnitSystem) -> float:
    """Turn money per ha into money per unit of land shown."""
    return per_ha if units is UnitSystem.METRIC else per_ha / from_inside(1.0, measure="area", unit="ac")


def grain_price(per_tonne: float, units: UnitSystem, crop: Crop) -> tuple[float, str]:
    """Return a price of grain with what it is for: ``t``, ``bu`` (60 lb) or ``lb``."""
    if units is UnitSystem.METRIC:
        return per_tonne, "t"
    # A tonne on a ha, in this unit on an acre, is worth what a tonne is on a ha as money on an acre.
    unit = grain_shown(Quantity(1.0, "t/ha"), units, crop)
    return money_per_land(per_tonne, units) / unit.value, unit.unit.removesuffix("/ac")


def nitrogen_price(per_kg: float, units: UnitSystem) -> tuple[float, str]:
    """Return a price of nitrogen with what it is for: ``kg`` or ``lb``."""
    mass = shown(Quantity(1.0, "kg"), units)
    return per_kg / mass.value, mass.unit


def amounts_in(units: UnitSystem, crop: Crop, *, currency: str = "") -> Amounts:
    """Return what shows the amounts inside a sentence, and its money, in these units."""

    def amount(value: float, unit: str) -> str:
        if unit == "t/ha":
            return format_quantity(grain_shown(Quantity(value, unit), units, crop), UnitSystem.METRIC)
        if not unit.startswith("per "):
            return format_quantity(Quantity(value, unit), units)
        if unit == "per ha":
            money, per = money_per_land(value, units), land_word(units)
        else:
            money, per = nitrogen_price(value, units) if unit == "per kg" else grain_price(value, units, crop)
        whole = unit == "per ha" or abs(money) >= 100
        return " ".join(filter(None, (format_number(money, 0 if whole else 2), currency, f"per {per}")))

    return amount


def _in_unit(quantity: Quantity, *, measure: str, unit: str) -> Quantity:
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
    return with_minus(f"{value:.{decimals}f}")


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
