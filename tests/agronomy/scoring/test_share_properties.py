"""What must hold of the share adequate whatever was dug."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from spadework.agronomy.scoring.share import field_share

LIMITS = [0.5, 0.7]


@st.composite
def visits(draw):
    plants = draw(st.integers(1, 24))
    stop = draw(st.lists(st.integers(0, 3), min_size=plants, max_size=plants))
    chance = draw(st.lists(st.floats(0, 1), min_size=plants, max_size=plants))
    return np.array(stop), np.array(chance)


def share(stop, chance):
    return field_share(stop=stop, chance=chance, prior_correlation=0.15)


@given(visits(), st.randoms(use_true_random=False))
def test_order_of_plants_and_names_of_stops_never_matter(visit, random):
    stop, chance = visit
    order = list(range(len(stop)))
    random.shuffle(order)
    first, second = share(stop, chance), share((3 - stop)[order], chance[order])
    np.testing.assert_allclose(first.weights, second.weights, rtol=1e-7, atol=1e-15)


@given(visits(), st.data())
def test_a_better_plant_never_lowers_the_share(visit, data):
    stop, chance = visit
    index = data.draw(st.integers(0, len(stop) - 1))
    better = chance.copy()
    better[index] = data.draw(st.floats(float(chance[index]), 1.0))
    assert share(stop, better).mean >= share(stop, chance).mean - 1e-9


@given(visits())
def test_probabilities_are_probabilities(visit):
    result = share(*visit)
    classes = result.class_probabilities(LIMITS)
    low, high = result.interval(0.90)
    assert np.all(classes >= -1e-12)
    assert abs(classes.sum() - 1) < 1e-9
    assert 0 <= low <= high <= 1


@settings(max_examples=15)
@given(st.floats(0.1, 0.9), st.integers(0, 2**32 - 1))
def test_adding_plants_narrows_the_interval_on_average(truth, seed):
    rng = np.random.default_rng(seed)
    few, many = [], []
    for _ in range(40):
        adequate = (rng.random(60) < truth).astype(float)
        stop = np.repeat(np.arange(6), 10)
        few.append(np.ptp(share(stop[:20], adequate[:20]).interval(0.90)))
        many.append(np.ptp(share(stop, adequate).interval(0.90)))
    assert np.mean(many) < np.mean(few)
