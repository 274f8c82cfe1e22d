"""A diagnosis to time: a pea field with some things known, and the same question small enough for a general library."""

import warnings
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from spadework.advice.diagnosis.model import Model, model_of
from spadework.agronomy.diagnosis import cause_sets, expected_gain, posterior, robustness
from spadework.knowledge.load import load
from spadework.knowledge.rows import COURSES, Cause, Check, Crop

CHECKS = 25
FEWER_CAUSES = 12
DRAWS = 64

YES = ("few_nodules", "pale_old_leaves", "acid_soil", "low_places", "lateral_only")
NO = ("nodules_normal", "saturated_soil", "salty_soil", "dry_seedbed", "host_new")

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Question:
    """A network, what is known, the findings that each check would settle, and the course for each set of causes."""

    model: Model
    answers: Floats
    checks: tuple[tuple[int, ...], ...]
    courses: NDArray[np.intp]

    def answered(self) -> tuple[Floats, Floats]:
        """Probabilities of the causes, and the bits that each check is expected to tell; all worked out anew."""
        state = posterior(replace(self.model.central), self.answers)
        return state.causes, np.array([expected_gain(state, check, self.courses).bits for check in self.checks])

    def over_bands(self) -> Floats:
        """Probabilities of the causes with every figure drawn from its band."""
        rng = np.random.default_rng(1)
        return robustness(self.model.low, self.model.high, self.answers, draws=DRAWS, rng=rng).causes


def field() -> Question:
    """All causes that a pea crop can have, as the advice asks them."""
    return _question(_causes())


def fewer() -> Question:
    """The causes with the most evidence, any number of them together; tables of all would not fit a library."""
    some = sorted(_causes(), key=lambda cause: -len(cause.evidence))[:FEWER_CAUSES]
    return _question(some, most_together=FEWER_CAUSES)


def in_library(question: Question) -> Callable[[], tuple[Floats, Floats]]:
    """Put the same network to pgmpy, on full tables; what comes back asks it what ``Question.answered`` does.

    A check's bits come from one query for its findings with the causes that bear on them. Courses are not asked for.
    """
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", r"`pgmpy\.estimators", FutureWarning)
        from pgmpy.factors.discrete import TabularCPD
        from pgmpy.inference import VariableElimination
        from pgmpy.models import DiscreteBayesianNetwork

    net = question.model.central
    causes = [f"cause {place}" for place in range(len(net.prior))]
    library, evidence = DiscreteBayesianNetwork(), {}
    parents_of: dict[tuple[int, ...], list[str]] = {}
    for name, chance in zip(causes, net.prior, strict=True):
        library.add_node(name)
        library.add_cpds(TabularCPD(name, 2, [[1 - chance], [chance]]))
    for places in net.groups:
        group, name = net.group(places), str(places)
        parents = parents_of[places] = [causes[place] for place in group.causes]
        library.add_node(name)
        library.add_edges_from((parent, name) for parent in parents)
        # Our rows are sets of causes by size; theirs count up in twos, the last parent fastest.
        present = cause_sets(len(parents), net.most_together).present
        table = np.empty_like(group.chances)
        table[:, present @ (1 << np.arange(len(parents))[::-1])] = group.chances
        library.add_cpds(TabularCPD(name, len(table), table, parents, [2] * len(parents)))
        known = question.answers[list(places)]
        if not np.isnan(known).all():
            evidence[name] = int(np.nanargmax(known)) if np.nanmax(known) == 1 else len(places)
    elimination = VariableElimination(library)

    def bits(check: tuple[int, ...]) -> float:
        asked = [places for places in net.groups if set(places) & set(check)]
        names = [*map(str, asked), *sorted({parent for places in asked for parent in parents_of[places]})]
        factor = elimination.query(names, evidence=evidence, show_progress=False)
        joint = factor.values.transpose([factor.variables.index(name) for name in names])
        for axis, places in enumerate(asked):
            # States that the check does not tell apart are one answer.
            alike = [number for number, place in enumerate((*places, None)) if place not in check]
            rest = joint.take(alike, axis=axis).sum(axis=axis, keepdims=True)
            joint = np.concatenate([np.delete(joint, alike, axis=axis), rest], axis=axis)
        answers = np.prod(joint.shape[: len(asked)])
        joint = joint.reshape(answers, -1)
        return _entropy(joint.sum(axis=1)) + _entropy(joint.sum(axis=0)) - _entropy(joint)

    def answered() -> tuple[Floats, Floats]:
        told = elimination.query(causes, evidence=evidence, joint=False, show_progress=False)
        return np.array([told[name].values[1] for name in causes]), np.array([bits(check) for check in question.checks])

    return answered


def _causes() -> list[Cause]:
    return [row for row in load().of(Cause) if row.network == "nodulation" and row.befalls(Crop.PEA)]


def _question(causes: list[Cause], *, most_together: int | None = None) -> Question:
    knowledge = load()
    model = model_of(causes, crop=Crop.PEA, wrong_time=None, own_priors={}, knowledge=knowledge)
    if most_together is not None:
        model = replace(model, central=replace(model.central, most_together=most_together))
    sure = dict.fromkeys(YES, 1.0) | dict.fromkeys(NO, 0.0)
    answers = np.array([sure.get(row.name, np.nan) for row in model.findings])
    still_open = {place for group in model.central.groups if np.isnan(answers[list(group)]).all() for place in group}
    checks = [
        tuple(place for place in map(model.place, check.findings) if place in still_open)
        for check in knowledge.of(Check)
    ]
    each = np.array([COURSES.index(cause.course) for cause in model.causes], dtype=np.intp)
    courses = np.where(model.central.sets.present, each, 0).max(axis=1)
    return Question(model, answers, tuple(check for check in checks if check)[:CHECKS], courses)


def _entropy(chances: Floats) -> float:
    some = chances[chances > 0]
    return float(-(some * np.log2(some)).sum())
