"""One visit's rows as plants in stops: no order of rows matters, blanks are not zeros, two scorers see one plant."""

import math
from dataclasses import replace

import numpy as np
import pytest
from tests.factories import DUG, GOOD, a_dig, a_plant, a_season, a_visit, advice_on, inoculated, normals, records

from spadework.advice.schema import to_json
from spadework.advice.visit import gather_visit, is_bare
from spadework.records.types import SizeClass


def visit_of(*plants):
    return gather_visit(plants, {DUG})


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_order_of_rows_never_matters(seed):
    again = tuple(row.model_copy(update={"scorer": "B", "red_pink": 4, "white": 1}) for row in GOOD[:6])
    earlier = tuple(row.model_copy(update={"date": DUG.replace(day=12)}) for row in GOOD[:9])
    held = records(
        (*GOOD, *again, *earlier),
        digs=(a_dig(), a_dig(date=DUG.replace(day=12), stage_bbch=15)),
        weather=a_season(),
        normals=normals(),
        inoculation=(*inoculated(), *inoculated("granule", "furrow")),
    )
    tables = ("digs", "plants", "weather", "normals", "inoculation")
    rng = np.random.default_rng(seed)
    parts = {name: getattr(held, name) for name in tables}
    shuffled = replace(
        held, **{name: tuple(rows[at] for at in rng.permutation(len(rows))) for name, rows in parts.items()}
    )
    assert shuffled.plants != held.plants
    assert to_json(advice_on(shuffled)) == to_json(advice_on(held))


def test_stops_and_plants_stand_in_the_order_of_people_not_of_letters():
    visit = visit_of(*(a_plant(stop=stop, plant=plant) for stop in ("10", "2", "1b", "1a") for plant in ("11", "3")))
    assert visit.stops == ("1a", "1b", "2", "10")
    assert visit.plants[:2] == (("1a", "3"), ("1a", "11"))


def test_a_plant_scored_twice_is_one_plant():
    visit = visit_of(a_plant(scorer="A"), a_plant(scorer="B"), a_plant(plant="2"))
    assert len(visit.rows) == 3
    assert visit.plants == (("1", "1"), ("1", "2"))
    assert visit.plant_of_row.tolist() == [0, 0, 1]


def test_what_scorers_say_of_one_plant_is_averaged_and_a_blank_is_left_out():
    visit = visit_of(
        a_plant(scorer="A", vigour=4), a_plant(scorer="B", vigour=2),
        a_plant(plant="2", scorer="A", vigour=3), a_plant(plant="2", scorer="B", vigour=None),
        a_plant(plant="3", vigour=None),
    )  # fmt: skip
    assert visit.by_plant(visit.column("vigour")).tolist() == pytest.approx([3, 3, math.nan], nan_ok=True)


def test_the_same_number_in_two_stops_is_two_plants():
    visit = visit_of(a_plant(stop="1"), a_plant(stop="2"))
    assert visit.plants == (("1", "1"), ("2", "1"))
    assert visit.stop_of_plant.tolist() == [0, 1]


def test_only_the_rows_of_the_day_are_gathered():
    other_day = a_plant(date=DUG.replace(day=1))
    assert visit_of(a_plant(), other_day).rows == (a_plant(),)
    assert gather_visit([other_day], {DUG}).rows == ()


@pytest.mark.parametrize(
    ("written", "cut", "red"),
    [
        ({"cut_open": 5, "red_pink": 3, "white": 2, "green_brown": 0}, 5, 3),
        ({"cut_open": 5, "red_pink": 3, "white": None, "green_brown": None}, 5, 3),
        ({"cut_open": None, "red_pink": 3, "white": 1, "green_brown": 1}, 5, 3),
        ({"cut_open": 5, "red_pink": None, "white": 1, "green_brown": 1}, 5, 3),
        # One blank too many: a blank is not a zero.
        ({"cut_open": 5, "red_pink": None, "white": 2, "green_brown": None}, None, None),
        ({"cut_open": None, "red_pink": 3, "white": 1, "green_brown": None}, None, None),
        ({"cut_open": 5, "red_pink": None, "white": None, "green_brown": None}, None, None),
    ],
)
def test_cut_and_red_follow_from_the_other_colours_or_stay_unknown(written, cut, red):
    counts = visit_of(a_plant(**written)).counts(counted_sizes="any_size")
    wanted = [math.nan if number is None else number for number in (cut, red)]
    assert [counts.cut[0], counts.red[0]] == pytest.approx(wanted, nan_ok=True)


@pytest.mark.parametrize(
    ("size", "any_size", "at_least_2_mm"),
    [
        (SizeClass.UNDER_2_MM, 1, 0),
        (SizeClass.FROM_2_TO_5_MM, 1, 1),
        (SizeClass.OVER_5_MM, 1, 1),
        (None, 1, math.nan),
    ],
)
def test_small_nodules_count_only_where_the_scheme_counts_any_size(size, any_size, at_least_2_mm):
    visit = visit_of(a_plant(size_class=size))
    assert visit.counts(counted_sizes="any_size").eligible[0] == any_size
    assert visit.counts(counted_sizes="at_least_2_mm").eligible[0] == pytest.approx(at_least_2_mm, nan_ok=True)


def test_a_bare_root_has_no_nodule_to_size():
    # Left out as "size unknown", bare plants would make a field look better than it is.
    bare = visit_of(a_plant(crown=0, lateral=0, cut_open=0, red_pink=0, size_class=None))
    assert bare.counts(counted_sizes="at_least_2_mm").eligible[0] == 1
    uncounted = visit_of(a_plant(crown=0, lateral=None, cut_open=0, red_pink=0, size_class=None))
    assert math.isnan(uncounted.counts(counted_sizes="at_least_2_mm").eligible[0])


def test_bare_is_counted_and_none_found():
    assert is_bare(a_plant(crown=0, lateral=0))
    assert not is_bare(a_plant(crown=0, lateral=1))
    assert not is_bare(a_plant(crown=0, lateral=(0, 5)))
    assert not is_bare(a_plant(crown=0, lateral=None))


def test_counts_keep_what_a_class_leaves_open():
    counts = visit_of(a_plant(crown=(11, 20), lateral=(51, None)), a_plant(plant="2", crown=None, lateral=7)).counts(
        counted_sizes="any_size"
    )
    assert counts.crown_low.tolist() == [11, 0]
    assert counts.crown_high.tolist() == [20, np.inf]
    assert counts.lateral_low.tolist() == [51, 7]
    assert counts.lateral_high.tolist() == [np.inf, 7]


def test_the_visit_of_the_factory_is_what_it_says():
    visit = gather_visit(a_visit([3, 0], [7]), {DUG})
    assert (visit.stops, len(visit.plants)) == (("1", "2"), 3)
    assert [str(row.crown_nodules) for row in visit.rows] == ["2", "0", "4"]
