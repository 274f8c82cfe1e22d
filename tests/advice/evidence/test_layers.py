import datetime as dt

import pytest

from spadework.advice.evidence.layers import depths_within, newest_layers, nitrate_within
from spadework.records.types import SoilTestRow

APRIL, MAY = dt.date(2026, 4, 11), dt.date(2026, 5, 20)


def layer(top, bottom, nitrate, day=APRIL):
    return SoilTestRow(field="west", date=day, depth_top=top, depth_bottom=bottom, nitrate_n=nitrate)


def test_the_newest_day_with_the_figure_counts_from_the_surface_down():
    deep, shallow, later = layer(15, 60, 20), layer(0, 15, 30), layer(0, 15, 9, MAY)
    without = layer(0, 15, None, MAY)

    assert newest_layers([deep, shallow, later], "nitrate_n", until=MAY) == [later]
    assert newest_layers([deep, shallow, later], "nitrate_n", until=APRIL) == [shallow, deep]
    assert newest_layers([deep, shallow, without], "nitrate_n", until=MAY) == [shallow, deep]
    assert newest_layers([without], "nitrate_n", until=MAY) == []


@pytest.mark.parametrize(
    ("layers", "bottom", "expected"),
    [
        ([layer(0, 15, 30), layer(15, 60, 45)], 60, (75, 60)),
        # 15 of the lower layer's 45 cm: a third of its 45 kg.
        ([layer(0, 15, 30), layer(15, 60, 45)], 30, (45, 30)),
        ([layer(0, 15, 30)], 60, (30, 15)),
        # A hole from 15 to 30 cm is not filled.
        ([layer(0, 15, 30), layer(30, 60, 12)], 60, (42, 45)),
        # Where two layers overlap their mean per centimetre stands: 10 cm of 1.5 kg.
        ([layer(0, 10, 10), layer(0, 10, 20)], 60, (15, 10)),
        ([], 60, (0, 0)),
    ],
)
def test_nitrate_down_to_a_depth(layers, bottom, expected):
    assert nitrate_within(layers, bottom=bottom) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("layers", "expected"),
    [
        ([layer(30, 60, 12), layer(0, 15, 30), layer(15, 30, 9)], [(0, 60)]),
        ([layer(0, 15, 30), layer(30, 90, 12)], [(0, 15), (30, 80)]),
        ([layer(0, 60, 30), layer(10, 20, 12), layer(50, 70, 3)], [(0, 70)]),
        ([layer(90, 120, 12)], []),
        ([], []),
    ],
)
def test_depths_sampled(layers, expected):
    assert depths_within(layers, bottom=80) == expected
