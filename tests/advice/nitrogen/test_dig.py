import dataclasses

import numpy as np
import pytest

from spadework.advice.diagnosis.value import Evidence
from spadework.advice.message import Message
from spadework.advice.nitrogen.dig import nodulation_rows, read_dig
from spadework.agronomy.scoring.share import field_share
from spadework.agronomy.season.nodulation import DigReading
from spadework.knowledge.load import load

SHARE = field_share(stop=[0, 0, 1, 1], chance=[1, 0, 0, 0.5], prior_correlation=0.1)


def nitrate(sure):
    return Evidence(finding="high_nitrate", sure=sure, rule="nitrate", message=Message("x"))


def read(share=SHARE, **changes):
    given = {
        "chance": [1, 0, 0, 0.5],
        "effective": [60, 0, 8, 50],
        "colour_seen": True,
        "wrong_time": None,
        "evidence": (),
    }
    return read_dig(share, **{**given, **changes})


@pytest.mark.parametrize(
    ("changes", "reading"),
    [
        ({}, DigReading.AS_DUG),
        ({"share": None}, DigReading.NONE_DUG),
        ({"share": None, "wrong_time": "early"}, DigReading.NONE_DUG),
        ({"wrong_time": "early"}, DigReading.TOO_EARLY),
        ({"wrong_time": "late"}, DigReading.TOO_LATE),
        ({"evidence": (nitrate(1.0),)}, DigReading.HIGH_NITRATE),
        ({"evidence": (nitrate(0.0),)}, DigReading.AS_DUG),
        ({"evidence": (nitrate(1.0),), "wrong_time": "late"}, DigReading.TOO_LATE),
    ],
)
def test_how_a_dig_may_be_read(changes, reading):
    assert read(**changes).reading is reading


def test_plants_short_of_the_target_count_as_far_as_they_carry_effective_nodules():
    # Short by 0, 1, 1 and a half; of these the third and the fourth carry some: 1.5 of 2.5.
    assert read().poor_with_nodules == pytest.approx(0.6)
    # A plant that nobody could read says nothing.
    assert read(effective=[60, np.nan, 8, 50]).poor_with_nodules == pytest.approx(1.0)
    assert read(chance=[1, 1], effective=[60, 70]).poor_with_nodules == 1.0


@pytest.mark.parametrize(
    ("changes", "row"),
    [
        ({}, "nodulation.curvature"),
        ({"colour_seen": False}, "nodulation.red_uncut"),
        ({"share": None}, "nodulation.not_dug"),
        ({"wrong_time": "early"}, "nodulation.too_early"),
        ({"wrong_time": "late"}, "nodulation.too_late"),
        ({"evidence": (nitrate(1.0),)}, "nodulation.high_nitrate"),
    ],
)
def test_the_rows_that_the_factor_stands_on(changes, row):
    assert row in nodulation_rows(read(**changes), load())


def test_colour_is_no_matter_where_it_was_seen():
    assert "nodulation.red_uncut" not in nodulation_rows(read(), load())


@pytest.mark.parametrize("wrong_time", ["early", "late"])
def test_a_dig_at_the_wrong_time_settles_nothing_unless_fixation_was_measured(wrong_time):
    dig = read(wrong_time=wrong_time)
    assert dig.came_at_wrong_time
    assert not dataclasses.replace(dig, measured=True).came_at_wrong_time
    assert not read().came_at_wrong_time


def test_a_measurement_may_overrule_the_dig():
    measured = dataclasses.replace(read(), measured=True)
    assert (read().source, measured.source) == ("as_dug", "measured")
    assert {"nodulation.dig_misleads", "nodulation.not_dug"} <= set(nodulation_rows(measured, load()))
