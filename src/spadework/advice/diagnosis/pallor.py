"""Why leaves are pale: shortages and injuries that look alike, and when it may be called nitrogen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from spadework.advice.diagnosis.model import Model, model_of
from spadework.advice.diagnosis.ranking import cause_advice, ranked
from spadework.advice.diagnosis.value import Evidence, Pallor
from spadework.advice.message import Message
from spadework.agronomy.diagnosis import Posterior, posterior, robustness
from spadework.knowledge.rows import Cause, Crop, Knowledge

__all__ = ["pallor_of", "pallor_question", "shortage_by_leaves"]

_NITROGEN = "nitrogen_shortage"
_LOOKS = ("pale_old_leaves", "pale_young_leaves", "green_veins_young", "green_veins_old", "scorched_edges", "mosaic",
          "dark_leaves")  # fmt: skip
_BOTH_LEAVES = ("pale_old_leaves", "pale_young_leaves")
_POOR_NODULES = ("no_nodules", "few_nodules", "many_small_pale", "green_or_brown")
_MORE_LIKELY_THAN_NOT = 0.5
_EVEN = 0.5
_MOST_SHOWN = 3


def pallor_question(
    evidence: Sequence[Evidence],
    *,
    crop: Crop,
    wrong_time: str | None,
    own_priors: Mapping[str, float],
    knowledge: Knowledge,
) -> tuple[Model, Posterior] | None:
    """Look-alikes as a network of their own; None where leaves are not known to look wrong.

    Nitrogen is among them only where nodules are poor and old leaves went pale. Evidence set aside as silent is not
    used here either.
    """
    sure = _sure(evidence)
    if max((sure[name] for name in _LOOKS if name in sure), default=0.0) < _MORE_LIKELY_THAN_NOT:
        return None
    not_nitrogen = _why_not_nitrogen(sure) is not None
    causes = [
        row
        for row in knowledge.of(Cause)
        if row.network == "pallor" and row.befalls(crop) and not (not_nitrogen and row.name == _NITROGEN)
    ]
    model = model_of(causes, crop=crop, wrong_time=wrong_time, own_priors=own_priors, knowledge=knowledge)
    return model, posterior(model.central, model.answers([one for one in evidence if one.silent is None]))


def shortage_by_leaves(
    evidence: Sequence[Evidence],
    *,
    crop: Crop,
    wrong_time: str | None,
    own_priors: Mapping[str, float],
    knowledge: Knowledge,
) -> float:
    """Probability that nitrogen is short by all but the nodules, from even odds: for who has counted those already.

    0 where leaves may not be put down to nitrogen at all, see ``pallor_question``.
    """
    if _why_not_nitrogen(_sure(evidence)) is not None:
        return 0.0
    causes = [row for row in knowledge.of(Cause) if row.network == "pallor" and row.befalls(crop)]
    priors = {**own_priors, _NITROGEN: _EVEN}
    model = model_of(causes, crop=crop, wrong_time=wrong_time, own_priors=priors, knowledge=knowledge)
    told = [one for one in evidence if one.silent is None and one.finding not in (*_POOR_NODULES, "nodules_normal")]
    place = next(place for place, cause in enumerate(model.causes) if cause.name == _NITROGEN)
    return float(posterior(model.central, model.answers(told)).causes[place])


def pallor_of(
    evidence: Sequence[Evidence],
    question: tuple[Model, Posterior] | None,
    *,
    by_leaves: float = 0.0,
    draws: int,
    seed: int,
    knowledge: Knowledge,
) -> Pallor:
    """Tell look-alikes apart.

    ``question`` is what ``pallor_question`` made of the evidence, ``by_leaves`` what ``shortage_by_leaves`` did.
    """
    sure = _sure(evidence)
    if question is None:
        if all(name in sure for name in _BOTH_LEAVES):
            return Pallor("not_pale", Message("pallor.not_pale"), None, (), by_leaves)
        return Pallor("cannot_tell", Message("pallor.unknown"), None, (), by_leaves)
    model, state = question
    over_bands = robustness(model.low, model.high, state.answers, draws=draws, rng=np.random.default_rng(seed))
    order = ranked(state)
    least = knowledge.figure("diagnosis.worth_a_check").central
    shown = [place for place in order if state.causes[place] >= least][:_MOST_SHOWN]
    first, chance = model.causes[order[0]].name, float(state.causes[order[0]])
    likely = chance >= knowledge.figure("diagnosis.likely").central
    name = "cannot_tell" if not likely else "nitrogen" if first == _NITROGEN else "other"
    return Pallor(
        state=name,
        headline=Message(f"pallor.{name}", {"first": first, "chance": chance}, sources=("diagnosis.likely",)),
        not_nitrogen=_why_not_nitrogen(sure),
        causes=cause_advice(shown, model=model, state=state, over_bands=over_bands, evidence=evidence),
        shortage_by_leaves=by_leaves,
    )


def _sure(evidence: Sequence[Evidence]) -> dict[str, float]:
    return {one.finding: one.sure for one in evidence if one.silent is None}


def _why_not_nitrogen(sure: Mapping[str, float]) -> Message | None:
    """Why pale leaves are not put down to nitrogen; None where they may be."""
    nodules = [sure[name] for name in _POOR_NODULES if name in sure]
    if sure.get("pale_old_leaves", 0.0) < _MORE_LIKELY_THAN_NOT:
        return Message("pallor.not_nitrogen.old_leaves")
    if max(nodules, default=0.0) < _MORE_LIKELY_THAN_NOT:
        if not nodules and sure.get("nodules_normal", 0.0) < _MORE_LIKELY_THAN_NOT:
            return Message("pallor.not_nitrogen.nodules_unknown")
        return Message("pallor.not_nitrogen.nodules_good")
    return None
