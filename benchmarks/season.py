"""The season balance against a plain day loop of NumPy over whole arrays, and against what memory could carry.

    python -m benchmarks.season            one field, then a million cells (a minute or two, some 2 GB of memory)
    python -m benchmarks.season 200000     so many cells in place of a million

The plain loop writes each step as an expression over all cells, as one would at first; its totals are held to the
kernel's, so that both are known to do one thing. Nothing is asserted about time.
"""

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from benchmarks import clock
from spadework.agronomy.season import DailyWeather, Parameters, daily_weather, draw_parameters, season_balance
from spadework.agronomy.season.cells import CELL
from spadework.agronomy.season.drivers import DAY, drivers
from spadework.agronomy.season.kernel import CHUNK
from spadework.cli.workers import processes_free
from spadework.knowledge.load import load
from spadework.knowledge.rows import Crop

DAYS = 150
MANY = 1_000_000
STATIONS = 2_000
STATE = 12  # arrays that change every day
TOTALS = 27  # arrays of a result
Floats = NDArray[np.float64]
Line = tuple[str, str, str, str, str]


def sky(rows: int) -> DailyWeather:
    """Invented: a cool season with showers, another at each station."""
    chance = np.random.default_rng(1)
    mean = 11 + 7 * np.sin(np.pi * np.arange(DAYS) / DAYS) + chance.normal(0, 2.5, (rows, DAYS))
    half = chance.uniform(3, 8, (rows, DAYS))
    rain = chance.gamma(0.8, 9, (rows, DAYS)) * (chance.random((rows, DAYS)) < 0.25)
    days = np.arange(120, 120 + DAYS)
    return daily_weather(latitude=50.0, day_of_year=days, tmin=mean - half, tmax=mean + half, rain=rain)


def cells(count: int) -> Parameters:
    chance = np.random.default_rng(2)
    known = {
        "expected_yield": chance.uniform(2, 5, (count, 1)),
        "nodulation": chance.triangular(0.1, 0.7, 1.1, (count, 1)),
    }
    return draw_parameters(load(), Crop.PEA, draws=count, generator=chance, known=known)


def plain(  # noqa: PLR0915
    weather: DailyWeather, parameters: Parameters, weather_of: NDArray[np.intp]
) -> Mapping[str, Floats]:
    """The same steps with whole arrays and no chunks."""
    p = {name: value if np.ndim(value) == 0 else value[:, 0] for name, value in parameters.flat().items()}
    met = drivers(weather, parameters, slice(None))
    by_day = {name: np.ascontiguousarray(met[name].T) for name in met.dtype.names}
    count = weather_of.size
    capacity = p["available_water"] * p["root_depth"]
    held, above, unlogged = p["water_at_sowing"] * capacity, np.zeros(count), np.ones(count)
    mineral = p["mineral_n_at_sowing"] + np.zeros(count)
    organic = p["organic_matter"] / 100 * p["bulk_density"] * 0.2e7 / 1.724 / p["carbon_to_nitrogen"]
    organic = organic * p["mineralisable_share"]
    stage, grown, demand, crop, fixed, nodule_days = np.full(count, -1.0), *(np.zeros(count) for _ in range(5))
    emerged = np.zeros(count, dtype=bool)
    full, span = p["full_uptake_stage"], p["full_uptake_stage"] - p["fastest_uptake_stage"]
    most = p["expected_yield"] * p["n_per_tonne"] * p["luxury"]
    for day in range(weather.days):
        warmth, rain = by_day["degree_days"][day][weather_of], by_day["rain"][day][weather_of]
        later = np.where(stage < 1, stage + warmth / p["emergence_to_flower"], stage + warmth / p["flower_to_maturity"])
        sooner = stage + warmth / p["sowing_to_emergence"]
        stage = np.minimum(np.where(stage < 0, np.where(sooner >= 0, 0.0, sooner), later), 2.0)
        new = (stage >= 0) & ~emerged
        emerged |= new
        use = p["crop_coefficient_initial"]
        use = use + (p["crop_coefficient_middle"] - use) * np.clip((stage - 0.25) / 0.65, 0, 1)
        use = use + (p["crop_coefficient_end"] - p["crop_coefficient_middle"]) * np.clip((stage - 1.5) / 0.5, 0, 1)
        use = use * by_day["reference_et"][day][weather_of]
        depletion = np.clip(p["depletion_share"] + 0.04 * (5 - use), 0.1, 0.8)
        use = np.minimum(use * np.minimum(held / (capacity * (1 - depletion)), 1.0), held)
        held = held - use + rain
        excess = np.maximum(held - capacity, 0.0)
        held, above = held - excess, above + excess
        drained = p["drainage_rate"] * above
        above = above - drained
        back = np.minimum(capacity - held, above)
        held, above = held + back, above - back
        fraction = np.clip(held / capacity, 0, 1)
        recovered = np.minimum(unlogged + (1 - p["waterlogged_share"]) / p["waterlogging_recovery"], 1.0)
        unlogged = np.where(above > p["waterlogging_excess"], p["waterlogged_share"], recovered)
        freed = by_day["mineralisation"][day][weather_of] * (0.1 + 0.9 * fraction) * p["field_factor"] * organic
        organic = organic - freed
        mineral = mineral + freed
        mineral = mineral * np.exp(-drained / (2 * capacity))
        crop = np.where(new, p["seed_n"], crop)
        at = np.clip(stage, 0, full)
        curve = np.maximum((1 + (full - at) / span) * (at / full) ** (full / span), grown)
        due = most * (curve - grown)
        fading = np.clip((full - at) / span, 0, 1)
        asked = due + p["catch_up_rate"] * fading * np.maximum(demand - crop, 0.0)
        grown, demand = curve, demand + due
        spread = p["nitrate_stops"] - p["nitrate_harmless"]
        nitrate = np.clip((p["nitrate_stops"] - mineral) / spread, 0, 1)
        nodule_days = nodule_days + np.where(emerged, nitrate * by_day["nodulation_warmth"][day][weather_of], 0.0)
        span_water = p["fixation_falls_water"] - p["fixation_stops_water"]
        water = np.clip((fraction - p["fixation_stops_water"]) / span_water, 0, 1)
        rise = np.clip((nodule_days - p["nodule_lag"]) / p["nodule_rise"], 0, 1)
        age = np.clip((p["decline_ends_stage"] - stage) / (p["decline_ends_stage"] - p["decline_begins_stage"]), 0, 1)
        nodules = p["spare_capacity"] * p["nodulation"]
        able = np.minimum(nitrate, water) * rise * age * by_day["fixation_warmth"][day][weather_of] * unlogged * nodules
        fixable = np.minimum(np.minimum(able, 1.0) * asked, p["highest_fixation"] * np.minimum(nodules, 1.0))
        reach = p["uptake_rate"] * np.clip(0.2 + 0.8 * stage, 0.2, 1) * np.maximum(mineral - p["unreachable_n"], 0.0)
        reach = reach * np.minimum(fraction / 0.3, 1.0)
        spared = p["half_sparing_n"] / (mineral + p["half_sparing_n"])
        uptake = np.minimum(reach, asked - fixable * spared)
        mineral = mineral - uptake
        fix = np.minimum(fixable, asked - uptake)
        fixed = fixed + fix
        crop = crop + uptake + fix
    return {"fixed": fixed, "crop_n": crop, "mineral_n": mineral}


def bandwidth() -> float:
    """Bytes a second that one processor copies between arrays far larger than its caches, both ways counted."""
    source = np.ones(32 * 2**20)
    target = np.empty_like(source)
    took = clock.median(lambda: np.copyto(target, source), runs=5, warm=1).wall
    return 2 * source.nbytes / took


def kept(run: Callable[[], Any]) -> tuple[Any, clock.Took]:
    """What a run gives, and how long it took."""
    found: list[Any] = []
    took = clock.timed(lambda: found.append(run()))
    return found[0], took


def said(took: clock.Took) -> str:
    return f"{took.wall:.3f} s ({took.work:.3f} s of work)"


FIRST = """
import json, time
from benchmarks.season import cells, season_balance, sky
weather, parameters = sky(1), cells(500)
times = [time.perf_counter()]
import numba
times.append(time.perf_counter())
for _ in range(2):
    season_balance(weather, parameters)
    times.append(time.perf_counter())
print(json.dumps([later - before for before, later in zip(times, times[1:])]))
"""


def starts() -> tuple[list[float], list[float]]:
    """Seconds to import Numba, of the first and of the second balance: before any was compiled, and after."""
    with tempfile.TemporaryDirectory() as empty:
        ways = os.environ | {"NUMBA_CACHE_DIR": empty}
        runs = [
            subprocess.run([sys.executable, "-c", FIRST], env=ways, check=True, capture_output=True, text=True)
            for _ in range(2)
        ]
    cold, warm = (json.loads(run.stdout) for run in runs)
    return cold, warm


def lines(sort: float, count: int = MANY) -> Iterator[Line]:
    """What was measured, how long it took, the goal, the ratio and how it was done."""
    cold, warm = starts()
    yield (
        "the first balance of a process",
        f"{warm[1]:.2f} s, and {warm[0]:.2f} s to import Numba",
        "",
        f"{warm[1] / warm[2]:.0f} x the second",
        f"500 draws x {DAYS} days; {cold[1]:.1f} s for the very first on a machine, which compiles; each once",
    )
    one = sky(1)
    for few, goal in ((500, ""), (2_000, ""), (10_000, "under 0.3 s")):
        took = clock.median(partial(season_balance, one, cells(few)), runs=15, warm=2)
        yield f"{few:,} draws x {DAYS} days", said(took), goal, f"{took.wall / sort:.2f} sorts", "warm; median of 15"

    workers = processes_free()
    stations, many = sky(STATIONS), cells(count)
    weather_of = np.random.default_rng(3).integers(0, STATIONS, count)
    found, ours = kept(lambda: season_balance(stations, many, weather_of=weather_of, workers=workers))
    loop, theirs = kept(lambda: plain(stations, many, weather_of))
    for name, values in loop.items():
        np.testing.assert_allclose(values, getattr(found, name), rtol=1e-6, atol=1e-6, err_msg=name)
    each = 1e9 / count / DAYS
    yield (
        f"{count:,} cells x {DAYS} days",
        said(ours),
        "1/5",
        f"1/{theirs.wall / ours.wall:.1f} of a plain loop by the clock, 1/{theirs.work / ours.work:.1f} by work",
        f"{workers} chunks of {CHUNK:,} at a time, {STATIONS:,} stations; {ours.work * each:.0f} ns of work a cell and "
        f"day; the plain loop, one after the other: {said(theirs)}, {theirs.work * each:.0f} ns",
    )
    carried = bandwidth()
    varying = sum(np.size(value) > 1 for value in many.flat().values())
    once = 8 * count * (varying + 1 + TOTALS) / carried
    daily = 8 * count * 2 * STATE * DAYS / carried
    yield (
        "the same, if memory were the limit",
        f"{once:.2f} s: parameters and totals once",
        "",
        f"the kernel takes {ours.wall / once:.0f} times that",
        f"memory copies {carried / 1e9:.1f} GB/s; the state out and back each day, as whole arrays, {daily:.2f} s:"
        f" the kernel takes {ours.wall / daily:.1f} times that; beside what comes in and goes out it holds {workers} x "
        f"{CHUNK * CELL.itemsize / 1e6:.1f} MB of cells and {STATIONS * DAYS * DAY.itemsize / 1e6:.1f} MB of weather",
    )


def main() -> None:
    count = int(sys.argv[1]) if sys.argv[1:] else MANY
    sort = clock.yardstick()
    print(f"yardstick: one sort of a million numbers takes {1000 * sort:.1f} ms")
    for what, took, goal, ratio, how in lines(sort, count):
        print(f"{what}: {took}; {ratio}" + (f"; goal {goal}" if goal else "") + f"\n    {how}", flush=True)


if __name__ == "__main__":
    main()
