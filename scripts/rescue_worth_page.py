"""The page on what following the decision on nitrogen is worth, from the outcomes of simulated fields."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from textwrap import fill

import numpy as np
from numpy.typing import NDArray

from rescue_truths import WORLDS
from rescue_worth import DIG, GRAIN, HIT, LEVELS, NITROGEN, PASS, RULES, Outcome
from simulated_fields import STATES

Floats = NDArray[np.float64]
SURE = 2.0  # standard errors from which a difference is called one
LBS = ("25", "50", "75", "100")

WORLD_TOLD = {
    "as reckoned": "nitrogen does what the advice reckons with, at the field's true figures and in its true weather",
    "bending": "gain bends with the rate as on one published field, times the true gap and a random size, and fades "
    "from a random stage at a random pace",
    "plateau": "grain rises in a straight line with the nitrogen recovered until the gap is filled; another recovery, "
    "another grain per kg, another gap and another fading",
}


def nets(found: Sequence[Outcome], world: str, level: str) -> dict[str, Floats]:
    """Net returns of each rule, shape (fields,); the best fixed rate is chosen with hindsight, over all fields."""
    key = (world, level)
    rules = {name: np.array([one.net[key][name] for one in found]) for name in RULES if name in found[0].net[key]}
    fixed = np.array([one.fixed[key] for one in found])
    return rules | {"best fixed rate": fixed[:, int(fixed.mean(axis=0).argmax())]}


def best_rate(found: Sequence[Outcome], world: str, level: str) -> str:
    return LBS[int(np.array([one.fixed[world, level] for one in found]).mean(axis=0).argmax())]


def paired(one: Floats, other: Floats) -> tuple[float, float]:
    """Mean of the differences, field by field, and its standard error; the error of a single field is not known."""
    difference = one - other
    error = float(difference.std(ddof=1) / np.sqrt(difference.size)) if difference.size > 1 else float("nan")
    return float(difference.mean()), error


def gives(found: Sequence[Outcome], rule: str, level: str) -> float:
    """Share of fields on which a rule gives nitrogen, be it on a part."""
    given: dict[str, Callable[[Outcome], bool]] = {
        "advice": lambda one: one.said[level].done.day is not None,
        "never": lambda one: False,
        "threshold": lambda one: one.by_threshold[0],
        "threshold and pale leaves": lambda one: one.by_threshold[1],
    }
    return float(np.mean([given.get(rule, lambda one: True)(one) for one in found]))


def report(found: Sequence[Outcome], *, seed: int) -> str:
    """Put all of it into a page of tables."""
    lines = [*_opening(found, seed), *_main(found), *_summary(found), *_by(found, "crop", list(map(str, GRAIN)))]
    lines += [*_by(found, "state", list(STATES)), *_pieces(found), *_kinds(found), *_sureness(found), *_expected(found)]
    return "\n".join(lines) + "\n"


def _opening(found: Sequence[Outcome], seed: int) -> Iterator[str]:
    crops = Counter(one.crop for one in found)
    states = Counter(one.state for one in found)
    of_crops = ", ".join(f"{crops[str(crop)]} {crop}" for crop in GRAIN)
    of_states = ", ".join(f"{states[state]} {state}" for state in STATES)
    prices = ", ".join(f"{crop} {price:g}" for crop, price in GRAIN.items())
    levels = " and ".join(f"the {name} level is {times:g} times that" for name, times in LEVELS.items() if times != 1)
    yield from ("# What following the decision on nitrogen is worth", "")
    yield from ("Made by `python scripts/rescue_worth.py`; do not edit by hand.", "")
    yield from _text(
        f"""{len(found)} simulated fields, seed {seed}: {of_crops}; of these {of_states}. Nothing in them is real. Of
        each, climate, weather, soil, yield, crop figures and roots are drawn once as the truth: crop figures from the
        tables, the yield about the one written down by 15 %, the share of plants adequate from the roots themselves,
        what the nodules then fix from that share by the step that the tables give. An adviser digs three to five stops
        of five to ten plants within or near the dig window, sees leaves as the true shortage makes them look (and as
        eyes err), and writes down what is known. Half of the stations have twelve past years, the others normals alone;
        about half of the fields have a soil test; some dates, stages, textures and colours are missing. In delayed
        fields water, drought or cold held the nodules back, which is seen; in half of them nodules come late by
        themselves, two to eight days after the first dig, in the others never. These records,
        up to the day before, are all that the advice gets. What it says is done: nitrogen three days later, nothing, or
        another dig (up to two more, paid for) and what is said after it. The first dig is there already and costs no
        way anything. A part that failed is treated as large as its share of the stops, and at most {HIT:.0%} of the
        ground treated truly is the part."""
    )
    yield from _text(
        "The rules are given the same fields on the same day, whole, with the same product (urea with inhibitor):"
    )
    yield "- **never** gives nothing, **always** 50 lb/ac (56 kg/ha of N) everywhere;"
    yield f"- **best fixed rate** is one of {', '.join(LBS)} lb/ac, always, chosen with hindsight on these very fields;"
    yield "- **threshold** gives 50 lb/ac to soybean with fewer than 7 nodules a plant of 2 mm or more and red inside"
    yield "  (published, `msu_nodulation`), to the others where under half of the plants dug are adequate"
    yield "  (the limit of the poor class, `grdc_nodcheck`; that nitrogen follows from it is our reading);"
    yield from ("- **threshold and pale leaves** asks for pale old leaves on more than half of the plants besides.", "")
    yield from _text(
        f"""Money is invented (mk): nitrogen {NITROGEN:g} a kg, a pass {PASS:g} a ha, a dig {DIG:g} a field, and for a t
        of grain at the middle level {prices}; {levels}."""
    )
    yield from ("Three worlds; in two of them nitrogen does not do what the advice thinks:", "")
    yield from (*(f"- **{world}**: {WORLD_TOLD[world]};" for world in WORLDS), "")
    yield from _text(
        """What this cannot say: whether fields fail as often as here, or whether any of the worlds is ours. Where most
        fields are good, never giving anything is nearly right; where all have failed and grain is dear, always is."""
    )


def _text(text: str) -> tuple[str, str]:
    """A paragraph, and the empty line after it."""
    return fill(" ".join(text.split()), 118), ""


def _main(found: Sequence[Outcome]) -> Iterator[str]:
    yield from ("## Mean net return per ha, and what the advice earns more", "")
    dug = "; ".join(
        f"{np.mean([one.said[level].done.digs for one in found]):.2f} a field at {level} prices" for level in LEVELS
    )
    at_stake = "; ".join(
        f"{np.mean([one.best[world, level] for one in found]):.1f} in {world} at {level} prices"
        for world in WORLDS
        for level in LEVELS
    )
    yield from _text(
        f"""Regret is what is given up on average against the best that could have been done on each kind of ground, had
        all been known. The regret of never giving any is all that nitrogen could have earned: {at_stake} (mk/ha).
        Where that is little, no advice can beat never by much. The advice asks for more digs ({dug}), and pays for
        them wherever they lead."""
    )
    yield from _text(
        f"A difference is called one from {SURE:g} standard errors on; all are of differences field by field."
    )
    for world in WORLDS:
        yield from (
            f"### {world[0].upper()}{world[1:]}",
            "",
            "| prices | way | gives nitrogen | net, mk/ha | regret, mk/ha | advice earns more | standard error |",
            "| --- | --- | --- | --- | --- | --- | --- |",
        )
        for level in LEVELS:
            rules = nets(found, world, level)
            best = np.array([one.best[world, level] for one in found])
            for rule in RULES:
                name = f"{rule} ({best_rate(found, world, level)} lb/ac)" if rule == "best fixed rate" else rule
                more = ""
                if rule != "advice":
                    mean, error = paired(rules["advice"], rules[rule])
                    more = f"{mean:+.1f} | {error:.1f}"
                yield (
                    f"| {level} | {name} | {gives(found, rule, level):.0%} | {rules[rule].mean():+.1f} | "
                    f"{(best - rules[rule]).mean():.1f} | {more or ' | '} |"
                )
        yield ""


def _summary(found: Sequence[Outcome]) -> Iterator[str]:
    """Where the advice does not win, in one place."""
    total, won, unsure, lost = 0, 0, [], []
    for world in WORLDS:
        for level in LEVELS:
            rules = nets(found, world, level)
            for rule in RULES[1:]:
                mean, error = paired(rules["advice"], rules[rule])
                total += 1
                won += mean > SURE * error
                where = f"{rule}, {world}, {level} prices ({mean:+.1f}, standard error {error:.1f})"
                if mean <= 0:
                    lost.append(where)
                elif mean <= SURE * error:
                    unsure.append(where)
    yield from ("## Where it wins and where it does not", "")
    yield f"Of {total} comparisons the advice earns more in {won} by more than {SURE:g} standard errors."
    for title, places in (("earns more, but not surely so,", unsure), ("does not earn more", lost)):
        if places:
            yield from ("", f"It {title} against:", "", *(f"- {where}" for where in places))
    yield ""


def _by(found: Sequence[Outcome], what: str, names: Sequence[str]) -> Iterator[str]:
    yield from (
        f"## By {what}, at middle prices: what the advice earns more per ha, with its standard error",
        "",
        f"| {what} | fields | world | advice gives | " + " | ".join(f"than {rule}" for rule in RULES[1:]) + " |",
        "| --- " * (4 + len(RULES) - 1) + "|",
    )
    for name in names:
        here = [one for one in found if getattr(one, what) == name]
        for world in WORLDS if here else ():
            rules = nets(here, world, "middle") | {"best fixed rate": _fixed_as_overall(found, here, world)}
            cells = ["{:+.1f} ± {:.1f}".format(*paired(rules["advice"], rules[rule])) for rule in RULES[1:]]
            given = gives(here, "advice", "middle")
            yield f"| {name} | {len(here)} | {world} | {given:.0%} | " + " | ".join(cells) + " |"
    yield ""


def _fixed_as_overall(found: Sequence[Outcome], here: Sequence[Outcome], world: str) -> Floats:
    place = LBS.index(best_rate(found, world, "middle"))
    return np.array([one.fixed[world, "middle"][place] for one in here])


def _pieces(found: Sequence[Outcome]) -> Iterator[str]:
    """What the net return of the advice is made of, in mk/ha over all fields."""
    yield from (
        "## What the net return of the advice is made of, mk/ha over all fields",
        "",
        "| prices | of | fields | " + " | ".join(WORLDS) + " |",
        "| --- " * (3 + len(WORLDS)) + "|",
    )
    pieces: dict[str, Callable[[Outcome, str], bool]] = {
        "digs after which nothing was given": lambda one, level: one.said[level].done.day is None,
        "nitrogen on a part": lambda one, level: one.said[level].done.day is not None and _in_part(one, level),
        "nitrogen on whole delayed fields": lambda one, level: (
            one.said[level].done.day is not None and not _in_part(one, level) and one.state == "delayed"
        ),
        "nitrogen on other whole fields": lambda one, level: (
            one.said[level].done.day is not None and not _in_part(one, level) and one.state != "delayed"
        ),
    }
    for level in LEVELS:
        for name, belongs in pieces.items():
            acted = (one for one in found if one.said[level].done.digs or one.said[level].done.day)
            here = [one for one in acted if belongs(one, level)]
            cells = [f"{sum(one.net[world, level]['advice'] for one in here) / len(found):+.2f}" for world in WORLDS]
            yield f"| {level} | {name} | {len(here)} | " + " | ".join(cells) + " |"
    yield ""


def _in_part(one: Outcome, level: str) -> bool:
    return min(one.said[level].done.treated) < 1


def _kinds(found: Sequence[Outcome]) -> Iterator[str]:
    yield from (
        "## What was said first, and what it earned",
        "",
        *_text(
            """Mean net return (mk/ha) of doing what was said, another dig and what followed included; in brackets the
            regret: what nitrogen could have earned on these fields and did not."""
        ),
        "| prices | said | because | fields | nitrogen given in the end | " + " | ".join(WORLDS) + " |",
        "| --- " * (5 + len(WORLDS)) + "|",
    )
    for level in LEVELS:
        for (kind, why), count in sorted(Counter((o.said[level].kind, o.said[level].why) for o in found).items()):
            here = [one for one in found if (one.said[level].kind, one.said[level].why) == (kind, why)]
            cells = [_net_and_regret(here, world, level) for world in WORLDS]
            given = gives(here, "advice", level)
            yield f"| {level} | {kind} | {why} | {count} | {given:.0%} | " + " | ".join(cells) + " |"
    yield ""


def _net_and_regret(here: Sequence[Outcome], world: str, level: str) -> str:
    net = np.array([one.net[world, level]["advice"] for one in here])
    best = np.array([one.best[world, level] for one in here])
    return f"{net.mean():+.1f} ({(best - net).mean():.1f})"


def _sureness(found: Sequence[Outcome]) -> Iterator[str]:
    """Stated 'sure' against how often the choice was no worse, stated chance of a loss against how often it lost."""
    yield from (
        "## As sure as it says?",
        "",
        *_text(
            """Of first decisions that were weighed, all price levels together. Sure: how often the choice turned out no
            worse than the best other one, by what was expected of them. Loss: how often the best way to give nitrogen,
            whether it was the advice or not, brought less than it cost; on the ground treated as the part that failed
            where the decision was for a part. One field counts up to three times, once at each price level."""
        ),
    )
    sure, loss = [], []
    for one in found:
        for level in LEVELS:
            said = one.said[level]
            net = [one.best_apply[world, level] for world in WORLDS]
            if said.loss is None or any(value is None for value in net):
                continue
            values = np.array(net, dtype=np.float64)
            loss.append((said.loss, *(values < 0)))
            if said.sure is not None:
                sure.append((said.sure, *(values >= 0 if said.kind == "apply" else values <= 0)))
    for title, rows, edges in (
        ("told sure", sure, (0.0, 0.6, 0.7, 0.8, 0.9, 0.95, 0.99, 1.01)),
        ("told chance of a loss", loss, (0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.01)),
    ):
        yield f"| {title} | times | mean told | " + " | ".join(WORLDS) + " |"
        yield from ("| --- " * (3 + len(WORLDS)) + "|", *_binned(np.array(rows, dtype=np.float64), edges), "")


def _binned(rows: Floats, edges: Sequence[float]) -> Iterator[str]:
    for low, high in pairwise(edges):
        here = rows[(rows[:, 0] >= low) & (rows[:, 0] < high)] if rows.size else rows
        if len(here):
            mean = here.mean(axis=0)
            cells = " | ".join(f"{value:.0%}" for value in mean[1:])
            yield f"| {low:.0%} to {min(high, 1):.0%} | {len(here)} | {mean[0]:.0%} | {cells} |"


def _expected(found: Sequence[Outcome]) -> Iterator[str]:
    rows, parts, waits = [], [], []
    for one in found:
        for level in LEVELS:
            said = one.said[level]
            if said.expected is not None:
                rows.append((said.expected, *(one.best_apply[world, level] for world in WORLDS)))
                parts.append(min(said.treated) < 1)
            if said.kind == "dig_again" and said.waiting is not None:
                waits.append((said.waiting, *(one.net[world, level]["advice"] for world in WORLDS)))
    values = np.array(rows, dtype=np.float64)
    yield from (
        "## Expected and realised net return of the best way to give nitrogen",
        "",
        "| expected, mk/ha | times | mean expected | " + " | ".join(WORLDS) + " |",
        "| --- " * (3 + len(WORLDS)) + "|",
    )
    edges = (-np.inf, -80, -60, -40, -20, 0, 20, 40, 80, 160, np.inf)
    for low, high in pairwise(edges):
        here = values[(values[:, 0] >= low) & (values[:, 0] < high)] if values.size else values
        if len(here):
            yield _means(f"{low:g} to {high:g}", here)
    part = np.array(parts)
    for name, of in (("all for a whole field", ~part), ("all for a part that failed", part)):
        if part.size and of.any():
            yield _means(name, values[of])
    if waits:
        means = np.array(waits, dtype=np.float64).mean(axis=0)
        yield from (
            "",
            f"Waiting was advised {len(waits)} times: {means[0]:+.1f} mk/ha expected of it, and it brought "
            + ", ".join(f"{mean:+.1f} ({world})" for world, mean in zip(WORLDS, means[1:], strict=True))
            + ".",
        )


def _means(name: str, rows: Floats) -> str:
    return f"| {name} | {len(rows)} | " + " | ".join(f"{mean:+.0f}" for mean in rows.mean(axis=0)) + " |"
