"""The diagnosis over the bands of its figures."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.agronomy.diagnosis.networks import network

from spadework.agronomy.diagnosis import Robustness, posterior, robustness
from spadework.errors import DomainError

NAN = np.nan


def drawn(low, high, answers, *, draws=64, seed=1):
    return robustness(low, high, np.array(answers, dtype=float), draws=draws, rng=np.random.default_rng(seed))


def test_without_bands_each_draw_is_the_diagnosis():
    net = network(
        [0.2, 0.3],
        [0.1, 0.2, 0.3],
        [[0.5, 0, 0.4], [0, 0.6, 0]],
        [[1, 0.5, 1], [1, 1, 0.2]],
        groups=((0, 2), (1,)),
    )
    for answers in ([1, NAN, NAN], [NAN, 0.7, 0], [NAN, NAN, NAN]):
        state, found = posterior(net, np.array(answers)), drawn(net, net, answers, draws=20)
        np.testing.assert_allclose(found.causes, np.tile(state.causes, (20, 1)), rtol=1e-12)
        np.testing.assert_allclose(found.nothing, np.full(20, state.nothing), rtol=1e-12)


@pytest.mark.parametrize("band", ["prior", "background", "lift", "hold"])
def test_draws_fill_the_band_of_each_kind_of_figure(band):
    ends = {
        "prior": ([0.1], [0.3]),
        "background": ([0.1], [0.3]),
        "lift": ([[0.2]], [[0.6]]),
        "hold": ([[0.5]], [[0.9]]),
    }
    middle = {"prior": [0.2], "background": [0.2], "lift": [[0.4]], "hold": [[0.7]]}
    low, high = (network(**{**middle, band: end}) for end in ends[band])
    at_ends = sorted(float(posterior(net, np.array([1.0])).causes[0]) for net in (low, high))
    found = drawn(low, high, [1]).causes[:, 0]
    width = at_ends[1] - at_ends[0]
    # The nearest of 64 even draws to an end lies within a tenth of the band but for once in 0.9^-64, about 850.
    assert at_ends[0] <= found.min() < at_ends[0] + 0.1 * width
    assert at_ends[1] - 0.1 * width < found.max() <= at_ends[1]
    assert len(set(found)) == 64


def test_priors_move_together_and_all_else_by_itself():
    low = network([0.1, 0.1], [0.2, 0.2], [[0.3, 0], [0, 0.3]])
    high = network([0.3, 0.3], [0.2, 0.2], [[0.7, 0], [0, 0.7]])
    unknown = drawn(low, high, [NAN, NAN]).causes
    np.testing.assert_allclose(unknown[:, 0], unknown[:, 1], rtol=1e-12)
    known = drawn(low, high, [1, 1]).causes
    assert np.abs(known[:, 0] - known[:, 1]).min() > 0


def test_nothing_is_what_one_cause_leaves():
    low, high = network([0.1], [0.2], [[0.3]]), network([0.3], [0.2], [[0.7]])
    found = drawn(low, high, [NAN])
    np.testing.assert_allclose(found.nothing, 1 - found.causes[:, 0], rtol=1e-12)


def test_same_seed_same_draws_and_other_seed_others():
    low, high = network([0.1], [0.2], [[0.3]]), network([0.3], [0.2], [[0.7]])
    first, again, other = (drawn(low, high, [1], seed=seed).causes for seed in (1, 1, 2))
    np.testing.assert_array_equal(first, again)
    assert (first != other).all()


@given(st.integers(1, 70))
def test_as_many_draws_as_asked(draws):
    low, high = network([0.1, 0.2], [0.2], [[0.3], [0]]), network([0.3, 0.2], [0.2], [[0.7], [0]])
    found = drawn(low, high, [1], draws=draws)
    assert found.causes.shape == (draws, 2)
    assert found.nothing.shape == (draws,)
    assert ((found.causes > 0) & (found.causes < 1)).all()


def test_first_is_the_likeliest_cause_of_each_draw():
    assert Robustness(np.array([[0.2, 0.3], [0.4, 0.1]]), np.array([0.5, 0.5])).first().tolist() == [1, 0]


def test_robustness_refuses():
    net = network([0.1], [0.2, 0.3], [[0.3, 0]])
    grouped = network([0.1], [0.2, 0.3], [[0.3, 0]], groups=((0, 1),))
    fewer = network([0.1, 0.1], [0.2, 0.3], [[0.3, 0]] * 2, most_together=1)
    two = network([0.1, 0.1], [0.2, 0.3], [[0.3, 0]] * 2)
    with pytest.raises(DomainError, match="high must be of the groups and most_together of low"):
        drawn(net, grouped, [1, NAN])
    with pytest.raises(DomainError, match="high must be of the groups and most_together of low"):
        drawn(two, fewer, [1, NAN])
    with pytest.raises(DomainError, match="draws must be 1 or more, but is 0"):
        drawn(net, net, [1, NAN], draws=0)
    with pytest.raises(DomainError, match="answers must be such as some set of causes explains"):
        drawn(grouped, grouped, [1, 1])
