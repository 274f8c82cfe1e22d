"""What the crop leaves by its season balance: grain nitrogen taken away, residues, and credits by kind."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spadework.advice.measured.value import Credit, credit_of
from spadework.advice.message import Message
from spadework.agronomy.fixation.balance import harvest_balance
from spadework.agronomy.season.draws import triangular
from spadework.agronomy.season.result import SeasonResult
from spadework.knowledge.rows import ANY_CROP, Crop, Knowledge
from spadework.knowledge.rows import Credit as CreditRow
from spadework.quantity import Grade, Quantity, worst_grade

__all__ = ["NitrogenLeft", "left_of"]

Floats = NDArray[np.float64]

_DRY, _SPREAD = "grain_dry_share.any", "grain_nitrogen_spread.any"
_KG_PER_T = 1000.0


@dataclass(frozen=True)
class NitrogenLeft:
    """Nitrogen after the grain is taken away, all in kg/ha, with intervals.

    ``net_shoot`` and ``net_whole`` are the fixed nitrogen of the shoot, and of the whole plant, less the grain's: which
    of them is meant often decides the sign. Residues are all nitrogen that stays, fixed or not. ``credits`` are of
    different kinds, neither added nor averaged; ``rows`` are the knowledge rows taken.
    """

    grain: Quantity
    net_shoot: Quantity
    net_whole: Quantity
    residue_shoot: Quantity
    residue_below_ground: Quantity
    credits: tuple[Credit, ...]
    messages: tuple[Message, ...]
    rows: tuple[str, ...]


def left_of(
    found: SeasonResult,
    *,
    crop: Crop,
    expected_yield: float,
    tested_after: bool,
    levels: Sequence[float],
    knowledge: Knowledge,
    generator: np.random.Generator,
) -> NitrogenLeft:
    """Reckon what is left from the draws that ripened, of which there must be one.

    ``expected_yield`` is in t/ha at market moisture, ``levels`` the low, middle and high quantile; ``tested_after``
    says that a nitrate test was taken after ripeness, which holds some credits already.
    """
    own = f"below_ground.{crop}"
    below_row = knowledge.figure(own if own in knowledge.rows else f"below_ground.{ANY_CROP}")
    grain_row, dry_row = knowledge.figure(f"grain_nitrogen.{crop}"), knowledge.figure(_DRY)
    chances = generator.random((2, found.matured_on.size))
    below, dry = (
        triangular(chance, low=row.range[0], value=row.central, high=row.range[1])
        for chance, row in zip(chances, (below_row, dry_row), strict=True)
    )
    deviation = np.maximum(1 + knowledge.figure(_SPREAD).central * generator.standard_normal(chances.shape[1]), 0.0)
    ripe = found.matured_on >= 0
    grain = expected_yield * found.relative_yield[ripe] * dry[ripe]
    crop_n = found.crop_n[ripe]
    # A starved crop yields more than its share of nitrogen, because its grain holds less of it.
    met = np.minimum(crop_n / found.required[ripe], 1.0)
    diluted = met / np.maximum(found.relative_yield[ripe], met)
    held = harvest_balance(
        shoot_nitrogen=crop_n,
        fixed_share=found.fixed_share[ripe],
        grain_nitrogen=np.minimum(_KG_PER_T * grain * grain_row.central * diluted * deviation[ripe], crop_n),
        below_ground_share=below[ripe],
    )
    of_grain = (grain_row.id, dry_row.id, _SPREAD)
    rows = (*of_grain, below_row.id)

    def figure(values: Floats, *sources: str) -> Quantity:
        low, middle, high = (float(value) for value in np.quantile(values, levels))
        return Quantity(
            value=middle,
            unit="kg/ha",
            low=low,
            high=high,
            level=levels[2] - levels[0],
            sources=sources,
            grade=Grade.JUDGEMENT,
        )

    amounts = {
        "hectare": np.ones(1),
        "grain": grain,
        "residue_nitrogen": held.residue_shoot + held.residue_below_ground,
    }
    parts = {
        "grain": figure(held.grain, *of_grain),
        "net_shoot": figure(held.net_shoot, *of_grain),
        "net_whole": figure(held.net_whole, *rows),
        "residue_shoot": figure(held.residue_shoot, *of_grain),
        "residue_below_ground": figure(held.residue_below_ground, below_row.id),
    }
    credits_found = tuple(_credits(amounts, crop, levels, knowledge, tested_after=tested_after))
    return NitrogenLeft(
        **parts,
        credits=credits_found,
        messages=tuple(_told(parts, tested_after=tested_after)),
        rows=(*rows, *(credit.row for credit in credits_found)),
    )


def _credits(
    amounts: dict[str, Floats], crop: Crop, levels: Sequence[float], knowledge: Knowledge, *, tested_after: bool
) -> Iterator[Credit]:
    """Credits of each kind; those by dry residue are left out, which the balance does not know."""
    for row in knowledge.of(CreditRow, crop):
        if row.per not in amounts:
            continue
        least, middle, most = (float(value) for value in np.quantile(amounts[row.per], levels))
        low, high = row.range
        wide = low * least < high * most
        nitrogen = Quantity(
            value=row.central * middle,
            unit="kg/ha",
            low=low * least if wide else None,
            high=high * most if wide else None,
            sources=(row.id,),
            grade=row.grade if row.per == "hectare" else worst_grade(row.grade, Grade.JUDGEMENT),
        )
        yield credit_of(row, nitrogen, tested_after=tested_after)


def _told(parts: dict[str, Quantity], *, tested_after: bool) -> Iterator[Message]:
    values = {
        f"{name}{end}": value
        for name, figure in parts.items()
        for end, value in (("_low", figure.low), ("_high", figure.high))
    }
    yield Message("nitrogen.left.balance", values)
    yield Message("nitrogen.left.residue", values)
    yield Message(f"nitrogen.left.credits_{'tested' if tested_after else 'by_kind'}")
