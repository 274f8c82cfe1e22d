"""Findings from leaves, growth and washed roots of the plants of the visit judged."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from spadework.advice.diagnosis.value import Evidence
from spadework.advice.evidence.rule import limit_for, ramp, share_of_plants, tell
from spadework.advice.evidence.seen import Seen
from spadework.records.types import LeafColour, PlantRow, RootHealth

__all__ = ["tops"]


def tops(seen: Seen) -> Iterator[Evidence]:
    """All that leaves, growth and washed roots say, each from the share of the plants on which it was looked at."""
    vigorous = limit_for("vigorous_from", seen).central
    stunted = limit_for("stunted_up_to", seen).central
    yield from _by_share(seen, "pale_old_leaves", lambda row: _pale(row.leaf_old))
    yield from _by_share(seen, "pale_young_leaves", lambda row: _pale(row.leaf_young))
    yield from _by_share(seen, "green_tops", lambda row: _green(row, vigorous))
    yield from _by_share(seen, "stunted", lambda row: None if row.vigour is None else row.vigour <= stunted)
    yield from _by_share(seen, "sick_roots", lambda row: _root(row, RootHealth.DISCOLOURED, RootHealth.ROTTEN))
    yield from _by_share(seen, "galls_or_cysts", lambda row: _root(row, RootHealth.GALLED))
    yield from _by_share(seen, "stubby_roots", lambda row: _root(row, RootHealth.PRUNED))


def _by_share(seen: Seen, finding: str, so: Callable[[PlantRow], bool | None]) -> Iterator[Evidence]:
    """How sure a finding is, by the share of plants on which it is so; None is a plant of which it is unknown."""
    if seen.visit is None:
        return
    answers = [so(row) for row in seen.visit.rows]
    share = share_of_plants(seen, np.array([np.nan if answer is None else float(answer) for answer in answers]))
    if share is not None:
        limit = limit_for(finding, seen)
        values = {"so": share.mean * share.plants, "plants": share.plants}
        yield tell(finding, ramp(share.mean, limit), finding, values, (limit,))


def _pale(leaves: LeafColour | None) -> bool | None:
    return None if leaves is None else leaves is not LeafColour.GREEN


def _green(row: PlantRow, vigorous: float) -> bool | None:
    """Leaves green and growth strong; old leaves and growth must have been looked at, unless one of them says no."""
    weak = row.vigour is not None and row.vigour < vigorous
    if weak or _pale(row.leaf_old) or _pale(row.leaf_young):
        return False
    return None if row.vigour is None or row.leaf_old is None else True


def _root(row: PlantRow, *looks: RootHealth) -> bool | None:
    return None if row.root_health is None else row.root_health in looks
