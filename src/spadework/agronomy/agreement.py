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

_FEWEST_PLANTS = 5
"""Plants scored twice under which nothing is said of agreement; judgement."""


@dataclass(frozen=True)
class Kappa:
    """Agreement beyond chance.

    ``observed`` is the plain share of plants put in the same class, ``expected`` what chance alone would give. [1]
    ``kappa`` and ``standard_error`` are None where both scorers put every plant in one and the same class.
    """

    kappa: float | None
    standard_error: float | None
    observed: float
    expected: float


def weighted_kappa(table: ArrayLike, weights: ArrayLike | str = "linear") -> Kappa:
    """Weighted kappa of a square table of plants by class of the one scorer and of the other.

    Parameters
    ----------
    table : array_like, shape (classes, classes)
        Plants (or shares of plants) in each pair of classes.
    weights : {'linear', 'none'} or array_like, shape (classes, classes)
        How bad each disagreement is: by classes apart, all alike, or as given (0 on the diagonal).

    Raises
    ------
    DomainError
        If the table is not square, is empty or holds a negative number.

    References
    ----------
    cohen1960, cohen1968 (weights), fleiss1969 (standard error)
    """
    counts = np.asarray(table, dtype=float)
    if counts.ndim != 2 or counts.shape[0] != counts.shape[1] or counts.min(initial=0) < 0 or counts.sum() <= 0:
        raise DomainError("table", counts.tolist(), "a square table of plants, not empty and none negative")
    total = counts.sum()
    share = counts / total
    step = np.abs(np.subtract.outer(np.arange(len(share)), np.arange(len(share)))).astype(float)
    if isinstance(weights, str):
        bad = {"linear": step, "none": (step > 0).astype(float)}[weights]
    else:
        bad = np.asarray(weights, dtype=float)
    good = 1 - bad / bad.max() if bad.max() > 0 else np.ones_like(share)
    rows, columns = share.sum(axis=1), share.sum(axis=0)
    observed, expected = float((good * share).sum()), float(rows @ good @ columns)
    same = float(np.trace(share))
    if 1 - expected < 1e-12:
        return Kappa(kappa=None, standard_error=None, observed=same, expected=float(rows @ columns))
    kappa = (observed - expected) / (1 - expected)
    means = np.add.outer(good @ columns, rows @ good)
    variance = (share * (good - means * (1 - kappa)) ** 2).sum() - (kappa - expected * (1 - kappa)) ** 2
    error = float(np.sqrt(max(variance, 0.0) / total) / (1 - expected))
    return Kappa(kappa=kappa, standard_error=error, observed=same, expected=float(rows @ columns))


@dataclass(frozen=True)
class IntraclassCorrelation:
    """Single-scorer correlations of the two-way table and its mean squares.

    ``agreement`` is ICC(2,1): scorers are a sample and a shift between them counts; ``consistency`` is ICC(3,1).
    """

    agreement: float
    consistency: float
    between_plants: float
    between_scorers: float
    residual: float


def intraclass_correlation(ratings: ArrayLike) -> IntraclassCorrelation | None:
    """Intraclass correlation of plants (rows) scored by the same scorers (columns).

    Returns
    -------
    IntraclassCorrelation or None
        None with fewer than two plants or scorers, or where no rating differs from another.

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
    if not np.isfinite(table).all():
        raise DomainError("ratings", "a gap", "complete, every plant scored by every scorer")
    plants, scorers = table.shape
    mean = table.mean()
    between_plants = float(scorers * ((table.mean(axis=1) - mean) ** 2).sum() / (plants - 1))
    between_scorers = float(plants * ((table.mean(axis=0) - mean) ** 2).sum() / (scorers - 1))
    rest = table - table.mean(axis=1, keepdims=True) - table.mean(axis=0) + mean
    residual = float((rest**2).sum() / ((plants - 1) * (scorers - 1)))
    spread = between_plants + (scorers - 1) * residual
    if spread <= 0:
        return None
    shift = scorers * (between_scorers - residual) / plants
    return IntraclassCorrelation(
        agreement=(between_plants - residual) / (spread + shift),
        consistency=(between_plants - residual) / spread,
        between_plants=between_plants,
        between_scorers=between_scorers,
        residual=residual,
    )


@dataclass(frozen=True)
class ScorerAgreement:
    """Agreement over the plants scored more than once; figures are None where too little is known.

    ``weighted_kappa`` and ``observed_agreement`` are means over pairs of scorers, weighed by the plants that
    a pair has in common; ``intraclass_correlation`` is that of the pair with most plants in common.
    """

    plants: int
    scorers: tuple[str, ...]
    weighted_kappa: float | None
    observed_agreement: float | None
    intraclass_correlation: float | None
    warning: bool


def scorer_agreement(
    *,
    plant: NDArray[np.intp],
    scorer: NDArray[np.str_],
    category: NDArray[np.intp],
    count: Floats,
    categories: int,
    warn_below: float,
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
    """
    names = tuple(sorted({str(name) for name in scorer}))
    scored = {name: dict(zip(plant[scorer == name], np.flatnonzero(scorer == name), strict=True)) for name in names}
    pairs = []
    for one, other in combinations(names, 2):
        common = sorted(scored[one].keys() & scored[other].keys())
        if common:
            pairs.append((np.array([scored[one][p] for p in common]), np.array([scored[other][p] for p in common])))
    twice = len({int(plant[row]) for first, _ in pairs for row in first})
    enough = [pair for pair in pairs if len(pair[0]) >= _FEWEST_PLANTS]
    if not enough:
        return ScorerAgreement(twice, names, None, None, None, warning=False)
    kappas = [_kappa_of_pair(category[first], category[second], categories) for first, second in enough]
    weight = np.array([len(first) for first, _ in enough], dtype=float)
    known = np.array([result.kappa is not None for result in kappas])
    kappa = float(np.average([k.kappa or 0.0 for k in kappas], weights=weight * known)) if known.any() else None
    first, second = max(enough, key=lambda pair: len(pair[0]))
    icc = intraclass_correlation(np.column_stack([count[first], count[second]]))
    return ScorerAgreement(
        plants=twice,
        scorers=names,
        weighted_kappa=kappa,
        observed_agreement=float(np.average([result.observed for result in kappas], weights=weight)),
        intraclass_correlation=None if icc is None else icc.agreement,
        warning=kappa is not None and kappa < warn_below,
    )


def _kappa_of_pair(first: NDArray[np.intp], second: NDArray[np.intp], categories: int) -> Kappa:
    table = np.zeros((categories, categories))
    np.add.at(table, (first, second), 1)
    return weighted_kappa(table)
