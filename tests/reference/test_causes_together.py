"""What it changes that no more than a few causes act at once: the network in use against the plain one, all its sets.

Measured once with the functions below on 100 drawn pea fields a row; change of a probability:

    at work  limit   any cause: median, 95 of 100, most   the first cause: 95 of 100   another first
       1       3              0.007     0.044      0.11             0.022                    2
       1       4              0.001     0.010      0.05             0.005                    0
       1       5              0.000     0.002      0.01             0.001                    0
       3       3              0.019     0.098      0.23             0.041                    1
       3       4              0.004     0.030      0.06             0.012                    0
       3       5              0.001     0.006      0.01             0.002                    0

Each step of the limit takes four times as long as the one before.
"""

import numpy as np
import pytest
from tests.reference import enumeration

from spadework.advice.diagnosis.model import model_of
from spadework.agronomy.diagnosis import posterior
from spadework.knowledge.load import load
from spadework.knowledge.rows import Cause, Crop

KNOWLEDGE = load()


def doubled(factors):
    """Products of the factors over all sets of causes: each cause in turn doubles their number."""
    products = np.ones(1)
    for factor in factors:
        products = np.concatenate([products, factor * products])
    return products


def plain_chances(net, answers):
    """Probability of each cause where any number may act at once, by going through all 2^n sets."""
    weights = doubled(net.prior / (1 - net.prior))
    for group in net.groups:
        if np.isnan(answers[list(group)]).all():
            continue
        *so_fits, none_fits = enumeration.fits(group, answers)
        fits, whole = none_fits, 1.0
        for finding, weight in zip(group, so_fits, strict=True):
            not_brought = (1 - net.background[finding]) * doubled(1 - net.lift[:, finding])
            so = (1 - not_brought) * doubled(net.hold[:, finding])
            odds = so / (1 - so)
            fits, whole = fits + weight * odds, whole + odds
        weights *= fits / whole
    causes = len(net.prior)
    by_cause = (weights / weights.sum()).reshape((2,) * causes)  # the last cause is the first axis
    return np.array([by_cause.take(1, axis=causes - 1 - cause).sum() for cause in range(causes)])


def drawn_field(net, rng, *, at_work):
    """Draw so many causes at random and others by their priors, then the findings; a part of these is known."""
    causes = len(net.prior)
    acting = rng.random(causes) < net.prior
    acting[rng.choice(causes, at_work, replace=False)] = True
    answers = np.zeros(len(net.background))
    for group in net.groups:
        states = enumeration.group_states(net, group, np.flatnonzero(acting))
        state = rng.choice(len(states), p=states)
        if state < len(group):
            answers[group[state]] = 1
        if rng.random() < 0.7:
            answers[list(group)] = np.nan
    return answers


@pytest.mark.slow
@pytest.mark.parametrize("at_work", [1, 3])
def test_the_limit_on_causes_at_once_changes_little(at_work):
    causes = [row for row in KNOWLEDGE.of(Cause) if row.network == "nodulation" and row.befalls(Crop.PEA)]
    net = model_of(causes, crop=Crop.PEA, wrong_time=None, own_priors={}, knowledge=KNOWLEDGE).central
    rng = np.random.default_rng(at_work)
    of_any, of_first = [], []
    for _ in range(10):
        answers = drawn_field(net, rng, at_work=at_work)
        limited, plain = posterior(net, answers).causes, plain_chances(net, answers)
        of_any.append(np.abs(limited - plain).max())
        of_first.append(abs(limited[plain.argmax()] - plain.max()))
        # Whoever is first is first in the plain network too, or all but level with it there.
        assert plain[limited.argmax()] > plain.max() - 0.02
    assert 0 < np.median(of_any) < 0.02
    assert max(of_any) < 0.15
    assert np.median(of_first) < 0.005
    assert max(of_first) < 0.05
