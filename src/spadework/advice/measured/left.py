"""What the crop leaves: net balance with and without roots, residues, and credits by kind."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from spadework.advice.measured.other_methods import interval_about
from spadework.advice.measured.samples import Samples
from spadework.advice.measured.value import Credit, Left, MeasuredShare, credit_of
from spadework.agronomy.fixation.balance import below_ground_factor
from spadework.agronomy.fixation.samples import SampleMean, sample_mean
from spadework.agronomy.fixation.two_pools import effective_degrees, interval_multiplier
from spadework.knowledge.rows import ANY_CROP, Crop, Knowledge, Measured
from spadework.knowledge.rows import Credit as CreditRow
from spadework.quantity import Grade, Quantity, worst_grade
from spadework.records.words import LaboratoryMethod

__all__ = ["Harvest", "credits_of", "harvest_of", "with_left"]

_PER_TONNE = 1000.0
_SPREAD = "grain_nitrogen_spread.any"


@dataclass(frozen=True)
class Harvest:
    """The legume's samples at harvest, plot by plot: shoot and grain, dry matter and nitrogen, all in kg/ha.

    ``grain_row`` is the table's figure where the laboratory did not measure the grain's nitrogen, ``grain_spread`` its
    standard error then, which all plots share; ``level`` is that of the intervals.
    """

    shoot_dry_matter: tuple[float, ...]
    shoot: tuple[float, ...]
    grain_dry_matter: tuple[float, ...]
    grain: tuple[float, ...]
    shoot_nitrogen: SampleMean
    grain_row: str | None
    grain_spread: float
    below_ground: Measured
    level: float

    @property
    def grain_mean(self) -> float:
        """Nitrogen of the grain [kg/ha]."""
        return sample_mean(self.grain).mean

    @property
    def of_grain(self) -> tuple[str, ...]:
        """Rows that the nitrogen of the grain rests on."""
        return () if self.grain_row is None else (self.grain_row, _SPREAD)

    @property
    def sources(self) -> tuple[str, ...]:
        """Rows that what is left rests on."""
        return (self.below_ground.id, *self.of_grain)

    @property
    def grain_exceeds_shoot(self) -> bool:
        """Whether the grain would hold more nitrogen than the shoot that it is part of."""
        return self.grain_mean > self.shoot_nitrogen.mean

    @property
    def one_plot(self) -> bool:
        """Whether a single plot tells nothing of the spread."""
        return len(self.grain) < 2

    @property
    def multiple(self) -> float:
        """Standard errors that an interval over the plots reaches to each side."""
        return interval_multiplier(level=self.level, degrees=len(self.grain) - 1)

    def difference(self, weight: float) -> SampleMean:
        """Mean over the plots of so much of the shoot's nitrogen less the grain's: both vary together."""
        return sample_mean([weight * shoot - grain for shoot, grain in zip(self.shoot, self.grain, strict=True)])

    def interval(
        self, figure: SampleMean, *, of_grain: bool, sources: tuple[str, ...], grade: Grade = Grade.READ
    ) -> Quantity:
        """A mean over plots with its interval; ``of_grain``: the table's nitrogen of the grain is in it."""
        shared = self.grain_spread if of_grain else 0.0
        parts = [figure.standard_error**2, shared**2]
        degrees = float(effective_degrees(variances=parts, degrees=[max(figure.samples - 1, 1), math.inf]))
        error = math.hypot(figure.standard_error, shared)
        return interval_about(
            figure.mean, error, degrees=degrees, level=self.level, unit="kg/ha", sources=sources, grade=grade
        )

    @property
    def grain_nitrogen(self) -> Quantity:
        """Nitrogen taken away with the grain."""
        grade = Grade.READ if self.grain_row is None else Grade.JUDGEMENT
        return self.interval(sample_mean(self.grain), of_grain=True, sources=self.of_grain, grade=grade)

    @property
    def residue_shoot(self) -> Quantity:
        """Nitrogen that stays in the shoot's residue, fixed or not."""
        grade = Grade.READ if self.grain_row is None else Grade.JUDGEMENT
        return _not_negative(self.interval(self.difference(1.0), of_grain=True, sources=self.of_grain, grade=grade))

    @property
    def residue_below_ground(self) -> Quantity:
        """Nitrogen that stays below ground, fixed or not; the far ends of shoot and row are taken together."""
        row = self.below_ground
        shoot = self.interval(self.shoot_nitrogen, of_grain=False, sources=())
        low, central, high = (
            float(below_ground_factor(below)) - 1 for below in (row.range[0], row.central, row.range[1])
        )
        return Quantity(
            value=shoot.value * central,
            unit="kg/ha",
            low=None if shoot.low is None else max(shoot.low, 0.0) * low,
            high=None if shoot.high is None else shoot.high * high,
            level=shoot.level,
            sources=(row.id,),
            grade=row.grade,
        )

    @property
    def residue_nitrogen(self) -> Quantity:
        """Nitrogen of all residue, above ground and below."""
        by_share = [
            self.interval(self.difference(float(below_ground_factor(below))), of_grain=True, sources=self.sources)
            for below in (self.below_ground.central, *self.below_ground.range)
        ]
        return _not_negative(_widest(by_share[0], by_share))


def harvest_of(samples: Samples, *, crop: Crop, knowledge: Knowledge) -> Harvest | None:
    """The harvest, where every legume sample that has a grain yield has its shoot, too; else None."""
    rows = [row for row in samples.legumes if row.grain_dry_matter is not None]
    if not rows or any(row.shoot_dry_matter is None or row.shoot_n is None for row in rows):
        return None
    default = knowledge.figure(f"grain_nitrogen.{crop}")
    own = f"below_ground.{crop}"
    grain_dry, shoot_dry = (
        tuple(getattr(row, name) or 0.0 for row in rows) for name in ("grain_dry_matter", "shoot_dry_matter")
    )
    shares = [default.central if row.grain_n is None else row.grain_n / 100 for row in rows]
    grain = tuple(dry * share for dry, share in zip(grain_dry, shares, strict=True))
    by_table = sum(held for held, row in zip(grain, rows, strict=True) if row.grain_n is None) / len(rows)
    assert samples.nitrogen is not None  # noqa: S101 - the rows have it
    return Harvest(
        shoot_dry_matter=shoot_dry,
        shoot=tuple(dry * (row.shoot_n or 0.0) / 100 for dry, row in zip(shoot_dry, rows, strict=True)),
        grain_dry_matter=grain_dry,
        grain=grain,
        shoot_nitrogen=samples.nitrogen,
        grain_row=default.id if by_table > 0 else None,
        grain_spread=knowledge.figure(_SPREAD).central * by_table,
        below_ground=knowledge.figure(own if own in knowledge.rows else f"below_ground.{ANY_CROP}"),
        level=knowledge.figure("planning.interval_level").central,
    )


def with_left(measured: MeasuredShare, harvest: Harvest) -> MeasuredShare:
    """Add what is left to a share that was measured.

    Shoot and grain are taken plot by plot, for plots with more of one have more of the other. The far ends of the
    share's interval and of the range below ground are taken together, so that what is left lies between its ends at
    least as often as the share does.
    """
    fixed, share = measured.fixed_shoot, measured.share
    if fixed is None or share is None or harvest.grain_exceeds_shoot or harvest.one_plot:
        return measured
    if None in (fixed.low, fixed.high, share.low, share.high, measured.standard_error):
        return measured
    below = harvest.below_ground
    factors = [float(below_ground_factor(share_below)) for share_below in (below.central, *below.range)]
    sources = tuple(dict.fromkeys((*share.sources, *harvest.sources)))
    judged = Grade.READ if harvest.grain_row is None else Grade.JUDGEMENT
    grade = worst_grade(below.grade, share.grade or Grade.JUDGEMENT)

    def times(factor: float) -> Quantity:
        ends = sorted(end * factor for end in (fixed.low or 0.0, fixed.high or 0.0))
        return replace(fixed, value=fixed.value * factor, low=ends[0], high=ends[1], sources=sources, grade=grade)

    def less(factor: float) -> Quantity:
        return replace(_less_grain(measured, harvest, factor), sources=sources, grade=worst_grade(grade, judged))

    return replace(
        measured,
        left=Left(
            fixed_whole=_widest(times(factors[0]), [times(factor) for factor in factors]),
            net_shoot=less(1.0),
            net_whole=_widest(less(factors[0]), [less(factor) for factor in factors]),
        ),
    )


def _less_grain(measured: MeasuredShare, harvest: Harvest, factor: float) -> Quantity:
    """Fixed nitrogen times a factor less the grain's, the shoot's and the grain's errors plot by plot."""
    fixed, share, error = measured.fixed_shoot, measured.share, measured.standard_error
    assert fixed is not None  # noqa: S101 - asked by the caller
    assert share is not None  # noqa: S101 - asked by the caller
    assert error is not None  # noqa: S101 - asked by the caller
    of_shoot = 1.0 if measured.method == LaboratoryMethod.NITROGEN_DIFFERENCE else share.value
    ends = []
    for side, end, share_end in ((-1, fixed.low, share.low), (1, fixed.high, share.high)):
        assert end is not None  # noqa: S101 - asked by the caller
        assert share_end is not None  # noqa: S101 - asked by the caller
        multiple = abs(share_end - share.value) / error if error > 0 else harvest.multiple
        shoot = multiple * of_shoot * harvest.shoot_nitrogen.standard_error
        others = factor * math.sqrt(max((end - fixed.value) ** 2 - shoot**2, 0.0))
        plots = _error(harvest, factor * of_shoot)
        ends.append(side * math.hypot(others, multiple * plots, multiple * harvest.grain_spread))
    value = fixed.value * factor - harvest.grain_mean
    return replace(fixed, value=value, low=value + ends[0], high=value + ends[1])


def _error(harvest: Harvest, weight: float) -> float:
    """Standard error of so much of the shoot's nitrogen less the grain's; apart where not the same plots have both."""
    if harvest.shoot_nitrogen.samples == len(harvest.grain):
        return harvest.difference(weight).standard_error
    return math.hypot(weight * harvest.shoot_nitrogen.standard_error, sample_mean(harvest.grain).standard_error)


def _widest(central: Quantity, figures: Sequence[Quantity]) -> Quantity:
    """The central figure between the far ends of several."""
    lows, highs = ([getattr(figure, end) for figure in figures] for end in ("low", "high"))
    if None in lows or None in highs:
        return central
    return replace(central, low=min(lows), high=max(highs))


def _not_negative(quantity: Quantity) -> Quantity:
    return quantity if quantity.low is None else replace(quantity, low=max(quantity.low, 0.0))


def credits_of(harvest: Harvest, *, crop: Crop, knowledge: Knowledge) -> Iterator[Credit]:
    """Credits that the next crop may be given, each of its own kind, in the order of the tables."""

    def tonnes(plots: Sequence[float]) -> Quantity:
        figure = harvest.interval(sample_mean(plots), of_grain=False, sources=())
        return _not_negative(figure)

    residue = [all_of - grain for all_of, grain in zip(harvest.shoot_dry_matter, harvest.grain_dry_matter, strict=True)]
    amounts = {
        "hectare": (Quantity(1.0, "1", 1.0, 1.0), 1.0),
        "grain": (tonnes(harvest.grain_dry_matter), _PER_TONNE),
        "residue": (tonnes(residue), _PER_TONNE),
        "residue_nitrogen": (harvest.residue_nitrogen, 1.0),
    }
    for row in knowledge.of(CreditRow, crop):
        amount, per = amounts[row.per]
        if amount.low is None or amount.high is None:
            continue
        low, high = row.range
        nitrogen = Quantity(
            value=row.central * amount.value / per,
            unit="kg/ha",
            low=low * amount.low / per,
            high=high * amount.high / per,
            sources=(row.id,),
            grade=row.grade,
        )
        yield credit_of(row, nitrogen, tested_after=False)
