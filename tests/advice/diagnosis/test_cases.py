"""Fields as an adviser would describe them: the cause that an agronomist would name is among the first three.

The cases (cases.toml) were written from the mechanism of each cause before the network was tried on them.
"""

import datetime as dt
import tomllib
from pathlib import Path

import pytest
from tests.factories import DUG, advice_on, records

from spadework.knowledge.load import load
from spadework.knowledge.rows import Cause
from spadework.records.types import ObservationRow

CASES = tomllib.loads(Path(__file__).with_name("cases.toml").read_text("utf-8"))


def names(case):
    return f"{case['cause']}: {case['story'][:40]}"


def diagnosed(case):
    """Diagnosis of a field of which only these observations are known."""
    sights = dict.fromkeys(case.get("so", ()), "yes") | dict.fromkeys(case.get("not_so", ()), "no")
    if "pattern" in case:
        sights["pattern"] = case["pattern"]
    observations = tuple(
        ObservationRow(field="west", date=DUG, subject=subject, value=value) for subject, value in sights.items()
    )
    held = records(observations=observations, field={"crop": case["crop"], "host_grown_before": None, "station": None})
    return advice_on(held, today=DUG + dt.timedelta(days=1)).diagnosis


def test_every_cause_has_a_case():
    told = {kind: {case["cause"] for case in CASES[kind]} for kind in CASES}
    causes = {row.name: row.network for row in load().of(Cause)}
    assert told["case"] == {name for name, network in causes.items() if network == "nodulation"}
    assert told["lookalike"] | told["nitrogen"] == {name for name, network in causes.items() if network == "pallor"}


@pytest.mark.parametrize("case", CASES["case"], ids=names)
def test_each_cause_can_win(case):
    found = diagnosed(case)
    ranking = [one.cause for one in found.causes]
    assert case["cause"] in ranking[:3], [(one.cause, round(one.probability.value, 2)) for one in found.causes]


@pytest.mark.parametrize("case", CASES["case"], ids=names)
def test_every_sight_of_a_case_is_read(case):
    assert diagnosed(case).unread == ()


@pytest.mark.parametrize("case", CASES["lookalike"], ids=names)
def test_look_alikes_do_not_end_in_nitrogen_shortage(case):
    pallor = diagnosed(case).pallor
    ranking = [one.cause for one in pallor.causes]
    assert pallor.state in ("other", "cannot_tell")
    assert ranking[0] != "nitrogen_shortage"
    assert case["cause"] in ranking[:3], [(one.cause, round(one.probability.value, 2)) for one in pallor.causes]


@pytest.mark.parametrize("case", CASES["nitrogen"], ids=names)
def test_poor_nodules_and_pale_old_leaves_are_nitrogen_shortage(case):
    pallor = diagnosed(case).pallor
    assert pallor.state == "nitrogen"
    assert pallor.not_nitrogen is None


@pytest.mark.parametrize("gone", ["pale old leaves", "few nodules"])
def test_nitrogen_is_not_called_on_one_sign_alone(gone):
    case = CASES["nitrogen"][0]
    pallor = diagnosed({**case, "so": [name for name in case["so"] if name != gone]}).pallor
    assert pallor.state != "nitrogen"
    assert "nitrogen_shortage" not in [one.cause for one in pallor.causes]


def test_green_plants_with_few_nodules_on_much_nitrate_are_suppressed():
    case = next(case for case in CASES["case"] if case["cause"] == "high_nitrate")
    found = diagnosed(case)
    assert found.state == "suppressed"
    assert found.headline.id == "diagnosis.suppressed"


def test_without_evidence_nobody_can_tell_and_the_first_check_is_named():
    found = diagnosed({"crop": "pea"})
    assert found.state == "cannot_tell"
    assert found.headline.id == "diagnosis.no_evidence"
    assert found.causes == ()
    assert found.checks
    assert found.checks[0].bits > 0
