"""Look-alikes of pale leaves; nitrogen only where nodules are poor and old leaves went pale."""

import pytest
from tests.advice.diagnosis.small import cause, finding, knowledge_of, known, line

from spadework.advice.diagnosis.pallor import pallor_of, pallor_question
from spadework.knowledge.rows import Crop

NITROGEN = cause(
    "nitrogen_shortage", line("pale_old_leaves", "common"), line("few_nodules", "common"), network="pallor"
)
SULPHUR = cause("sulphur_shortage", line("pale_young_leaves", "common"), line("pale_old_leaves", "against"),
                network="pallor", course="no_nitrogen")  # fmt: skip
OLD = cause("magnesium_shortage", line("pale_old_leaves", "common"), network="pallor", course="no_nitrogen")
KNOWLEDGE = knowledge_of(
    NITROGEN, SULPHUR, OLD, finding("pale_old_leaves", "seldom"), finding("pale_young_leaves"), finding("few_nodules")
)


def pallor(*evidence):
    question = pallor_question(evidence, crop=Crop.PEA, wrong_time=None, own_priors={}, knowledge=KNOWLEDGE)
    return pallor_of(evidence, question, draws=8, seed=1, knowledge=KNOWLEDGE)


def test_without_a_look_at_the_leaves_nobody_can_tell():
    assert (pallor().state, pallor().headline.id) == ("cannot_tell", "pallor.unknown")
    assert pallor(known("few_nodules")).headline.id == "pallor.unknown"


def test_leaves_of_which_half_is_unknown_are_not_called_green():
    for one in ("pale_old_leaves", "pale_young_leaves"):
        found = pallor(known(one, 0))
        assert (found.state, found.headline.id) == ("cannot_tell", "pallor.unknown")


def test_green_leaves_are_not_pale():
    found = pallor(known("pale_old_leaves", 0), known("pale_young_leaves", 0.2))
    assert (found.state, found.causes, found.not_nitrogen) == ("not_pale", (), None)


def test_poor_nodules_and_pale_old_leaves_are_nitrogen():
    found = pallor(known("pale_old_leaves"), known("few_nodules"))
    assert (found.state, found.not_nitrogen) == ("nitrogen", None)
    assert found.causes[0].cause == "nitrogen_shortage"


@pytest.mark.parametrize(
    ("evidence", "why"),
    [
        ((known("pale_young_leaves"), known("few_nodules")), "old_leaves"),
        ((known("pale_young_leaves"), known("pale_old_leaves", 0.4), known("few_nodules")), "old_leaves"),
        ((known("pale_old_leaves"),), "nodules_unknown"),
        ((known("pale_old_leaves"), known("few_nodules", 0)), "nodules_good"),
        ((known("pale_old_leaves"), known("nodules_normal")), "nodules_good"),
        ((known("pale_old_leaves"), known("nodules_normal", 0)), "nodules_unknown"),
        ((known("pale_old_leaves"), known("few_nodules", silent=known("few_nodules").message)), "nodules_unknown"),
    ],
)
def test_nitrogen_is_not_called_without_both_signs(evidence, why):
    found = pallor(*evidence)
    assert found.not_nitrogen.id == f"pallor.not_nitrogen.{why}"
    assert found.state != "nitrogen"
    assert "nitrogen_shortage" not in [one.cause for one in found.causes]


def test_a_look_alike_is_named():
    found = pallor(known("pale_young_leaves"), known("pale_old_leaves", 0))
    assert (found.state, found.causes[0].cause) == ("other", "sulphur_shortage")
    assert found.headline.values["first"] == "sulphur_shortage"
