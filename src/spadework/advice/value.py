"""The advice value: what a field's records and the knowledge tables add up to.

Everything that shows advice (terminal, PDF, later the web) prints this value and computes nothing.
Texts are messages: an id and the values to put in, rendered by ``advice.messages``.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from spadework.advice.diagnosis.value import Diagnosis
from spadework.advice.message import Message, Scalar
from spadework.advice.nitrogen.value import Nitrogen
from spadework.advice.rescue.value import Decision
from spadework.knowledge.rows import Crop
from spadework.quantity import Grade, Quantity

__all__ = [
    "Agreement",
    "Basis",
    "ClassProbability",
    "ColourReading",
    "DateRange",
    "Decision",
    "DegreeDayTotal",
    "Diagnosis",
    "FieldAdvice",
    "Message",
    "Missing",
    "NextStep",
    "Nitrogen",
    "Patch",
    "PositionReading",
    "Readings",
    "Sampling",
    "Scalar",
    "SourceUsed",
    "StageEstimate",
    "StopSummary",
    "TargetInForce",
    "ThreeFactorIndex",
    "Timing",
    "Verdict",
]


@dataclass(frozen=True)
class DateRange:
    """A day that is known only between two days; ``observed`` when somebody wrote it down."""

    low: dt.date
    high: dt.date
    observed: bool = False


@dataclass(frozen=True)
class DegreeDayTotal:
    """A degree-day total with the rule that made it.

    ``filled_days`` were interpolated, ``normal_days`` taken from normals; ``missing_days`` could be neither
    and are not in the total.
    """

    total: Quantity
    method: str
    method_name: str
    base_c: float
    cap_c: float | None
    from_date: dt.date
    to_date: dt.date
    filled_days: int
    normal_days: int
    missing_days: int


@dataclass(frozen=True)
class StageEstimate:
    """Growth stage as a range of BBCH codes; ``seen`` overrides the estimate."""

    low_bbch: int
    high_bbch: int
    seen: int | None
    name_low: str
    name_high: str


@dataclass(frozen=True)
class Timing:
    """Whether the visit was at the right time.

    ``state``: ``too_early``, ``first_look`` (presence only), ``in_window``, ``too_late`` or ``unknown``.
    ``sure`` is False when the ranges leave room for another state. ``decided_by`` is ``stage_seen``,
    ``calendar`` or ``none``. ``sources`` are the rows that its dates and its state rest on.
    """

    dug_on: dt.date | None
    state: str
    sure: bool
    decided_by: str
    window_scheme: str
    headline: Message
    a_poor_reading_means: Message
    a_poor_reading_does_not_mean: Message
    anchor: str | None = None
    anchor_date: DateRange | None = None
    days_since_anchor: Quantity | None = None
    emergence: DateRange | None = None
    first_flower: DateRange | None = None
    stage: StageEstimate | None = None
    opens: DateRange | None = None
    closes: DateRange | None = None
    degree_days: DegreeDayTotal | None = None
    day_length: Quantity | None = None
    cold_days: int | None = None
    notes: tuple[Message, ...] = ()
    sources: tuple[str, ...] = ()

    @property
    def wrong_time(self) -> str | None:
        """``early`` or ``late`` where the dig is known to be at the wrong time, else None."""
        return {"too_early": "early", "first_look": "early", "too_late": "late"}.get(self.state)

    def is_closed(self, today: dt.date) -> bool:
        """Whether no dig from this day on can be in the window."""
        return self.wrong_time == "late" or (self.closes is not None and self.closes.high < today)

    @property
    def in_time(self) -> bool:
        """Whether a verdict may be held against the crop: not, so far as is known, dug too early or too late."""
        return self.wrong_time is None


@dataclass(frozen=True)
class ClassProbability:
    """One class and the probability that the field belongs to it."""

    name: str
    probability: float


@dataclass(frozen=True)
class TargetInForce:
    """The target that plants were held against, and where it comes from.

    ``chosen_by`` is ``default``, ``book`` (a scheme named in the book) or ``local`` (the user's own figure).
    """

    scheme: str
    value: float
    counting_unit: str
    comparison: str
    counts: str
    chosen_by: str
    grade: Grade
    source: str


@dataclass(frozen=True)
class StopSummary:
    """One stop: plants scored, how many adequate as counted, the mean of effective nodules."""

    stop: str
    plants: int
    adequate: float | None
    share: Quantity | None
    mean_effective: float | None
    in_patch: str | None = None


@dataclass(frozen=True)
class Patch:
    """Stops that differ more than chance allows; ``poor_stops`` and ``good_stops`` are never averaged away."""

    p_value: float
    poor_stops: tuple[str, ...]
    good_stops: tuple[str, ...]
    poor_share: Quantity
    good_share: Quantity
    message: Message


@dataclass(frozen=True)
class ThreeFactorIndex:
    """Vigour (0-5) + abundance and colour (0-5) + position (0-3), each a field mean."""

    vigour: Quantity
    abundance_and_colour: Quantity
    position: Quantity
    total: Quantity
    classes: tuple[ClassProbability, ...]
    leading: str
    message: Message


@dataclass(frozen=True)
class ColourReading:
    """Inside colours of the nodules cut, pooled over the visit, as shares of those cut."""

    cut_open: int
    red_pink: Quantity | None
    white: Quantity | None
    green_brown: Quantity | None
    message: Message


@dataclass(frozen=True)
class PositionReading:
    """Crown against lateral nodules and what it says of inoculant and residents."""

    crown_share: Quantity | None
    plants_with_crown: Quantity | None
    message: Message


@dataclass(frozen=True)
class Agreement:
    """Plants scored by more than one person."""

    plants: int
    scorers: tuple[str, ...]
    weighted_kappa: float | None
    observed_agreement: float | None
    intraclass_correlation: float | None
    warning: bool
    message: Message


@dataclass(frozen=True)
class Readings:
    """What a visit says beside a verdict, and without a target too.

    ``agreement`` is there only where plants were scored twice.
    """

    colour: ColourReading
    position: PositionReading
    agreement: Agreement | None


@dataclass(frozen=True)
class Verdict:
    """How well the crop is nodulated.

    ``share`` is the share of plants adequate with its interval; ``classes`` runs from worst to best and
    sums to 1; ``class_limits`` are the shares between them, one fewer than classes. ``none_found`` is True
    when no plant carried any nodule (the leading class is then the worst one), ``by_number_only`` when no nodule
    was cut open in the whole visit.
    """

    target: TargetInForce
    plants: int
    stops: int
    adequate_as_counted: float
    share: Quantity
    classes: tuple[ClassProbability, ...]
    leading: str
    probability: float
    none_found: bool
    by_number_only: bool
    headline: Message
    reasons: tuple[Message, ...]
    stop_summaries: tuple[StopSummary, ...]
    mean_effective: Quantity
    patch: Patch | None
    class_limits: tuple[float, ...] = ()


@dataclass(frozen=True)
class Sampling:
    """Whether the verdict is settled and, if not, what would settle it.

    ``assurance`` is the chance that the further plants settle it. ``stop_correlation`` is how alike plants
    of one stop are. ``planned_plants`` in ``planned_stops`` is the fixed plan for ``planned_precision``
    (half width of the interval).
    """

    settled: bool
    settle_at: float
    more_plants: int | None
    more_stops: int | None
    assurance: float | None
    stop_correlation: Quantity
    planned_plants: int
    planned_stops: int
    planned_precision: Quantity
    message: Message


@dataclass(frozen=True)
class NextStep:
    """What to do next, in the order in which to do it; ``dig_again`` when a spade can still mend this advice."""

    messages: tuple[Message, ...]
    dig_again: bool


@dataclass(frozen=True)
class Missing:
    """A record that is not there, its name in words and what it would add."""

    record: str
    name: Message
    adds: Message


@dataclass(frozen=True)
class SourceUsed:
    """A knowledge row that had an effect on this advice."""

    row: str
    figure: str
    grade: Grade
    citation: str
    overridden: bool


@dataclass(frozen=True)
class Basis:
    """What the advice stands on, so that it can be made again to the byte."""

    version: str
    knowledge_hash: str
    seed: int
    level: float
    rows: tuple[SourceUsed, ...]


@dataclass(frozen=True)
class FieldAdvice:
    """All that can be said of one field today. A part that cannot be answered is None and stands in ``missing``."""

    field: str
    name: str | None
    grower: str | None
    crop: Crop
    advised_on: dt.date
    timing: Timing
    verdict: Verdict | None
    readings: Readings | None
    index: ThreeFactorIndex | None
    sampling: Sampling | None
    diagnosis: Diagnosis
    nitrogen: Nitrogen | None
    next_step: NextStep
    earlier_digs: tuple[Message, ...]
    missing: tuple[Missing, ...]
    cautions: tuple[Message, ...]
    basis: Basis
    decision: Decision | None = None
