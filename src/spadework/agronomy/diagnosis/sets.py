"""The sets of causes that may act together, and products over them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from spadework.errors import DomainError

__all__ = ["CauseSets", "cause_sets", "sets_of_some", "sum_over_sets"]

Floats = NDArray[np.float64]
Places = NDArray[np.intp]

_RUN = 256


@dataclass(frozen=True, eq=False)
class CauseSets:
    """All sets of at most so many causes: the empty one first, then by size, then in the order of the causes.

    ``present`` is bool of shape (sets, causes). Each set but the empty one is made of a smaller one, its ``parent``,
    and one cause that comes after those of the parent, ``added`` (-1 for the empty set); both have shape (sets,).
    ``first_child`` is the place of the first set made of each. ``sizes`` are the runs of sets of 1, 2 ... causes.
    """

    present: NDArray[np.bool_]
    parent: Places
    added: Places
    first_child: Places
    sizes: tuple[slice, ...]

    def __len__(self) -> int:
        return len(self.parent)

    @cached_property
    def members(self) -> Floats:
        """``present`` as 0 and 1, turned. Shape (causes, sets)."""
        return np.ascontiguousarray(self.present.T, dtype=float)

    def causes(self, weights: Floats) -> Floats:
        """Probability of each cause from those of the sets, shape (sets, ...). Shape (causes, ...)."""
        return np.minimum(sum_over_sets(self.members, weights), 1.0)

    def products(self, factors: Floats) -> Floats:
        """Products of each set's rows of ``factors``, shape (causes, ...); 1 for the empty set. Shape (sets, ...)."""
        out = np.empty((len(self), *factors.shape[1:]))
        out[0] = 1.0
        for size in self.sizes:
            # All places are within; to clip and not to look saves a copy.
            np.take(out[: size.start], self.parent[size], axis=0, out=out[size], mode="clip")
            out[size] *= factors.take(self.added[size], axis=0)
        return out


@cache
def cause_sets(causes: int, most_together: int) -> CauseSets:
    """List the sets of at most ``most_together`` of so many causes.

    Raises
    ------
    DomainError
        If ``most_together`` is below 1.
    """
    if most_together < 1:
        raise DomainError("most_together", most_together, "1 or more")
    parents, added = [np.array([0])], [np.array([-1])]
    first_child, sizes = [], []
    start, stop = 0, 1
    for _ in range(min(most_together, causes)):
        last = added[-1]
        children = causes - 1 - last
        before = np.cumsum(children) - children
        made_of = np.repeat(np.arange(stop - start), children)
        parents.append(made_of + start)
        added.append(last[made_of] + 1 + np.arange(len(made_of)) - before[made_of])
        first_child.append(before + stop)
        start, stop = stop, stop + len(made_of)
        sizes.append(slice(start, stop))
    first_child.append(np.full(stop - start, stop))  # nothing is made of the largest
    parent, last_added = np.concatenate(parents), np.concatenate(added)
    present = np.zeros((stop, causes), dtype=bool)
    for size in sizes:
        present[size] = present[parent[size]]
        present[np.arange(size.start, size.stop), last_added[size]] = True
    return CauseSets(
        present=present,
        parent=parent,
        added=last_added,
        first_child=np.concatenate(first_child),
        sizes=tuple(sizes),
    )


@lru_cache(maxsize=256)
def sets_of_some(causes: int, most_together: int, some: tuple[int, ...]) -> Places:
    """Place, among the sets of ``some`` of the causes, of what each set of all causes has of them. Shape (sets,).

    ``some`` are places of causes in rising order; a quantity that hangs on them alone is worked out on
    ``cause_sets(len(some), most_together)`` and laid out over all sets by this.
    """
    every, fewer = cause_sets(causes, most_together), cause_sets(len(some), most_together)
    number = np.full(causes, -1)
    number[list(some)] = np.arange(len(some))
    places = np.zeros(len(every), dtype=np.intp)
    for size in every.sizes:
        smaller, one_more = places[every.parent[size]], number[every.added[size]]
        larger = fewer.first_child[smaller] + one_more - fewer.added[smaller] - 1
        places[size] = np.where(one_more < 0, smaller, larger)
    return places


def sum_over_sets(first: Floats, second: Floats) -> Floats:
    """Matrix product of shapes (..., sets) and (sets, ...).

    A short run of sets at a time: a linear-algebra library puts threads on longer ones, and these stall whenever the
    other processors are busy, as they are with other fields.
    """
    runs = (slice(start, start + _RUN) for start in range(0, len(second), _RUN))
    return np.asarray(sum(first[..., run] @ second[run] for run in runs))
