import pytest
import typer
from hypothesis import given
from hypothesis import strategies as st

from spadework.cli.choices import UnitSystem
from spadework.cli.prices import Said, with_said
from spadework.knowledge.load import load
from spadework.knowledge.rows import Crop
from spadework.records.types import Prices, RescuePlan, Settings

KNOWN = load()
OWN = Settings(
    title="Own",
    season="2026",
    prices=Prices(currency="orl", grain={Crop.PEA: 300.0, Crop.LENTIL: 500.0}, nitrogen={"urea": 1.2}, per_pass=14.0),
    rescue=RescuePlan(rates=(40.0,)),
)
# One avoirdupois pound is 0.45359237 kg and one international acre 0.40468564224 ha, both exact: NIST Special
# Publication 811 (2008), appendix B.8. The bushel of grain legumes is 60 lb.
POUND, ACRE = 0.45359237, 0.40468564224


def put(crop=Crop.PEA, units=UnitSystem.METRIC, **said):
    return with_said(OWN, Said(**said), crop=crop, units=units, knowledge=KNOWN)


def test_what_is_not_said_stays_the_book_s_own():
    assert put() == OWN


def test_in_metric_units_prices_are_taken_as_they_are():
    found = put(grain=310, nitrogen=["1.3"], per_pass=12, dig=50, rates=[67], lead_days=4, dig_again_days=9)

    assert found.prices == Prices(
        currency="orl",
        grain={Crop.PEA: 310.0, Crop.LENTIL: 500.0},
        nitrogen={"any": 1.3},
        per_pass=12.0,
        dig=50.0,
    )
    assert found.rescue == RescuePlan(lead_days=4, dig_again_days=9, rates=(67.0,))


@pytest.mark.parametrize("units", [UnitSystem.US, UnitSystem.CANADA])
def test_bushels_pounds_and_acres_become_tonnes_kilograms_and_hectares(units):
    found = put(units=units, grain=9.0, nitrogen=["urea=0.6"], per_pass=6.0, dig=50.0, rates=[60])

    assert found.prices.grain[Crop.PEA] == pytest.approx(9.0 / (60 * POUND / 1000), rel=1e-12)
    assert found.prices.nitrogen == {"urea": pytest.approx(0.6 / POUND, rel=1e-12)}
    assert found.prices.per_pass == pytest.approx(6.0 / ACRE, rel=1e-12)
    assert found.rescue.rates == (pytest.approx(60 * POUND / ACRE, rel=1e-12),)
    assert found.prices.dig == 50.0


def test_lupin_trades_by_the_pound():
    found = put(crop=Crop.LUPIN, units=UnitSystem.US, grain=0.15)
    assert found.prices.grain[Crop.LUPIN] == pytest.approx(0.15 / POUND * 1000, rel=1e-12)


def test_prices_of_nitrogen_replace_all_of_the_book_s():
    assert put(nitrogen=["UAN 28=1.5", "1.3"]).prices.nitrogen == {"uan_28": 1.5, "any": 1.3}


@given(st.floats(0.01, 1e4), st.floats(0, 1e3))
def test_the_same_money_in_other_units_is_the_same_price(per_tonne, per_kg):
    metric = put(grain=per_tonne, nitrogen=[repr(per_kg)]).prices
    other = put(units=UnitSystem.US, grain=per_tonne * 60 * POUND / 1000, nitrogen=[repr(per_kg * POUND)]).prices
    assert other.grain[Crop.PEA] == pytest.approx(metric.grain[Crop.PEA])
    assert other.nitrogen["any"] == pytest.approx(metric.nitrogen["any"])


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"grain": 0.0}, "It must be a price above 0"),
        ({"grain": float("nan")}, "It must be a price above 0"),
        ({"per_pass": -1.0}, "It must be a price 0 or more"),
        ({"dig": float("inf")}, "It must be a price 0 or more"),
        ({"nitrogen": ["cheap"]}, "'cheap' is no price. Write it with a decimal point: 1.3"),
        ({"nitrogen": ["urea=inf"]}, "'urea=inf' is no price."),
        ({"nitrogen": ["urea=1,3"]}, "'urea=1,3' is no price. Write it with a decimal point"),
        ({"nitrogen": ["urea=-1"]}, "It must be a price 0 or more"),
        ({"nitrogen": ["ureaa=1.3"]}, "There is no product 'ureaa' for a standing crop. Did you mean urea"),
        ({"nitrogen": ["anhydrous ammonia=1.3"]}, "Anhydrous ammonia is never offered"),
        ({"rates": [151.0]}, "A rate must be above 0 and up to 150 kg/ha of nitrogen, but is 151."),
        # 150 kg/ha are 133.8 lb/ac.
        ({"rates": [60, 500.0], "units": UnitSystem.US}, "above 0 and up to 133 lb/ac of nitrogen, but is 500."),
        ({"rates": [40.0] * 5}, "Must be a list of up to 4 rates"),
    ],
)
def test_what_is_no_price_is_refused_with_what_would_be_one(said, words):
    with pytest.raises(typer.BadParameter) as refused:
        put(**said)
    assert words in refused.value.message
