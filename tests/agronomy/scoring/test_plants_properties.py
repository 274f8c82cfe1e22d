"""What must hold of a plant's reading whatever was recorded."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from spadework.agronomy.scoring.plants import PlantCounts, read_plants


@st.composite
def visits(draw):
    rows = []
    for _ in range(draw(st.integers(1, 8))):
        low = draw(st.integers(0, 80))
        width = draw(st.sampled_from([0, 0, 9, 30, np.inf] if low else [0, 9]))
        lateral = draw(st.integers(0, 60))
        cut = draw(st.integers(0, min(5, low + lateral)))
        rows.append((low, low + width, lateral, lateral, cut, draw(st.integers(0, cut))))
    return np.array(rows, dtype=float)


def reading(rows, target=50.0):
    counts = PlantCounts(*rows.T[:4], cut=rows[:, 4], red=rows[:, 5], eligible=np.ones(len(rows)))
    return read_plants(counts, target=target, more_than=False, prior_red_correlation=0.2)


@given(visits())
def test_probabilities_and_counts_stay_in_their_bounds(rows):
    result = reading(rows)
    assert np.all((result.adequate >= 0) & (result.adequate <= 1))
    assert np.all(result.effective >= 0)


@given(visits(), st.data())
def test_more_red_nodules_never_lower_any_plant(rows, data):
    index = data.draw(st.integers(0, len(rows) - 1))
    redder = rows.copy()
    redder[index, 5] = data.draw(st.integers(int(rows[index, 5]), int(rows[index, 4])))
    before, after = reading(rows), reading(redder)
    assert after.effective[index] >= before.effective[index]
    assert after.adequate[index] >= before.adequate[index] - 1e-9


@given(visits(), st.floats(1, 60), st.floats(0, 30))
def test_a_higher_target_is_never_easier(rows, target, more):
    assert np.all(reading(rows, target + more).adequate <= reading(rows, target).adequate + 1e-9)


@given(visits(), st.randoms(use_true_random=False))
def test_order_never_matters(rows, random):
    order = list(range(len(rows)))
    random.shuffle(order)
    np.testing.assert_allclose(reading(rows[order]).adequate, reading(rows).adequate[order], rtol=1e-6, atol=1e-9)
