"""Conversion at the door against printed factors.

Printed factors: GNU Units 2.22, definitions file (Debian package units 2.22-2), read at the source. They follow
from the international yard and pound agreement of 1959 (1 ft = 0.3048 m, 1 lb = 0.45359237 kg) and, for the survey
acre, from 1 US survey foot = 1200/3937 m. The Fahrenheit points are those at which water freezes and boils by the
scale's definition.
"""

from fractions import Fraction

import pytest

from spadework.records.units import MEASURES, from_inside

ACRE_IN_HA = "158080329/390625000"
SURVEY_ACRE_IN_HA = "6272640/15499969"
POUND_PER_ACRE_IN_KG_PER_HA = "515445875/459870048"


@pytest.mark.parametrize(
    ("measure", "unit", "ratio"),
    [
        ("area", "ac", ACRE_IN_HA),
        ("area", "ac_us", SURVEY_ACRE_IN_HA),
        ("mass_per_area", "lb/ac", POUND_PER_ACRE_IN_KG_PER_HA),
        ("rain", "in", "254/10"),
        ("depth", "in", "254/100"),
        ("temperature", "degF", "5/9"),
        ("degree_days", "degF d", "5/9"),
        # A trade bushel is 60 lb, a US gallon 231 cubic inches (3.785411784 L).
        ("yield", "bu/ac", "20617835/306580032"),
        ("yield", "lb/ac", "515445875/459870048000"),
        ("volume_per_area", "gal/ac", "22225/2376"),
        # The imperial gallon is 4.54609 L.
        ("volume_per_area", "gal_imp/ac", "7103265625/632321316"),
        ("mass", "lb", "45359237/100000000"),
        ("volume", "gal", "3785411784/1000000000"),
        ("length", "ft", "3048/10000"),
    ],
)
def test_sizes_are_the_exact_ratios(measure, unit, ratio):
    assert MEASURES[measure][unit].size == Fraction(ratio)


# Printed decimals, in the inside unit; tolerance half a unit of the last digit.
@pytest.mark.parametrize(
    ("value", "measure", "unit", "printed", "tolerance"),
    [
        (1, "area", "ac", 0.40468564224, 0),
        (1, "area", "ac_us", 0.404687260987425, 5e-16),
        (1, "mass_per_area", "lb/ac", 1.12085115619, 5e-12),
        (32, "temperature", "degF", 0.0, 0),
        (212, "temperature", "degF", 100.0, 0),
        (-40, "temperature", "degF", -40.0, 0),
    ],
)
def test_values_as_printed(value, measure, unit, printed, tolerance):
    assert MEASURES[measure][unit].inward(Fraction(value)) == pytest.approx(printed, abs=tolerance, rel=0)
    assert from_inside(printed, measure=measure, unit=unit) == pytest.approx(value, abs=tolerance * 3, rel=1e-15)
