"""Ureides: the index by hand, and the line with its limits."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.agronomy.fixation.ureides import UREIDE_EXPORTERS, fixed_share_ureides, relative_ureide_index
from spadework.errors import DomainError
from spadework.knowledge.rows import Crop


def test_index_by_hand():
    # 4 x 2 = 8 of 8 + 5 + 3
    assert relative_ureide_index(ureides=2.0, nitrate=5.0, amino=3.0) == pytest.approx(0.5)


def test_what_is_missing_stays_missing():
    assert np.isnan(relative_ureide_index(ureides=[np.nan, 1.0], nitrate=[1.0, np.nan], amino=1.0)).all()
    assert np.isnan(fixed_share_ureides(index=np.nan, intercept=0.1, slope=0.5, lowest=0, highest=1))


amounts = st.floats(0.01, 50)


@given(amounts, amounts, amounts, st.floats(0, 20))
def test_index_keeps_to_its_scale_and_never_falls_with_more_ureides(ureides, nitrate, amino, more):
    before = relative_ureide_index(ureides=ureides, nitrate=nitrate, amino=amino)
    after = relative_ureide_index(ureides=ureides + more, nitrate=nitrate, amino=amino)
    assert 0 <= before <= after <= 1


@given(amounts, amounts, amounts, st.floats(0.1, 10))
def test_index_does_not_hang_on_the_unit(ureides, nitrate, amino, factor):
    one = relative_ureide_index(ureides=ureides, nitrate=nitrate, amino=amino)
    other = relative_ureide_index(ureides=ureides * factor, nitrate=nitrate * factor, amino=amino * factor)
    assert other == pytest.approx(one)


def test_the_line_is_not_drawn_beyond_its_limits():
    # Index 0.1 + 0.5 share: 0.35 is a share of 0.5; 0.05 and 0.65 lie beyond 0 and 1.
    found = fixed_share_ureides(index=[0.1, 0.35, 0.6, 0.05, 0.65], intercept=0.1, slope=0.5, lowest=0, highest=1)
    assert found[:3] == pytest.approx([0.0, 0.5, 1.0])
    assert np.isnan(found[3:]).all()


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: relative_ureide_index(ureides=1, nitrate=-1, amino=1), r"nitrate must be 0 or more, but is -1\.0"),
        (lambda: relative_ureide_index(ureides=0, nitrate=0, amino=0), "above 0 in sum"),
        (
            lambda: fixed_share_ureides(index=0.5, intercept=0.1, slope=0, lowest=0, highest=1),
            "slope must be above 0",
        ),
        (
            lambda: fixed_share_ureides(index=0.5, intercept=0.1, slope=1, lowest=1, highest=1),
            r"lowest must be below highest \(1\)",
        ),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(DomainError, match=message):
        call()


def test_crops_that_send_up_amides_are_not_among_the_exporters():
    amides = {Crop.PEA, Crop.LENTIL, Crop.CHICKPEA, Crop.FABA_BEAN, Crop.LUPIN}
    assert set(Crop) - amides == UREIDE_EXPORTERS
