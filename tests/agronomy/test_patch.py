"""Stops that differ: exact chances in small cases, edges, and how often the test speaks up."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import rankdata

from spadework.agronomy.patch import _ranks, chance_of_difference, find_patch
from spadework.errors import DomainError

TARGET = 10
THREE_STOPS = np.repeat([0, 1, 2], 10)


def visit(stop, nodules):
    effective = np.array(nodules, dtype=float)
    return {"stop": np.asarray(stop), "adequate": (effective >= TARGET).astype(float), "effective": effective}


def chance(dug, seed=1):
    return chance_of_difference(**dug, rng=np.random.default_rng(seed))


def patch(dug, limit=0.05, seed=1, least=0.3):
    return find_patch(**dug, rng=np.random.default_rng(seed), limit=limit, least=least)


def test_chance_of_two_stops_apart_by_hand():
    # Six plants, none alike: 2 of the 20 ways to make two stops of three are as far apart as these.
    # Of 2,000 the number counted has a standard deviation of 13, 0.7 points.
    assert chance(visit([0, 0, 0, 1, 1, 1], [1, 2, 3, 4, 5, 6])) == pytest.approx(2 / 20, abs=0.02)


def test_chance_against_every_way_of_dealing():
    dug = visit([0, 0, 0, 1, 1, 1, 1], [2, 11, 4, 14, 9, 16, 12])
    ranks = dug["effective"].argsort().argsort() + 1.0
    every = []
    for first in combinations(range(7), 3):
        here = np.isin(np.arange(7), first)
        every.append(
            [
                sum(score[part].sum() ** 2 / part.sum() for part in (here, ~here))
                for score in (ranks - ranks.mean(), dug["adequate"] - dug["adequate"].mean())
            ]
        )
    unlike = (np.array(every) / np.mean(every, axis=0)).max(axis=1)  # the first combination is what was seen
    exact = np.mean(unlike >= unlike[0] - 1e-9)
    assert chance(dug) == pytest.approx(exact, abs=0.03)


def test_the_least_chance_counts_the_visit_itself():
    assert chance(visit(THREE_STOPS, [0] * 10 + [50] * 20)) == pytest.approx(1 / 2000)


@pytest.mark.parametrize(
    ("stop", "told"),
    [([0] * 8, False), (range(8), False), ([0, 0, 0, 1, 2, 3], False), ([0, 0, 1, 1], True), ([0, 0, 1, 1, 2], True)],
)
def test_two_stops_of_two_plants_are_needed(stop, told):
    stop = list(stop)
    assert (chance(visit(stop, np.arange(len(stop)))) is not None) is told


@pytest.mark.parametrize("nodules", [0, 30])
def test_plants_all_alike_differ_by_nothing_but_chance(nodules):
    assert chance(visit(THREE_STOPS, [nodules] * 30)) == 1.0
    assert patch(visit(THREE_STOPS, [nodules] * 30)) is None


@pytest.mark.parametrize("name", ["adequate", "effective"])
def test_unknown_plants_are_refused(name):
    dug = visit([0, 0, 1, 1], [1, 2, 3, 4])
    dug[name][2] = np.nan
    with pytest.raises(DomainError, match=rf"{name} must be known for every plant, but is nan at position 2"):
        chance(dug)


def test_the_poor_stops_are_named():
    nodules = [15, 20, 18, 12, 25, 30, 0, 2, 1, 0, 0, 3, 14, 22, 19, 17, 30, 11, 1, 4, 0, 2, 1, 0]
    found = patch(visit(np.repeat([3, 5, 7, 9], 6), nodules), limit=0.01)
    assert (found.poor, found.good) == ((5, 9), (3, 7))
    assert found.p_value < 0.01


def test_the_limit_decides():
    dug = visit([0, 0, 0, 1, 1, 1], [1, 2, 3, 14, 15, 16])
    assert patch(dug, limit=0.05) is None
    assert patch(dug, limit=0.15).poor == (0,)


@pytest.mark.parametrize("nodules", [[12] * 10 + [40] * 20, [1] * 10 + [6] * 20])
def test_a_difference_between_stops_that_changes_nothing_is_not_a_patch(nodules):
    nodules = np.array(nodules) + np.tile(np.arange(10) % 3, 3)  # all adequate, or all poor
    assert chance(visit(THREE_STOPS, nodules)) < 0.01
    assert patch(visit(THREE_STOPS, nodules)) is None


def test_equal_stops_stay_together():
    found = patch(visit(np.repeat([0, 1, 2, 3], 5), [20] * 5 + [1] * 5 + [20] * 5 + [1] * 5))
    assert (found.poor, found.good) == ((1, 3), (0, 2))


@st.composite
def visits(draw):
    plants = draw(st.lists(st.integers(1, 6), min_size=2, max_size=5))
    level = draw(st.lists(st.sampled_from([0, 0, 20]), min_size=len(plants), max_size=len(plants)))
    stop = np.repeat(np.arange(len(plants)), plants)
    noise = draw(st.lists(st.integers(0, 9), min_size=len(stop), max_size=len(stop)))
    return visit(stop, np.array(level)[stop] + np.array(noise))


@settings(max_examples=40)
@given(visits(), st.randoms(use_true_random=False))
def test_order_of_plants_and_names_of_stops_never_matter(dug, random):
    order = list(range(len(dug["stop"])))
    random.shuffle(order)
    names = list(range(int(dug["stop"].max()) + 1))
    random.shuffle(names)
    other = {name: values[order] for name, values in dug.items()}
    other["stop"] = np.array(names)[other["stop"]]
    assert chance(other) == chance(dug)
    first, second = patch(dug), patch(other)
    assert (second is None) == (first is None)
    if first is not None:
        assert second.poor == tuple(sorted(names[stop] for stop in first.poor))


@settings(max_examples=40)
@given(visits())
def test_no_other_two_groups_of_stops_differ_more(dug):
    found = patch(dug, limit=1.1)
    if found is None:
        return
    ranks = np.array([(dug["effective"] < y).sum() + (dug["effective"] == y).sum() / 2 for y in dug["effective"]])

    def between(group):
        here = np.isin(dug["stop"], group)
        return sum(ranks[part].sum() ** 2 / part.sum() for part in (here, ~here))

    stops = np.unique(dug["stop"])
    every = [group for size in range(1, len(stops)) for group in combinations(stops, size)]
    assert between(found.poor) == pytest.approx(max(map(between, every)))


def dig(rng, factors, plants):
    stop = np.repeat(np.arange(len(factors)), plants)
    return visit(stop, rng.poisson(rng.gamma(4.0, 12 * np.array(factors)[stop] / 4.0)))


@pytest.mark.parametrize(("stops", "plants"), [(3, 10), (5, 4)])
def test_stops_that_are_alike_are_told_apart_as_seldom_as_the_level_says(stops, plants):
    rng = np.random.default_rng(20)
    chances = [chance(dig(rng, [1] * stops, plants), seed=field) for field in range(600)]
    # Standard deviation of the share of 600: 0.9 points at 5 %, 1.7 at 20 %.
    assert np.mean(np.array(chances) <= 0.05) == pytest.approx(0.05, abs=0.025)
    assert np.mean(np.array(chances) <= 0.20) == pytest.approx(0.20, abs=0.045)


def test_a_bare_stop_is_nearly_always_found():
    rng = np.random.default_rng(21)
    found = [patch(dig(rng, [0.1, 2, 2], 10), limit=0.01, seed=field) for field in range(100)]
    assert sum(result is not None and result.poor == (0,) for result in found) >= 95


def test_the_same_seed_gives_the_same_answer():
    dug = dig(np.random.default_rng(22), [0.5, 1, 1.5], 8)
    assert chance(dug, seed=5) == chance(dug, seed=5)


def test_a_difference_is_told_from_the_least_one_on():
    # 3 of 10 plants adequate at the poor stop, 10 of 10 at the other: a difference of 0.7.
    dug = visit([0] * 10 + [1] * 10, [5] * 7 + [70] * 3 + [70] * 10)
    assert patch(dug, least=0.69) is not None
    assert patch(dug, least=0.71) is None


def test_ranks_are_those_of_the_general_library():
    values = np.array([3.0, 1.0, 3.0, 7.5, 0.0, 3.0, 1.0])
    np.testing.assert_array_equal(_ranks(values), rankdata(values))
