import numpy as np
import pytest

from spadework.agronomy.season.root_zone import draw_root_zone_n
from spadework.errors import DomainError
from spadework.knowledge.load import load, with_overrides

KNOWN = load()
SURE = with_overrides(KNOWN, {"soil_n.test_spread": {"value": 1e-12}, "soil_n.depth_scale": {"value": 0.4}})


def drawn(knowledge=KNOWN, **changes):
    given = {
        "tested": 40.0,
        "sampled": [(0.0, 0.9)],
        "root_depth": 0.9,
        "draws": 4000,
        "generator": np.random.default_rng(3),
    }
    return draw_root_zone_n(knowledge=knowledge, **{**given, **changes})


def test_a_test_to_the_roots_is_taken_as_it_is():
    assert drawn(SURE) == pytest.approx(40.0)
    assert drawn(SURE, sampled=[(0.0, 0.3), (0.3, 0.9)]) == pytest.approx(40.0)


def test_the_deeper_part_follows_a_fall_with_depth():
    # (1 - exp(-0.9/0.4)) / (1 - exp(-0.15/0.4)) = 0.8946 / 0.3127 = 2.861; times 40 = 114.4
    assert drawn(SURE, sampled=[(0.0, 0.15)]) == pytest.approx(114.4, abs=0.05)


def test_the_part_above_follows_it_as_well():
    # 0.8946 / (exp(-0.3/0.4) - exp(-0.6/0.4)) = 0.8946 / 0.2492 = 3.590; times 40 = 143.6
    assert drawn(SURE, sampled=[(0.3, 0.6)]) == pytest.approx(143.6, abs=0.05)
    # With the top 15 cm too, 0.8946 / (0.2492 + 0.3127) = 1.592; times 40 = 63.7
    assert drawn(SURE, sampled=[(0.0, 0.15), (0.3, 0.6)]) == pytest.approx(63.7, abs=0.05)


def test_a_shallow_test_says_less():
    deep, shallow = np.log(drawn()), np.log(drawn(sampled=[(0.0, 0.15)]))
    assert deep.std() == pytest.approx(0.25, abs=0.01)
    assert shallow.std() > 1.1 * deep.std()
    assert drawn().shape == (4000, 1)


def test_no_nitrogen_stays_none():
    assert np.all(drawn(tested=0.0) == 0)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"tested": -1.0}, "tested"),
        ({"sampled": []}, "sampled must be one depth or more"),
        ({"sampled": [(0.3, 0.3)]}, "sampled must be one depth or more, each from its top down"),
        ({"root_depth": 0.0}, "root_depth"),
    ],
)
def test_impossible_depths_are_refused(changes, message):
    with pytest.raises(DomainError, match=message):
        drawn(**changes)
