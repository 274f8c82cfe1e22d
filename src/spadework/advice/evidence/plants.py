"""Findings from the roots of the visit judged: how many nodules, where they sit, how large and of which colour."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from spadework.advice.diagnosis.value import Evidence
from spadework.advice.evidence.rule import all_of, limit_for, ramp, share_of_plants, tell
from spadework.advice.evidence.seen import Seen
from spadework.advice.verdict import score_visit
from spadework.advice.visit import Visit, is_bare
from spadework.quantity import Quantity
from spadework.records.types import SizeClass

__all__ = ["plants"]

Floats = NDArray[np.float64]


def plants(seen: Seen) -> Iterator[Evidence]:
    """All that the roots of the visit say; nothing without a visit."""
    if seen.visit is None:
        return
    classes = _classes_by_number(seen, seen.visit)
    enough = None if classes is None else classes[-1]
    yield from _no_nodules(seen, seen.visit)
    yield from _few_nodules(seen, classes)
    yield from _crown(seen, seen.visit)
    yield from _size_and_colour(seen, seen.visit, enough)
    yield from _nodules_normal(seen)
    yield from _even_over_field(seen)


# ------------------------------------------------------------------ how many
def _no_nodules(seen: Seen, visit: Visit) -> Iterator[Evidence]:
    some = visit.counts(counted_sizes="any_size").low > 0
    values = np.where(some, 0.0, [1.0 if is_bare(row) else np.nan for row in visit.rows])
    share = share_of_plants(seen, values)
    if share is not None:
        limit = limit_for("bare_plants", seen)
        values_told = {"bare": share.mean * share.plants, "plants": share.plants}
        yield tell("no_nodules", ramp(share.mean, limit), "bare_plants", values_told, (limit,))


def _classes_by_number(seen: Seen, visit: Visit) -> tuple[float, ...] | None:
    """Probability of each class by the number of nodules alone, whatever their colour, the worst class first."""
    verdict = seen.verdict
    if verdict is None:
        return None
    if verdict.by_number_only or verdict.none_found:
        return tuple(one.probability for one in verdict.classes)
    nothing = {"cut_open": None, "red_pink": None, "white": None, "green_brown": None}
    uncut = replace(visit, rows=tuple(row.model_copy(update=nothing) for row in visit.rows))
    share = score_visit(uncut, target=verdict.target, knowledge=seen.knowledge).share
    return None if share is None else tuple(map(float, share.class_probabilities(verdict.class_limits)))


def _few_nodules(seen: Seen, classes: tuple[float, ...] | None) -> Iterator[Evidence]:
    """Few in the worst class, not few in the best one, and as likely so as not half way between."""
    if classes is None:
        return
    steps = len(classes) - 1
    few = sum(chance * (1 - place / steps) for place, chance in enumerate(classes))
    row = seen.knowledge.row("classes.share_adequate")
    yield tell("few_nodules", few, "few_nodules", {"enough": classes[-1]}, (row,))


# ------------------------------------------------------------------ where they sit
def _crown(seen: Seen, visit: Visit) -> Iterator[Evidence]:
    """Whether crowns are bare, or nearly so, while other roots carry nodules; how deep those sit nobody counts."""
    with_nodules = share_of_plants(seen, np.where(visit.counts(counted_sizes="any_size").low > 0, 1.0, np.nan))
    crown = None if seen.readings is None else seen.readings.position.crown_share
    if with_nodules is not None and crown is not None:
        limit = limit_for("crown_share", seen)
        yield tell("bare_crown", 1 - ramp(crown.value, limit), "bare_crown", {"crown": crown.value}, (limit,))


# ------------------------------------------------------------------ how large, of which colour
def _size_and_colour(seen: Seen, visit: Visit, enough: float | None) -> Iterator[Evidence]:
    size, mostly = limit_for("size_share", seen), limit_for("red_share", seen)
    pale_limit, brown_limit = limit_for("white_share", seen), limit_for("green_brown_share", seen)
    large = _share_of_size(seen, visit, SizeClass.OVER_5_MM)
    small = _share_of_size(seen, visit, SizeClass.UNDER_2_MM)
    red, white, brown = _colours(seen)
    few = None if enough is None else 1 - enough
    sure = all_of(few, None if large is None else ramp(large, size), None if red is None else ramp(red, mostly))
    if sure is not None:
        yield tell("few_large_red", sure, "few_large_red", rows=(size, mostly))
    pale = None if white is None else ramp(white, pale_limit)
    sure = all_of(enough, None if small is None else ramp(small, size), pale)
    if sure is not None:
        yield tell("many_small_pale", sure, "many_small_pale", rows=(size, pale_limit))
    if brown is not None:
        yield tell("green_or_brown", ramp(brown, brown_limit), "green_or_brown", {"share": brown}, (brown_limit,))


def _share_of_size(seen: Seen, visit: Visit, size: SizeClass) -> float | None:
    """Share of plants whose nodules are mostly of a size, among those of which it was written down."""
    sizes = [np.nan if row.size_class is None else float(row.size_class is size) for row in visit.rows]
    share = share_of_plants(seen, np.array(sizes))
    return None if share is None else share.mean


def _colours(seen: Seen) -> tuple[float | None, float | None, float | None]:
    """Shares of red, white, and green or brown nodules; None where too few were cut or nobody looked for it."""
    colour = None if seen.readings is None else seen.readings.colour
    if colour is None or colour.cut_open < limit_for("fewest_cut", seen).central:
        return None, None, None
    shares: tuple[Quantity | None, ...] = (colour.red_pink, colour.white, colour.green_brown)
    red, white, brown = (None if share is None else share.value for share in shares)
    return red, white, brown


def _nodules_normal(seen: Seen) -> Iterator[Evidence]:
    if seen.verdict is None:
        return
    limit = limit_for("red_share", seen)
    red, _, _ = _colours(seen)
    sure = all_of(seen.verdict.classes[-1].probability, None if red is None else ramp(red, limit))
    if sure is not None:
        yield tell("nodules_normal", sure, "nodules_normal", rows=(limit,))


# ------------------------------------------------------------------ over the field
def _even_over_field(seen: Seen) -> Iterator[Evidence]:
    """Stops that differ are not even; stops that are all poor, at the right time, are so probably."""
    verdict = seen.verdict
    if verdict is None:
        return
    if verdict.patch is not None:
        by_chance = seen.knowledge.row("planning.patch_p")
        yield tell("even_over_field", 0.0, "stops", {"stops": verdict.stops}, (by_chance,))
        return
    stops, sure = limit_for("even_stops", seen), limit_for("even_sure", seen)
    all_poor = verdict.leading == verdict.classes[0].name
    if all_poor and verdict.stops >= stops.central and seen.timing.in_time:
        values = {"stops": verdict.stops}
        yield tell("even_over_field", sure.central, "stops", values, (stops, sure), told_as="yes")
