"""Natural abundance: by hand, the refusals, and what the share hangs on."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.agronomy.fixation.natural_abundance import (
    fixed_share_natural_abundance,
    natural_abundance_sensitivity,
)
from spadework.errors import DomainError


def share(legume, reference, b=-1.0, least=1.0):
    return fixed_share_natural_abundance(
        delta_legume=legume, delta_reference=reference, b_value=b, least_difference=least
    )


def test_share_by_hand():
    # (6 - 1) / (6 + 1)
    assert share(1.0, 6.0) == pytest.approx(5 / 7)


def test_negative_shares_and_those_above_one_are_kept():
    # (6 - 7) / 7 and (6 + 2) / 7
    assert share([7.0, -2.0], 6.0) == pytest.approx([-1 / 7, 8 / 7])


def test_what_is_missing_stays_missing():
    assert np.isnan(share([1.0, np.nan], [np.nan, 6.0])).all()


@pytest.mark.parametrize("reference", [-0.01, -1.0, -1.6])
def test_a_reference_at_or_below_b_is_refused(reference):
    with pytest.raises(DomainError, match=r"delta_reference - b_value must be at least 1 permil.*at position 1"):
        share(0.0, [5.0, reference])


def test_the_least_difference_itself_is_let_through():
    assert share(-1.0, 0.0) == 1.0


def test_a_least_difference_of_nothing_is_refused():
    with pytest.raises(DomainError, match="least_difference must be above 0"):
        share(1.0, 6.0, least=0.0)


def test_the_mean_of_shares_is_not_the_share_of_means():
    legumes, references = np.array([0.0, 0.0]), np.array([2.0, 8.0])
    # Shares 2/3 and 8/9, mean 7/9; share of the means 5/6.
    assert share(legumes, references).mean() == pytest.approx(7 / 9)
    assert share(legumes.mean(), references.mean()) == pytest.approx(5 / 6)


@given(st.lists(st.floats(-5, 9), min_size=2, max_size=8), st.floats(1, 12))
def test_with_one_reference_it_is(legumes, reference):
    assert share(np.array(legumes), reference).mean() == pytest.approx(share(np.mean(legumes), reference), abs=1e-9)


@given(st.floats(-1, 5), st.floats(5, 12), st.floats(0, 3))
def test_a_b_further_below_air_never_raises_a_share_of_an_enriched_legume(legume, reference, further):
    assert share(legume, reference, b=-1.0 - further) <= share(legume, reference, b=-1.0) + 1e-12


def moved(**changes):
    given_figures = {"delta_legume": 1.0, "delta_reference": 6.0, "b_value": -1.0, "b_step": 0.8, "reference_step": 2.0}
    return natural_abundance_sensitivity(**{**given_figures, "least_difference": 1.0, **changes})


def test_sensitivity_by_hand():
    found = moved()
    # B -1.8: 5/7.8; B -0.2: 5/6.2; reference 4: 3/5; reference 8: 7/9.
    assert found.b_lower == pytest.approx(5 / 7.8)
    assert found.b_higher == pytest.approx(5 / 6.2)
    assert found.reference_lower == pytest.approx(3 / 5)
    assert found.reference_higher == pytest.approx(7 / 9)


def test_sensitivity_is_unknown_where_the_reference_would_come_too_close():
    found = moved(reference_step=6.5)
    assert np.isnan(found.reference_lower)
    assert np.isfinite(found.reference_higher)


def test_a_step_backwards_is_refused():
    with pytest.raises(DomainError, match=r"b_step must be 0 or more, but is -0\.1"):
        moved(b_step=-0.1)
    with pytest.raises(DomainError, match="delta_reference - b_value must be at least 1 permil"):
        moved(delta_reference=-0.5)
