"""Nitrogen difference: by hand, its errors, its refusals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.agronomy.fixation.difference import nitrogen_difference
from spadework.errors import DomainError


def test_both_forms_by_hand():
    # 150 - 60, and with 30 left below the legume and 20 below the reference 10 more.
    assert nitrogen_difference(legume=150, reference=60).fixed == 90
    found = nitrogen_difference(legume=150, reference=60, soil_legume=30, soil_reference=20)
    assert found.fixed == 100
    assert found.share == pytest.approx(100 / 150)


def test_errors_by_hand():
    found = nitrogen_difference(legume=150, reference=60, legume_se=12, reference_se=5, soil_se=4)
    assert found.fixed_se == pytest.approx(np.sqrt(12**2 + 5**2 + 4**2))
    # Share 0.6: the legume counts with 1 - 0.6 of its error.
    assert found.share_se == pytest.approx(np.sqrt((0.4 * 12) ** 2 + 5**2 + 4**2) / 150)


def test_error_of_the_share_by_simulation():
    rng = np.random.default_rng(3)
    legume, reference = rng.normal(150, 6, 200_000), rng.normal(60, 5, 200_000)
    found = nitrogen_difference(legume=150, reference=60, legume_se=6, reference_se=5)
    simulated = nitrogen_difference(legume=legume, reference=reference).share.std()
    # First order against draws: 2 % of the error is what the divisor's curvature leaves.
    assert found.share_se == pytest.approx(simulated, rel=0.02)


def test_a_reference_that_took_up_more_gives_a_negative_figure():
    found = nitrogen_difference(legume=50, reference=60)
    assert found.fixed == -10
    assert found.share == pytest.approx(-0.2)


def test_what_is_missing_stays_missing():
    found = nitrogen_difference(legume=[150, np.nan], reference=[np.nan, 60])
    assert np.isnan(found.fixed).all()
    assert np.isnan(nitrogen_difference(legume=150, reference=60).fixed_se)


@given(st.floats(1, 300), st.floats(0, 300), st.floats(0, 100))
def test_more_in_the_reference_never_raises_it(legume, reference, more):
    less = nitrogen_difference(legume=legume, reference=reference + more)
    assert less.fixed <= nitrogen_difference(legume=legume, reference=reference).fixed


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"reference": -1.0}, r"reference must be 0 kg/ha or more, but is -1\.0"),
        ({"soil_legume": -1.0}, r"soil_legume must be 0 kg/ha or more, but is -1\.0"),
        ({"legume": 0.0}, "legume must be above 0 kg/ha"),
    ],
)
def test_what_cannot_be_is_refused(changed, message):
    with pytest.raises(DomainError, match=message):
        nitrogen_difference(**{"legume": 150.0, "reference": 60.0, **changed})
