"""Product for a rate, and how it may be spread; published examples are in tests/reference/test_rescue_products.py."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.advice.messages import catalogue
from spadework.agronomy.rescue.products import (
    amount_for,
    amount_on,
    offered_products,
    placements_of,
    product_row,
    products_known,
)
from spadework.errors import DomainError
from spadework.knowledge.load import load
from spadework.knowledge.rows import Spreading
from spadework.records.types import NitrogenProduct

KNOWN = load()
PRODUCTS = st.sampled_from([row.name for row in products_known(KNOWN)])


def test_the_words_of_the_records_are_the_products_of_the_tables():
    assert {row.name for row in products_known(KNOWN)} == set(NitrogenProduct) - {"manure", "other"}


def test_what_is_offered():
    assert {row.name for row in offered_products(KNOWN)} == {
        "urea", "urea_inhibited", "dissolved_urea", "uan_28", "uan_32", "ammonium_nitrate",
        "calcium_ammonium_nitrate", "ammonium_sulphate",
    }  # fmt: skip


def test_every_product_has_its_name_and_every_one_not_offered_its_reason():
    told = catalogue()
    for row in products_known(KNOWN):
        assert told[f"rescue.product.{row.name}.name"]
        assert (f"rescue.product.{row.name}.why_not" in told) == (not row.offered)


def test_every_placement_has_its_name_and_known_products():
    for row in KNOWN.of(Spreading):
        assert catalogue()[f"rescue.placement.{row.name}.name"]
        assert all(product_row(product, KNOWN) for product in row.products)


def test_each_product_offered_can_be_spread_the_gentlest_way_first():
    for row in offered_products(KNOWN):
        ways = placements_of(row.name, KNOWN)
        assert ways
        assert [way.rank for way in ways] == sorted(way.rank for way in ways)
    assert [way.name for way in placements_of("uan_28", KNOWN)] == ["below_canopy", "streams"]
    assert placements_of("manure", KNOWN) == ()


def test_a_rate_worked_by_hand():
    # 46 kg of N are 100 kg of urea; 28 kg are 100 kg of solution, at 1.2785 kg a litre 78.22 L.
    assert amount_for(46.0, "urea", KNOWN).mass == pytest.approx(100)
    assert amount_for(46.0, "urea", KNOWN).volume is None
    solution = amount_for(28.0, "uan_28", KNOWN)
    assert (solution.mass, solution.volume) == (pytest.approx(100), pytest.approx(78.22, abs=0.005))
    assert set(solution.rows) == {"rescue.product.uan_28", "rescue.density.uan_28"}
    assert amount_on(rate=100.0, area=12.5) == 1250


def test_a_liquid_of_unknown_density_has_a_mass_only():
    assert amount_for(30.0, "urea_ammonium_nitrate", KNOWN).volume is None


@given(product=PRODUCTS, nitrogen=st.floats(0, 400))
def test_product_times_its_share_is_the_nitrogen(product, nitrogen):
    amount, row = amount_for(nitrogen, product, KNOWN), product_row(product, KNOWN)
    assert amount.mass * row.central == pytest.approx(nitrogen, rel=1e-12)
    if amount.volume is not None:
        density = KNOWN.figure(f"rescue.density.{product}").central
        assert amount.volume * density == pytest.approx(amount.mass, rel=1e-12)


def test_many_rates_at_once():
    np.testing.assert_allclose(amount_for(np.array([[23.0], [46.0]]), "urea", KNOWN).mass, [[50.0], [100.0]])


@pytest.mark.parametrize(
    ("ask", "message"),
    [
        (lambda: amount_for(50.0, "guano", KNOWN), "product must be one of urea, urea_inhibited"),
        (lambda: amount_for(-1.0, "urea", KNOWN), "nitrogen must be finite and at least 0"),
        (lambda: amount_for(float("nan"), "urea", KNOWN), "nitrogen must be finite"),
        (lambda: amount_on(rate=1.0, area=-1.0), "area must be at least 0"),
    ],
)
def test_what_cannot_be_is_refused(ask, message):
    with pytest.raises(DomainError, match=message):
        ask()
