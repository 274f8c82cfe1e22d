"""The season balance once more, for one draw, in plain Python: slow, from the written steps, sharing no code."""

import math
from dataclasses import dataclass, field


def hold(value, low, high):
    return min(max(value, low), high)


def response(warmth, points):
    first, second, third, fourth = points
    if warmth <= first or warmth >= fourth:
        return 0.0
    if warmth < second:
        return (warmth - first) / (second - first)
    return 1.0 if warmth <= third else (fourth - warmth) / (fourth - third)


@dataclass
class Plain:
    days: dict = field(default_factory=dict)
    emerged_on: int = -1
    matured_on: int = -1
    at_seed_set: float = math.nan
    relative_yield: float = math.nan
    gap_at_maturity: float = math.nan


def grow(weather, row, p, *, applications=(), observed=(), water_limits_yield=False):  # noqa: PLR0912
    """``p`` maps parameter names to numbers; applications are (day, rate, access, volatilised, rain_to_free)."""
    capacity = p["available_water"] * p["root_depth"]
    held, above, unlogged = p["water_at_sowing"] * capacity, 0.0, 1.0
    mineral = p["mineral_n_at_sowing"]
    organic = (p["organic_matter"] / 100 * p["bulk_density"] * 0.2 * 1e7 / 1.724 / p["carbon_to_nitrogen"]) * p[
        "mineralisable_share"
    ]
    progress, stage, soil = 0.0, -1.0, None
    crop = demand = fixed = taken = nodule_days = grown = 0.0
    evaporated = drained = mineralised = freed = leached = 0.0
    required = p["expected_yield"] * p["n_per_tonne"]
    most = required * p["luxury"]
    fastest, full = p["fastest_uptake_stage"], p["full_uptake_stage"]
    fallen, share_freed = [0.0] * len(applications), [0.0] * len(applications)
    found = Plain()
    names = [
        "stage",
        "water",
        "water_fraction",
        "evaporated",
        "drained",
        "mineral_n",
        "mineralised",
        "freed",
        "leached",
        "demand",
        "crop_n",
        "fixed",
        "taken",
    ]
    found.days = {name: [] for name in names}

    for day in range(weather.days):
        mean = float(weather.mean[row, day])
        rain, et0 = float(weather.rain[row, day]), float(weather.reference_et[row, day])
        length = float(weather.day_length[min(row, weather.day_length.shape[0] - 1), day])
        # stage
        warmth = max(0.0, min(mean, p["cap_temperature"]) - p["base_temperature"])
        long_day = hold(1 - p["long_day_slope"] * (p["long_day_critical"] - length), 0.2, 1)
        emerges = False
        if stage < 0:
            progress += warmth / p["sowing_to_emergence"]
            stage = progress - 1
            if progress >= 1 - 1e-9:
                stage = 0.0
        elif stage < 1 - 1e-9:
            stage += warmth * long_day / p["emergence_to_flower"]
        else:
            stage += warmth / p["flower_to_maturity"]
        if stage >= 2 - 1e-9:
            stage = 2.0
        for on, seen in observed:
            if on == day:
                stage = seen
        if stage >= 0 and found.emerged_on < 0:
            found.emerged_on, emerges = day, True
        # water
        kc = p["crop_coefficient_initial"]
        kc += (p["crop_coefficient_middle"] - p["crop_coefficient_initial"]) * hold((stage - 0.25) / 0.65, 0, 1)
        kc += (p["crop_coefficient_end"] - p["crop_coefficient_middle"]) * hold((stage - 1.5) / 0.5, 0, 1)
        depletion = hold(p["depletion_share"] + 0.04 * (5 - kc * et0), 0.1, 0.8)
        supplied = min(1.0, held / capacity / (1 - depletion))
        used = min(supplied * kc * et0, held)
        held += rain - used
        evaporated += used
        above += max(0.0, held - capacity)
        held = min(held, capacity)
        drain = p["drainage_rate"] * above
        above -= drain
        drained += drain
        back = min(above, capacity - held)
        held, above = held + back, above - back
        fraction = hold(held / capacity, 0, 1)
        if above > p["waterlogging_excess"]:
            unlogged = p["waterlogged_share"]
        else:
            unlogged = min(1.0, unlogged + (1 - p["waterlogged_share"]) / p["waterlogging_recovery"])
        # soil nitrogen
        soil = mean if soil is None else soil + (mean - soil) / 7
        rate = 10 ** (6.14 - 2285 / (soil + 273.15)) / 7 if soil > 0 else 0.0
        release = organic * p["field_factor"] * rate * (0.1 + 0.9 * fraction)
        organic -= release
        mineral += release
        mineralised += release
        for place, (on, amount, access, lost, needed) in enumerate(applications):
            if day >= on:
                fallen[place] += rain
                now = min(1.0, fallen[place] / needed) if needed > 0 else 1.0
                gained = amount * (1 - lost) * access * (now - share_freed[place])
                share_freed[place] = now
                mineral += gained
                freed += gained
        washed = mineral * (1 - math.exp(-drain / (2 * capacity)))
        mineral -= washed
        leached += washed
        # crop
        if emerges:
            crop = p["seed_n"]
        if stage >= 0:
            at = min(stage, full)
            curve = max(grown, (1 + (full - at) / (full - fastest)) * (at / full) ** (full / (full - fastest)))
            due = most * (curve - grown) * (supplied if water_limits_yield else 1.0)
            grown = curve
            asked = due + p["catch_up_rate"] * hold((full - stage) / (full - fastest), 0, 1) * max(0.0, demand - crop)
            demand += due
            nitrate = hold((p["nitrate_stops"] - mineral) / (p["nitrate_stops"] - p["nitrate_harmless"]), 0, 1)
            nodule_days += response(soil, p["nodulation_temperature"]) * nitrate
            dry = p["fixation_falls_water"] - p["fixation_stops_water"]
            share = p["spare_capacity"] * p["nodulation"] * unlogged * response(soil, p["fixation_temperature"])
            share *= hold((nodule_days - p["nodule_lag"]) / p["nodule_rise"], 0, 1)
            span = p["decline_ends_stage"] - p["decline_begins_stage"]
            share *= hold((p["decline_ends_stage"] - stage) / span, 0, 1)
            share *= min(nitrate, hold((fraction - p["fixation_stops_water"]) / dry, 0, 1))
            limit = p["highest_fixation"] * min(1.0, p["spare_capacity"] * p["nodulation"])
            fixable = min(min(1.0, share) * asked, limit)
            reach = p["uptake_rate"] * hold(0.2 + 0.8 * stage, 0.2, 1) * max(0.0, mineral - p["unreachable_n"])
            reach *= min(1.0, fraction / 0.3)
            uptake = min(reach, asked - fixable * (1 - mineral / (mineral + p["half_sparing_n"])))
            mineral -= uptake
            taken += uptake
            fix = min(fixable, asked - uptake)
            fixed += fix
            crop += uptake + fix
        if stage >= 1.3 - 1e-9 and math.isnan(found.at_seed_set) and demand > 0:
            found.at_seed_set = min(1.0, crop * p["luxury"] / demand)
        if stage >= 2 - 1e-9 and found.matured_on < 0:
            found.matured_on = day
        values = (stage, held + above, fraction, evaporated, drained, mineral, mineralised, freed, leached)
        for name, value in zip(names, (*values, demand, crop, fixed, taken), strict=True):
            found.days[name].append(value)

    if found.matured_on >= 0:
        if water_limits_yield:
            required *= demand / most
        found.gap_at_maturity = max(0.0, required - crop)
        met = min(1.0, crop / required) if required > 0 else math.nan
        weight = p["final_status_weight"]
        status = weight * met + (1 - weight) * min(met, found.at_seed_set)
        found.relative_yield = status * (1 + p["dilution"] * (1 - status))
    return found
