"""What the crop leaves: net balance with and without roots, residues, and credits by kind."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, replace

from spadework.advice.measured.samples import Samples
from spadework.advice.measured.value import Credit, Left, MeasuredShare
from spadework.agronomy.fixation.balance import below_ground_factor, harvest_balance
from spadework.agronomy.fixation.samples import SampleMean, sample_mean
from spadework.knowledge.rows import ANY_CROP, Crop, Knowledge, Measured
from spadework.knowledge.rows import Credit as CreditRow
from spadework.quantity import Grade, Quantity, worst_grade

__all__ = ["Harvest", "credits_of", "harvest_of", "residues", "with_left"]

_PER_TONNE = 1000.0


@dataclass(frozen=True)
class Harvest:
    """Means of the legume's samples at harvest: shoot and grain, dry matter and nitrogen, all in kg/ha.

    ``grain_row`` is the table's figure where the laboratory did not measure the grain's nitrogen.
    """

    shoot_dry_matter: float
    shoot_nitrogen: SampleMean
    grain_dry_matter: float
    grain_nitrogen: float
    grain_row: str | None
    below_ground: Measured

    @property
    def sources(self) -> tuple[str, ...]:
        """Rows that what is left rests on."""
        return (self.below_ground.id, *(() if self.grain_row is None else (self.grain_row,)))

    @property
    def grain_exceeds_shoot(self) -> bool:
        """Whether the grain would hold more nitrogen than the shoot that it is part of."""
        return self.grain_nitrogen > self.shoot_nitrogen.mean


def harvest_of(samples: Samples, *, crop: Crop, knowledge: Knowledge) -> Harvest | None:
    """The harvest, where every legume sample that has a grain yield has its shoot, too; else None."""
    rows = [row for row in samples.legumes if row.grain_dry_matter is not None]
    if not rows or any(row.shoot_dry_matter is None or row.shoot_n is None for row in rows):
        return None
    default = knowledge.figure(f"grain_nitrogen.{crop}")
    own = f"below_ground.{crop}"
    taken = [(row.grain_dry_matter or 0.0) * _grain_share(row.grain_n, default) for row in rows]
    assert samples.nitrogen is not None  # noqa: S101 - the rows have it
    return Harvest(
        shoot_dry_matter=sample_mean([row.shoot_dry_matter or 0.0 for row in rows]).mean,
        shoot_nitrogen=samples.nitrogen,
        grain_dry_matter=sample_mean([row.grain_dry_matter or 0.0 for row in rows]).mean,
        grain_nitrogen=sample_mean(taken).mean,
        grain_row=default.id if any(row.grain_n is None for row in rows) else None,
        below_ground=knowledge.figure(own if own in knowledge.rows else f"below_ground.{ANY_CROP}"),
    )


def _grain_share(measured_percent: float | None, default: Measured) -> float:
    return default.central if measured_percent is None else measured_percent / 100


def with_left(measured: MeasuredShare, harvest: Harvest) -> MeasuredShare:
    """Add what is left to a share that was measured.

    The far ends of the share's interval and of the range below ground are taken together, so that what is left lies
    between its ends at least as often as the share does.
    """
    fixed = measured.fixed_shoot
    if fixed is None or measured.share is None or harvest.grain_exceeds_shoot:
        return measured
    grade = worst_grade(harvest.below_ground.grade, measured.share.grade or Grade.JUDGEMENT)
    ends = (fixed.value,) if fixed.low is None or fixed.high is None else (fixed.low, fixed.high)

    def whole(amount: float, below: float) -> float:
        return amount * float(below_ground_factor(below))

    central = whole(fixed.value, harvest.below_ground.central)
    reached = [whole(*pair) for pair in itertools.product(ends, harvest.below_ground.range)]
    fixed_whole = Quantity(
        value=central,
        unit="kg/ha",
        low=min(reached),
        high=max(reached),
        level=fixed.level,
        sources=(*measured.share.sources, *harvest.sources),
        grade=grade,
    )
    return replace(
        measured,
        left=Left(
            fixed_whole=fixed_whole,
            net_shoot=_less(fixed, harvest.grain_nitrogen, fixed_whole.sources),
            net_whole=_less(fixed_whole, harvest.grain_nitrogen, fixed_whole.sources),
        ),
    )


def _less(quantity: Quantity, taken: float, sources: tuple[str, ...]) -> Quantity:
    return replace(
        quantity,
        value=quantity.value - taken,
        low=None if quantity.low is None else quantity.low - taken,
        high=None if quantity.high is None else quantity.high - taken,
        sources=sources,
    )


def residues(harvest: Harvest) -> tuple[Quantity, Quantity]:
    """Nitrogen [kg/ha] that stays in shoot residue and below ground, fixed or not."""
    figures = {
        below: harvest_balance(
            shoot_nitrogen=harvest.shoot_nitrogen.mean,
            fixed_share=0.0,
            grain_nitrogen=harvest.grain_nitrogen,
            below_ground_share=below,
        )
        for below in (*harvest.below_ground.range, harvest.below_ground.central)
    }
    low, high = (float(figures[below].residue_below_ground) for below in harvest.below_ground.range)
    central = figures[harvest.below_ground.central]
    return (
        Quantity(value=float(central.residue_shoot), unit="kg/ha", sources=harvest.sources[1:]),
        Quantity(
            value=float(central.residue_below_ground),
            unit="kg/ha",
            low=low,
            high=high,
            sources=(harvest.below_ground.id,),
            grade=harvest.below_ground.grade,
        ),
    )


def credits_of(harvest: Harvest, *, crop: Crop, knowledge: Knowledge) -> Iterator[Credit]:
    """Credits that the next crop may be given, each of its own kind, in the order of the tables."""
    shoot, below = residues(harvest)
    amounts = {
        "hectare": 1.0,
        "grain": harvest.grain_dry_matter / _PER_TONNE,
        "residue": (harvest.shoot_dry_matter - harvest.grain_dry_matter) / _PER_TONNE,
        "residue_nitrogen": shoot.value + below.value,
    }
    for row in knowledge.of(CreditRow, crop):
        amount = amounts[row.per]
        low, high = row.range
        yield Credit(
            kind=row.kind,
            nitrogen=Quantity(
                value=row.central * amount,
                unit="kg/ha",
                low=low * amount,
                high=high * amount,
                sources=(row.id,),
                grade=row.grade,
            ),
            in_soil_test=row.in_soil_test,
            scope=row.scope,
            row=row.id,
        )
