import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.knowledge.rows import Crop
from spadework.quantity import Grade, Quantity
from spadework.report.display import (
    UnitSystem,
    amounts_in,
    format_number,
    format_quantity,
    format_share,
    grain_price,
    grain_shown,
    land_word,
    money_per_land,
    nitrogen_price,
    shown,
    unit_word,
)

UNITS = pint.UnitRegistry()
# The international acre: 43560 square feet of 0.3048 m each.
ACRE = 43560 * UNITS.foot**2

finite = st.floats(min_value=-1e6, max_value=1e6, allow_nan=False)


@pytest.mark.parametrize(
    ("inside", "value", "system", "expected", "unit"),
    [
        # Fixed points of the two scales: water freezes at 32 degF and boils at 212 degF; they meet at -40.
        ("degC", 0.0, UnitSystem.US, 32.0, "degF"),
        ("degC", 100.0, UnitSystem.US, 212.0, "degF"),
        ("degC", -40.0, UnitSystem.US, -40.0, "degF"),
        # A sum of differences has no offset: 100 degC d span 180 degF d.
        ("degC d", 100.0, UnitSystem.US, 180.0, "degF d"),
        # Canada counts land in acres and heat in degrees Celsius.
        ("degC", 20.0, UnitSystem.CANADA, 20.0, "degC"),
        ("degC d", 100.0, UnitSystem.CANADA, 100.0, "degC d"),
        ("mm", 25.4, UnitSystem.US, 1.0, "in"),
        ("mm", 25.4, UnitSystem.CANADA, 25.4, "mm"),
    ],
)
def test_shown_worked(inside, value, system, expected, unit):
    seen = shown(Quantity(value, inside), system)
    assert seen.unit == unit
    assert seen.value == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("inside", "unit", "there", "here"),
    [
        ("ha", "ac", UNITS.hectare, ACRE),
        ("kg/ha", "lb/ac", UNITS.kilogram / UNITS.hectare, UNITS.pound / ACRE),
        ("cm", "in", UNITS.centimeter, UNITS.inch),
        ("mm", "in", UNITS.millimeter, UNITS.inch),
        ("L/ha", "gal/ac", UNITS.liter / UNITS.hectare, UNITS.gallon / ACRE),
        ("kg", "lb", UNITS.kilogram, UNITS.pound),
        ("L", "gal", UNITS.liter, UNITS.gallon),
        ("m", "ft", UNITS.meter, UNITS.foot),
    ],
)
def test_shown_agrees_with_a_units_library(inside, unit, there, here):
    seen = shown(Quantity(160.0, inside), UnitSystem.US)
    assert seen.unit == unit
    assert seen.value == pytest.approx((160.0 * there / here).to_base_units().magnitude, rel=1e-12)


@given(value=finite, spread=st.floats(min_value=0, max_value=1e5), system=st.sampled_from(UnitSystem))
@pytest.mark.parametrize("unit", ["degC", "degC d", "ha", "kg/ha", "mm", "d", "1"])
def test_shown_keeps_order_sources_and_level(value, spread, system, unit):
    quantity = Quantity(value, unit, value - spread, value + spread, 0.9, ("a.row",), Grade.SECOND_HAND)
    seen = shown(quantity, system)
    assert seen.low <= seen.value <= seen.high
    assert (seen.level, seen.sources, seen.grade) == (0.9, ("a.row",), Grade.SECOND_HAND)


@given(value=finite)
@pytest.mark.parametrize("unit", ["degC", "degC d", "ha", "kg/ha", "mm", "cm", "d", "1"])
def test_metric_shows_what_is_inside(value, unit):
    quantity = Quantity(value, unit)
    assert shown(quantity, UnitSystem.METRIC) is quantity


@pytest.mark.parametrize(
    ("quantity", "system", "text"),
    [
        (Quantity(0.64, "1", 0.52, 0.75), UnitSystem.METRIC, "64 % (52 to 75 %)"),
        (Quantity(0.004, "1", 0.0, 0.03), UnitSystem.METRIC, "under 1 % (0 to 3 %)"),
        (Quantity(0.997, "1"), UnitSystem.METRIC, "over 99 %"),
        (Quantity(512.4, "degC d", 480.0, 540.0), UnitSystem.METRIC, "512 °C d (480 to 540)"),
        (Quantity(512.4, "degC d"), UnitSystem.US, "922 °F d"),
        (Quantity(64.75, "ha"), UnitSystem.CANADA, "160.0 ac"),
        (Quantity(-2.55, "degC"), UnitSystem.METRIC, "−2.5 °C"),
        (Quantity(35.0, "d", 35.0, 35.0), UnitSystem.METRIC, "35 d"),
        (Quantity(0.1234, "g/kg"), UnitSystem.US, "0.12 g/kg"),
        (Quantity(1234.5, "g/kg"), UnitSystem.US, "1234 g/kg"),
    ],
)
def test_format_quantity(quantity, system, text):
    assert format_quantity(quantity, system) == text


def test_format_quantity_without_interval_and_as_plain_number():
    quantity = Quantity(0.12, "1", 0.05, 0.25)
    assert format_quantity(quantity, UnitSystem.METRIC, interval=False) == "12 %"
    assert format_quantity(quantity, UnitSystem.METRIC, decimals=2) == "0.12 (0.05 to 0.25)"


@given(st.floats(min_value=0, max_value=1))
def test_a_share_is_never_rounded_to_certainty(share):
    text = format_share(share)
    assert (text == "0 %") == (share == 0)
    assert (text == "100 %") == (share == 1)


@pytest.mark.parametrize(
    ("value", "decimals", "text"), [(-0.04, 1, "0.0"), (-0.06, 1, "−0.1"), (2.5, 0, "2"), (10.0, 2, "10.00")]
)
def test_format_number(value, decimals, text):
    assert format_number(value, decimals) == text


@pytest.mark.parametrize(("unit", "text"), [("1", ""), ("degF d", "°F d"), ("kg/ha", "kg/ha")])
def test_unit_word(unit, text):
    assert unit_word(unit) == text


@pytest.mark.parametrize(
    ("crop", "system", "value", "unit"),
    [
        (Crop.PEA, UnitSystem.METRIC, 1.0, "t/ha"),
        # 60 lb of 0.45359237 kg on an international acre: 0.0672510693717 t/ha a bushel (GNU Units 2.22).
        (Crop.PEA, UnitSystem.US, 1 / 0.0672510693717, "bu/ac"),
        (Crop.SOYBEAN, UnitSystem.CANADA, 1 / 0.0672510693717, "bu/ac"),
        (Crop.LUPIN, UnitSystem.US, 1000 / 1.12085115619, "lb/ac"),
    ],
)
def test_grain_is_shown_as_the_crop_trades(crop, system, value, unit):
    seen = grain_shown(Quantity(1.0, "t/ha", 0.5, 2.0, 0.9), system, crop)
    assert seen.unit == unit
    assert (seen.low, seen.value, seen.high) == pytest.approx((value / 2, value, value * 2), rel=1e-11)


@pytest.mark.parametrize(
    ("crop", "system", "price", "unit"),
    [
        (Crop.PEA, UnitSystem.METRIC, 310.0, "t"),
        # 36.7437103641 bushels of 60 lb and 2204.62262185 lb in a tonne (GNU Units 2.22).
        (Crop.PEA, UnitSystem.US, 310 / 36.7437103641, "bu"),
        (Crop.MUNG_BEAN, UnitSystem.CANADA, 310 / 2204.62262185, "lb"),
    ],
)
def test_grain_is_priced_as_the_crop_trades(crop, system, price, unit):
    value, per = grain_price(310.0, system, crop)
    assert (value, per) == (pytest.approx(price, rel=1e-11), unit)


def test_money_goes_with_the_land_it_is_for():
    # The international acre is 0.40468564224 ha.
    assert money_per_land(100.0, UnitSystem.CANADA) == pytest.approx(40.468564224, rel=1e-12)
    assert money_per_land(100.0, UnitSystem.METRIC) == 100.0
    assert [land_word(system) for system in UnitSystem] == ["ha", "ac", "ac"]


def test_nitrogen_is_priced_by_the_mass_shown():
    assert nitrogen_price(1.45, UnitSystem.METRIC) == (1.45, "kg")
    # A pound is 0.45359237 kg.
    assert nitrogen_price(1.45, UnitSystem.US) == (pytest.approx(1.45 * 0.45359237, rel=1e-12), "lb")


@pytest.mark.parametrize(
    ("value", "unit", "metric", "us"),
    [
        (56.0, "kg/ha", "56 kg/ha", "50 lb/ac"),
        (1.0, "t/ha", "1.00 t/ha", "14.9 bu/ac"),
        (12.7, "mm", "13 mm", "0.5 in"),
        (310.0, "per t", "310 mk per t", "8.44 mk per bu"),
        (1.45, "per kg", "1.45 mk per kg", "0.66 mk per lb"),
        (-95.0, "per ha", "−95 mk per ha", "−38 mk per ac"),
    ],
)
def test_amounts_inside_sentences(value, unit, metric, us):
    # Sizes as above, in short: 1.1209 kg/ha a lb/ac, 0.067251 t/ha a bu/ac, 25.4 mm an in, 36.744 bu a t,
    # 0.45359 kg a lb, 0.40469 ha an ac.
    assert amounts_in(UnitSystem.METRIC, Crop.PEA, currency="mk")(value, unit) == metric
    assert amounts_in(UnitSystem.US, Crop.PEA, currency="mk")(value, unit) == us


def test_money_without_a_name_is_only_a_number():
    assert amounts_in(UnitSystem.METRIC, Crop.PEA)(310.0, "per t") == "310 per t"


def test_gallons_say_whose_they_are():
    assert format_quantity(Quantity(93.5395622896, "L/ha"), UnitSystem.CANADA) == "10.0 US gal/ac"
