"""A leaky noisy-OR network of causes and findings, and its exact posterior.

Causes are independent before anything is known, except that no more than a stated number act at once. All sets
of causes that may act together are gone through one by one, so nothing is approximated within that model; with
``most_together`` equal to the number of causes it is the plain network.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, cached_property
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from spadework.errors import DomainError

__all__ = ["CauseSets", "Network", "Posterior", "cause_sets", "posterior"]

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class CauseSets:
    """All sets of at most so many causes, the empty one first, then by size.

    ``present`` is bool of shape (sets, causes). ``parent`` and ``added``, shape (sets,), say from which smaller set
    and which cause a set is made; ``sizes`` are the ends of the runs of one size.
    """

    present: NDArray[np.bool_]
    parent: NDArray[np.intp]
    added: NDArray[np.intp]
    sizes: tuple[slice, ...]

    def products(self, factors: Floats) -> Floats:
        """Products of each set's rows of ``factors``, shape (causes, ...); 1 for the empty set. (sets, ...)."""
        out = np.empty((len(self.present), *factors.shape[1:]))
        out[0] = 1.0
        for size in self.sizes:
            np.multiply(out[self.parent[size]], factors[self.added[size]], out=out[size])
        return out


@cache
def cause_sets(causes: int, most_together: int) -> CauseSets:
    """List the sets of at most ``most_together`` of so many causes."""
    found: list[tuple[int, ...]] = [()]
    sizes = []
    for size in range(1, min(most_together, causes) + 1):
        start = len(found)
        found.extend(combinations(range(causes), size))
        sizes.append(slice(start, len(found)))
    place = {one: number for number, one in enumerate(found)}
    present = np.zeros((len(found), causes), dtype=bool)
    for number, one in enumerate(found):
        present[number, list(one)] = True
    return CauseSets(
        present=present,
        parent=np.array([place[one[:-1]] for one in found], dtype=np.intp),
        added=np.array([one[-1] if one else 0 for one in found], dtype=np.intp),
        sizes=tuple(sizes),
    )


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
        If a chance lies outside 0 to 1, a prior or background at 0 or 1, or the groups do not part the findings.

    Notes
    -----
    A finding by itself: (1 - (1 - background) prod(1 - lift)) prod(hold), over the causes that act. In a group the
    odds of these chances are shared out, so that at most one of its findings is so.

    References
    ----------
    pearl1988 (the noisy-OR).
    """

    prior: Floats
    background: Floats
    lift: Floats
    hold: Floats
    groups: tuple[tuple[int, ...], ...]
    most_together: int

    def __post_init__(self) -> None:
        for name in ("prior", "background"):
            values = getattr(self, name)
            if not np.all((values > 0) & (values < 1)):
                raise DomainError(name, _first(values, (values > 0) & (values < 1)), "between 0 and 1, ends excluded")
        for name in ("lift", "hold"):
            values = getattr(self, name)
            if not np.all((values >= 0) & (values <= 1)):
                raise DomainError(name, _first(values, (values >= 0) & (values <= 1)), "from 0 to 1")
        if sorted(place for group in self.groups for place in group) != list(range(len(self.background))):
            raise DomainError("groups", self.groups, "each finding in exactly one group")

    @property
    def sets(self) -> CauseSets:
        """The sets of causes that may act together."""
        return cause_sets(len(self.prior), self.most_together)

    def only(self, places: list[int]) -> Network:
        """Return the network with the findings at these places and no other; groups stay together."""
        number = {place: count for count, place in enumerate(places)}
        return Network(
            prior=self.prior,
            background=self.background[places],
            lift=self.lift[:, places],
            hold=self.hold[:, places],
            groups=tuple(
                tuple(number[place] for place in group) for group in self.groups if number.keys() & set(group)
            ),
            most_together=self.most_together,
        )

    def chances(self) -> Floats:
        """Chance of each finding for each set of causes, groups shared out. Shape (sets, findings)."""
        sets = self.sets
        alone = (1 - (1 - self.background) * sets.products(1 - self.lift)) * sets.products(self.hold)
        for group in self.groups:
            if len(group) > 1:
                places = list(group)
                # A finding that a cause is certain to bring about takes the whole of its group.
                odds = alone[:, places] / np.maximum(1 - alone[:, places], 1e-12)
                alone[:, places] = odds / (1 + odds.sum(axis=1, keepdims=True))
        return alone

    def set_priors(self) -> Floats:
        """Probability of each set of causes before anything is known. Shape (sets,)."""
        weights = self.sets.products(self.prior / (1 - self.prior))
        return np.asarray(weights / weights.sum())


@dataclass(frozen=True, eq=False)
class Posterior:
    """What is known of the causes once findings are.

    ``answers`` is the evidence, shape (findings,): the probability that a finding is so, NaN where nobody knows.
    ``chances``, shape (sets, findings), is the network's; ``weights``, shape (sets,), sums to 1.
    """

    network: Network
    answers: Floats
    chances: Floats
    weights: Floats

    @property
    def causes(self) -> Floats:
        """Probability that each cause acts, alone or with others. Shape (causes,)."""
        return self.weights @ self.network.sets.present

    @property
    def nothing(self) -> float:
        """Probability that no cause acts."""
        return float(self.weights[0])

    @cached_property
    def likelihoods(self) -> tuple[Floats, ...]:
        """Likelihood of what is known of each group, for each set of causes. Shape (sets,) each."""
        return tuple(group_likelihood(self.chances, group, self.answers) for group in self.network.groups)

    def without(self, finding: int) -> Floats:
        """Probabilities of the causes had nobody known of this finding. Shape (causes,)."""
        number = next(place for place, group in enumerate(self.network.groups) if finding in group)
        answers = self.answers.copy()
        answers[finding] = np.nan
        weights = (
            self.weights
            / self.likelihoods[number]
            * group_likelihood(self.chances, self.network.groups[number], answers)
        )
        return np.asarray(weights @ self.network.sets.present / weights.sum())


def posterior(network: Network, answers: Floats) -> Posterior:
    """Probabilities of all sets of causes, given what is known of the findings.

    Parameters
    ----------
    network : Network
    answers : ndarray, shape (findings,)
        Probability that each finding is so: 1 yes, 0 no, between for an uncertain reading, NaN for not known. [1]

    Raises
    ------
    DomainError
        If an answer lies outside 0 to 1, or no set of causes can explain the answers.
    """
    known = ~np.isnan(answers)
    inside = ~known | ((answers >= 0) & (answers <= 1))
    if not inside.all():
        raise DomainError("answers", _first(answers, inside), "from 0 to 1")
    chances = network.chances()
    weights = network.set_priors()
    for group in network.groups:
        if known[list(group)].any():
            weights = weights * group_likelihood(chances, group, answers)
    total = weights.sum()
    if not total > 0:
        raise DomainError("answers", answers, "explained by some set of causes")
    return Posterior(network=network, answers=answers, chances=chances, weights=weights / total)


def state_weights(answers: Floats) -> Floats:
    """How well each state of a group fits the answers: each finding so, then none of them. Shape (findings + 1,)."""
    so = np.where(np.isnan(answers), 1.0, answers)
    not_so = np.where(np.isnan(answers), 1.0, 1 - answers)
    each = [so[place] * np.prod(np.delete(not_so, place)) for place in range(len(answers))]
    return np.array([*each, np.prod(not_so)])


def group_likelihood(chances: Floats, group: tuple[int, ...], answers: Floats) -> Floats:
    """Likelihood of the answers on one group for each set of causes. Shape (sets,)."""
    weights = state_weights(answers[list(group)])
    so = chances[:, list(group)]
    return np.asarray(so @ weights[:-1] + (1 - so.sum(axis=1)) * weights[-1])


def _first(values: Floats, fine: NDArray[np.bool_]) -> float:
    return float(values[~fine][0])
