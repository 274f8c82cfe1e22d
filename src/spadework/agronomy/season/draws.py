"""Parameters of a crop from the knowledge tables: the most likely ones, or draws from what is thought possible.

A figure with low and high is drawn from a triangle whose peak is its value; one without is held. All are drawn
apart from each other, each from its own column of random numbers, so that a figure that becomes known leaves the
draws of all others as they were: two runs with one seed differ only by what was changed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, fields

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.season.parameters import LEAST_UPTAKE_SPAN, Parameters, Values
from spadework.errors import DomainError
from spadework.knowledge.rows import Crop, Knowledge, Measured, TemperatureResponse

__all__ = ["ABOUT_THE_FIELD", "draw_parameters", "middle_parameters", "row_of", "triangular"]

ABOUT_THE_FIELD = ("expected_yield", "nodulation")
"""What no table can know; it is given for each field."""

_WITH_GROUPS = ("emergence_to_flower", "flower_to_maturity")
_LEAST_NITRATE_SPAN = 1.0  # kg/ha, where both limits are drawn almost alike


def row_of(knowledge: Knowledge, crop: Crop, name: str, maturity_group: str | None = None) -> str | None:
    """Return the id of the row that gives a parameter for a crop, None where the crop does without it.

    Raises
    ------
    DomainError
        A maturity group that the tables do not know.
    """
    places = [f"season.{crop}.{name}", f"season.any.{name}"]
    if maturity_group is not None and name in _WITH_GROUPS:
        places = [f"season.{crop}.group_{maturity_group}.{name}"]
        if places[0] not in knowledge.rows:
            start, end = f"season.{crop}.group_", f".{name}"
            known = [
                row[len(start) : -len(end)] for row in knowledge.rows if row.startswith(start) and row.endswith(end)
            ]
            raise DomainError("maturity_group", maturity_group, f"one of {', '.join(known) or 'none for this crop'}")
    return next((place for place in places if place in knowledge.rows), None)


def middle_parameters(
    knowledge: Knowledge, crop: Crop, *, known: Mapping[str, Values], maturity_group: str | None = None
) -> Parameters:
    """Return the most likely parameters; ``known`` holds those of ``ABOUT_THE_FIELD`` and any others by name."""
    return _parameters(knowledge, crop, known, maturity_group, None)


def draw_parameters(
    knowledge: Knowledge,
    crop: Crop,
    *,
    draws: int,
    generator: np.random.Generator,
    known: Mapping[str, Values],
    maturity_group: str | None = None,
) -> Parameters:
    """Draw parameters from what the tables hold possible.

    Parameters
    ----------
    draws : int
        At least 1.
    generator : numpy.random.Generator
        Advanced by draws x parameters numbers, whatever is known.
    known : mapping
        Parameters by name, numbers or of shape (draws, 1): those of ``ABOUT_THE_FIELD``, and what was measured.
    maturity_group : str, optional
        Of soybean, from "00" to "4".

    Raises
    ------
    DomainError
        A name that is no parameter, one of ``ABOUT_THE_FIELD`` missing, or no draws.
    """
    if draws < 1:
        raise DomainError("draws", draws, "at least 1")
    chances = generator.random((len(fields(Parameters)), draws, 1))
    return _parameters(knowledge, crop, known, maturity_group, chances)


def triangular(chance: NDArray[np.float64], *, low: float, value: float, high: float) -> NDArray[np.float64]:
    """Turn chances, even from 0 to 1, into draws from a triangle with its peak at ``value``."""
    if high <= low:
        return np.full_like(chance, value)
    rising = low + np.sqrt(chance * (high - low) * (value - low))
    falling = high - np.sqrt((1 - chance) * (high - low) * (high - value))
    return np.where(chance * (high - low) < value - low, rising, falling)


def _parameters(
    knowledge: Knowledge,
    crop: Crop,
    known: Mapping[str, Values],
    maturity_group: str | None,
    chances: NDArray[np.float64] | None,
) -> Parameters:
    names = [field.name for field in fields(Parameters)]
    if unknown := sorted(set(known) - set(names)):
        raise DomainError("known", unknown, f"names of parameters: {', '.join(names)}")
    found: dict[str, Values | tuple[float, float, float, float]] = {}
    for place, field in enumerate(fields(Parameters)):
        if field.name in known:
            found[field.name] = known[field.name]
            continue
        row_id = row_of(knowledge, crop, field.name, maturity_group)
        if row_id is None:
            if field.default is MISSING:
                raise DomainError("known", sorted(known), f"with {field.name}, which no table gives")
            continue
        row = knowledge.row(row_id)
        if isinstance(row, TemperatureResponse):
            found[field.name] = row.points
        elif isinstance(row, Measured):
            low, high = row.range
            found[field.name] = (
                row.central
                if chances is None or low == high
                else triangular(chances[place], low=low, value=row.central, high=high)
            )
        else:
            raise row.fault("carries no figure")
    _keep_apart(found, "fastest_uptake_stage", "full_uptake_stage", LEAST_UPTAKE_SPAN)
    _keep_apart(found, "nitrate_harmless", "nitrate_stops", _LEAST_NITRATE_SPAN)
    return Parameters(**found)  # type: ignore[arg-type]


def _keep_apart(
    found: dict[str, Values | tuple[float, float, float, float]], lower: str, upper: str, by: float
) -> None:
    """Move the upper of two figures that were drawn too near each other."""
    least = np.asarray(found[lower]) + by
    if np.any(np.asarray(found[upper]) < least):
        found[upper] = np.maximum(found[upper], least)
