"""Causes ranked, with the weight of each finding worked out by hand."""

import numpy as np
import pytest
from tests.advice.diagnosis.small import cause, finding, knowledge_of, known, line

from spadework.advice.diagnosis.model import model_of
from spadework.advice.diagnosis.ranking import cause_advice, ranked, within_bands
from spadework.agronomy.diagnosis import Robustness, posterior
from spadework.knowledge.rows import Crop

COLD = cause("cold", line("few", "common"), line("green", "against"))
DEAD = cause("dead", line("few", "sometimes"), line("old", "always"))
KNOWLEDGE = knowledge_of(COLD, DEAD, finding("green", "usual"), finding("few"), finding("old", "often"))


def advised(*evidence, places=(0, 1), knowledge=KNOWLEDGE):
    model = model_of((COLD, DEAD), crop=Crop.PEA, wrong_time=None, own_priors={}, knowledge=knowledge)
    state = posterior(model.central, model.answers([one for one in evidence if one.silent is None]))
    over_bands = Robustness(causes=np.tile(state.causes, (4, 1)), nothing=np.full(4, state.nothing))
    return state, cause_advice(places, model=model, state=state, over_bands=over_bands, evidence=evidence)


def test_a_weight_is_the_factor_on_the_odds():
    # Only `old` is known: cold has nothing to do with it. P(old | dead) = 1 - 0.6 * 0.05 = 0.97, else 0.4.
    _, (_, dead) = advised(known("old"))
    assert dead.probability.value == pytest.approx(0.2 * 0.97 / (0.2 * 0.97 + 0.8 * 0.4), rel=1e-12)
    (argument,) = dead.speaks_for
    assert argument.finding == "old"
    assert argument.odds_factor == pytest.approx(0.97 / 0.4, rel=1e-12)
    assert dead.speaks_against == ()


def test_what_is_not_so_speaks_the_other_way():
    # P(not old | dead) = 0.03, else 0.6.
    _, (_, dead) = advised(known("old", 0))
    (argument,) = dead.speaks_against
    assert argument.odds_factor == pytest.approx(0.03 / 0.6, rel=1e-12)


def test_what_is_against_a_cause_stands_against_it():
    # P(green | cold) = 0.8 * 0.25.
    _, (cold, _) = advised(known("green"))
    assert [one.finding for one in cold.speaks_against] == ["green"]
    assert cold.speaks_against[0].odds_factor == pytest.approx(0.25, rel=1e-12)


def test_a_finding_that_bears_on_another_cause_only_is_no_argument():
    _, (cold, _) = advised(known("few"), known("old"))
    assert [one.finding for one in (*cold.speaks_for, *cold.speaks_against)] == ["few"]


def test_arguments_stand_by_weight_and_those_of_no_weight_are_left_out():
    _, (_, dead) = advised(known("few"), known("old"))
    weights = [abs(np.log(one.odds_factor)) for one in dead.speaks_for]
    assert weights == sorted(weights, reverse=True)
    assert len(weights) == 2
    _, (_, unmoved) = advised(known("old", 0.5))  # as likely so as not: says nothing
    assert unmoved.speaks_for == unmoved.speaks_against == ()


def test_what_is_set_aside_is_no_argument():
    _, (cold, _) = advised(known("few", silent=known("few").message), known("green"))
    assert [one.finding for one in (*cold.speaks_for, *cold.speaks_against)] == ["green"]


def test_the_likeliest_stands_first_and_equals_by_their_table():
    state, _ = advised(known("old"))
    assert ranked(state) == [1, 0]
    state, _ = advised()
    assert ranked(state) == [0, 1]


def test_each_cause_names_its_texts_and_its_row():
    _, (cold, _) = advised(known("few"))
    assert cold.name.id == "cause.cold.name"
    assert [cold.confirm.id, cold.this_season.id, cold.next_season.id] == [
        "cause.cold.confirm", "cause.cold.this_season", "cause.cold.next_season"
    ]  # fmt: skip
    assert cold.probability.sources == ("cause.cold",)


def test_a_range_leaves_the_outer_draws_out_and_holds_the_figure():
    drawn = np.arange(101) / 100
    figure = within_bands(0.5, drawn, sources=("a",))
    assert (figure.low, figure.high) == pytest.approx((0.05, 0.95))
    assert within_bands(0.01, drawn, sources=()).low == 0.01
    assert within_bands(0.99, drawn, sources=()).high == 0.99
