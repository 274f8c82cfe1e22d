"""Rows become a network: words become figures, times silence findings, own priors stand where they are given."""

import numpy as np
import pytest
from tests.advice.diagnosis.small import cause, finding, knowledge_of, known, line

from spadework.advice.diagnosis.model import FIGURES, model_of
from spadework.knowledge.load import load
from spadework.knowledge.rows import Chance, Crop

COLD = cause("cold", line("few", "common"), line("green", "against"))
DEAD = cause("dead", line("few", "sometimes"), line("old", "always", crops=("pea",)))
EARLY = cause("early", line("few", "rare"), of_timing=True)
ROWS = (
    COLD, DEAD, EARLY, finding("green", "usual"), finding("few", silent_when=("early",)), finding("old", "often"),
    finding("unused"),
)  # fmt: skip
KNOWLEDGE = knowledge_of(*ROWS)


def model(causes=(COLD, DEAD, EARLY), **changes):
    return model_of(
        causes, **{"crop": Crop.PEA, "wrong_time": None, "own_priors": {}, "knowledge": KNOWLEDGE, **changes}
    )


def test_words_become_the_figures_of_their_rows():
    built = model()
    assert [row.name for row in built.findings] == ["green", "few", "old"]
    np.testing.assert_array_equal(built.central.lift, [[0, 0.7, 0], [0, 0.4, 0.95], [0, 0.1, 0]])
    np.testing.assert_array_equal(built.central.hold, [[0.25, 1, 1], [1, 1, 1], [1, 1, 1]])
    np.testing.assert_array_equal(built.central.background, [0.8, 0.05, 0.4])
    np.testing.assert_array_equal(built.central.prior, [0.2, 0.2, 0.2])
    assert built.central.most_together == 2


def test_the_ends_of_the_bands_make_networks_of_their_own():
    built = model()
    assert (built.low.lift[0, 1], built.high.lift[0, 1]) == (0.5, 0.9)
    assert (built.low.hold[0, 0], built.high.hold[0, 0]) == (0.1, 0.5)
    assert (built.low.background[1], built.high.background[1]) == (0.02, 0.1)
    assert (built.low.prior[0], built.high.prior[0]) == (0.1, 0.3)


def test_in_the_trials_fewer_causes_act_together():
    built = model(knowledge=knowledge_of(*ROWS, figures={"most_together": (3, 2, 3)}))
    assert [network.most_together for network in (built.central, built.low, built.high)] == [3, 2, 2]


def test_a_finding_that_is_silent_then_says_nothing_but_of_the_time():
    lift = model(wrong_time="early").central.lift
    assert lift[:, 1].tolist() == [0, 0, 0.1]
    assert model(wrong_time="late").central.lift[:, 1].tolist() == [0.7, 0.4, 0.1]


def test_a_line_of_another_crop_is_left_out_with_the_finding_that_only_it_names():
    assert [row.name for row in model(crop=Crop.LENTIL).findings] == ["green", "few"]


def test_causes_carry_the_lines_that_count_in_the_crop_and_at_the_time():
    def lines(**changes):
        built = model(**changes)
        return {row.name: [one.finding for one in row.evidence] for row in built.causes}

    assert lines() == {"cold": ["few", "green"], "dead": ["few", "old"], "early": ["few"]}
    assert lines(crop=Crop.LENTIL)["dead"] == ["few"]
    assert lines(wrong_time="early") == {"cold": ["green"], "dead": ["old"], "early": ["few"]}
    dead = model(crop=Crop.LENTIL).causes[1]
    assert model(crop=Crop.LENTIL).line(dead, "old") is None


def test_own_priors_stand_at_both_ends_too():
    built = model(own_priors={"dead": 0.5})
    for network in (built.low, built.central, built.high):
        assert network.prior[1] == 0.5
    assert built.central.prior[0] == 0.2


def test_findings_of_a_group_stand_together():
    rows = (finding("strips", group="pattern"), finding("even", group="pattern"), finding("few"))
    causes = (cause("one", line("strips", "common"), line("even", "against"), line("few", "common")),)
    built = model(causes, knowledge=knowledge_of(*causes, *rows))
    assert built.central.groups == ((0, 1), (2,))


def test_answers_are_laid_out_by_place():
    built = model()
    answers = built.answers([known("old", 0.3), known("unused")])
    np.testing.assert_array_equal(answers, [np.nan, np.nan, 0.3])
    assert built.place("unused") is None
    assert built.place("old") == 2


@pytest.mark.parametrize("name", FIGURES)
def test_every_figure_behind_the_words_is_judgement_with_a_band(name):
    row = load().row(name)
    assert isinstance(row, Chance) or name == "diagnosis.most_together"
    assert row.grade == "C"
    assert row.range[0] < row.central < row.range[1]
