"""How many: settled or not, how many plants more, and when more plants are no answer at all."""

import pytest
from tests.factories import GOOD, POOR, a_dig, a_visit, advice_on, records

from spadework.advice.messages import render


def sampling(plants=GOOD, *, stage=55, **chosen):
    held = records(plants, digs=(a_dig(stage_bbch=stage),))
    return advice_on(held, **chosen).sampling


def shares(*adequate, each=10):
    """Stops of which so many plants are far above the target and the others far below."""
    return a_visit(*([80] * number + [5] * (each - number) for number in adequate))


def test_a_plain_field_is_settled():
    for plants in (GOOD, POOR):
        found = sampling(plants)
        assert (found.settled, found.more_plants, found.more_stops) == (True, 0, 0)
        assert found.message.id == "sampling.settled"


def test_a_settled_verdict_is_one_whose_class_holds_the_probability_asked_for():
    verdict = advice_on(records(GOOD)).verdict
    assert sampling(GOOD, settle_at=verdict.probability - 0.001).settled
    assert not sampling(GOOD, settle_at=verdict.probability + 0.001).settled


def test_a_field_not_far_from_settled_is_told_how_many_plants_more():
    found = sampling(shares(8, 9, 8))
    assert found.message.id == "sampling.dig_more"
    assert found.more_plants == 10 * found.more_stops > 0
    assert found.assurance >= 0.5
    assert f"Dig {found.more_plants} more plants" in render(found.message)


def test_digging_what_was_advised_settles_a_field_that_stays_as_it_was():
    found = sampling(shares(9, 8, 9), settle_at=0.95)
    assert not found.settled
    assert sampling(shares(9, 8, 9, *[9] * found.more_stops), settle_at=0.95).settled


def test_a_field_on_a_border_is_treated_as_one_of_two_neighbours():
    found = sampling(shares(7, 7, 7))
    assert found.message.id == "sampling.border"
    assert (found.more_plants, found.more_stops) == (None, None)
    assert found.assurance < 0.5
    assert "Treat it as borderline or adequate" in render(found.message)
    assert "Treat it as poor or borderline" in render(sampling(shares(5, 5, 5)).message)


@pytest.mark.parametrize(
    ("plants", "more", "stops"),
    [
        (shares(3, 3, each=6), 20, 2),  # 12 plants: 18 short, in stops of ten
        (shares(3, each=6), 30, 3),  # 6 plants: 24 short
        (shares(15, each=30), 20, 2),  # enough plants, two stops short of three
    ],
)
def test_a_visit_smaller_than_usual_is_brought_up_to_that_before_it_is_called_a_border(plants, more, stops):
    # 30 plants from 3 stops: the leaflet behind planning.stops and planning.plants_per_stop.
    found = sampling(plants)
    assert (found.settled, found.more_plants, found.more_stops) == (False, more, stops)
    assert found.message.id == "sampling.too_few"
    assert {"planning.stops", "planning.plants_per_stop"} <= set(found.message.sources)


def test_a_few_plants_less_than_usual_are_no_matter():
    assert sampling(shares(6, 5, 5, each=9)).message.id == "sampling.border"


def test_a_small_visit_that_is_settled_or_nearly_so_is_not_sent_back_for_size():
    assert sampling(a_visit([0] * 8, [0] * 8)).message.id == "sampling.settled"


@pytest.mark.parametrize(("stage", "message"), [(7, "later"), (14, "later"), (79, "too_late")])
@pytest.mark.parametrize("plants", [GOOD, shares(6, 7, 6)])
def test_at_the_wrong_time_more_plants_are_no_answer(stage, message, plants):
    assert sampling(plants, stage=stage).message.id == f"sampling.{message}"


def test_a_patch_is_two_fields():
    good = [70, 82, 95, 110, 64, 88, 101, 75]
    patchy = a_visit(good, good[::-1], [3, 0, 5, 9, 2, 4, 7, 1], good)
    found = sampling(patchy)
    assert found.message.id == "sampling.patchy"
    # The parts are unlike, the stops of a part need not be: the plan goes by the planning value.
    assert found.planned_plants == sampling(patchy, seed=2).planned_plants <= 100


def test_the_fixed_plan_is_for_the_precision_that_it_names():
    found = sampling(shares(7, 7, 7))
    assert found.planned_precision.value == pytest.approx(0.15)
    assert found.planned_plants == 10 * found.planned_stops
    closer = sampling(shares(7, 7, 7), overrides={"planning.precision": {"value": 0.1}})
    assert closer.planned_plants > found.planned_plants


def test_the_plan_without_likeness_is_the_textbook_sample_size():
    # cochran1977: n = z^2 p (1 - p) / d^2 = 1.645^2 x 0.25 / 0.15^2 = 30.1, which is 31 plants: four stops of ten.
    unlike = {"overrides": {"planning.stop_correlation": {"mean": 0.01}}}
    assert sampling(shares(7, 7, 7), **unlike).planned_plants == 40
    assert sampling(shares(7, 7, 7)).planned_plants > 40


def test_alike_stops_say_that_plants_are_less_alike():
    alike, unlike = sampling(shares(6, 6, 6)), sampling(shares(9, 6, 3))
    assert alike.stop_correlation.value < unlike.stop_correlation.value
    for found in (alike, unlike):
        assert found.stop_correlation.low <= found.stop_correlation.value < found.stop_correlation.high


def test_a_chance_from_draws_is_never_told_as_a_certainty():
    found = sampling(shares(7, 7, 7), settle_at=0.999999)
    assert found.assurance < 0.01
    assert "a chance of under 1 %" in render(found.message)


def test_the_same_seed_gives_the_same_answer():
    plants = shares(8, 9, 8)
    assert sampling(plants, seed=5) == sampling(plants, seed=5)


def test_no_sampling_without_a_verdict():
    assert advice_on(records()).sampling is None
