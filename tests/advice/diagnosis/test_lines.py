"""Every line of evidence, one by one: for never lowers its cause, against never raises it."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest
from tests.factories import DUG, advice_on, records

from spadework.advice.diagnosis.model import model_of
from spadework.agronomy.diagnosis import posterior
from spadework.knowledge.load import load
from spadework.knowledge.rows import Cause, Crop

KNOWLEDGE = load()
CAUSES = [
    pytest.param(cause, crop, id=f"{cause.name}-{crop}")
    for cause in KNOWLEDGE.of(Cause)
    for crop in Crop
    if cause.befalls(crop)
]


@pytest.fixture(scope="module")
def models():
    """The network of each question in each crop, at each end of its figures too."""
    found = {}
    for network in ("nodulation", "pallor"):
        for crop in Crop:
            causes = [row for row in KNOWLEDGE.of(Cause) if row.network == network and row.befalls(crop)]
            found[network, crop] = model_of(causes, crop=crop, wrong_time=None, own_priors={}, knowledge=KNOWLEDGE)
    return found


def place_of(model, cause):
    return [row.name for row in model.causes].index(cause.name)


@pytest.mark.parametrize(("cause", "crop"), CAUSES)
def test_for_never_lowers_and_against_never_raises(models, cause, crop):
    model = models[cause.network, crop]
    place = place_of(model, cause)
    for line in cause.evidence:
        if line.crops and crop not in line.crops:
            continue
        finding = model.place(line.finding)
        together = model.central.most_together
        for network in (model.central, *(replace(end, most_together=together) for end in (model.low, model.high))):
            answers = np.full(len(model.findings), np.nan)
            before = posterior(network, answers).causes[place]
            answers[finding] = 1
            after = posterior(network, answers).causes[place]
            assert (after >= before - 1e-12) if line.speaks_for else (after <= before + 1e-12), line.finding


def test_a_line_of_another_crop_is_not_in_the_network(models):
    limited = [(cause, line) for cause in KNOWLEDGE.of(Cause) for line in cause.evidence if line.crops]
    assert limited
    for cause, line in limited:
        for crop in set(Crop) - set(line.crops):
            if cause.befalls(crop):
                model = models[cause.network, crop]
                row, column = place_of(model, cause), model.place(line.finding)
                assert column is None or (model.central.lift[row, column], model.central.hold[row, column]) == (0, 1)


def test_what_is_known_of_nothing_changes_nothing():
    held = records(field={"host_grown_before": None, "station": None})
    found = advice_on(held, today=DUG + dt.timedelta(days=1)).diagnosis
    assert found.evidence == ()
    assert {round(one.probability, 12) for one in found.others} == {round(found.others[0].probability, 12)}
