"""Isotope dilution: by hand and its refusal."""

import numpy as np
import pytest

from spadework.agronomy.fixation.dilution import fixed_share_dilution
from spadework.errors import DomainError


def test_share_by_hand():
    # 1 - 0.12/0.40, 1 - 0.40/0.40 and 1 - 0.5/0.4
    found = fixed_share_dilution(excess_legume=[0.12, 0.40, 0.50], excess_reference=0.40)
    assert found == pytest.approx([0.7, 0.0, -0.25])


def test_what_is_missing_stays_missing():
    assert np.isnan(fixed_share_dilution(excess_legume=[np.nan, 0.1], excess_reference=[0.4, np.nan])).all()


@pytest.mark.parametrize("reference", [0.0, -0.01])
def test_a_reference_without_label_is_refused(reference):
    with pytest.raises(DomainError, match=r"excess_reference must be above 0 atom %.*at position 1"):
        fixed_share_dilution(excess_legume=0.1, excess_reference=[0.4, reference])
