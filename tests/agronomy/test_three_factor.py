"""The three-factor index: points by hand, the order that practice gives the positions, and what must always hold."""

import dataclasses

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from spadework.agronomy.three_factor import IndexRule, field_index, plant_factors
from spadework.errors import DomainError

# Clusters: five make full marks; a zone counts in full from a fifth of that, one cluster.
RULE = IndexRule(
    full=5.0,
    vigour_max=5.0,
    abundance_max=5.0,
    crown_weight=2.0,
    lateral_weight=1.0,
    presence_share=0.2,
    vigour_sd=1.0,
    abundance_sd=1.2,
    position_sd=0.7,
    total_sd=2.2,
)
LIMITS = [5, 10]


def factors(crown, lateral, vigour=3.0, rule=RULE):
    arrays = (np.atleast_1d(np.asarray(values, dtype=float)) for values in (vigour, crown, lateral))
    return plant_factors(
        **dict(zip(("vigour", "effective_crown", "effective_lateral"), arrays, strict=True)), rule=rule
    )


def index(plants, stop=None):
    """Index of plants given as rows of vigour, effective crown and effective lateral clusters."""
    vigour, crown, lateral = np.array(plants, dtype=float).reshape(-1, 3).T
    return field_index(
        stop=np.zeros(len(vigour), dtype=int) if stop is None else np.asarray(stop),
        vigour=vigour,
        effective_crown=crown,
        effective_lateral=lateral,
        rule=RULE,
        prior_correlation=0.2,
    )


@pytest.mark.parametrize(
    ("crown", "lateral", "abundance", "position"),
    [
        (0, 0, 0.0, 0.0),
        # 5 x 0.5/5; half of the one cluster at which the crown counts in full, times 2.
        (0.5, 0, 0.5, 1.0),
        (0, 0.5, 0.5, 0.5),
        # 5 x 1.6/5; crown in full, laterals 0.6 of it.
        (1, 0.6, 1.6, 2.6),
        (3, 2, 5.0, 3.0),
        (40, 60, 5.0, 3.0),
    ],
)
def test_points_of_a_plant_by_hand(crown, lateral, abundance, position):
    vigour, found_abundance, found_position = factors(crown, lateral)
    assert vigour[0] == 3.0
    assert found_abundance[0] == pytest.approx(abundance)
    assert found_position[0] == pytest.approx(position)


def test_single_nodules_have_their_own_full_number():
    # 50 nodules make full marks: 20 of them 2 points; a zone counts in full from 10.
    rule = dataclasses.replace(RULE, full=50.0)
    _, abundance, position = factors(5, 15, rule=rule)
    assert abundance[0] == pytest.approx(2.0)
    assert position[0] == pytest.approx(2 * 0.5 + 1.0)


def test_positions_stand_in_the_order_of_practice():
    # Common practice, no source: crown and lateral together is best, then crown, then lateral, then none.
    _, _, position = factors([3, 6, 0, 0], [3, 0, 6, 0])
    assert list(np.argsort(-position)) == [0, 1, 2, 3]
    assert len(set(position)) == 4


def test_what_was_not_recorded_stays_unknown():
    vigour, abundance, position = factors([2, np.nan], [np.nan, 2], vigour=[np.nan, 4])
    assert np.isnan(vigour).tolist() == [True, False]
    assert np.isnan(abundance).all()
    assert np.isnan(position).all()


nodules = st.floats(0, 30)


@given(nodules, nodules, nodules, st.sampled_from(["crown", "lateral"]))
def test_more_red_nodules_never_lower_a_part(crown, lateral, more, where):
    added = (crown + more, lateral) if where == "crown" else (crown, lateral + more)
    for before, after in zip(factors(crown, lateral), factors(*added), strict=True):
        assert after[0] >= before[0]


@given(nodules, nodules, st.floats(0, 5))
def test_parts_keep_to_their_scales(crown, lateral, vigour):
    for part, highest in zip(factors(crown, lateral, vigour), (5, 5, 3), strict=True):
        assert 0 <= part[0] <= highest


@given(nodules, nodules, st.sampled_from(["crown", "lateral"]))
def test_a_trace_more_is_a_trace_of_points(crown, lateral, where):
    # No jump anywhere: steepest is the crown, 2 points and 1 point of abundance a cluster.
    trace = 1e-6
    added = (crown + trace, lateral) if where == "crown" else (crown, lateral + trace)
    before, after = (sum(part[0] for part in factors(*plant)) for plant in ((crown, lateral), added))
    assert after - before <= 3 * trace + 1e-9


def test_mean_of_a_field_by_hand():
    # Plants: 4 + 5 + 3 = 12, 2 + 1 + 2 = 5, 3 + 0 + 0 = 3.
    result = index([(4, 3, 3), (2, 1, 0), (3, 0, 0)], stop=[0, 1, 2])
    assert result.plants == 3
    assert result.vigour.mean == pytest.approx(9 / 3)
    assert result.abundance.mean == pytest.approx(6 / 3)
    assert result.position.mean == pytest.approx(5 / 3)
    assert result.total.mean == pytest.approx(20 / 3)


def test_only_plants_with_all_three_parts_count():
    whole = index([(4, 3, 3), (2, 1, 0)])
    result = index([(4, 3, 3), (np.nan, 9, 9), (2, 1, 0), (5, np.nan, 2)])
    assert result.plants == 2
    assert result.total.mean == pytest.approx(whole.total.mean)
    assert result.total.interval(0.90) == pytest.approx(whole.total.interval(0.90))


@pytest.mark.parametrize("plants", [[], [(np.nan, 3, 3), (np.nan, 1, 0)]], ids=["no plant", "no vigour"])
def test_no_whole_plant_no_index(plants):
    assert index(plants) is None


@pytest.mark.parametrize(
    ("plants", "leading"),
    [([(1, 0, 0.2)] * 20, 0), ([(3, 0.8, 1.2)] * 20, 1), ([(5, 3, 4)] * 20, 2)],
    ids=["failing", "doubtful", "effective"],
)
def test_classes_of_fields_that_are_clear(plants, leading):
    chances = index(plants, stop=np.repeat(np.arange(4), 5)).total.class_probabilities(LIMITS)
    assert chances.sum() == pytest.approx(1.0)
    assert chances[leading] > 0.8


plants = st.lists(st.tuples(st.integers(0, 5), nodules, nodules), min_size=1, max_size=12)


@given(plants, st.data())
def test_more_red_nodules_never_lower_the_field(seen, data):
    stop = data.draw(st.lists(st.integers(0, 2), min_size=len(seen), max_size=len(seen)))
    at, more = data.draw(st.integers(0, len(seen) - 1)), data.draw(nodules)
    vigour, crown, lateral = seen[at]
    better = [*seen[:at], (vigour, crown + more, lateral), *seen[at + 1 :]]
    assert index(better, stop).total.mean >= index(seen, stop).total.mean - 1e-12


@given(plants, st.randoms(use_true_random=False))
def test_order_of_plants_never_matters(seen, random):
    shuffled = list(seen)
    random.shuffle(shuffled)
    assume(shuffled != seen)
    first, second = index(seen), index(shuffled)
    assert second.total.mean == pytest.approx(first.total.mean)
    assert second.total.interval(0.90) == pytest.approx(first.total.interval(0.90), abs=1e-5)


def test_adding_plants_narrows_the_interval_on_average():
    rng = np.random.default_rng(4)
    stop = np.repeat(np.arange(6), 8)
    widths = []
    for _ in range(40):
        seen = np.column_stack([rng.integers(1, 6, 48), rng.gamma(2, 0.6, 48), rng.gamma(2, 0.8, 48)])
        few, many = index(seen[:16], stop[:16]), index(seen, stop)
        widths.append([np.ptp(few.total.interval(0.90)), np.ptp(many.total.interval(0.90))])
    assert np.less(*np.mean(widths, axis=0)[::-1])


@pytest.mark.parametrize(
    ("plant", "message"),
    [
        ({"vigour": 6.0}, "vigour must be from 0 to 5, but is 6.0 at position 0"),
        ({"vigour": -1.0}, "vigour must be from 0 to 5, but is -1.0 at position 0"),
        ({"crown": -0.5}, "effective_crown must be from 0 to inf, but is -0.5 at position 0"),
        ({"lateral": -2.0}, "effective_lateral must be from 0 to inf, but is -2.0 at position 0"),
    ],
)
def test_records_off_the_scale_are_refused(plant, message):
    with pytest.raises(DomainError, match=message):
        factors(**{"crown": 1.0, "lateral": 1.0, **plant})


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"full": 0.0}, "full must be above 0, but is 0.0"),
        ({"presence_share": -0.2}, "presence_share must be above 0, but is -0.2"),
        ({"lateral_weight": -1.0}, "lateral_weight must be at least 0, or more nodules would lower the index"),
    ],
)
def test_a_rule_that_makes_no_sense_is_refused(changed, message):
    with pytest.raises(DomainError, match=message):
        dataclasses.replace(RULE, **changed)
