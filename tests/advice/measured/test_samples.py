"""Samples of a field as the methods need them."""

import numpy as np
import pytest
from tests.advice.measured.bags import legume, reference

from spadework.advice.measured.samples import Samples, ends, shoot_nitrogen

LIGHT, HEAVY = {"shoot_n": 2.0, "shoot_dry_matter": 2500.0}, {"shoot_n": 3.0, "shoot_dry_matter": 5000.0}


def test_shoot_nitrogen_needs_both_parts():
    assert shoot_nitrogen(legume(1, **HEAVY)) == pytest.approx(150)
    assert shoot_nitrogen(legume(1, shoot_n=3.0)) is None
    assert shoot_nitrogen(legume(1, shoot_dry_matter=5000.0)) is None


def test_the_legume_is_weighted_by_nitrogen_where_all_of_it_is_known():
    references = [reference(1, delta_15n=6.0)]
    both = [legume(1, delta_15n=0.0, **LIGHT), legume(2, delta_15n=2.0, **HEAVY)]
    # 50 kg/ha at 0 and 150 kg/ha at 2.
    found = ends(both, references, "delta_15n")
    assert found.weighted
    assert found.legume.mean == pytest.approx(1.5)
    one = [both[0], legume(2, delta_15n=2.0)]
    assert not ends(one, references, "delta_15n").weighted
    assert ends(one, references, "delta_15n").legume.mean == pytest.approx(1.0)


def paired(plots, of_references):
    legumes = [legume(n, delta_15n=value, plot=plot) for n, (plot, value) in enumerate(plots)]
    references = [reference(n, delta_15n=value, plot=plot) for n, (plot, value) in enumerate(of_references)]
    return ends(legumes, references, "delta_15n").covariance


def test_pairs_of_one_plot_carry_their_covariance_in_any_order():
    # Deviations -1, 0, 1 and -2, 0, 2: 4 over 2, over 3.
    assert paired([("1", 0), ("2", 1), ("3", 2)], [("3", 8), ("1", 4), ("2", 6)]) == pytest.approx(4 / 6)


@pytest.mark.parametrize(
    ("plots", "of_references"),
    [
        ([("1", 0), ("2", 1), ("3", 2)], [("1", 4), ("2", 6), ("4", 8)]),
        ([("1", 0), ("2", 1), ("3", 2)], [("1", 4), ("2", 6)]),
        ([("1", 0), ("1", 1), ("3", 2)], [("1", 4), ("2", 6), ("3", 8)]),
        ([(None, 0), (None, 1), (None, 2)], [(None, 4), (None, 6), (None, 8)]),
    ],
    ids=["other plot", "one too few", "plot twice", "no plots"],
)
def test_anything_but_pairs_counts_as_independent(plots, of_references):
    assert paired(plots, of_references) == 0.0


def test_rows_are_told_apart_by_kind_and_by_what_was_measured():
    samples = Samples([legume(1, delta_15n=1.0), legume(2, **HEAVY), reference(1, delta_15n=6.0)])
    assert [len(rows) for rows in samples.having("delta_15n")] == [1, 1]
    assert [len(rows) for rows in samples.having("ureides")] == [0, 0]
    assert samples.nitrogen.mean == pytest.approx(150)
    assert np.isnan(samples.nitrogen.standard_error)
    assert Samples([legume(1)]).nitrogen is None
