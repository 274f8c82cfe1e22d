from dataclasses import replace

import numpy as np
import pytest
from tests.agronomy.season.seasons import drawn, middle

from spadework.agronomy.season.chunk import chunk_of, hold, mineralisable_n, own


def test_organic_matter_holds_this_much_nitrogen():
    """By hand: 3 % of 2,600 t/ha is 78 t; over 1.724 and 11 it holds 4,113 kg N, of which 12 % is 494."""
    found = mineralisable_n(organic_matter=3.0, bulk_density=1.3, carbon_to_nitrogen=11.0, mineralisable_share=0.12)

    assert found == pytest.approx(493.566758, abs=1e-6)


def test_a_chunk_is_cut_from_the_draws_and_numbers_stay_numbers():
    parameters = drawn(10)
    part = chunk_of(parameters, 4, 7)

    np.testing.assert_array_equal(part.required, parameters.expected_yield * parameters.n_per_tonne[4:7, 0])
    assert isinstance(part.seed_n, float)
    assert part.one.shape == (3,)
    np.testing.assert_array_equal(own(np.arange(5.0)[:, None], 1, 3), [1, 2])


def test_few_nodules_cannot_fix_the_most_there_is():
    part = chunk_of(replace(middle(), nodulation=0.25, spare_capacity=1.2, highest_fixation=8.0), 0, 1)

    assert part.highest_fixation == pytest.approx(0.25 * 1.2 * 8)
    assert chunk_of(replace(middle(), nodulation=1.2, highest_fixation=8.0), 0, 1).highest_fixation == 8


def test_values_are_held_in_place():
    values = np.array([-1.0, 0.5, 2.0])
    hold(values, 0.0, 1.0)

    np.testing.assert_array_equal(values, [0, 0.5, 1])
