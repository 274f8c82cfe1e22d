"""Is the diagnosis as sure as it says, and are the questions in the right order? Simulate fields with known causes.

Every field draws its figures anew from the bands of the words (so the network that diagnoses it is wrong in every
line), then one or more causes by their priors, then its findings. Some findings are known from the start; the others
are asked for check by check, once in the order that is advised and once in any order. Printed and written to
``docs/diagnosis-honesty.md``: how often the first cause is a true one, how often a cause told with some probability
acts, and how soon each order gets there.

    python scripts/diagnosis_honesty.py [--fields 2000] [--seed 1] [--out docs/diagnosis-honesty.md]
"""

from __future__ import annotations

import argparse
import os
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path

import numpy as np

from spadework.advice.diagnosis.checks import rank_checks
from spadework.advice.diagnosis.model import Model, model_of
from spadework.agronomy.diagnosis import Network, posterior
from spadework.knowledge.load import load
from spadework.knowledge.rows import Cause, Check, Crop

KNOWN_AT_FIRST = 0.25
ROUNDS = 8
BATCH = 50


@dataclass(frozen=True)
class Told:
    """What was said of one field after each round of checks, asked in one order."""

    first_is_true: list[bool]
    true_among_three: list[bool]
    told: np.ndarray
    true: np.ndarray


def models() -> dict[Crop, Model]:
    """The network of each crop, at its figures and at the ends of their bands."""
    knowledge = load()
    causes = [row for row in knowledge.of(Cause) if row.network == "nodulation"]
    return {
        crop: model_of(
            [row for row in causes if row.befalls(crop)],
            crop=crop,
            wrong_time=None,
            own_priors={},
            knowledge=knowledge,
        )
        for crop in Crop
    }


def drawn_network(rng: np.random.Generator, model: Model) -> Network:
    """Draw a network whose every figure lies somewhere in its band."""

    def between(name: str) -> np.ndarray:
        low, high = getattr(model.low, name), getattr(model.high, name)
        return low + rng.random(low.shape) * (high - low)

    return replace(model.central, **{name: between(name) for name in ("prior", "background", "lift", "hold")})


def a_field(rng: np.random.Generator, network: Network) -> tuple[np.ndarray, np.ndarray]:
    """Draw the causes that act in a field and its findings, each so or not so."""
    acting = rng.random(len(network.prior)) < network.prior
    while acting.sum() > network.most_together:
        acting = rng.random(len(network.prior)) < network.prior
    brought = 1 - (1 - network.background) * np.prod(1 - network.lift[acting], axis=0)
    chance = brought * np.prod(network.hold[acting], axis=0)
    findings = np.zeros(len(chance))
    for group in network.groups:
        places = list(group)
        if len(places) == 1:
            findings[places[0]] = rng.random() < chance[places[0]]
            continue
        odds = np.append(chance[places] / (1 - chance[places]), 1.0)
        state = rng.choice(len(odds), p=odds / odds.sum())
        if state < len(places):
            findings[places[state]] = 1
    return acting, findings


def ask(rng: np.random.Generator, model: Model, *, crop: Crop, acting, findings, known, advised: bool) -> Told:
    """Diagnose, settle one check, diagnose again, and so on."""
    knowledge = load()
    answers = np.where(known, findings, np.nan)
    made: set[str] = set()
    first, three = [], []
    for round_number in range(ROUNDS + 1):
        state = posterior(model.central, answers)
        order = np.argsort(-state.causes, kind="stable")
        first.append(bool(acting[order[0]]))
        three.append(bool(acting[order[:3]].any()))
        if round_number == 0:
            told = state.causes
        checks = [
            check
            for check in rank_checks([(model, state)], crop=crop, prices={}, hour_price=None, knowledge=knowledge)
            if check.check not in made
        ]
        if not checks:
            continue
        chosen = checks[0] if advised else checks[rng.integers(len(checks))]
        made.add(chosen.check)
        row = knowledge.row(f"check.{chosen.check}")
        assert isinstance(row, Check)
        for name in row.findings:
            place = model.place(name)
            if place is not None:
                answers[place] = findings[place]
    return Told(first, three, told, acting)


def batch(task: tuple[int, int]) -> list[tuple[Told, Told]]:
    """Diagnose a batch of fields, each in both orders."""
    seed, number = task
    rng = np.random.default_rng([seed, number])
    built = models()
    found = []
    for _ in range(BATCH):
        crop = Crop(rng.choice([crop.value for crop in Crop]))
        model = built[crop]
        acting, findings = a_field(rng, drawn_network(rng, model))
        known = np.zeros(len(findings), dtype=bool)
        for group in model.central.groups:
            known[list(group)] = rng.random() < KNOWN_AT_FIRST
        found.append(
            tuple(
                ask(rng, model, crop=crop, acting=acting, findings=findings, known=known, advised=advised)
                for advised in (True, False)
            )
        )
    return found


def report(pairs: list[tuple[Told, Told]], seed: int) -> str:
    """Put the counts into a page of tables."""
    ill = [pair for pair in pairs if pair[0].true.any()]
    lines = [
        "# How honest the diagnosis is",
        "",
        "Made by `python scripts/diagnosis_honesty.py`; do not edit by hand.",
        "",
        f"{len(pairs)} simulated fields of all crops, seed {seed}; in {len(ill)} of them a cause or more acts. In",
        "each, every figure behind the words was drawn anew from its band, so the network that diagnoses is wrong in",
        f"every line, but right in its signs and its causes. {KNOWN_AT_FIRST:.0%} of the findings are known at first;",
        "then one check after the other is made, in the order advised or in any order. This says that the arithmetic",
        "is honest and whether the advised order pays. It says nothing of causes and signs that the tables do not",
        "hold: for that there is no data.",
        "",
        "## How soon the true cause is found, where one acts",
        "",
        "| checks made | first cause acts, advised order | any order | one of the first three acts, advised | any |",
        "| --- | --- | --- | --- | --- |",
    ]
    for made in range(ROUNDS + 1):
        cells = [
            np.mean([getattr(pair[order], what)[made] for pair in ill])
            for what in ("first_is_true", "true_among_three")
            for order in (0, 1)
        ]
        lines.append(f"| {made} | " + " | ".join(f"{cell:.1%}" for cell in cells) + " |")
    told = np.concatenate([pair[0].told for pair in pairs])
    true = np.concatenate([pair[0].true for pair in pairs])
    lines += [
        "",
        "## Probability told of a cause and how often it acted, before any check",
        "",
        "| told | times | mean told | acted | difference, points |",
        "| --- | --- | --- | --- | --- |",
    ]
    edges = [0, 0.02, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0]
    for low, high in pairwise(edges):
        here = (told >= low) & (told < high)
        if here.any():
            mean, acted = told[here].mean(), true[here].mean()
            lines.append(
                f"| {low:.0%} to {high:.0%} | {here.sum()} | {mean:.1%} | {acted:.1%} | {100 * (acted - mean):+.1f} |"
            )
    return "\n".join(lines) + "\n"


def main() -> None:
    """Run the simulation on all processors and write the page."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--fields", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--out", type=Path, default=Path("docs/diagnosis-honesty.md"))
    chosen = parser.parse_args()
    tasks = [(chosen.seed, number) for number in range(-(-chosen.fields // BATCH))]
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        pairs = [pair for found in pool.map(batch, tasks) for pair in found]
    text = report(pairs, chosen.seed)
    chosen.out.write_text(text, encoding="utf-8")
    print(text)


if __name__ == "__main__":
    main()
