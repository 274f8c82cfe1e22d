"""The question answered for one field: why nodulation failed, and which check to make next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from spadework.advice.diagnosis.checks import rank_checks
from spadework.advice.diagnosis.model import FIGURES, Model, model_of
from spadework.advice.diagnosis.pallor import pallor_of, pallor_question, shortage_by_leaves
from spadework.advice.diagnosis.ranking import cause_advice, ranked, within_bands
from spadework.advice.diagnosis.value import CauseChance, Diagnosis, Evidence
from spadework.advice.evidence import evidence_of, own_limits_of, unread_of
from spadework.advice.evidence.seen import Seen
from spadework.advice.message import Message
from spadework.agronomy.diagnosis import Posterior, Robustness, posterior, robustness
from spadework.knowledge.rows import Cause, Finding, Knowledge
from spadework.records.types import Settings

__all__ = ["diagnose"]

_DRAWS = 32
_MOST_SHOWN = 5
_STAYS_FIRST = 0.9
_ACT_TOGETHER = 0.2


def diagnose(seen: Seen, settings: Settings) -> Diagnosis:
    """Rank the causes of poor nodulation from everything recorded, and the checks not yet made.

    The same records, settings, knowledge and day give the same diagnosis.
    """
    knowledge, crop = seen.knowledge, seen.records.field.crop
    wrong_time = seen.timing.wrong_time
    evidence = tuple(_set_aside(one, wrong_time, knowledge) for one in evidence_of(seen))
    causes = [row for row in knowledge.of(Cause) if row.network == "nodulation" and row.befalls(crop)]
    model = model_of(causes, crop=crop, wrong_time=wrong_time, own_priors=settings.cause_prior, knowledge=knowledge)
    answers = model.answers(evidence)
    state = posterior(model.central, answers)
    over_bands = robustness(model.low, model.high, answers, draws=_DRAWS, rng=np.random.default_rng(settings.seed))
    of_leaves = pallor_question(
        evidence, crop=crop, wrong_time=wrong_time, own_priors=settings.cause_prior, knowledge=knowledge
    )
    by_leaves = shortage_by_leaves(
        evidence, crop=crop, wrong_time=wrong_time, own_priors=settings.cause_prior, knowledge=knowledge
    )
    order = ranked(state)
    least = knowledge.figure("diagnosis.worth_a_check").central
    shown = [place for place in order if state.causes[place] >= least][:_MOST_SHOWN]
    name = _state(model, state, evidence, knowledge, wrong_time=wrong_time)
    return Diagnosis(
        state=name,
        headline=_headline(name, model, state, evidence, knowledge),
        causes=cause_advice(shown, model=model, state=state, over_bands=over_bands, evidence=evidence),
        others=tuple(
            CauseChance(model.causes[place].name, _name_of(model, place), float(state.causes[place]))
            for place in order
            if place not in shown
        ),
        nothing=within_bands(state.nothing, over_bands.nothing, sources=("diagnosis.prior",)),
        together=_together(shown, model, state),
        robust=_robust(order, model, over_bands),
        priors=_priors(model, seen, settings),
        evidence=evidence,
        unread=unread_of(seen),
        pallor=pallor_of(
            evidence, of_leaves, by_leaves=by_leaves, draws=_DRAWS, seed=settings.seed, knowledge=knowledge
        ),
        checks=rank_checks(
            [(model, state), *([] if of_leaves is None else [of_leaves])],
            crop=crop,
            prices=settings.check_price,
            hour_price=settings.hour_price,
            knowledge=knowledge,
        ),
    )


def _set_aside(one: Evidence, wrong_time: str | None, knowledge: Knowledge) -> Evidence:
    """Mark a finding that says nothing at the time of this dig."""
    row = _row_of(one, knowledge)
    if wrong_time not in row.silent_when:
        return one
    return replace(one, silent=Message(f"diagnosis.silent.{wrong_time}", sources=(row.id,)))


def _row_of(one: Evidence, knowledge: Knowledge) -> Finding:
    row = knowledge.row(f"finding.{one.finding}")
    assert isinstance(row, Finding)  # noqa: S101 - ids of that name are held to that table by a test
    return row


def _state(
    model: Model,
    state: Posterior,
    evidence: Sequence[Evidence],
    knowledge: Knowledge,
    *,
    wrong_time: str | None,
) -> str:
    """How far the diagnosis goes. History alone names no cause: most of what could harm a crop does not."""
    likely = knowledge.figure("diagnosis.likely").central
    sure = {one.finding: one.sure for one in evidence}
    first = ranked(state)[0]
    chance = float(state.causes[first])
    if model.causes[first].of_timing and (wrong_time is not None or chance >= likely):
        return "wrong_time"
    if not _has_signs(evidence, knowledge):
        return "cannot_tell"
    if state.nothing >= likely:
        return "nothing_wrong"
    if chance < likely:
        return "cannot_tell"
    if model.causes[first].name == "high_nitrate" and sure.get("green_tops", 0.0) >= likely:
        return "suppressed"
    return "very_likely" if chance >= knowledge.figure("diagnosis.very_likely").central else "likely"


def _headline(name: str, model: Model, state: Posterior, evidence: Sequence[Evidence], knowledge: Knowledge) -> Message:
    first, second = ranked(state)[:2]
    if name == "cannot_tell" and not _has_signs(evidence, knowledge):
        name = "only_history" if evidence else "no_evidence"
    return Message(
        f"diagnosis.{name}",
        {
            "first": model.causes[first].name,
            "chance": float(state.causes[first]),
            "second": model.causes[second].name,
            "second_chance": float(state.causes[second]),
            "nothing": state.nothing,
        },
        sources=("diagnosis.likely", "diagnosis.very_likely", "diagnosis.worth_a_check"),
    )


def _has_signs(evidence: Sequence[Evidence], knowledge: Knowledge) -> bool:
    """Whether anything is known of the crop itself that counts at this time."""
    return any(_row_of(one, knowledge).sign for one in evidence if one.silent is None)


def _name_of(model: Model, place: int) -> Message:
    return Message(f"cause.{model.causes[place].name}.name")


def _together(shown: Sequence[int], model: Model, state: Posterior) -> Message | None:
    """Name the two causes that most probably act at once, where it is probable enough to say."""
    present = model.central.sets.present
    pairs = [
        (float(state.weights[present[:, one] & present[:, other]].sum()), one, other)
        for number, one in enumerate(shown)
        for other in shown[number + 1 :]
    ]
    if not pairs or max(pairs)[0] < _ACT_TOGETHER:
        return None
    chance, one, other = max(pairs)
    return Message(
        "diagnosis.together",
        {"chance": chance, "first": model.causes[one].name, "second": model.causes[other].name},
    )


def _robust(order: Sequence[int], model: Model, over_bands: Robustness) -> Message:
    """Whether the first cause stays first when every figure moves over its band, and which one takes its place."""
    firsts = np.bincount(over_bands.first(), minlength=len(model.causes))
    share = float(firsts[order[0]]) / len(over_bands.nothing)
    firsts[order[0]] = 0
    other = model.causes[int(firsts.argmax())].name
    return Message(
        f"diagnosis.robust.{'stays' if share >= _STAYS_FIRST else 'changes'}",
        {"first": model.causes[order[0]].name, "share": share, "other": other},
        sources=FIGURES,
    )


def _priors(model: Model, seen: Seen, settings: Settings) -> Message:
    own = [cause.name for cause in model.causes if cause.name in settings.cause_prior]
    kind = "own" if own else "flat"
    return Message(f"diagnosis.priors.{kind}", {"causes": len(own)}, sources=("diagnosis.prior", *own_limits_of(seen)))
