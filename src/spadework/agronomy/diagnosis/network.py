"""A leaky noisy-OR network of causes and findings, and its exact posterior.

Causes are independent before anything is known, except that no more than a stated number act at once. All sets
of causes that may act together are gone through, so nothing is approximated within that model; with
``most_together`` equal to the number of causes it is the plain network.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.diagnosis.sets import CauseSets, cause_sets, sets_of_some
from spadework.errors import DomainError

__all__ = ["Group", "Network", "Posterior", "posterior", "state_weights", "weigh_sets"]

Floats = NDArray[np.float64]
Places = NDArray[np.intp]

_NEVER_SURER = 1e-12
"""In a group of several no finding by itself is surer than 1 less this, so that two certain ones share the group."""


@dataclass(frozen=True, eq=False)
class Network:
    """Causes, findings, and how one brings about the other.

    Parameters
    ----------
    prior : ndarray, shape (causes,)
        Chance of each cause before anything is known. [1]
    background : ndarray, shape (findings,)
        Chance of each finding where no cause acts (the leak). [1]
    lift : ndarray, shape (causes, findings)
        Chance that the cause by itself brings the finding about. [1]
    hold : ndarray, shape (causes, findings)
        Factor by which the cause holds the finding back; 1 where it does not. [1]
    groups : tuple of tuples of int
        Findings that shut each other out, by their places; every finding stands in exactly one group.
    most_together : int
        Most causes that act at once.

    Raises
    ------
    DomainError
        If a chance lies outside 0 to 1, a prior or background at 0 or 1; if the arrays do not fit each other or the
        groups do not part the findings; if ``most_together`` is below 1.

    Notes
    -----
    A finding by itself: (1 - (1 - background) prod(1 - lift)) prod(hold), over the causes that act. In a group the
    odds of these chances are shared out, so that at most one of its findings is so. All arrays may have one axis more
    at their end: as many networks of one shape, worked at once.

    References
    ----------
    pearl1988, russell_norvig (the noisy-OR).
    """

    prior: Floats
    background: Floats
    lift: Floats
    hold: Floats
    groups: tuple[tuple[int, ...], ...]
    most_together: int

    def __post_init__(self) -> None:
        shape = (len(self.prior), *self.background.shape)
        for name in ("lift", "hold"):
            if getattr(self, name).shape != shape:
                raise DomainError(f"shape of {name}", getattr(self, name).shape, f"{shape}, causes by findings")
        for name in ("prior", "background"):
            values = getattr(self, name)
            _refuse(name, values, (values > 0) & (values < 1), "between 0 and 1, ends excluded")
        for name in ("lift", "hold"):
            values = getattr(self, name)
            _refuse(name, values, (values >= 0) & (values <= 1), "from 0 to 1")
        if sorted(place for group in self.groups for place in group) != list(range(len(self.background))):
            raise DomainError("groups", self.groups, "each finding in exactly one group")
        if self.most_together < 1:
            raise DomainError("most_together", self.most_together, "1 or more")

    @property
    def sets(self) -> CauseSets:
        """The sets of causes that may act together."""
        return cause_sets(len(self.prior), self.most_together)

    @cached_property
    def set_priors(self) -> Floats:
        """Probability of each set of causes before anything is known. Shape (sets, ...)."""
        weights = self.sets.products(self.prior / (1 - self.prior))
        return np.asarray(weights / weights.sum(axis=0))

    def group(self, places: tuple[int, ...]) -> Group:
        """How the findings at these places, which are one group, share it out."""
        bearing = [self._bearing_on(place) for place in places]
        causes = tuple(sorted(set().union(*bearing)))
        alone = [self._alone(place, some) for place, some in zip(places, bearing, strict=True)]
        if len(alone) == 1:
            return Group(causes, shares=(alone[0][0],), rest=alone[0][1])
        shares = tuple(
            self.laid_out(so / np.maximum(not_so, _NEVER_SURER), some, among=causes)
            for (so, not_so), some in zip(alone, bearing, strict=True)
        )
        return Group(causes, shares=shares, rest=np.ones_like(shares[0]))

    def laid_out(
        self, values: Floats, some: tuple[int, ...], *, among: tuple[int, ...] | None = None, axis: int = 0
    ) -> Floats:
        """Lay values for the sets of some causes out over the sets of more causes, all where ``among`` is None."""
        return values if some == among else values.take(self.sets_of(some, among=among), axis=axis)

    def sets_of(self, some: tuple[int, ...], *, among: tuple[int, ...] | None = None) -> Places:
        """Place of what each set of causes (of those ``among``; all where None) has of some of them. Shape (sets,)."""
        more = tuple(range(len(self.prior))) if among is None else among
        return sets_of_some(len(more), self.most_together, tuple(map(more.index, some)))

    def _bearing_on(self, finding: int) -> tuple[int, ...]:
        """Places of the causes that bring a finding about or hold it back."""
        bears = (1 - self.lift[:, finding] != 1) | (self.hold[:, finding] != 1)
        return tuple(np.flatnonzero(bears.any(axis=tuple(range(1, bears.ndim)))).tolist())

    def _alone(self, finding: int, causes: tuple[int, ...]) -> tuple[Floats, Floats]:
        """Chances that a finding by itself is so and is not, for each set of the causes given. Shape (sets, ...)."""
        not_brought = (1 - self.background[finding]) * self._products(1 - self.lift[:, finding], causes)
        passed = self._products(self.hold[:, finding], causes)
        # The second is not written as 1 less the first: near 0 too few digits would be left of it.
        return (1 - not_brought) * passed, (1 - passed) + not_brought * passed

    def _products(self, factors: Floats, causes: tuple[int, ...]) -> Floats:
        """Products of factors, shape (causes, ...), over each set of the causes given. Shape (sets, ...).

        One row stands for all sets where no factor differs from 1.
        """
        some = tuple(cause for cause in causes if (factors[cause] != 1).any())
        products = cause_sets(len(some), self.most_together).products(factors[list(some)])
        return self.laid_out(products, some, among=causes) if some else products


@dataclass(frozen=True, eq=False)
class Group:
    """How the findings of a group share it out, and ``rest``, the share of none of them; the sum is not yet 1.

    Shape (sets, ...) each, for the sets of those ``causes`` alone that bear on the group.
    """

    causes: tuple[int, ...]
    shares: tuple[Floats, ...]
    rest: Floats

    @property
    def chances(self) -> Floats:
        """Chance of each state: each finding so, then none of them. Shape (findings + 1, sets, ...)."""
        shares = np.stack([*self.shares, self.rest])
        shares /= shares.sum(axis=0)
        return shares

    def likelihood(self, answers: Floats) -> Floats:
        """Likelihood of what is known of the group. Shape (sets, ...)."""
        *of_each, of_rest = state_weights(answers)
        fits: Floats = of_rest * self.rest
        whole = self.rest.copy()
        for weight, share in zip(of_each, self.shares, strict=True):
            whole += share
            if weight:
                fits += weight * share
        fits /= whole
        return fits


@dataclass(frozen=True, eq=False)
class Posterior:
    """What is known of the causes once findings are.

    ``answers`` is the evidence, shape (findings,): the probability that a finding is so, NaN where nobody knows.
    ``likelihoods`` are those of what is known, by the number of the group; shape (sets,) each. ``weights``, shape
    (sets,), is the probability of each set of causes.
    """

    network: Network
    answers: Floats
    likelihoods: Mapping[int, Floats]
    weights: Floats

    @cached_property
    def causes(self) -> Floats:
        """Probability that each cause acts, alone or with others. Shape (causes,)."""
        return self.network.sets.causes(self.weights)

    @property
    def nothing(self) -> float:
        """Probability that no cause acts."""
        return float(self.weights[0])

    def without(self, finding: int) -> Floats:
        """Probabilities of the causes had nobody known of this finding. Shape (causes,)."""
        network = self.network
        answers = self.answers.copy()
        answers[finding] = np.nan
        changed = next(number for number, group in enumerate(network.groups) if finding in group)
        # Multiplied anew: what the finding ruled out altogether cannot be had back by division.
        weights = network.set_priors.copy()
        for number, likelihood in self.likelihoods.items():
            if number != changed:
                weights *= likelihood
        if not np.isnan(answers[list(network.groups[changed])]).all():
            weights *= _likelihood(network, network.groups[changed], answers)
        return network.sets.causes(weights / weights.sum())


def posterior(network: Network, answers: Floats) -> Posterior:
    """Probabilities of all sets of causes, given what is known of the findings.

    Parameters
    ----------
    network : Network
    answers : ndarray, shape (findings,)
        Probability that each finding is so: 1 yes, 0 no, between for an uncertain reading, NaN for not known. An
        uncertain one weighs as its odds do, so 0.5 tells nothing. [1]

    Raises
    ------
    DomainError
        If there is not one answer for each finding, one lies outside 0 to 1, or no set of causes can explain them.

    References
    ----------
    pearl1988 (uncertain readings as evidence).
    """
    likelihoods, weights = weigh_sets(network, answers)
    return Posterior(network=network, answers=answers, likelihoods=likelihoods, weights=weights)


def weigh_sets(network: Network, answers: Floats) -> tuple[dict[int, Floats], Floats]:
    """Likelihoods of what is known, by the number of the group, and the probability of each set of causes.

    Shape (sets, ...) each. Refuses what ``posterior`` refuses.
    """
    if answers.shape != network.background.shape[:1]:
        raise DomainError("shape of answers", answers.shape, f"{network.background.shape[:1]}, one for each finding")
    unknown = np.isnan(answers)
    _refuse("answers", answers, unknown | ((answers >= 0) & (answers <= 1)), "from 0 to 1, or NaN for not known")
    likelihoods = {
        number: _likelihood(network, group, answers)
        for number, group in enumerate(network.groups)
        if not unknown[list(group)].all()
    }
    weights = network.set_priors.copy()
    for likelihood in likelihoods.values():
        weights *= likelihood
    total = weights.sum(axis=0)
    if not np.all(total > 0):
        known = {int(place): float(answers[place]) for place in np.flatnonzero(~unknown)}
        raise DomainError("answers", known, "such as some set of causes explains")
    weights /= total
    return likelihoods, weights


def _likelihood(network: Network, places: tuple[int, ...], answers: Floats) -> Floats:
    group = network.group(places)
    return network.laid_out(group.likelihood(answers[list(places)]), group.causes)


def state_weights(answers: Floats) -> Floats:
    """How well each state of a group fits the answers: each finding so, then none of them. Shape (findings + 1,)."""
    so = np.where(np.isnan(answers), 1.0, answers)
    not_so = np.where(np.isnan(answers), 1.0, 1 - answers)
    one_so = np.where(np.eye(len(answers), dtype=bool), so, not_so)
    return np.array([*one_so.prod(axis=1), not_so.prod()])


def _refuse(name: str, values: Floats, fine: NDArray[np.bool_], allowed: str) -> None:
    if not fine.all():
        raise DomainError(name, float(values[~fine][0]), allowed)
