"""Plants as a scorer would have written them down: nodules, what they look like cut open, and the tops."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from spadework.demo.draws import Draws
from spadework.records.types import CountRange, LeafColour, PlantRow, RootHealth, SizeClass

__all__ = ["Nodulation", "SecondScorer", "Tops", "Writing", "dig_plants"]

CLASSES: tuple[CountRange, ...] = (
    CountRange(0, 0),
    CountRange(1, 5),
    CountRange(6, 10),
    CountRange(11, 20),
    CountRange(21, 50),
    CountRange(51, None),
)
"""The count classes that the demo's scorers use when they do not count."""


class SecondScorer(StrEnum):
    """How a second person's scores of the same plants come out."""

    AGREES = "agrees"
    DISAGREES = "disagrees"


@dataclass(frozen=True, kw_only=True)
class Nodulation:
    """How the roots of a field truly are.

    ``mean`` nodules (or clusters) a plant, scattered with negative-binomial ``k``; stops differ by
    ``stop_spread`` (standard deviation of the log) and, where ``stop_factors`` are given, by these factors in
    turn. ``crown`` is the share of nodules on the crown, ``red`` the share red inside, ``white`` the share
    white among those that are not red. ``size`` is the size class of most nodules.
    """

    mean: float
    k: float = 10.0
    stop_spread: float = 0.15
    stop_factors: tuple[float, ...] = (1.0,)
    crown: float = 0.6
    red: float = 0.88
    white: float = 0.7
    size: SizeClass = SizeClass.FROM_2_TO_5_MM


@dataclass(frozen=True, kw_only=True)
class Tops:
    """How the plants look above ground and how the washed roots look.

    ``vigour`` is the mean on the 0-5 scale; it follows nodulation by ``follows`` points per log unit.
    ``pale_old`` and ``pale_young`` are shares of plants with pale or yellow leaves; ``root_ill`` the share of
    plants whose root looks like ``root_look``.
    """

    vigour: float = 4.0
    follows: float = 0.5
    pale_old: float = 0.05
    pale_young: float = 0.02
    root_look: RootHealth = RootHealth.DISCOLOURED
    root_ill: float = 0.04


@dataclass(frozen=True, kw_only=True)
class Writing:
    """How the scorer works: ``cut`` nodules opened a plant, none on the share ``uncut`` of the plants.

    ``in_classes`` is the share of plants whose nodules are put in a class instead of counted. Where there is
    a ``second`` scorer, the first ``twice`` plants of each stop are scored again.
    """

    cut: int = 5
    uncut: float = 0.0
    in_classes: float = 0.0
    second: SecondScorer | None = None
    twice: int = 5


_SCORER = "A"
_SECOND = "B"
_CROWN_ALIKE = 0.1
_RED_ALIKE = 0.12


@dataclass(frozen=True)
class _Seen:
    """What one person saw of one plant; ``red`` and ``white`` are among the nodules ``cut``."""

    crown: int
    lateral: int
    cut: int
    red: int
    white: int


def dig_plants(
    draws: Draws,
    *,
    field: str,
    date: dt.date,
    stops: int,
    plants_per_stop: int,
    nodulation: Nodulation,
    tops: Tops | None = None,
    writing: Writing | None = None,
) -> Iterator[PlantRow]:
    """Draw the plants of one dig, stop by stop; a plant scored twice gives two rows."""
    tops, writing = tops or Tops(), writing or Writing()
    spread = nodulation.stop_spread
    for stop in range(stops):
        factor = nodulation.stop_factors[stop % len(nodulation.stop_factors)]
        stop_mean = nodulation.mean * factor * math.exp(spread * draws.normal() - spread**2 / 2)
        for plant in range(plants_per_stop):
            seen = _look(draws, stop_mean, nodulation, writing)
            classed = draws.chance(writing.in_classes)
            row = PlantRow(
                field=field,
                date=date,
                stop=str(stop + 1),
                plant=str(plant + 1),
                scorer=_SCORER,
                **_written(seen, cut_any=writing.cut > 0, classed=classed),
                **_size(draws, seen, nodulation),
                **_tops(draws, seen, nodulation, tops),
            )
            yield row
            if writing.second is not None and plant < writing.twice:
                again = _look_again(draws, seen, writing.second)
                written = _written(again, cut_any=writing.cut > 0, classed=classed)
                size = row.size_class if again.crown + again.lateral else None
                yield row.model_copy(update={"scorer": _SECOND, "size_class": size, **written})


def _look(draws: Draws, stop_mean: float, nodulation: Nodulation, writing: Writing) -> _Seen:
    total = draws.negative_binomial(mean=stop_mean, k=nodulation.k)
    crown = draws.beta_binomial(trials=total, share=nodulation.crown, correlation=_CROWN_ALIKE)
    cut = 0 if draws.chance(writing.uncut) else min(total, writing.cut)
    red = draws.beta_binomial(trials=cut, share=nodulation.red, correlation=_RED_ALIKE)
    white = draws.beta_binomial(trials=cut - red, share=nodulation.white, correlation=_RED_ALIKE)
    return _Seen(crown, total - crown, cut, red, white)


def _look_again(draws: Draws, first: _Seen, second: SecondScorer) -> _Seen:
    """Score the same root again: a careful colleague misses a nodule or two, a hasty one half of them."""
    misses, doubts = (0.04, 0.03) if second is SecondScorer.AGREES else (0.55, 0.45)
    crown = first.crown - draws.beta_binomial(trials=first.crown, share=misses, correlation=0.05)
    lateral = first.lateral - draws.beta_binomial(trials=first.lateral, share=misses, correlation=0.05)
    cut = min(first.cut, crown + lateral)
    red_at_most = min(first.red, cut)
    red = red_at_most - draws.beta_binomial(trials=red_at_most, share=doubts, correlation=0.05)
    green_brown = min(first.cut - first.red - first.white, cut - red)
    return _Seen(crown, lateral, cut, red, cut - red - green_brown)


def _written(seen: _Seen, *, cut_any: bool, classed: bool) -> dict[str, object]:
    """Columns of a row; a visit in which nobody cut leaves them empty, a plant passed over says 0 cut."""

    def count(number: int) -> CountRange:
        if not classed:
            return CountRange(number, number)
        return next(c for c in CLASSES if number >= c.low and (c.high is None or number <= c.high))

    looked = seen.cut > 0
    return {
        "crown_nodules": count(seen.crown),
        "lateral_nodules": count(seen.lateral),
        "cut_open": seen.cut if cut_any else None,
        "red_pink": seen.red if looked else None,
        "white": seen.white if looked else None,
        "green_brown": seen.cut - seen.red - seen.white if looked else None,
    }


def _size(draws: Draws, seen: _Seen, nodulation: Nodulation) -> dict[str, object]:
    other = draws.chance(0.15)
    if seen.crown + seen.lateral == 0:
        return {}
    small = SizeClass.FROM_2_TO_5_MM if nodulation.size is SizeClass.UNDER_2_MM else SizeClass.UNDER_2_MM
    return {"size_class": small if other else nodulation.size}


def _tops(draws: Draws, seen: _Seen, nodulation: Nodulation, tops: Tops) -> dict[str, object]:
    share = seen.red / seen.cut if seen.cut else nodulation.red
    better = math.log1p((seen.crown + seen.lateral) * share) - math.log1p(nodulation.mean * nodulation.red)
    vigour = tops.vigour + tops.follows * better + 0.4 * draws.normal()
    old, old_yellow = draws.chance(tops.pale_old), draws.chance(0.3)
    young, young_yellow = draws.chance(tops.pale_young), draws.chance(0.3)
    return {
        "vigour": min(max(round(2 * vigour) / 2, 0.5), 5.0),
        "leaf_old": _leaf(pale=old, yellow=old_yellow),
        "leaf_young": _leaf(pale=young, yellow=young_yellow),
        "root_health": tops.root_look if draws.chance(tops.root_ill) else RootHealth.HEALTHY,
    }


def _leaf(*, pale: bool, yellow: bool) -> LeafColour:
    if not pale:
        return LeafColour.GREEN
    return LeafColour.YELLOW if yellow else LeafColour.PALE
