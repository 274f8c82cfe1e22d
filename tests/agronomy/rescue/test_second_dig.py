import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.agronomy.rescue.second_dig import chance_of_adequate, share_of_factor
from spadework.agronomy.scoring.share import CORRELATIONS, SHARES, stop_log_likelihood
from spadework.agronomy.season.nodulation import nodulation_factor
from spadework.errors import DomainError

shares = st.floats(0, 1)
digs = st.integers(1, 6).flatmap(lambda stops: st.tuples(st.integers(stops, 24), st.just(stops)))


def test_two_plants_of_one_stop_by_hand():
    """Share 0.4, correlation 0.5. First adequate 0.4, then (0.2 + 0.5) / 1 = 0.7: both 0.28. First not 0.6, then
    adequate 0.2: 0.12; one of two 0.4 * 0.3 + 0.12 = 0.24; none 0.6 * 0.8 = 0.48."""
    found = chance_of_adequate(share=0.4, correlation=0.5, plants=2, stops=1)
    assert found == pytest.approx(np.array([[0.48, 0.24, 0.28]]))


def test_plants_of_two_stops_know_nothing_of_each_other():
    found = chance_of_adequate(share=0.4, correlation=0.9, plants=2, stops=2)
    assert found == pytest.approx(np.array([[0.36, 0.48, 0.16]]))


def test_ends_of_both_scales():
    found = chance_of_adequate(share=[0.0, 1.0, 0.3], correlation=[0.4, 0.4, 1.0], plants=5, stops=1)
    assert found[0].tolist() == [1, 0, 0, 0, 0, 0]
    assert found[1].tolist() == [0, 0, 0, 0, 0, 1]
    assert found[2] == pytest.approx([0.7, 0, 0, 0, 0, 0.3])


def test_it_is_the_chance_by_which_a_dig_is_read():
    """The likelihood of a stop in the verdict, with the number of orders in which y of 6 plants come."""
    orders = np.array([1, 6, 15, 20, 15, 6, 1])
    table = np.exp(stop_log_likelihood(6)) * orders[:, None, None]
    for place in (0, 3, 9):
        found = chance_of_adequate(share=SHARES, correlation=CORRELATIONS[place], plants=6, stops=1)
        np.testing.assert_allclose(found.T, table[:, place], rtol=1e-9)


@given(shares, shares, digs)
def test_chances_sum_to_1_and_have_the_mean_and_spread_of_plants_alike(share, correlation, dig):
    """Mean n p; variance p (1 - p) (n + correlation times pairs of plants of one stop)."""
    plants, stops = dig
    found = chance_of_adequate(share=share, correlation=correlation, plants=plants, stops=stops)[0]
    number = np.arange(plants + 1)
    sizes = [plants // stops + (at < plants % stops) for at in range(stops)]
    pairs = sum(size * (size - 1) for size in sizes)
    mean = found @ number
    assert found.min() >= 0
    assert found.sum() == pytest.approx(1)
    assert mean == pytest.approx(plants * share)
    assert found @ (number - mean) ** 2 == pytest.approx(share * (1 - share) * (plants + correlation * pairs), abs=1e-9)


@given(shares, shares, shares, digs)
def test_a_higher_share_never_makes_few_more_likely(one, other, correlation, dig):
    plants, stops = dig
    low, high = sorted((one, other))
    found = chance_of_adequate(share=[low, high], correlation=correlation, plants=plants, stops=stops)
    below = found.cumsum(axis=1)
    assert np.all(below[1] <= below[0] + 1e-9)


def test_many_plants_do_not_overflow():
    found = chance_of_adequate(share=[0.2, 0.8], correlation=[0.0, 0.3], plants=600, stops=2)
    assert found.sum(axis=1) == pytest.approx([1, 1])


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"share": [0.5, 1.2]}, "share must be from 0 to 1, but is 1.2 at position 1"),
        ({"share": np.nan}, "share must be from 0 to 1"),
        ({"share": [[0.5]]}, "share must be of shape"),
        ({"correlation": -0.1}, "correlation must be from 0 to 1"),
        ({"stops": 0}, "stops must be at least 1"),
        ({"plants": 1}, "plants must be at least one for each of the 2 stops"),
    ],
)
def test_digs_that_cannot_be_are_refused(changes, message):
    with pytest.raises(DomainError, match=message):
        chance_of_adequate(**{"share": 0.5, "correlation": 0.1, "plants": 6, "stops": 2, **changes})


# ---- From factor to share


def test_share_by_hand():
    """z = 0.7302 * 1 / (2 - 0.7302) = 0.57505; (0.57505 - 0.15) / 0.85 = 0.50006, of the factor at a half."""
    assert share_of_factor(factor=0.7302, curvature=1.0, poor_activity=0.15) == pytest.approx(0.5, abs=1e-4)


@given(shares, st.floats(0.05, 10), st.floats(0, 0.9))
def test_it_undoes_the_factor(share, curvature, poor):
    factor = nodulation_factor(share=share, curvature=curvature, poor_activity=poor)
    assert share_of_factor(factor=factor, curvature=curvature, poor_activity=poor) == pytest.approx(share, abs=1e-9)


def test_factors_beyond_the_scale_go_to_its_ends():
    found = share_of_factor(factor=[0.0, 0.1, 1.0, 1.3, 9.0], curvature=0.4, poor_activity=0.2)
    assert found == pytest.approx([0, 0, 1, 1, 1])


def test_unknown_stays_unknown():
    found = share_of_factor(factor=[np.nan, 0.5], curvature=[[0.3], [5.0]], poor_activity=0.2)
    assert found.shape == (2, 2)
    assert np.isnan(found[:, 0]).all()


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"factor": -0.1}, "factor must be 0 or more"),
        ({"curvature": 0.0}, "curvature must be above 0"),
        ({"poor_activity": [0.1, 1.0]}, "poor_activity must be from 0 to below 1, but is 1.0 at position 1"),
    ],
)
def test_factors_that_cannot_be_are_refused(changes, message):
    with pytest.raises(DomainError, match=message):
        share_of_factor(**{"factor": 0.5, "curvature": 1.0, "poor_activity": 0.1, **changes})
