"""Plants as they are drawn: what each knob of the scenario does to the rows."""

import datetime as dt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.demo.draws import Draws
from spadework.demo.plants import CLASSES, Nodulation, SecondScorer, Tops, Writing, dig_plants
from spadework.records.types import LeafColour, PlantRow

ON = dt.date(2026, 6, 24)


def dig(
    roots: Nodulation,
    *,
    seed: int = 1,
    stops: int = 3,
    each: int = 10,
    tops: Tops | None = None,
    writing: Writing | None = None,
) -> list[PlantRow]:
    return list(
        dig_plants(
            Draws(seed, "dig"),
            field="north-01",
            date=ON,
            stops=stops,
            plants_per_stop=each,
            nodulation=roots,
            tops=tops,
            writing=writing,
        )
    )


def total(row: PlantRow) -> int:
    return row.crown_nodules.low + row.lateral_nodules.low


ROOTS = st.builds(
    Nodulation,
    mean=st.floats(0, 150),
    k=st.floats(0.5, 20),
    red=st.floats(0, 1),
    white=st.floats(0, 1),
    crown=st.floats(0, 1),
)
WRITING = st.builds(
    Writing,
    cut=st.integers(0, 8),
    uncut=st.floats(0, 1),
    in_classes=st.floats(0, 1),
    second=st.sampled_from([None, *SecondScorer]),
)


@given(seed=st.integers(0, 10_000), roots=ROOTS, writing=WRITING)
def test_rows_are_always_possible(seed: int, roots: Nodulation, writing: Writing) -> None:
    rows = dig(roots, seed=seed, stops=2, each=4, writing=writing)
    assert len({(row.stop, row.plant, row.scorer) for row in rows}) == len(rows)
    for row in rows:
        highest = [zone.high for zone in (row.crown_nodules, row.lateral_nodules)]
        if row.cut_open:
            assert row.red_pink + row.white + row.green_brown == row.cut_open
            assert None in highest or row.cut_open <= sum(highest)
        else:
            assert row.red_pink is None
        assert (row.size_class is None) == (highest == [0, 0])
        assert 0.5 <= row.vigour <= 5
        assert (2 * row.vigour).is_integer()


def test_counts_have_the_mean_and_scatter_asked_for() -> None:
    counts = np.array([total(row) for row in dig(Nodulation(mean=30, k=8, stop_spread=0), stops=100, each=40)])
    # 4000 plants: variance 30 + 900/8 = 142.5, standard error of the mean 0.19; of the variance about 4 %.
    assert counts.mean() == pytest.approx(30, abs=0.8)
    assert counts.var() == pytest.approx(142.5, rel=0.16)


def test_shares_of_crown_and_red() -> None:
    rows = dig(Nodulation(mean=60, k=10, crown=0.2, red=0.7, white=0.4), stops=50, each=20)
    cut = sum(row.cut_open for row in rows)
    assert sum(row.crown_nodules.low for row in rows) / sum(map(total, rows)) == pytest.approx(0.2, abs=0.02)
    assert sum(row.red_pink for row in rows) / cut == pytest.approx(0.7, abs=0.03)
    assert sum(row.white for row in rows) / (0.3 * cut) == pytest.approx(0.4, abs=0.06)


def test_stop_factors_are_taken_in_turn() -> None:
    rows = dig(Nodulation(mean=100, k=12, stop_factors=(1.0, 0.03)), stops=4)
    means = [np.mean([total(row) for row in rows if row.stop == stop]) for stop in "1234"]
    assert min(means[0], means[2]) > 60
    assert max(means[1], means[3]) < 10


def test_nothing_cut_leaves_the_colours_empty() -> None:
    rows = dig(Nodulation(mean=30), writing=Writing(cut=0))
    assert {(row.cut_open, row.red_pink, row.white, row.green_brown) for row in rows} == {(None,) * 4}


def test_a_plant_passed_over_says_none_cut_and_no_colour() -> None:
    rows = dig(Nodulation(mean=30), writing=Writing(uncut=0.5))
    passed_over = [row for row in rows if row.cut_open == 0]
    assert 5 < len(passed_over) < 25
    assert all(row.red_pink is None for row in passed_over)


def test_classes_hold_the_count_that_they_stand_for() -> None:
    counted = dig(Nodulation(mean=40, k=2), stops=6)
    classed = dig(Nodulation(mean=40, k=2), stops=6, writing=Writing(in_classes=1.0))
    for exact, rough in zip(counted, classed, strict=True):
        number = exact.crown_nodules.low
        assert rough.crown_nodules in CLASSES
        assert rough.crown_nodules.low <= number
        assert rough.crown_nodules.high is None or number <= rough.crown_nodules.high
    assert {str(row.crown_nodules) for row in classed} >= {"0", "1-5", "6-10", "11-20", "21-50", ">50"}


@pytest.mark.parametrize(("second", "low", "high"), [("agrees", 0.9, 1.0), ("disagrees", 0.35, 0.55)])
def test_second_scorer(second: str, low: float, high: float) -> None:
    rows = dig(Nodulation(mean=80), writing=Writing(second=SecondScorer(second), twice=4))
    first = {(row.stop, row.plant): row for row in rows if row.scorer == "A"}
    again = {(row.stop, row.plant): row for row in rows if row.scorer == "B"}
    assert len(first) == 30
    assert len(again) == 12
    ratio = sum(map(total, again.values())) / sum(total(first[key]) for key in again)
    assert low < ratio < high


def test_vigour_follows_nodulation() -> None:
    rows = dig(Nodulation(mean=20, k=1), stops=10, each=20, tops=Tops(vigour=3.0, follows=0.8))
    assert np.corrcoef([np.log1p(total(row)) for row in rows], [row.vigour for row in rows])[0, 1] > 0.5
    apart = dig(Nodulation(mean=20, k=1), stops=10, each=20, tops=Tops(vigour=3.0, follows=0.0))
    assert abs(np.corrcoef([np.log1p(total(row)) for row in apart], [row.vigour for row in apart])[0, 1]) < 0.2


def test_pale_leaves() -> None:
    rows = dig(Nodulation(mean=20), stops=10, tops=Tops(pale_old=0.9, pale_young=0.0))
    assert sum(row.leaf_old is not LeafColour.GREEN for row in rows) > 75
    assert {row.leaf_young for row in rows} == {LeafColour.GREEN}
