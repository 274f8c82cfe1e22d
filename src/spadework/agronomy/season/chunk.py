"""Some of the draws at a time: their parameters as the daily steps want them, and room to work in."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.season.parameters import Parameters, Values

__all__ = ["Chunk", "DayValue", "chunk_of", "hold", "mineralisable_n", "own"]

Floats = NDArray[np.float64]
DayValue = float | Floats
"""One number for all rows of the chunk, or one for each."""

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


@dataclass(slots=True)
class Chunk:
    """Numbers, or arrays of shape (rows,); reciprocals (``per_``) so that the day has few divisions."""

    to_emergence: DayValue
    to_flower: DayValue
    to_maturity: DayValue
    water_capacity: DayValue
    water_at_sowing: DayValue
    coefficient_initial: DayValue
    coefficient_rise: DayValue
    coefficient_fall: DayValue
    depletion_at_none: DayValue
    drainage_rate: DayValue
    per_mixing_water: DayValue
    recovery_step: DayValue
    waterlogged_share: DayValue
    waterlogging_excess: DayValue
    mineral_n_at_sowing: DayValue
    mineralisable_n: DayValue
    field_factor: DayValue
    uptake_rate: DayValue
    unreachable_n: DayValue
    half_sparing: DayValue
    seed_n: DayValue
    required: DayValue
    luxury: DayValue
    full_uptake: DayValue
    full_stage: DayValue
    per_span: DayValue
    curve: DayValue
    catch_up: DayValue
    nodule_lag: DayValue
    per_rise: DayValue
    decline_ends: DayValue
    per_decline: DayValue
    capacity: DayValue
    highest_fixation: DayValue
    nitrate_stops: DayValue
    per_nitrate: DayValue
    fixation_stops_water: DayValue
    per_fixation_water: DayValue
    dilution: DayValue
    final_weight: DayValue
    one: Floats
    two: Floats
    three: Floats
    four: Floats
    five: Floats


def hold(values: Floats, lowest: float, highest: float) -> None:
    """Hold values between two limits, in place; for short arrays twice as quick as ``numpy.clip``."""
    np.maximum(values, lowest, out=values)
    np.minimum(values, highest, out=values)


def own(value: Values, start: int, stop: int) -> DayValue:
    """Cut the draws from ``start`` to ``stop`` out of one parameter."""
    array = np.asarray(value, dtype=np.float64)
    return float(array.flat[0]) if array.size == 1 else np.ascontiguousarray(array[start:stop, 0])


def chunk_of(parameters: Parameters, start: int, stop: int) -> Chunk:
    """Cut the draws from ``start`` to ``stop`` out of the parameters."""
    p = {name: own(value, start, stop) for name, value in parameters.flat().items()}
    capacity = p["available_water"] * p["root_depth"]
    nodules = p["spare_capacity"] * p["nodulation"]
    required = p["expected_yield"] * p["n_per_tonne"]
    span = p["full_uptake_stage"] - p["fastest_uptake_stage"]
    return Chunk(
        to_emergence=1.0 / p["sowing_to_emergence"],
        to_flower=1.0 / p["emergence_to_flower"],
        to_maturity=1.0 / p["flower_to_maturity"],
        water_capacity=capacity,
        water_at_sowing=p["water_at_sowing"],
        coefficient_initial=p["crop_coefficient_initial"],
        coefficient_rise=p["crop_coefficient_middle"] - p["crop_coefficient_initial"],
        coefficient_fall=p["crop_coefficient_end"] - p["crop_coefficient_middle"],
        depletion_at_none=p["depletion_share"] + 0.04 * STRESS_AT,
        drainage_rate=p["drainage_rate"],
        per_mixing_water=-1.0 / (WATER_OF_MIXING * capacity),
        recovery_step=(1.0 - p["waterlogged_share"]) / p["waterlogging_recovery"],
        waterlogged_share=p["waterlogged_share"],
        waterlogging_excess=p["waterlogging_excess"],
        mineral_n_at_sowing=p["mineral_n_at_sowing"],
        mineralisable_n=mineralisable_n(
            organic_matter=p["organic_matter"],
            bulk_density=p["bulk_density"],
            carbon_to_nitrogen=p["carbon_to_nitrogen"],
            mineralisable_share=p["mineralisable_share"],
        ),
        field_factor=p["field_factor"],
        uptake_rate=p["uptake_rate"],
        unreachable_n=p["unreachable_n"],
        half_sparing=p["half_sparing_n"],
        seed_n=p["seed_n"],
        required=required,
        luxury=p["luxury"],
        full_uptake=required * p["luxury"],
        full_stage=p["full_uptake_stage"],
        per_span=1.0 / span,
        curve=p["full_uptake_stage"] / span,
        catch_up=p["catch_up_rate"],
        nodule_lag=p["nodule_lag"],
        per_rise=1.0 / p["nodule_rise"],
        decline_ends=p["decline_ends_stage"],
        per_decline=1.0 / (p["decline_ends_stage"] - p["decline_begins_stage"]),
        capacity=nodules,
        highest_fixation=p["highest_fixation"] * np.minimum(1.0, nodules),
        nitrate_stops=p["nitrate_stops"],
        per_nitrate=1.0 / (p["nitrate_stops"] - p["nitrate_harmless"]),
        fixation_stops_water=p["fixation_stops_water"],
        per_fixation_water=1.0 / (p["fixation_falls_water"] - p["fixation_stops_water"]),
        dilution=p["dilution"],
        final_weight=p["final_status_weight"],
        one=np.empty(stop - start),
        two=np.empty(stop - start),
        three=np.empty(stop - start),
        four=np.empty(stop - start),
        five=np.empty(stop - start),
    )
