import dataclasses

import numpy as np
import pytest
from tests.advice.rescue.fields import HELD, KNOWN, looked_at
from tests.factories import DUG, advice_on

from spadework.advice.messages import render
from spadework.advice.rescue.late_nodules import LateNodules, late_nodules, with_late_nodules
from spadework.records.types import ObservationRow

BALANCE, _ = looked_at("failed")
LATE = LateNodules(cause="waterlogging", chance=0.4)
BARE = np.zeros(500)


def mixed(late=LATE, share=BARE):
    return with_late_nodules(BALANCE, share, late, knowledge=KNOWN, seed=1)


def test_nodules_come_in_as_many_draws_as_the_chance_says_and_never_go():
    balance, share = mixed()
    before, after = BALANCE.nodulation[:, 0], balance.nodulation[:, 0]
    assert np.all(after >= before)
    assert np.mean(after > before) == pytest.approx(0.4, abs=0.06)
    assert np.all(after[after > before] >= 0.3)
    assert np.array_equal(balance.inputs.parameters.nodulation[:, 0], after)
    # A dig finds them wherever they came.
    assert np.all(share[after > before] > 0)
    assert np.mean(share > 0) == pytest.approx(0.4, abs=0.06)


def test_without_a_chance_nothing_changes():
    balance, share = mixed(dataclasses.replace(LATE, chance=0.0))
    assert np.array_equal(balance.nodulation, BALANCE.nodulation)
    assert np.array_equal(share, BARE)


def seen(**findings):
    rows = tuple(ObservationRow(field="west", date=DUG, subject=name, value=said) for name, said in findings.items())
    return advice_on(dataclasses.replace(HELD["failed"], observations=rows))


def test_a_likely_cause_that_passes_leaves_hope_and_is_told():
    advice = seen(saturated_soil="yes", low_places="yes", host_new="no", no_inoculant="no", acid_soil="no")
    late = late_nodules(advice.diagnosis, KNOWN)
    if late is None:
        pytest.fail(f"waterlogging was meant to be likely: {advice.diagnosis.causes[0]}")
    assert late.cause == "waterlogging"
    assert 0 < late.chance < 0.5
    told = [reason for reason in advice.decision.reasons if reason.id == "rescue.reason.late_nodules"]
    assert "may pass" in render(told[0])
    assert set(late.rows) <= set(advice.decision.rows)


def test_a_cause_that_stays_leaves_none():
    advice = seen(no_inoculant="yes", host_new="yes")
    assert advice.diagnosis.causes[0].cause not in ("waterlogging", "cold_soil", "drought")
    assert late_nodules(advice.diagnosis, KNOWN) is None
