"""Means of samples: by hand, by the usual formula, by simulation."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.agronomy.fixation.samples import covariance_of_means, sample_mean
from spadework.errors import DomainError


def test_plain_mean_by_hand():
    found = sample_mean([1.0, 2.0, 3.0])
    # Standard deviation 1, three samples.
    assert (found.mean, found.samples) == (2.0, 3)
    assert found.standard_error == pytest.approx(1 / np.sqrt(3))


def test_weighted_mean_by_hand():
    found = sample_mean([1.0, 3.0], weights=[3.0, 1.0])
    # 3/4 + 3/4; deviations -0.5 and 1.5, weighted -0.375 and 0.375, squared and summed 0.28125, times 2.
    assert found.mean == pytest.approx(1.5)
    assert found.standard_error == pytest.approx(np.sqrt(0.5625))


def test_weighting_by_nitrogen_is_the_share_of_all_nitrogen():
    shares, nitrogen = np.array([0.2, 0.8]), np.array([50.0, 150.0])
    # 10 + 120 kg of 200.
    assert sample_mean(shares, weights=nitrogen).mean == pytest.approx(130 / 200)
    assert sample_mean(shares).mean == pytest.approx(0.5)


def test_the_spread_of_one_sample_is_not_known():
    assert np.isnan(sample_mean([2.0]).standard_error)


@given(st.lists(st.floats(-5, 10), min_size=2, max_size=12), st.floats(0.1, 50))
def test_equal_weights_change_nothing(values, weight):
    plain, weighted = sample_mean(values), sample_mean(values, weights=[weight] * len(values))
    assert weighted.mean == pytest.approx(plain.mean, abs=1e-9)
    assert weighted.standard_error == pytest.approx(plain.standard_error, abs=1e-9)
    assert plain.standard_error == pytest.approx(np.std(values, ddof=1) / np.sqrt(len(values)), abs=1e-9)


def test_error_of_a_weighted_mean_by_simulation():
    rng = np.random.default_rng(5)
    weights = rng.uniform(50, 200, size=(4000, 12))
    values = rng.normal(2.0, 1.0, size=(4000, 12))
    found = [sample_mean(y, weights=w) for y, w in zip(values, weights, strict=True)]
    spread = np.std([one.mean for one in found])
    # 12 samples understate a little; 4,000 draws leave about 2 %.
    assert np.mean([one.standard_error for one in found]) == pytest.approx(spread, rel=0.05)


def test_covariance_of_means_by_hand():
    # Deviations -1, 0, 1 and -2, 0, 2: sum of products 4, over 2, over 3.
    assert covariance_of_means([1, 2, 3], [2, 4, 6]) == pytest.approx(4 / 6)
    assert covariance_of_means([1, 2, 3], [6, 4, 2]) == pytest.approx(-4 / 6)
    assert covariance_of_means([1, 2], [1, 2]) == 0.0
    assert covariance_of_means([1, 2, 3], [2, 4, 6], weights=[5, 5, 5]) == pytest.approx(4 / 6)
    # Mean of the first 2.5 (weights 1/4, 0 on none, 3/4): (-1.5 x 1/4 x -2 + 0.5 x 3/4 x 2 - 0.5 x 0 x 0) / 2.
    assert covariance_of_means([1, 2, 3], [2, 4, 6], weights=[1, 1e-12, 3]) == pytest.approx(0.75)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: sample_mean([]), "values must be finite numbers, at least one"),
        (lambda: sample_mean([1.0, np.nan]), "values must be finite numbers"),
        (lambda: sample_mean([1.0, 2.0], weights=[1.0]), "weights must be above 0, one for each value"),
        (lambda: sample_mean([1.0, 2.0], weights=[1.0, 0.0]), "weights must be above 0, one for each value"),
        (lambda: covariance_of_means([1, 2, 3], [1, 2, 3], weights=[1]), r"weights must be of the length of one"),
        (lambda: covariance_of_means([1, 2, 3], [1, 2]), r"other must be of the length of one \(3\)"),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(DomainError, match=message):
        call()
