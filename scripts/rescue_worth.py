"""Is the decision on nitrogen worth following? Simulated fields with a known truth, the advice against simple rules.

Every field is dug, its records go in at the front door, and what is advised is done: nitrogen on the whole field or on
the part that failed, nothing, or another dig and then what is advised after it. On the same fields nitrogen is also
given always, never, and by a fixed threshold. What each way earned is reckoned in three worlds of which two answer
to nitrogen in another way than the advice thinks, at three price levels; written to ``docs/rescue-worth.md``.

    python scripts/rescue_worth.py [--fields 2000] [--seed 1] [--jobs 2] [--out docs/rescue-worth.md] [--show NUMBER]
"""

from __future__ import annotations

import argparse
import datetime as dt
import math
import os
import sys
import time
from collections.abc import Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from rescue_truths import IMPLEMENT_WIDTH, PRODUCT, WORLDS, Truth
from simulated_fields import DAY, SimulatedField, simulated_field
from simulated_roots import KNOWN
from spadework.advice.field import advise
from spadework.advice.rescue.value import RescueOption
from spadework.advice.value import FieldAdvice
from spadework.knowledge.rows import Crop
from spadework.records.types import DigRow, LeafColour, PlantRow, Prices, RescuePlan, Settings, SizeClass

Floats = NDArray[np.float64]
Dig = tuple[DigRow, tuple[PlantRow, ...]]

ROOT = Path(__file__).resolve().parents[1]
PAGE = ROOT / "docs" / "rescue-worth.md"
LEAD, AGAIN = 3, 7  # days until nitrogen is on the field, and until a second dig
MOST_DIGS = 3
HIT = 0.8  # of the ground that is treated as the failed part, the most that truly is

# Invented money: of nitrogen per kg, a pass per ha, a dig per field, and grain per t at the middle level, where a kg of
# grain is worth 0.3 (pea, faba bean) to 0.65 (chickpea, common bean) kg of nitrogen.
NITROGEN, PASS, DIG = 1.2, 14.0, 60.0
GRAIN = {
    Crop.SOYBEAN: 480.0,
    Crop.PEA: 360.0,
    Crop.LENTIL: 720.0,
    Crop.CHICKPEA: 780.0,
    Crop.FABA_BEAN: 360.0,
    Crop.COMMON_BEAN: 780.0,
}
LEVELS = {"low": 0.65, "middle": 1.0, "high": 1.6}

RATES = np.array([28.02, 56.04, 84.06, 112.1])  # 25, 50, 75 and 100 lb/ac
COMMON = 1
TRIED = np.linspace(4.0, 112.1, 28)  # for the best that could have been done
RULES = ("advice", "never", "always 50 lb/ac", "best fixed rate", "threshold", "threshold and pale leaves")


@dataclass(frozen=True)
class Done:
    """Nitrogen given: on a day, at a rate [kg/ha], on a part of each zone; after so many digs more."""

    day: dt.date | None
    rate: float
    treated: tuple[float, ...]
    digs: int


@dataclass(frozen=True)
class Said:
    """What the first advice said, and what was done after it; ``best_rate`` and so on of its best way to give any."""

    kind: str
    why: str
    last: str
    sure: float | None
    best_rate: float | None
    best_on: dt.date | None
    expected: float | None
    loss: float | None
    waiting: float | None
    treated: tuple[float, ...]
    done: Done


@dataclass(frozen=True)
class Outcome:
    """Net returns of a field, money per ha: by world and level those of ``RULES`` without the best fixed rate."""

    number: int
    crop: str
    state: str
    said: Mapping[str, Said]
    by_threshold: tuple[bool, bool]
    net: Mapping[tuple[str, str], Mapping[str, float]]
    fixed: Mapping[tuple[str, str], Floats]
    best: Mapping[tuple[str, str], float]
    best_apply: Mapping[tuple[str, str], float | None]


def settings_at(level: str, *, seed: int) -> Settings:
    """The book of a user at a price level."""
    return Settings(
        title="Simulated",
        season="2026",
        seed=seed,
        prices=Prices(
            currency="mk",
            grain={crop: price * LEVELS[level] for crop, price in GRAIN.items()},
            nitrogen={PRODUCT: NITROGEN},
            per_pass=PASS,
            dig=DIG,
        ),
        rescue=RescuePlan(lead_days=LEAD, dig_again_days=AGAIN, implement_width=IMPLEMENT_WIDTH),
    )


def follow(field: SimulatedField, level: str, first: Dig, settled: dict[tuple[dt.date, str], FieldAdvice]) -> Said:
    """Ask for advice and do it, digging again as long as that is the advice.

    Nobody digs a fourth time: what is best without is then done. ``settled`` keeps, by what was dug, advice in which
    nothing was weighed: it is the same at all prices.
    """
    settings = settings_at(level, seed=field.number + 1)
    digs, today, told = [first], field.today, []
    while True:
        dug = (today, repr(digs))
        advice = settled.get(dug) or advise(field.records(today, tuple(digs)), settings, KNOWN, today)
        if not advice.decision.options:
            settled[dug] = advice
        told.append(advice)
        on = _dig_on(advice, today)
        if on is None or len(digs) == MOST_DIGS:
            break
        digs.append(_dug(field, advice, on, before=len(digs)))
        today = on
    head, last = told[0].decision, told[-1].decision
    done = Done(None, 0.0, (0.0,) * len(field.zones), len(digs) - 1)
    chosen = _best(last.options, above=0.0) if last.kind == "dig_again" else last.chosen
    if chosen is not None and chosen.on is not None:
        done = Done(chosen.on, chosen.rate.value, _treated(field, told[-1]), len(digs) - 1)
    best = _best(head.options)
    return Said(
        kind=head.kind,
        why=head.why,
        last=last.kind,
        sure=head.sure,
        best_rate=None if best is None else best.rate.value,
        best_on=None if best is None else best.on,
        expected=None if best is None else best.net_return.value,
        loss=None if best is None else best.chance_of_loss,
        waiting=None if head.dig_again is None else head.dig_again.net_return,
        treated=_treated(field, told[0]),
        done=done,
    )


def _best(options: Sequence[RescueOption], *, above: float = -math.inf) -> RescueOption | None:
    """The option that is expected to bring most, of those that give nitrogen at a rate that is ever advised."""
    most = KNOWN.figure("rescue.rate.most_advised").central
    nets = {
        option.net_return.value: option
        for option in options
        if option.option == "apply" and option.net_return is not None and option.rate.value <= most
    }
    return nets[max(nets)] if nets and max(nets) > above else None


def _dug(field: SimulatedField, advice: FieldAdvice, on: dt.date, *, before: int) -> Dig:
    """Dig as large as is advised, in the part that failed where that is advised; else as the first time."""
    again = advice.decision.dig_again
    if advice.decision.kind != "dig_again" or again is None:
        return field.dig(on, stops=field.stops, plants=field.stops * field.each, again=before)
    hit = HIT if again.in_part else None
    return field.dig(on, stops=again.stops, plants=again.plants, again=before, hit=hit)


def _dig_on(advice: FieldAdvice, today: dt.date) -> dt.date | None:
    """Day of the next dig, where digging is the advice: the one named, or some days on within the dig window."""
    decision, timing = advice.decision, advice.timing
    if decision.kind == "dig_again" and decision.dig_again is not None:
        return decision.dig_again.on
    if decision.kind == "dig_first" and decision.act_by is not None:
        opens = today if timing.opens is None else timing.opens.high
        return max(min(max(opens, today + LEAD * DAY), decision.act_by), today + DAY)
    return None


def _treated(field: SimulatedField, advice: FieldAdvice) -> tuple[float, ...]:
    """Part of each zone that is given nitrogen: all, or as much as stops failed, and not all of that well aimed."""
    patch = None if advice.verdict is None else advice.verdict.patch
    if patch is None:
        return (1.0,) * len(field.zones)
    ground = len(patch.poor_stops) / (len(patch.poor_stops) + len(patch.good_stops))
    if len(field.zones) == 1:
        return (ground,)
    bad, good = (zone.part for zone in field.zones)
    aimed = min(bad, HIT * ground)
    return (aimed / bad, min(good, ground - aimed) / good)


def threshold_says(field: SimulatedField, plants: Sequence[PlantRow]) -> bool:
    """Whether the fixed rule gives nitrogen.

    Soybean: fewer than 7 nodules a plant, of those of 2 mm or more that are red inside (msu_nodulation). Others: fewer
    than half of the plants adequate, the limit of the poor class (grdc_nodcheck).
    """
    soybean = field.row.crop is Crop.SOYBEAN
    red = [row.red_pink / row.cut_open for row in plants if row.cut_open and row.red_pink is not None]
    usual = float(np.mean(red)) if red else 1.0
    effective = []
    for row in plants:
        assert row.crown_nodules is not None
        assert row.lateral_nodules is not None
        own = row.red_pink / row.cut_open if row.cut_open and row.red_pink is not None else usual
        large = not soybean or row.size_class is not SizeClass.UNDER_2_MM
        effective.append((row.crown_nodules.low + row.lateral_nodules.low) * own * large)
    if soybean:
        return bool(np.mean(effective) < 7)
    return bool(np.mean(np.array(effective) >= TARGETS[field.row.crop]) < 0.5)


TARGETS = {Crop.PEA: 50.0, Crop.FABA_BEAN: 50.0, Crop.LENTIL: 5.5, Crop.CHICKPEA: 5.5, Crop.COMMON_BEAN: 5.5}


def run_field(number: int, *, seed: int) -> Outcome:
    """All ways on one field, in all worlds, at all levels."""
    field = simulated_field(seed, number)
    first = field.dig(field.first_dig, stops=field.stops, plants=field.stops * field.each)
    settled: dict[tuple[dt.date, str], FieldAdvice] = {}
    said = {level: follow(field, level, first, settled) for level in LEVELS}
    few = threshold_says(field, first[1])
    pale = np.mean([row.leaf_old is not LeafColour.GREEN for row in first[1]]) > 0.5
    on, truth = field.today + DAY * LEAD, Truth(field)
    net: dict[tuple[str, str], dict[str, float]] = {}
    fixed, best, best_apply = {}, {}, {}
    for world in WORLDS:
        gains, tried = (truth.gain(world, on, rates) for rates in (RATES, TRIED))
        for level, times in LEVELS.items():
            key, price, one = (world, level), GRAIN[field.row.crop] * times, said[level]
            fixed[key] = field.parts @ (price * gains) - (PASS + NITROGEN * RATES)
            always = float(fixed[key][COMMON])
            net[key] = {
                "advice": net_of(one.done, field, truth, world, price),
                "never": 0.0,
                "always 50 lb/ac": always,
                "threshold": always * few,
                "threshold and pale leaves": always * bool(few and pale),
            }
            ways = price * tried - (PASS + NITROGEN * TRIED)
            best[key] = float(field.parts @ np.maximum(ways.max(axis=1), 0.0))
            best_apply[key] = None
            if one.best_rate is not None:
                there = Done(one.best_on, one.best_rate, one.treated, 0)
                best_apply[key] = net_of(there, field, truth, world, price) / float(field.parts @ one.treated)
    return Outcome(
        number=number,
        crop=str(field.row.crop),
        state=field.state,
        said=said,
        by_threshold=(few, bool(few and pale)),
        net=net,
        fixed=fixed,
        best=best,
        best_apply=best_apply,
    )


def net_of(done: Done, field: SimulatedField, truth: Truth, world: str, price: float) -> float:
    """Money per ha of the field; digs are paid for wherever they led."""
    dug = done.digs * DIG / (field.row.area or 1.0)
    if done.day is None:
        return -dug
    gain = truth.gain(world, done.day, np.array([done.rate]))[:, 0]
    each = price * gain - (PASS + NITROGEN * done.rate)
    return float(field.parts @ (np.array(done.treated) * each)) - dug


def outcomes(fields: int, *, seed: int, jobs: int) -> list[Outcome]:
    """Run all fields, politely, and say how far it is."""
    began, found = time.monotonic(), []
    with ProcessPoolExecutor(jobs, initializer=os.nice, initargs=(10,)) as pool:
        for one in pool.map(partial(run_field, seed=seed), range(fields), chunksize=5):
            found.append(one)
            if len(found) % 50 == 0 or len(found) == fields:
                print(f"{len(found)} of {fields} fields, {time.monotonic() - began:.0f} s", file=sys.stderr, flush=True)
    return found


def main() -> None:
    """Run the simulation and write the page."""
    from rescue_worth_page import report

    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--fields", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--out", type=Path, default=PAGE)
    parser.add_argument("--show", type=int, help="print one field and what was done with it, and stop")
    chosen = parser.parse_args()
    if chosen.show is not None:
        print(run_field(chosen.show, seed=chosen.seed))
        return
    text = report(outcomes(chosen.fields, seed=chosen.seed, jobs=chosen.jobs), seed=chosen.seed)
    chosen.out.write_text(text, encoding="utf-8")
    print(text)


if __name__ == "__main__":
    main()
