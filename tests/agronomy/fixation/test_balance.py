"""What is left after harvest: by hand, what must hold, and credits that are never counted twice."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.agronomy.fixation.balance import below_ground_factor, harvest_balance
from spadework.errors import DomainError


def balance(**changes):
    return harvest_balance(
        **{"shoot_nitrogen": 200.0, "fixed_share": 0.6, "grain_nitrogen": 130.0, "below_ground_share": 0.25, **changes}
    )


def test_balance_by_hand():
    found = balance()
    # Fixed 120 in the shoot, 160 with roots (factor 4/3); less 130.
    assert found.fixed_shoot == pytest.approx(120)
    assert found.fixed_whole == pytest.approx(160)
    assert found.net_shoot == pytest.approx(-10)
    assert found.net_whole == pytest.approx(30)
    assert found.residue_shoot == pytest.approx(70)
    assert found.residue_below_ground == pytest.approx(200 / 3)


def test_shapes_broadcast_and_nothing_known_stays_unknown():
    found = balance(fixed_share=[0.6, np.nan], below_ground_share=[[0.24], [0.4]])
    assert found.net_whole.shape == (2, 2)
    assert np.isnan(found.net_whole[:, 1]).all()


def test_a_negative_share_is_carried_through():
    assert balance(fixed_share=-0.1).net_shoot == pytest.approx(-150)


nitrogen = st.floats(1, 400)
shares = st.floats(-0.3, 1.2)
below = st.floats(0, 0.8)


@given(nitrogen, shares, st.floats(0, 1), below)
def test_nitrogen_is_conserved(shoot, share, grain_part, below_ground):
    found = balance(
        shoot_nitrogen=shoot, fixed_share=share, grain_nitrogen=shoot * grain_part, below_ground_share=below_ground
    )
    whole = shoot * below_ground_factor(below_ground)
    assert found.grain + found.residue_shoot + found.residue_below_ground == pytest.approx(whole)
    # What the soil gave is what the fixed nitrogen leaves open: net balance = residue - soil nitrogen.
    residue = found.residue_shoot + found.residue_below_ground
    assert found.net_whole == pytest.approx(residue - whole * (1 - share), abs=1e-6)


@given(nitrogen, shares, st.floats(0, 1), below)
def test_more_fixation_and_less_grain_never_lower_it(shoot, share, grain_part, below_ground):
    one = {"shoot_nitrogen": shoot, "below_ground_share": below_ground}
    before = balance(**one, fixed_share=share, grain_nitrogen=shoot * grain_part)
    assert balance(**one, fixed_share=share + 0.1, grain_nitrogen=shoot * grain_part).net_whole >= before.net_whole
    assert balance(**one, fixed_share=share, grain_nitrogen=shoot * grain_part / 2).net_whole >= before.net_whole


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"shoot_nitrogen": -1.0}, r"shoot_nitrogen must be 0 kg/ha or more, but is -1\.0"),
        ({"grain_nitrogen": -1.0}, r"grain_nitrogen must be 0 kg/ha or more, but is -1\.0"),
        ({"grain_nitrogen": 201.0}, "grain_nitrogen must be at most that of the shoot, which holds the grain"),
        ({"below_ground_share": 1.0}, "below_ground_share must be from 0 to below 1"),
        ({"below_ground_share": -0.1}, "below_ground_share must be from 0 to below 1"),
    ],
)
def test_what_cannot_be_is_refused(changed, message):
    with pytest.raises(DomainError, match=message):
        balance(**changed)
