"""From a plant's record to the probability that it is adequate."""

import numpy as np
import pytest
from scipy.stats import betabinom

from spadework.agronomy.scoring.plants import PlantCounts, _reach, colour_share, read_plants
from spadework.errors import DomainError

INF = np.inf


def plants(*rows):
    """Rows of (crown, lateral, cut, red); a zone is a number, a (low, high) class or None for not counted."""

    def bounds(zone):
        return (0, INF) if zone is None else zone if isinstance(zone, tuple) else (zone, zone)

    crown, lateral = [bounds(row[0]) for row in rows], [bounds(row[1]) for row in rows]
    cut = [np.nan if row[2] is None else row[2] for row in rows]
    red = [np.nan if row[3] is None else row[3] for row in rows]
    return PlantCounts(
        *(np.array(values, dtype=float) for pair in (crown, lateral) for values in zip(*pair, strict=True)),
        cut=np.array(cut, dtype=float),
        red=np.array(red, dtype=float),
        eligible=np.ones(len(rows)),
    )


def read(counts, target=50, *, more_than=False):
    return read_plants(counts, target=target, more_than=more_than, prior_red_correlation=0.2)


def test_effective_nodules_are_the_count_times_the_red_share_of_those_cut():
    # 20 crown + 30 lateral, 4 of 5 cut are red: 50 x 0.8 = 40.
    assert read(plants((20, 30, 5, 4))).effective == pytest.approx([40.0])


def test_a_plant_with_every_nodule_cut_is_certain():
    assert read(plants((3, 2, 5, 5), (3, 2, 5, 4)), target=5).adequate == pytest.approx([1.0, 0.0])


def test_a_plant_below_the_target_by_number_is_poor_whatever_the_colour():
    assert read(plants((20, 20, 5, 5))).adequate == pytest.approx([0.0])


def test_few_cut_nodules_leave_doubt():
    result = read(plants((30, 30, 5, 4), (200, 200, 5, 4)))
    assert 0.1 < result.adequate[0] < 0.9
    assert result.adequate[1] > 0.95


def test_reach_is_the_beta_binomial_tail():
    a, b = 2.8, 1.2
    numbers = np.arange(120.0)
    reach = _reach(numbers, np.array([5.0, 0.0]), np.array([4.0, 0.0]), 50, (a, b))
    for total in (49, 50, 60, 100):
        assert reach[0, total] == pytest.approx(betabinom.sf(50 - 4 - 1, total - 5, a + 4, b + 1), abs=1e-10)
        assert reach[1, total] == pytest.approx(betabinom.sf(50 - 1, total, a, b), abs=1e-10)


def test_at_least_and_more_than_differ_at_the_target():
    counts = plants((3, 2, 5, 5))
    assert read(counts, target=5).adequate[0] == 1.0
    assert read(counts, target=5, more_than=True).adequate[0] == 0.0


def test_colour_looked_at_nowhere_leaves_the_count_alone_to_be_judged():
    result = read(plants((30, 30, None, None), (10, 10, None, None)))
    assert result.red is None
    assert result.adequate == pytest.approx([1.0, 0.0])
    assert np.isnan(result.red_share).all()


def test_a_plant_not_cut_takes_the_red_share_of_the_others_and_is_never_zero():
    result = read(plants((40, 40, 5, 5), (40, 40, 5, 5), (40, 40, None, None)))
    assert result.adequate[2] > 0.5
    assert result.effective[2] == pytest.approx(80 * result.red.mean)


def test_a_plant_with_nothing_counted_stays_unknown():
    result = read(plants((30, 30, 5, 5), (None, None, None, None), (60, None, 5, 5)))
    assert np.isnan(result.adequate[1:]).all()
    assert np.isnan(result.effective[1:]).all()
    assert result.crown[2] == 60
    assert np.isnan(result.lateral[2])


def test_a_class_is_an_interval_not_its_middle():
    # 26-60 holds the target of 50: some chance, not the verdict of its middle (43), and 51-60 none of the doubt.
    result = read(plants(((26, 60), 0, None, None), ((51, 60), 0, None, None), ((11, 20), 0, None, None)))
    assert 0 < result.adequate[0] < 1
    assert result.adequate[1:] == pytest.approx([1.0, 0.0])


def test_classes_of_the_zones_combine_to_the_total():
    # 11-20 on the crown and 31-50 on the laterals make 42-70 in all.
    result = read(plants(((11, 20), (31, 50), None, None)))
    assert 42 <= result.effective[0] <= 70
    assert result.crown[0] + result.lateral[0] == pytest.approx(result.effective[0])


def test_neighbours_say_where_in_a_class_a_count_is_likely():
    def chance(neighbour):
        return read(plants(((26, 60), 0, None, None), *[(neighbour, 0, None, None)] * 20)).adequate[0]

    assert chance(90) > chance(8)


def test_an_open_class_above_the_target_is_adequate():
    assert read(plants(((51, INF), 0, None, None))).adequate == pytest.approx([1.0])


def test_nodules_too_small_for_the_scheme_do_not_count_and_unknown_size_stays_unknown():
    counts = plants((10, 10, 5, 5), (10, 10, 5, 5), (10, 10, 5, 5))
    sized = PlantCounts(**{**counts.__dict__, "eligible": np.array([1.0, 0.0, np.nan])})
    result = read(sized, target=7)
    assert result.adequate[0] > 0.9
    assert result.adequate[1] == 0.0
    assert np.isnan(result.adequate[2])


def test_colour_share_pools_plants_and_keeps_their_unlikeness():
    alike = colour_share(cut=np.full(10, 5.0), seen=np.full(10, 4.0), prior_correlation=0.2)
    unlike = colour_share(cut=np.full(10, 5.0), seen=np.array([5.0, 3.0] * 5), prior_correlation=0.2)
    extremes = colour_share(cut=np.full(10, 5.0), seen=np.array([5.0] * 8 + [0.0] * 2), prior_correlation=0.2)
    assert alike.mean == pytest.approx(0.8, abs=0.03)
    assert alike.posterior.correlation < unlike.posterior.correlation + 0.05 < extremes.posterior.correlation
    assert (alike.cut, alike.plants) == (50, 10)


def test_colour_share_is_none_when_nothing_was_cut():
    assert colour_share(cut=np.array([np.nan, 0.0]), seen=np.array([np.nan, 0.0]), prior_correlation=0.2) is None


def test_more_red_than_cut_is_refused():
    with pytest.raises(DomainError, match="cut nodules must be at least 6"):
        plants((10, 10, 5, 6))


def test_a_reversed_class_is_refused():
    with pytest.raises(DomainError, match="crown count must be at least 20"):
        plants(((20, 11), 0, None, None))
