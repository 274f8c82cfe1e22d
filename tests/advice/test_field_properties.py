"""What holds of every advice, whatever the visit."""

import hypothesis.strategies as st
import numpy as np
from hypothesis import given, settings
from tests.advice.strategies import visits, visits_with_one_more_red
from tests.factories import a_visit, advice_on, count, records

from spadework.advice.schema import to_json


def share(rows, **chosen):
    return advice_on(records(rows), **chosen).verdict.share


@settings(max_examples=60)
@given(visits_with_one_more_red(cut_all=True))
def test_more_red_nodules_never_lower_the_share_adequate(pair):
    before, after = (share(rows) for rows in pair)
    assert after.value >= before.value - 1e-9


@settings(max_examples=60)
@given(visits_with_one_more_red())
def test_more_red_nodules_hardly_lower_it_where_few_were_cut(pair):
    # What is not cut is read from the visit's other plants. One more red nodule can make plants look less alike, so
    # that each is read more by its own few cuts: a field may then lose a point, seldom and never much more.
    before, after = (share(rows) for rows in pair)
    assert after.value >= before.value - 0.03


@settings(max_examples=40)
@given(visits(), st.randoms(use_true_random=False))
def test_the_order_of_plants_never_matters(rows, order):
    shuffled = tuple(order.sample(rows, len(rows)))
    assert to_json(advice_on(records(shuffled))) == to_json(advice_on(records(rows)))


@settings(max_examples=40)
@given(visits())
def test_probabilities_and_intervals_are_what_they_are_called(rows):
    verdict = advice_on(records(rows)).verdict
    assert abs(sum(chance.probability for chance in verdict.classes) - 1) < 1e-9
    assert all(0 <= chance.probability <= 1 for chance in verdict.classes)
    assert 0 <= verdict.share.low <= verdict.share.value <= verdict.share.high <= 1
    assert 0 <= verdict.mean_effective.low <= verdict.mean_effective.value <= verdict.mean_effective.high
    assert 0 <= verdict.adequate_as_counted <= verdict.plants


@settings(max_examples=40)
@given(visits(), st.integers(1, 400))
def test_a_higher_target_never_raises_the_share(rows, more):
    own = {"overrides": {"target.pea.fifty_nodules": {"value": 50 + more}}}
    assert share(rows, **own).value <= share(rows).value + 1e-9


@settings(max_examples=40)
@given(visits(), st.integers(0, 30))
def test_a_class_that_holds_the_count_lies_between_its_ends(rows, width):
    # Every count made a class around it: the share lies between those of all lowest and of all highest counts.
    def moved(low, high):
        return tuple(
            row.model_copy(update={"crown_nodules": count((row.crown_nodules.low + low, row.crown_nodules.low + high))})
            for row in rows
        )

    low, middle, high = (share(moved(*ends)).value for ends in ((0, 0), (0, width), (width, width)))
    assert low - 0.02 <= middle <= high + 0.02


def test_more_plants_narrow_the_interval_on_average():
    # Forty fields of any quality; four plants a stop, then sixteen: the intervals of the share adequate.
    rng = np.random.default_rng(7)

    def width(quality, each):
        stops = (np.where(rng.random(each) < quality, 80, 5).tolist() for _ in range(4))
        found = share(a_visit(*stops))
        return found.high - found.low

    qualities = rng.random(40)
    few, many = (np.mean([width(quality, each) for quality in qualities]) for each in (4, 16))
    assert many < few - 0.05
