"""Draws against the distribution functions of SciPy: same uniform number, same value."""

import itertools

import numpy as np
import pytest
from scipy import stats

from spadework.demo.draws import Draws

NAME = "test"
TIMES = 400


def uniforms() -> list[float]:
    stream = Draws(5, NAME)
    return [stream.uniform() for _ in range(TIMES)]


def test_a_stream_is_set_by_seed_and_name() -> None:
    def first(seed: int, name: str) -> list[float]:
        stream = Draws(seed, name)
        return [stream.uniform() for _ in range(3)]

    assert first(1, "a") == first(1, "a")
    assert first(1, "a") != first(2, "a")
    assert first(1, "a") != first(1, "b")


def test_the_first_numbers_are_those_of_every_machine() -> None:
    # Made once with NumPy 2.4 on x86-64; they hold as long as PCG64 and its seeding do, as NumPy promises.
    stream = Draws(2026, "pinned")
    assert [stream.uniform() for _ in range(3)] == [0.47363745114148226, 0.5669558202116188, 0.2417565950242867]


@pytest.mark.parametrize(("mean", "k"), list(itertools.product([0.4, 6.0, 115.0], [0.8, 12.0])))
def test_negative_binomial_inverts_its_distribution_function(mean: float, k: float) -> None:
    stream = Draws(5, NAME)
    drawn = [stream.negative_binomial(mean=mean, k=k) for _ in range(TIMES)]
    assert drawn == list(stats.nbinom.ppf(uniforms(), k, k / (k + mean)))


@pytest.mark.parametrize(("trials", "share", "rho"), list(itertools.product([1, 5, 140], [0.04, 0.88], [0.05, 0.3])))
def test_beta_binomial_inverts_its_distribution_function(trials: int, share: float, rho: float) -> None:
    strength = (1 - rho) / rho
    stream = Draws(5, NAME)
    drawn = [stream.beta_binomial(trials=trials, share=share, correlation=rho) for _ in range(TIMES)]
    reference = stats.betabinom(trials, share * strength, (1 - share) * strength)
    below, at = reference.cdf(np.array(drawn) - 1), reference.cdf(drawn)
    assert np.all(below <= np.array(uniforms()) + 1e-9)
    assert np.all(np.array(uniforms()) <= at + 1e-9)


def test_beta_binomial_without_correlation_is_the_binomial() -> None:
    stream = Draws(5, NAME)
    drawn = [stream.beta_binomial(trials=20, share=0.3, correlation=0.0) for _ in range(TIMES)]
    assert drawn == list(stats.binom.ppf(uniforms(), 20, 0.3))


@pytest.mark.parametrize(("trials", "share", "expected"), [(0, 0.5, 0), (7, 0.0, 0), (7, 1.0, 7)])
def test_beta_binomial_at_the_ends(trials: int, share: float, expected: int) -> None:
    assert Draws(1, NAME).beta_binomial(trials=trials, share=share, correlation=0.1) == expected


def test_every_value_takes_one_number_of_the_stream() -> None:
    """So that a field's plants do not shift when one plant's count changes."""
    plain, mixed = Draws(3, NAME), Draws(3, NAME)
    for _ in range(6):
        plain.uniform()
    mixed.normal()
    mixed.exponential(4.0)
    mixed.chance(0.5)
    mixed.negative_binomial(mean=0, k=1)
    mixed.negative_binomial(mean=200, k=1)
    mixed.beta_binomial(trials=0, share=0.5, correlation=0.1)
    assert mixed.uniform() == plain.uniform()


def test_normal_and_exponential_invert_their_distribution_functions() -> None:
    stream = Draws(5, NAME)
    assert [stream.normal() for _ in range(TIMES)] == pytest.approx(list(stats.norm.ppf(uniforms())))
    stream = Draws(5, NAME)
    expected = stats.expon.ppf(uniforms(), scale=6.0)
    assert [stream.exponential(6.0) for _ in range(TIMES)] == pytest.approx(list(expected))
