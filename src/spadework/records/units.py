"""Units at the door: what a book may declare in its [units], turned into the inside unit and back.

The sizes are Pint's, kept as exact fractions, so that a decimal that somebody wrote down comes back as the same
decimal. Beware of the acre: since 1959 the international acre (``ac``) stands beside the older US survey acre
(``ac_us``), 4 parts in a million larger; Pint's own acre is the survey acre.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, cached_property
from types import MappingProxyType
from typing import Any

from spadework.errors import DomainError

__all__ = ["MEASURES", "UCUM", "Unit", "from_inside", "unit_of"]


@cache
def _pint_quantity() -> Any:
    """Pint's class of quantities on fractions, made when a book first declares a unit that is not the inside one."""
    import pint  # noqa: PLC0415 - takes most of a second to load, and most books do without

    registry: Any = pint.UnitRegistry(non_int_type=Fraction)
    registry.define("international_acre = 43560 * foot ** 2")
    registry.define("trade_bushel = 60 * pound")
    return registry.Quantity


@dataclass(frozen=True)
class Unit:
    """One unit of a measure: inside value = (outside value - ``zero``) * ``size``.

    ``pint`` and ``inside`` are Pint's words for this unit and for the inside unit of its measure; both are empty
    for the inside unit itself.
    """

    name: str
    meaning: str
    ucum: str
    pint: str = ""
    inside: str = ""

    @cached_property
    def zero(self) -> Fraction:
        """What this unit calls the inside value 0."""
        return (
            Fraction(_pint_quantity()(Fraction(0), self.inside).to(self.pint).magnitude) if self.pint else Fraction(0)
        )

    @cached_property
    def size(self) -> Fraction:
        """Inside units in one of this unit."""
        if not self.pint:
            return Fraction(1)
        return Fraction(_pint_quantity()(self.zero + 1, self.pint).to(self.inside).magnitude)

    def inward(self, outside: Fraction) -> float:
        """Turn a value in this unit into the inside unit of its measure."""
        return float((outside - self.zero) * self.size)

    def outward(self, inside: Fraction) -> Fraction:
        """Turn a value in the inside unit into this unit, exactly."""
        return inside / self.size + self.zero


def _measure(*units: Unit) -> Mapping[str, Unit]:
    return MappingProxyType({unit.name: unit for unit in units})


MEASURES: Mapping[str, Mapping[str, Unit]] = MappingProxyType(
    {
        "temperature": _measure(
            Unit("degC", "degree Celsius", "Cel"),
            Unit("degF", "degree Fahrenheit", "[degF]", pint="degF", inside="degC"),
        ),
        "rain": _measure(
            Unit("mm", "millimetre", "mm"),
            Unit("in", "inch", "[in_i]", pint="inch", inside="millimetre"),
        ),
        "area": _measure(
            Unit("ha", "hectare", "har"),
            Unit("ac", "international acre", "43560.[sft_i]", pint="international_acre", inside="hectare"),
            Unit("ac_us", "US survey acre", "[acr_us]", pint="acre", inside="hectare"),
        ),
        "depth": _measure(
            Unit("cm", "centimetre", "cm"),
            Unit("in", "inch", "[in_i]", pint="inch", inside="centimetre"),
        ),
        "mass_per_area": _measure(
            Unit("kg/ha", "kilogram per hectare", "kg/har"),
            Unit(
                "lb/ac",
                "avoirdupois pound per international acre",
                "[lb_av]/(43560.[sft_i])",
                pint="pound / international_acre",
                inside="kilogram / hectare",
            ),
        ),
        "yield": _measure(
            Unit("t/ha", "tonne per hectare", "t/har"),
            Unit(
                "bu/ac",
                "trade bushel of 60 pounds per international acre",
                "60.[lb_av]/(43560.[sft_i])",
                pint="trade_bushel / international_acre",
                inside="tonne / hectare",
            ),
            Unit(
                "lb/ac",
                "avoirdupois pound per international acre",
                "[lb_av]/(43560.[sft_i])",
                pint="pound / international_acre",
                inside="tonne / hectare",
            ),
        ),
        "volume_per_area": _measure(
            Unit("L/ha", "litre per hectare", "L/har"),
            Unit(
                "gal/ac",
                "US gallon per international acre",
                "[gal_us]/(43560.[sft_i])",
                pint="gallon / international_acre",
                inside="liter / hectare",
            ),
            Unit(
                "gal_imp/ac",
                "imperial gallon per international acre",
                "[gal_br]/(43560.[sft_i])",
                pint="imperial_gallon / international_acre",
                inside="liter / hectare",
            ),
        ),
        "mass": _measure(
            Unit("kg", "kilogram", "kg"),
            Unit("lb", "avoirdupois pound", "[lb_av]", pint="pound", inside="kilogram"),
        ),
        "volume": _measure(
            Unit("L", "litre", "L"),
            Unit("gal", "US gallon", "[gal_us]", pint="gallon", inside="liter"),
        ),
        "length": _measure(
            Unit("m", "metre", "m"),
            Unit("ft", "international foot", "[ft_i]", pint="foot", inside="meter"),
        ),
        "degree_days": _measure(
            Unit("degC d", "degree-day, Celsius", "K.d"),
            Unit("degF d", "degree-day, Fahrenheit", "[degR].d", pint="delta_degF * day", inside="delta_degC * day"),
        ),
    }
)
"""Units by measure, the inside one first. Degree-days, yields and what follows them are only in what is shown.

Tests hold the sizes against GNU Units 2.22. Codes are UCUM's, which has no atom for the international acre (hence
43,560 international square feet) and wants kelvin and degree Rankine where a temperature is multiplied.
"""

UCUM: Mapping[str, str] = MappingProxyType(
    {unit.name: unit.ucum for units in MEASURES.values() for unit in units.values()}
    | {"deg": "deg", "h": "h", "MJ/m2": "MJ/m2", "dS/m": "dS/m", "%": "%"}
    | {"permil": "[ppth]", "atom %": "%", "mmol/L": "mmol/L"}
)
"""UCUM code of every unit name in the tables of a book."""


def unit_of(measure: str, name: str) -> Unit:
    """Return a unit by name; raises DomainError that lists the units of the measure."""
    units = MEASURES[measure]
    if name not in units:
        raise DomainError(f"unit of {measure}", name, f"one of {', '.join(units)}")
    return units[name]


def from_inside(value: float, *, measure: str, unit: str) -> float:
    """Turn a value in the inside unit of ``measure`` into ``unit``. NaN and infinities pass through.

    Raises DomainError for a unit that the measure does not have.
    """
    target = unit_of(measure, unit)
    return float(target.outward(Fraction(value))) if math.isfinite(value) else value
