"""Some of the draws at a time: what the daily steps want to know of each."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.season.applied import Application
from spadework.agronomy.season.parameters import Parameters, Values
from spadework.agronomy.season.stages import ObservedStage

__all__ = ["CELL", "Applied", "Cell", "Chunk", "Seen", "applied_to", "cells_of", "mineralisable_n", "seen_in"]

Floats = NDArray[np.float64]

TOP_SOIL = 0.20
"""Depth whose organic matter is counted. [m]"""
MATTER_TO_CARBON = 1.724
"""Organic matter over organic carbon, by convention. [1]"""
WATER_OF_MIXING = 2.0
"""Water at field capacity as a multiple of available water, for leaching. Judgement."""
STRESS_AT = 5.0
"""Water use for which the share before stress is tabulated. [mm/d] (fao56)"""


def mineralisable_n(
    *, organic_matter: Values, bulk_density: Values, carbon_to_nitrogen: Values, mineralisable_share: Values
) -> Values:
    """Organic N of the top 20 cm that can be mineralised [kg/ha], from organic matter [%] and density [t/m3].

    References
    ----------
    campbell1981 (share of total N)
    """
    total = organic_matter / 100 * bulk_density * TOP_SOIL * 1e7 / MATTER_TO_CARBON / carbon_to_nitrogen
    return total * mineralisable_share


class Cell(NamedTuple):
    """One draw's parameters; reciprocals (``per_``) so that the day has few divisions."""

    to_emergence: float
    to_flower: float
    to_maturity: float
    water_capacity: float
    per_capacity: float
    water_at_sowing: float
    coefficient_initial: float
    coefficient_rise: float
    coefficient_fall: float
    depletion_at_none: float
    drainage_rate: float
    per_mixing_water: float
    recovery_step: float
    waterlogged_share: float
    waterlogging_excess: float
    mineral_n_at_sowing: float
    mineralisable_n: float
    field_factor: float
    rule_of_thumb: float
    """NaN where N is mineralised by the first-order form."""
    uptake_rate: float
    unreachable_n: float
    half_sparing: float
    seed_n: float
    required: float
    luxury: float
    full_uptake: float
    full_stage: float
    per_full_stage: float
    per_span: float
    curve: float
    catch_up: float
    nodule_lag: float
    per_rise: float
    decline_ends: float
    per_decline: float
    capacity: float
    highest_fixation: float
    nitrate_stops: float
    per_nitrate: float
    fixation_stops_water: float
    per_fixation_water: float
    dilution: float
    final_weight: float


CELL = np.dtype([(name, np.float64) for name in Cell._fields])
"""A cell as a record of an array."""


class Seen(NamedTuple):
    """Stages seen: ``day`` of shape (looks,), ``stage`` of shape (rows, looks), NaN where nothing was seen."""

    day: NDArray[np.int64]
    stage: Floats


class Applied(NamedTuple):
    """Applications: ``day`` and ``rain_to_free`` [mm] of shape (applications,).

    ``pool``, of shape (rows, applications), is what ever reaches the mineral pool. [kg/ha]
    """

    day: NDArray[np.int64]
    rain_to_free: Floats
    pool: Floats


class Chunk(NamedTuple):
    """All that is given of some draws, of which the ``first`` is known by its place among all draws."""

    first: int
    cells: NDArray[np.void]
    """Records of ``CELL``, shape (rows,)."""
    sky: NDArray[np.void]
    """Records of ``drivers.DAY``, shape (kinds of weather, days)."""
    sky_of: NDArray[np.intp]
    """Which of them each cell meets, shape (rows,)."""
    seen: Seen
    applied: Applied
    water_limits_yield: bool


def seen_in(observed: Sequence[ObservedStage], start: int, stop: int) -> Seen:
    """Cut the draws from ``start`` to ``stop`` out of the stages seen."""
    stage = np.empty((stop - start, len(observed)))
    for place, look in enumerate(observed):
        stage[:, place] = _own(look.stage, start, stop)
    return Seen(np.array([look.day for look in observed], dtype=np.int64), stage)


def applied_to(applications: Sequence[Application], start: int, stop: int) -> Applied:
    """Cut the draws from ``start`` to ``stop`` out of the applications."""
    pool = np.empty((stop - start, len(applications)))
    for place, one in enumerate(applications):
        rate, access, volatilised = (_own(value, start, stop) for value in (one.rate, one.access, one.volatilised))
        pool[:, place] = rate * (1 - volatilised) * access
    days = np.array([one.day for one in applications], dtype=np.int64)
    return Applied(days, np.array([one.rain_to_free for one in applications], dtype=np.float64), pool)


def cells_of(parameters: Parameters, start: int, stop: int, *, rule_of_thumb: Values | None = None) -> NDArray[np.void]:
    """Cut the draws from ``start`` to ``stop`` out of the parameters: records of ``CELL``, shape (rows,)."""
    p = {name: _own(value, start, stop) for name, value in parameters.flat().items()}
    capacity = p["available_water"] * p["root_depth"]
    nodules = p["spare_capacity"] * p["nodulation"]
    required = p["expected_yield"] * p["n_per_tonne"]
    span = p["full_uptake_stage"] - p["fastest_uptake_stage"]
    values = {
        "to_emergence": 1.0 / p["sowing_to_emergence"],
        "to_flower": 1.0 / p["emergence_to_flower"],
        "to_maturity": 1.0 / p["flower_to_maturity"],
        "water_capacity": capacity,
        "per_capacity": 1.0 / capacity,
        "water_at_sowing": p["water_at_sowing"],
        "coefficient_initial": p["crop_coefficient_initial"],
        "coefficient_rise": p["crop_coefficient_middle"] - p["crop_coefficient_initial"],
        "coefficient_fall": p["crop_coefficient_end"] - p["crop_coefficient_middle"],
        "depletion_at_none": p["depletion_share"] + 0.04 * STRESS_AT,
        "drainage_rate": p["drainage_rate"],
        "per_mixing_water": 1.0 / (WATER_OF_MIXING * capacity),
        "recovery_step": (1.0 - p["waterlogged_share"]) / p["waterlogging_recovery"],
        "waterlogged_share": p["waterlogged_share"],
        "waterlogging_excess": p["waterlogging_excess"],
        "mineral_n_at_sowing": p["mineral_n_at_sowing"],
        "mineralisable_n": mineralisable_n(
            organic_matter=p["organic_matter"],
            bulk_density=p["bulk_density"],
            carbon_to_nitrogen=p["carbon_to_nitrogen"],
            mineralisable_share=p["mineralisable_share"],
        ),
        "field_factor": p["field_factor"],
        "rule_of_thumb": np.nan if rule_of_thumb is None else _own(rule_of_thumb, start, stop),
        "uptake_rate": p["uptake_rate"],
        "unreachable_n": p["unreachable_n"],
        "half_sparing": p["half_sparing_n"],
        "seed_n": p["seed_n"],
        "required": required,
        "luxury": p["luxury"],
        "full_uptake": required * p["luxury"],
        "full_stage": p["full_uptake_stage"],
        "per_full_stage": 1.0 / p["full_uptake_stage"],
        "per_span": 1.0 / span,
        "curve": p["full_uptake_stage"] / span,
        "catch_up": p["catch_up_rate"],
        "nodule_lag": p["nodule_lag"],
        "per_rise": 1.0 / p["nodule_rise"],
        "decline_ends": p["decline_ends_stage"],
        "per_decline": 1.0 / (p["decline_ends_stage"] - p["decline_begins_stage"]),
        "capacity": nodules,
        "highest_fixation": p["highest_fixation"] * np.minimum(1.0, nodules),
        "nitrate_stops": p["nitrate_stops"],
        "per_nitrate": 1.0 / (p["nitrate_stops"] - p["nitrate_harmless"]),
        "fixation_stops_water": p["fixation_stops_water"],
        "per_fixation_water": 1.0 / (p["fixation_falls_water"] - p["fixation_stops_water"]),
        "dilution": p["dilution"],
        "final_weight": p["final_status_weight"],
    }
    cells = np.empty(stop - start, dtype=CELL)
    for name in Cell._fields:
        cells[name] = values[name]
    return cells


def _own(value: Values, start: int, stop: int) -> float | Floats:
    """Cut the draws from ``start`` to ``stop`` out of one parameter."""
    array = np.asarray(value, dtype=np.float64)
    return float(array.flat[0]) if array.size == 1 else np.asarray(array[start:stop, 0])
