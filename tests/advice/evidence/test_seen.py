"""What the rules look at: the crop, and the last day that could act on the roots judged."""

import datetime as dt

from tests.advice.evidence.looking import look_at
from tests.factories import DUG, GOOD, records

from spadework.knowledge.rows import Crop

LATER = DUG + dt.timedelta(days=9)


def test_the_crop_is_that_of_the_field():
    assert look_at(records(field={"crop": Crop.LENTIL})).crop is Crop.LENTIL


def test_what_came_after_the_dig_did_not_act_on_the_roots_dug():
    assert look_at(records(GOOD), today=LATER).last_day == DUG


def test_without_a_dig_everything_up_to_today_counts():
    assert look_at(records(), today=LATER).last_day == LATER
