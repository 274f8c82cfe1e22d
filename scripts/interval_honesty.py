"""Is the verdict as sure as it says? Simulate fields with a known truth, dig them, and count.

Every field has plants clustered in stops, overdispersed nodule counts, plants that differ in their red share,
five nodules cut on every plant, on three or on one
plant a stop, and in one field of three count classes instead of counts. Its true share of
adequate plants follows from the same distributions by numerical integration. Printed and written to
``docs/interval-honesty.md``: how often the 90 % interval of the share holds the truth, by plan and by degree of
clustering, and how often a class told with some probability is the true one.

    python scripts/interval_honesty.py [--fields 20000] [--seed 1] [--out docs/interval-honesty.md]
"""

from __future__ import annotations

import argparse
import os
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.special import betainc, betaincinv
from scipy.stats import norm

from spadework.agronomy.scoring.plants import PlantCounts, read_plants
from spadework.agronomy.scoring.share import field_share
from spadework.knowledge.load import load

PLANS = ((1, 10), (2, 10), (3, 5), (3, 10), (5, 4), (6, 10))
CLUSTERING = {"none": 0.0, "mild": 0.25, "moderate": 0.5, "strong": 1.0}
TARGETS = (10, 50)
CLASS_LOW = np.array([0, 1, 6, 11, 21, 51])
CLASS_HIGH = np.array([0, 5, 10, 20, 50, np.inf])
CUT = 5
CUTTING = {"every plant": 1_000, "three plants a stop": 3, "one plant a stop": 1}
LEVEL = 0.90
BLOCKS = 6  # each kind of cutting twice, count classes in one block of three


@dataclass(frozen=True)
class Field:
    """What is true of a field: median nodules, their spread, the red share and how it differs between plants."""

    mean: float
    k: float
    red: float
    red_strength: float
    spread: float
    target: int

    def true_share(self) -> float:
        """Share of plants with ``target`` red nodules or more, by quadrature over stops and red shares."""
        points = (np.arange(60) + 0.5) / 60
        stop_mean = self.mean * np.exp(self.spread * norm.ppf(points))
        red = betaincinv(self.red * self.red_strength, (1 - self.red) * self.red_strength, points)
        mean = stop_mean[:, None] * red
        return float(betainc(self.target, self.k, mean / (mean + self.k)).mean())


def draw_field(rng: np.random.Generator, spread: float) -> Field:
    """Draw a field: its nodules run from far too few to plenty, evenly on the log scale."""
    target = int(rng.choice(TARGETS))
    return Field(
        mean=float(target * np.exp(rng.uniform(np.log(0.15), np.log(6.0)))),
        k=float(rng.choice([1.5, 3.0, 8.0, 15.0])),
        red=float(rng.choice([0.6, 0.85, 0.95])),
        red_strength=float(rng.choice([4.0, 10.0, 30.0])),
        spread=spread,
        target=target,
    )


def dig(rng: np.random.Generator, field: Field, stops: int, plants: int, *, classes: bool, cut_plants: int):
    """Dig ``plants`` plants at each of ``stops`` stops and write down what an adviser would."""
    stop = np.repeat(np.arange(stops), plants)
    mean = (field.mean * np.exp(field.spread * rng.standard_normal(stops)))[stop]
    total = rng.poisson(rng.gamma(field.k, mean / field.k))
    share = rng.beta(field.red * field.red_strength, (1 - field.red) * field.red_strength, len(stop))
    effective = rng.binomial(total, share)
    cut = np.minimum(total, CUT)
    red = rng.hypergeometric(effective, total - effective, cut)
    crown = rng.binomial(total, rng.uniform(0.2, 0.8))
    zones = []
    for count in (crown, total - crown):
        index = np.searchsorted(CLASS_LOW, count, side="right") - 1
        zones += [CLASS_LOW[index].astype(float), CLASS_HIGH[index]] if classes else [count.astype(float)] * 2
    looked = (cut > 0) & (np.tile(np.arange(plants), stops) < cut_plants)
    counts = PlantCounts(
        *zones,
        cut=np.where(looked, cut, np.nan),
        red=np.where(looked, red, np.nan),
        eligible=np.ones(len(stop)),
    )
    return stop, counts


def simulate(task: tuple[int, int]) -> list[tuple]:
    """Simulate a batch of fields; a row each: plan, clustering, classed, truth, low, high, class chances."""
    seed, number = task
    rng = np.random.default_rng([seed, number])
    knowledge = load()
    correlation = knowledge.figure("planning.stop_correlation").central
    red_correlation = knowledge.figure("red.plant_correlation").central
    limits = knowledge.row("classes.share_adequate").limits
    cells = [(plan, name) for plan in PLANS for name in CLUSTERING]
    rows = []
    for index, (plan, name) in enumerate(cells * BLOCKS):
        field = draw_field(rng, CLUSTERING[name])
        block = index // len(cells)
        classes, cutting = block % 3 == 0, list(CUTTING)[block // 2]
        stop, counts = dig(rng, field, *plan, classes=classes, cut_plants=CUTTING[cutting])
        reading = read_plants(counts, target=field.target, more_than=False, prior_red_correlation=red_correlation)
        share = field_share(stop=stop, chance=reading.chances, prior_correlation=correlation)
        low, high = share.interval(LEVEL)
        rows.append((plan, name, (classes, cutting), field.true_share(), low, high, share.class_probabilities(limits)))
    return rows


def report(rows: list[tuple], fields: int, seed: int) -> str:
    """Put the counts into a page of tables."""
    limits = load().row("classes.share_adequate").limits
    truth = np.array([row[3] for row in rows])
    low, high = np.array([row[4] for row in rows]), np.array([row[5] for row in rows])
    held = (low <= truth) & (truth <= high)
    plans, degrees = np.array([f"{p[0]} x {p[1]}" for p, *_ in rows]), np.array([row[1] for row in rows])
    classed = np.array([row[2][0] for row in rows])
    cutting = np.array([row[2][1] for row in rows])
    told = np.array([row[6] for row in rows])
    is_true = np.searchsorted(limits, truth, side="right")[:, None] == np.arange(told.shape[1])

    lines = [
        "# How honest the interval and the probability are",
        "",
        "Made by `python scripts/interval_honesty.py`; do not edit by hand.",
        "",
        f"{fields} simulated fields, seed {seed}; 90 % interval of the share of plants adequate. Each field: a mean of",
        "0.15 to 6 times the target (even on the log scale), targets of 10 and 50, negative-binomial k of 1.5 to 15,",
        "60, 85 or 95 % of nodules red with plants that differ (beta, strength 4 to 30), five nodules cut",
        "on every plant, on three plants a stop or on one plant a stop (a third of the fields each), and",
        "count classes (0, 1-5, 6-10, 11-20, 21-50, over 50) instead of counts in a third of the fields. Clustering is",
        "the standard deviation between stops on the log scale: none 0, mild 0.25, moderate 0.5, strong 1.",
        "",
        f"**Overall the interval holds the truth in {held.mean():.1%} of fields** (aim 87-93 %); mean width "
        f"{np.mean(high - low):.2f}.",
        f"Counts: {held[~classed].mean():.1%}; count classes: {held[classed].mean():.1%}.",
        "",
        "## Held, by plan (stops x plants a stop) and clustering",
        "",
        "| plan | " + " | ".join(CLUSTERING) + " | all |",
        "| --- " * (len(CLUSTERING) + 2) + "|",
    ]
    for plan in dict.fromkeys(plans):
        cells = [held[(plans == plan) & (degrees == name)].mean() for name in CLUSTERING]
        everything = held[plans == plan].mean()
        lines.append(f"| {plan} | " + " | ".join(f"{cell:.1%}" for cell in [*cells, everything]) + " |")
    cells = [held[degrees == name].mean() for name in CLUSTERING]
    cut_lines = [
        f"| {name} | {held[cutting == name].mean():.1%} | {np.mean((high - low)[cutting == name]):.2f} |"
        for name in CUTTING
    ]
    lines.append("| all | " + " | ".join(f"{cell:.1%}" for cell in [*cells, held.mean()]) + " |")
    lines += ["", "## Held, by the plants cut", "", "| cut | held | mean width |", "| --- | --- | --- |", *cut_lines]
    lines += [
        "",
        "## Probability told and share true, all three classes together",
        "",
        "| told | times | mean told | true | difference, points |",
        "| --- | --- | --- | --- | --- |",
    ]
    tenth = np.minimum((told * 10).astype(int), 9)
    for number in range(10):
        here = tenth == number
        mean, true = told[here].mean(), is_true[here].mean()
        lines.append(
            f"| {number * 10}-{number * 10 + 10} % | {here.sum()} | {mean:.1%} | {true:.1%} | "
            f"{100 * (true - mean):+.1f} |"
        )
    leading = told.argmax(axis=1)
    best, right = told.max(axis=1), is_true[np.arange(len(told)), leading]
    lines += [
        "",
        "## The leading class only: probability of the verdict and how often it was right",
        "",
        "| told | fields | mean told | true | difference, points |",
        "| --- | --- | --- | --- | --- |",
    ]
    tenth = np.minimum((best * 10).astype(int), 9)
    for number in range(3, 10):
        here = tenth == number
        if here.any():
            mean, true = best[here].mean(), right[here].mean()
            lines.append(
                f"| {number * 10}-{number * 10 + 10} % | {here.sum()} | {mean:.1%} | {true:.1%} | "
                f"{100 * (true - mean):+.1f} |"
            )
    return "\n".join(lines) + "\n"


def main() -> None:
    """Run the simulation on all processors and write the page."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--fields", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--out", type=Path, default=Path("docs/interval-honesty.md"))
    options = parser.parse_args()
    batch = len(PLANS) * len(CLUSTERING) * BLOCKS
    batches = -(-options.fields // batch)
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        rows = [row for part in pool.map(simulate, [(options.seed, n) for n in range(batches)]) for row in part]
    page = report(rows, len(rows), options.seed)
    options.out.write_text(page, encoding="utf-8")
    print(page)


if __name__ == "__main__":
    main()
