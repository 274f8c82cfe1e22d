from dataclasses import replace

import numpy as np
import pytest
from tests.agronomy.season.seasons import drawn, middle

from spadework.agronomy.season import Application, ObservedStage
from spadework.agronomy.season.cells import applied_to, cells_of, mineralisable_n, seen_in


def test_organic_matter_holds_this_much_nitrogen():
    """By hand: 3 % of 2,600 t/ha is 78 t; over 1.724 and 11 it holds 4,113 kg N, of which 12 % is 494."""
    found = mineralisable_n(organic_matter=3.0, bulk_density=1.3, carbon_to_nitrogen=11.0, mineralisable_share=0.12)

    assert found == pytest.approx(493.566758, abs=1e-6)


def test_cells_are_cut_from_the_draws_and_numbers_are_for_all():
    parameters = replace(drawn(10), seed_n=7.0)
    cells = cells_of(parameters, 4, 7, rule_of_thumb=np.arange(10.0)[:, None])

    np.testing.assert_array_equal(cells["required"], parameters.expected_yield * parameters.n_per_tonne[4:7, 0])
    np.testing.assert_array_equal(cells["seed_n"], [7, 7, 7])
    np.testing.assert_array_equal(cells["rule_of_thumb"], [4, 5, 6])
    assert np.isnan(cells_of(parameters, 4, 7)["rule_of_thumb"]).all()


def test_few_nodules_cannot_fix_the_most_there_is():
    cell = cells_of(replace(middle(), nodulation=0.25, spare_capacity=1.2, highest_fixation=8.0), 0, 1)[0]

    assert cell["highest_fixation"] == pytest.approx(0.25 * 1.2 * 8)
    assert cells_of(replace(middle(), nodulation=1.2, highest_fixation=8.0), 0, 1)["highest_fixation"] == 8


def test_what_is_lost_or_out_of_reach_never_joins_the_pool():
    """By hand: 56 kg, 5 % lost, 65 % of the rest within reach: 34.58."""
    rates = np.array([[0.0], [56.0], [28.0]])
    found = applied_to(
        [Application(day=0, rate=10.0, access=0.8), Application(day=2, rate=rates, access=0.65, volatilised=0.05)], 1, 3
    )

    np.testing.assert_array_equal(found.day, [0, 2])
    np.testing.assert_allclose(found.pool, [[8, 34.58], [8, 17.29]])


def test_stages_seen_are_cut_with_their_draws():
    stages = np.array([[0.1], [np.nan], [0.3]])
    found = seen_in([ObservedStage(day=5, stage=stages), ObservedStage(day=9, stage=1.0)], 1, 3)

    np.testing.assert_array_equal(found.day, [5, 9])
    np.testing.assert_array_equal(found.stage, [[np.nan, 1], [0.3, 1]])
