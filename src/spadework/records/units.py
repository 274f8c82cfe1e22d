"""Units at the door: what a book may declare in its [units], turned into the inside unit and back.

Every factor is an exact ratio, so conversion runs on fractions: a decimal that somebody wrote down comes
back as the same decimal. A units library would do no more here and takes a second to load.

Beware of the acre: since 1959 the international acre (``ac``)
stands beside the older US survey acre (``ac_us``), 4 parts in a million larger.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from spadework.errors import DomainError

__all__ = ["MEASURES", "UCUM", "Unit", "from_inside", "to_inside", "unit_of"]

_INCH_IN_CM = Fraction("2.54")
_POUND_IN_KG = Fraction("0.45359237")
_FOOT_IN_M = Fraction("0.3048")
_SURVEY_FOOT_IN_M = Fraction(1200, 3937)
_SQUARE_FEET_IN_ACRE = 43560
_M2_IN_HA = 10_000
_ACRE_IN_HA = _SQUARE_FEET_IN_ACRE * _FOOT_IN_M**2 / _M2_IN_HA
_SURVEY_ACRE_IN_HA = _SQUARE_FEET_IN_ACRE * _SURVEY_FOOT_IN_M**2 / _M2_IN_HA


@dataclass(frozen=True)
class Unit:
    """One unit of a measure: inside value = (outside value - ``zero``) * ``size``."""

    name: str
    meaning: str
    ucum: str
    size: Fraction = Fraction(1)
    zero: Fraction = Fraction(0)

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
            Unit("degF", "degree Fahrenheit", "[degF]", size=Fraction(5, 9), zero=Fraction(32)),
        ),
        "rain": _measure(
            Unit("mm", "millimetre", "mm"),
            Unit("in", "inch", "[in_i]", size=_INCH_IN_CM * 10),
        ),
        "area": _measure(
            Unit("ha", "hectare", "har"),
            Unit("ac", "international acre", "43560.[sft_i]", size=_ACRE_IN_HA),
            Unit("ac_us", "US survey acre", "[acr_us]", size=_SURVEY_ACRE_IN_HA),
        ),
        "depth": _measure(
            Unit("cm", "centimetre", "cm"),
            Unit("in", "inch", "[in_i]", size=_INCH_IN_CM),
        ),
        "mass_per_area": _measure(
            Unit("kg/ha", "kilogram per hectare", "kg/har"),
            Unit(
                "lb/ac",
                "avoirdupois pound per international acre",
                "[lb_av]/(43560.[sft_i])",
                size=_POUND_IN_KG / _ACRE_IN_HA,
            ),
        ),
        "degree_days": _measure(
            Unit("degC d", "degree-day, Celsius", "K.d"),
            Unit("degF d", "degree-day, Fahrenheit", "[degR].d", size=Fraction(5, 9)),
        ),
    }
)
"""Units by measure, the inside one first. Degree-days are never in a book, only in what is shown.

Sizes follow from the international yard and pound agreement of 1959 (foot, inch, pound) and from the US
survey foot of 1200/3937 m; tests hold them against GNU Units 2.22 and Pint. Codes are UCUM's, which has no
atom for the international acre (hence 43,560 international square feet) and wants kelvin and degree
Rankine where a temperature is multiplied.
"""

UCUM: Mapping[str, str] = MappingProxyType(
    {unit.name: unit.ucum for units in MEASURES.values() for unit in units.values()}
    | {"deg": "deg", "h": "h", "MJ/m2": "MJ/m2", "dS/m": "dS/m"}
)
"""UCUM code of every unit name in the tables of a book."""


def unit_of(measure: str, name: str) -> Unit:
    """Return a unit by name; raises DomainError that lists the units of the measure."""
    units = MEASURES[measure]
    if name not in units:
        raise DomainError(f"unit of {measure}", name, f"one of {', '.join(units)}")
    return units[name]


def to_inside(value: float, *, measure: str, unit: str) -> float:
    """Turn a value in ``unit`` into the inside unit of ``measure``. NaN and infinities pass through.

    Raises DomainError for a unit that the measure does not have.
    """
    source = unit_of(measure, unit)
    return source.inward(Fraction(value)) if math.isfinite(value) else value


def from_inside(value: float, *, measure: str, unit: str) -> float:
    """Turn a value in the inside unit of ``measure`` into ``unit``. NaN and infinities pass through.

    Raises DomainError for a unit that the measure does not have.
    """
    target = unit_of(measure, unit)
    return float(target.outward(Fraction(value))) if math.isfinite(value) else value
