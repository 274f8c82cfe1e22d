"""Agreement of scorers: hand-worked values, edges and refusals."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from spadework.agronomy.agreement import intraclass_correlation, scorer_agreement, weighted_kappa
from spadework.errors import DomainError


def test_kappa_by_hand():
    # Same class: 35 of 50. By chance: 25/50 x 30/50 + 25/50 x 20/50 = 0.5. (0.7 - 0.5) / (1 - 0.5) = 0.4.
    result = weighted_kappa([[20, 5], [10, 15]], "none")
    assert result.kappa == pytest.approx(0.4)
    assert (result.observed, result.expected) == pytest.approx((0.7, 0.5))
    # First class: 25 by the one, 30 by the other, of 100 scorings.
    assert result.prevalence == pytest.approx((0.55, 0.45))


@pytest.mark.parametrize(
    ("weights", "kappa"),
    [
        # All scored twice, one plant a class by the first; the second is one class up, at most the last.
        # Disagreement seen, over that by chance. Linear: (1+1+0)/3 over (1+2+2 + 0+1+1 + 1+0+0)/9 = 2/3 over 8/9.
        ("linear", 1 - (2 / 3) / (8 / 9)),
        # Quadratic: (1+1)/3 over (1+4+4 + 0+1+1 + 1+0+0)/9 = 2/3 over 12/9.
        ("quadratic", 1 - (2 / 3) / (12 / 9)),
        # All alike: 2/3 over (3 + 2 + 1)/9 = 2/3 over 6/9.
        ("none", 0.0),
    ],
)
def test_weights_by_hand(weights, kappa):
    assert weighted_kappa([[0, 1, 0], [0, 0, 1], [0, 0, 1]], weights).kappa == pytest.approx(kappa)


def test_full_agreement_is_one_and_certain():
    result = weighted_kappa(np.diag([3, 4, 5]))
    assert result.kappa == pytest.approx(1.0)
    assert result.standard_error == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("weights", ["none", "linear", "quadratic"])
def test_one_class_for_all_says_nothing_beyond_chance(weights):
    result = weighted_kappa([[0, 0, 0], [0, 12, 0], [0, 0, 0]], weights)
    assert result.kappa is None
    assert result.standard_error is None
    assert (result.observed, result.expected) == (1.0, 1.0)


@pytest.mark.parametrize(
    "table", [[[1, 2, 3], [4, 5, 6]], [1, 2], [[0, 0], [0, 0]], [[1, -1], [0, 4]], [[1, np.nan], [0, 1]], []]
)
def test_tables_that_cannot_be_read_are_refused(table):
    with pytest.raises(DomainError, match="table must be a square table of plants, not empty and none negative"):
        weighted_kappa(table)


@pytest.mark.parametrize("weights", [[[0, 1]], [[0, -1], [1, 0]], [[1, 1], [1, 0]], [[0, np.nan], [1, 0]]])
def test_weights_that_do_not_fit_are_refused(weights):
    with pytest.raises(DomainError, match="weights must be 2 by 2, at least 0, and 0 where classes agree"):
        weighted_kappa([[3, 1], [1, 3]], weights)


def test_weights_of_an_unknown_name_are_refused():
    with pytest.raises(DomainError, match="weights must be one of linear, quadratic, none, or a table, but is 'cubic'"):
        weighted_kappa([[3, 1], [1, 3]], "cubic")


tables = st.integers(2, 5).flatmap(
    lambda size: st.lists(
        st.lists(st.integers(0, 30), min_size=size, max_size=size), min_size=size, max_size=size
    ).filter(lambda table: sum(map(sum, table)) > 0)
)


@given(tables, st.sampled_from(["none", "linear", "quadratic"]))
def test_it_matters_not_who_is_first_nor_which_end_is_best(table, weights):
    seen = np.array(table)
    result = weighted_kappa(seen, weights)
    for other in (weighted_kappa(seen.T, weights), weighted_kappa(seen[::-1, ::-1], weights)):
        assert other.kappa == pytest.approx(result.kappa, abs=1e-9)
        assert other.standard_error == pytest.approx(result.standard_error, abs=1e-6)
    assert result.kappa is None or result.kappa <= 1 + 1e-12


def test_intraclass_correlation_by_hand():
    # The second scorer counts one more on every plant. Plant means 1.5, 3.5, 5.5; scorer means 3, 4; no residual.
    # Between plants 2 x (4 + 0 + 4) / 2 = 8; between scorers 3 x (1/4 + 1/4) / 1 = 1.5.
    result = intraclass_correlation([[1, 2], [3, 4], [5, 6]])
    assert (result.between_plants, result.between_scorers, result.residual) == pytest.approx((8, 1.5, 0))
    assert result.consistency == pytest.approx(1.0)
    # 8 / (8 + 0 + 2 x 1.5 / 3) = 8/9.
    assert result.agreement == pytest.approx(8 / 9)


@pytest.mark.parametrize(
    "ratings",
    [
        [[1, 2]],
        [[1], [2], [3]],
        [1, 2, 3],
        [[0.1, 0.1], [0.1, 0.1], [0.1, 0.1]],
        [[0.1, 0.7], [0.1, 0.7], [0.1, 0.7]],
        [[1, 5], [5, 1]],
    ],
    ids=["one plant", "one scorer", "no table", "all the same", "only scorers differ", "plants equal on average"],
)
def test_nothing_to_agree_upon(ratings):
    assert intraclass_correlation(ratings) is None


def test_gaps_are_refused_by_position():
    with pytest.raises(DomainError, match=r"ratings must be complete.*at position 2"):
        intraclass_correlation([[1, 2], [3, 4], [5, np.nan]])


@given(
    st.lists(st.tuples(st.integers(0, 40), st.integers(0, 40)), min_size=3, max_size=12),
    st.floats(0.5, 20),
    st.floats(-50, 50),
)
def test_the_unit_of_counting_does_not_matter(ratings, factor, shift):
    first = intraclass_correlation(ratings)
    second = intraclass_correlation(np.array(ratings) * factor + shift)
    assume(first is not None)
    assert second.agreement == pytest.approx(first.agreement, abs=1e-9)


def scorings(**by_scorer):
    """Arguments of scorer_agreement: the class that each scorer gave to plants 0, 1, 2...; None for not scored."""
    rows = [
        (plant, name, given_class)
        for name, classes in by_scorer.items()
        for plant, given_class in enumerate(classes)
        if given_class is not None
    ]
    plant, scorer, category = (np.array(column) for column in zip(*rows, strict=True))
    return {"plant": plant, "scorer": scorer, "category": category, "count": category * 10.0}


def compare(given_scorings, **changed):
    return scorer_agreement(**{**given_scorings, "categories": 4, "warn_below": 0.6, "fewest_plants": 5, **changed})


def test_two_scorers():
    ann, bo = [0, 1, 2, 3, 1, 2], [0, 1, 2, 2, 1, 3]
    result = compare(scorings(ann=ann, bo=bo))
    table = np.zeros((4, 4))
    np.add.at(table, (ann, bo), 1)
    assert (result.plants, result.scorers) == (6, ("ann", "bo"))
    assert result.weighted_kappa == pytest.approx(weighted_kappa(table).kappa)
    assert result.observed_agreement == pytest.approx(4 / 6)
    expected = intraclass_correlation(np.column_stack([ann, bo])).agreement
    assert result.intraclass_correlation == pytest.approx(expected)
    assert not result.warning


def test_three_scorers_are_compared_in_pairs_weighed_by_their_plants():
    # ann and bo agree on seven plants; cy contradicts ann on five and never met bo on more than two.
    ann = [0, 1, 2, 3, 0, 1, 2, 0, 3, 3]
    bo = [0, 1, 2, 3, 0, 1, 2, None, None, None]
    cy = [None, None, None, None, None, 2, 0, 3, 0, 1]
    result = compare(scorings(ann=ann, bo=bo, cy=cy))
    other = np.zeros((4, 4))
    np.add.at(other, ([1, 2, 0, 3, 3], [2, 0, 3, 0, 1]), 1)
    assert result.plants == 10
    assert result.weighted_kappa == pytest.approx((7 * 1.0 + 5 * weighted_kappa(other).kappa) / 12)
    assert result.observed_agreement == pytest.approx(7 / 12)


def test_scorers_who_disagree_give_a_warning():
    result = compare(scorings(ann=[0, 1, 2, 3, 1, 2], bo=[3, 2, 1, 0, 1, 0]))
    assert result.weighted_kappa < 0.6
    assert result.warning
    assert not compare(scorings(ann=[0, 1, 2, 3, 1, 2], bo=[3, 2, 1, 0, 1, 0]), warn_below=-1.0).warning


def test_too_few_plants_say_nothing():
    result = compare(scorings(ann=[0, 1, 2, 3, 1], bo=[0, 1, 2, 3, None]))
    assert result.plants == 4
    assert (result.weighted_kappa, result.observed_agreement, result.intraclass_correlation) == (None, None, None)
    assert not result.warning


def test_plants_scored_once_count_for_nothing():
    assert compare(scorings(ann=[0, 1, 2, None], bo=[None, None, None, 3])).plants == 0


def test_all_in_one_class_leaves_kappa_unknown_and_agreement_full():
    result = compare(scorings(ann=[2] * 6, bo=[2] * 6))
    assert (result.weighted_kappa, result.observed_agreement, result.intraclass_correlation) == (None, 1.0, None)
    assert not result.warning


def test_a_pair_without_kappa_leaves_the_others_their_weight():
    # bo and cy both put plants 0 to 4 in class 1 (no kappa); ann and bo meet on plants 5 to 9 and agree.
    ann = [None] * 5 + [0, 1, 2, 3, 0]
    bo = [1] * 5 + [0, 1, 2, 3, 0]
    cy = [1] * 5 + [None] * 5
    assert compare(scorings(ann=ann, bo=bo, cy=cy)).weighted_kappa == pytest.approx(1.0)


@given(
    st.lists(st.tuples(*[st.none() | st.integers(0, 3)] * 3), min_size=5, max_size=15),
    st.randoms(use_true_random=False),
)
def test_order_of_rows_never_matters(classes, random):
    assume(any(value is not None for plant in classes for value in plant))
    ann, bo, cy = zip(*classes, strict=True)
    rows = scorings(ann=ann, bo=bo, cy=cy)
    order = list(range(len(rows["plant"])))
    random.shuffle(order)
    assert compare({name: values[order] for name, values in rows.items()}) == compare(rows)


def test_a_class_that_does_not_exist_is_refused():
    with pytest.raises(DomainError, match=r"category must be from 0 to 2, but is 3 at position 3"):
        compare(scorings(ann=[0, 1, 2, 3, 1], bo=[0, 1, 2, 2, 1]), categories=3)


def test_a_plant_scored_twice_by_one_scorer_is_refused():
    rows = scorings(ann=[0, 1, 2, 3, 1], bo=[0, 1, 2, 3, 1])
    rows["plant"] = np.array([0, 1, 2, 3, 0, 0, 1, 2, 3, 4])
    with pytest.raises(DomainError, match=r"plant must be scored once by each scorer, but is 0 at position 4"):
        compare(rows)
