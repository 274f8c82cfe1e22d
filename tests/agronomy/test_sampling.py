"""Settled, or how many more plants."""

import numpy as np
import pytest

from spadework.agronomy.sampling import further_digging
from spadework.agronomy.scoring.share import CORRELATIONS, SHARES, field_share
from spadework.errors import DomainError

LIMITS = [0.5, 0.7]


def posterior(*adequate_of_ten):
    adequate = np.concatenate([[1.0] * yes + [0.0] * (10 - yes) for yes in adequate_of_ten])
    stop = np.repeat(np.arange(len(adequate_of_ten)), 10)
    return field_share(stop=stop, chance=adequate, prior_correlation=0.15)


def dig(share, **changes):
    arguments = {
        "limits": LIMITS,
        "settle_at": 0.90,
        "plants_per_stop": 10,
        "most_stops": 12,
        "assurance": 0.5,
        "rng": np.random.default_rng(7),
    }
    return further_digging(share, **{**arguments, **changes})


def test_a_clear_field_is_settled():
    result = dig(posterior(10, 10, 9))
    assert (result.settled, result.stops, result.plants, result.assurance) == (True, 0, 0, 1.0)


def test_a_nearly_clear_field_needs_a_few_more_stops():
    result = dig(posterior(9, 8, 8))
    assert not result.settled
    assert 1 <= result.stops <= 6
    assert result.plants == 10 * result.stops
    assert result.assurance >= 0.5


def test_a_field_on_the_border_is_not_settled_by_any_bearable_digging():
    result = dig(posterior(7, 7, 7))
    assert result.stops is None
    assert result.plants is None
    assert 0 < result.assurance < 0.5


def test_the_look_ahead_keeps_its_promise():
    # Draw the truth from the posterior and dig the stops advised: the share of verdicts that settle must be the
    # assurance told, within four standard errors of both simulations (150 and 400 draws) plus the coarse grid.
    share = posterior(9, 8, 8)
    told = dig(share)
    rng = np.random.default_rng(11)
    settled = []
    for _ in range(400):
        drawn = int(rng.choice(share.weights.size, p=share.weights.ravel()))
        rho, mean = CORRELATIONS[drawn // len(SHARES)], SHARES[drawn % len(SHARES)]
        chances = [
            mean if rho == 0 else rng.beta(mean * (1 - rho) / rho, (1 - mean) * (1 - rho) / rho)
            for _ in range(told.stops)
        ]
        more = [int(rng.binomial(10, chance)) for chance in chances]
        settled.append(posterior(9, 8, 8, *more).class_probabilities(LIMITS).max() >= 0.90)
    assert np.mean(settled) == pytest.approx(told.assurance, abs=0.17)


def test_a_stricter_level_never_needs_less():
    loose, strict = dig(posterior(9, 8, 8), settle_at=0.87), dig(posterior(9, 8, 8), settle_at=0.95)
    assert strict.stops is None or strict.stops >= loose.stops


def test_the_same_seed_gives_the_same_answer():
    assert dig(posterior(8, 7, 9)) == dig(posterior(8, 7, 9))


@pytest.mark.parametrize("name", ["plants_per_stop", "most_stops"])
def test_no_plants_or_no_stops_are_refused(name):
    with pytest.raises(DomainError, match=f"{name} must be at least 1"):
        dig(posterior(8, 7, 9), **{name: 0})
