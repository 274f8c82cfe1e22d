"""Whether people who score the same plants agree: weighted kappa of classes, intraclass correlation of counts."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.errors import DomainError

__all__ = [
    "IntraclassCorrelation",
    "Kappa",
    "ScorerAgreement",
    "intraclass_correlation",
    "scorer_agreement",
    "weighted_kappa",
]

Floats = NDArray[np.float64]
Integers = NDArray[np.intp]

_NOTHING = 1e-12
"""Part of a sum under which it is rounding and no more."""


@dataclass(frozen=True)
class Kappa:
    """Agreement beyond chance.

    ``observed`` is the plain share of plants put in the same class, ``expected`` what chance alone would give, and
    ``prevalence`` the share of plants in each class, both scorers taken together. [1] Where one class prevails,
    kappa is low however often scorers agree, so it is read beside these.
    ``kappa`` and ``standard_error`` are None where both scorers put every plant in one and the same class.
    """

    kappa: float | None
    standard_error: float | None
    observed: float
    expected: float
    prevalence: tuple[float, ...]


def weighted_kappa(table: ArrayLike, weights: ArrayLike | str = "linear") -> Kappa:
    """Weighted kappa of a square table of plants by class of the one scorer and of the other.

    Parameters
    ----------
    table : array_like, shape (classes, classes)
        Plants (or shares of plants) in each pair of classes.
    weights : {'linear', 'quadratic', 'none'} or array_like, shape (classes, classes)
        How bad each disagreement is: by classes apart, by their square, all alike, or as given (0 on the diagonal).

    Raises
    ------
    DomainError
        If the table is not square, is empty or holds a negative number, or the weights do not fit it.

    References
    ----------
    cohen1960, cohen1968 (weights), fleiss1969 (standard error)
    """
    counts = np.asarray(table, dtype=float)
    square = counts.ndim == 2 and counts.shape[0] == counts.shape[1]
    if not square or not np.isfinite(counts).all() or (counts < 0).any() or counts.sum() <= 0:
        raise DomainError("table", counts.tolist(), "a square table of plants, not empty and none negative")
    total = counts.sum()
    share = counts / total
    bad = _badness(weights, len(share))
    good = 1 - bad / bad.max() if bad.max() > 0 else np.ones_like(share)
    rows, columns = share.sum(axis=1), share.sum(axis=0)
    observed, expected = float((good * share).sum()), float(rows @ good @ columns)
    kappa = error = None
    if 1 - expected > _NOTHING:
        kappa = (observed - expected) / (1 - expected)
        means = np.add.outer(good @ columns, rows @ good)
        variance = (share * (good - means * (1 - kappa)) ** 2).sum() - (kappa - expected * (1 - kappa)) ** 2
        error = float(np.sqrt(max(variance, 0.0) / total) / (1 - expected))
    return Kappa(
        kappa=kappa,
        standard_error=error,
        observed=float(np.trace(share)),
        expected=float(rows @ columns),
        prevalence=tuple(((rows + columns) / 2).tolist()),
    )


def _badness(weights: ArrayLike | str, classes: int) -> Floats:
    """How bad each disagreement is, shape (classes, classes)."""
    apart = np.abs(np.subtract.outer(np.arange(classes), np.arange(classes))).astype(float)
    named = {"linear": apart, "quadratic": apart**2, "none": (apart > 0).astype(float)}
    if isinstance(weights, str):
        if weights not in named:
            raise DomainError("weights", weights, f"one of {', '.join(named)}, or a table")
        return named[weights]
    bad = np.asarray(weights, dtype=float)
    if bad.shape != apart.shape or not (bad >= 0).all() or np.diag(bad).any() or not np.isfinite(bad).all():
        raise DomainError("weights", bad.tolist(), f"{classes} by {classes}, at least 0, and 0 where classes agree")
    return bad


@dataclass(frozen=True)
class IntraclassCorrelation:
    """Likeness of the ratings that plants got, from the mean squares of the two-way table of plants and scorers.

    One scorer's rating: ``one_way`` is ICC(1,1), where each plant had scorers of its own; ``agreement`` ICC(2,1),
    where scorers are a sample and a shift between them counts; ``consistency`` ICC(3,1), where it does not.
    ``..._of_mean`` are ICC(1,k), ICC(2,k) and ICC(3,k), for the mean of all scorers. [1]
    """

    plants: int
    scorers: int
    between_plants: float
    between_scorers: float
    residual: float

    @property
    def within_plants(self) -> float:
        """Mean square within plants: scorers and residual together."""
        return (self.between_scorers + (self.plants - 1) * self.residual) / self.plants

    @property
    def one_way(self) -> float:
        """ICC(1,1)."""
        spread = self.between_plants + (self.scorers - 1) * self.within_plants
        return (self.between_plants - self.within_plants) / spread

    @property
    def agreement(self) -> float:
        """ICC(2,1)."""
        shift = self.scorers * (self.between_scorers - self.residual) / self.plants
        spread = self.between_plants + (self.scorers - 1) * self.residual + shift
        return (self.between_plants - self.residual) / spread

    @property
    def consistency(self) -> float:
        """ICC(3,1)."""
        spread = self.between_plants + (self.scorers - 1) * self.residual
        return (self.between_plants - self.residual) / spread

    @property
    def one_way_of_mean(self) -> float:
        """ICC(1,k)."""
        return (self.between_plants - self.within_plants) / self.between_plants

    @property
    def agreement_of_mean(self) -> float:
        """ICC(2,k)."""
        shift = (self.between_scorers - self.residual) / self.plants
        return (self.between_plants - self.residual) / (self.between_plants + shift)

    @property
    def consistency_of_mean(self) -> float:
        """ICC(3,k)."""
        return (self.between_plants - self.residual) / self.between_plants


def intraclass_correlation(ratings: ArrayLike) -> IntraclassCorrelation | None:
    """Intraclass correlation of plants (rows) scored by the same scorers (columns).

    Returns
    -------
    IntraclassCorrelation or None
        None with fewer than two plants or scorers, or where plants do not differ on average: there is then
        nothing that scorers could agree upon.

    Raises
    ------
    DomainError
        If a rating is missing: leave incomplete plants out beforehand.

    References
    ----------
    shrout_fleiss1979
    """
    table = np.asarray(ratings, dtype=float)
    if table.ndim != 2 or min(table.shape) < 2:
        return None
    gaps = np.flatnonzero(~np.isfinite(table).all(axis=1))
    if gaps.size:
        raise DomainError("ratings", "a gap", "complete, every plant scored by every scorer", index=int(gaps[0]))
    plants, scorers = table.shape
    mean = table.mean()
    of_plants = scorers * ((table.mean(axis=1) - mean) ** 2).sum()
    if of_plants <= _NOTHING * (table**2).sum():
        return None
    rest = table - table.mean(axis=1, keepdims=True) - table.mean(axis=0) + mean
    return IntraclassCorrelation(
        plants=plants,
        scorers=scorers,
        between_plants=float(of_plants / (plants - 1)),
        between_scorers=float(plants * ((table.mean(axis=0) - mean) ** 2).sum() / (scorers - 1)),
        residual=float((rest**2).sum() / ((plants - 1) * (scorers - 1))),
    )


@dataclass(frozen=True)
class ScorerAgreement:
    """Agreement over the plants scored by more than one person.

    The figures are means over pairs of scorers, weighed by the plants that a pair has in common; pairs with too
    few are left out, and with no other pair all figures are None. ``weighted_kappa`` alone is None where
    every pair put all plants in one class, ``intraclass_correlation`` alone where plants do not differ. [1]
    """

    plants: int
    scorers: tuple[str, ...]
    weighted_kappa: float | None
    observed_agreement: float | None
    intraclass_correlation: float | None
    warning: bool


def scorer_agreement(
    *,
    plant: Integers,
    scorer: NDArray[np.str_],
    category: Integers,
    count: Floats,
    categories: int,
    warn_below: float,
    fewest_plants: int,
) -> ScorerAgreement:
    """Compare scorers over the plants that more than one of them scored.

    Parameters
    ----------
    plant, scorer, category, count : ndarray, shape (scorings,)
        Which plant, by whom, in which ordinal class (0 to ``categories`` - 1), and the value counted.
    categories : int
        Number of classes.
    warn_below : float
        Weighted kappa under which a warning is given; row ``agreement.kappa_warning``. [1]
    fewest_plants : int
        Plants in common under which a pair of scorers is left out; row ``agreement.fewest_plants``.

    Raises
    ------
    DomainError
        If a class does not exist, or one scorer scored a plant twice.
    """
    outside = np.flatnonzero((category < 0) | (category >= categories))
    if outside.size:
        raise DomainError("category", int(category[outside[0]]), f"from 0 to {categories - 1}", index=int(outside[0]))
    names = tuple(sorted({str(name) for name in scorer}))
    scorings = {name: _scorings_of(plant, np.flatnonzero(scorer == name)) for name in names}
    twice: set[int] = set()
    pairs = []
    for one, other in combinations(names, 2):
        common = sorted(scorings[one].keys() & scorings[other].keys())
        twice.update(common)
        if len(common) >= fewest_plants:
            pairs.append(([scorings[one][p] for p in common], [scorings[other][p] for p in common]))
    kappas = [_kappa_of_pair(category[first], category[second], categories) for first, second in pairs]
    correlations = [intraclass_correlation(np.column_stack([count[first], count[second]])) for first, second in pairs]
    plants = [len(first) for first, _ in pairs]
    kappa = _mean_of_pairs([pair.kappa for pair in kappas], plants)
    return ScorerAgreement(
        plants=len(twice),
        scorers=names,
        weighted_kappa=kappa,
        observed_agreement=_mean_of_pairs([pair.observed for pair in kappas], plants),
        intraclass_correlation=_mean_of_pairs(
            [None if pair is None else pair.agreement for pair in correlations], plants
        ),
        warning=kappa is not None and kappa < warn_below,
    )


def _scorings_of(plant: Integers, scorings: Integers) -> dict[int, int]:
    """Scoring of each plant, by one scorer."""
    found: dict[int, int] = {}
    for at in scorings.tolist():
        number = int(plant[at])
        if number in found:
            raise DomainError("plant", number, "scored once by each scorer", index=at)
        found[number] = at
    return found


def _kappa_of_pair(first: Integers, second: Integers, categories: int) -> Kappa:
    table = np.zeros((categories, categories))
    np.add.at(table, (first, second), 1)
    return weighted_kappa(table)


def _mean_of_pairs(figures: list[float | None], plants: list[int]) -> float | None:
    known = [(figure, weight) for figure, weight in zip(figures, plants, strict=True) if figure is not None]
    if not known:
        return None
    return sum(figure * weight for figure, weight in known) / sum(weight for _, weight in known)
