"""Rows of figures, limits, windows, statements and cautions: one frozen dataclass a table, checked when built."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from spadework.knowledge.rows.base import COMMON_PRACTICE, Measured, Row
from spadework.quantity import Grade

__all__ = [
    "Cardinal",
    "Caution",
    "Chance",
    "Classes",
    "Coefficient",
    "DigWindow",
    "NodeInterval",
    "PrincipalStage",
    "Statement",
    "Target",
    "ThermalTime",
    "WordList",
]

_STAGES = ("sowing", "emergence", "first_flower", "pod_fill", "maturity")


@dataclass(frozen=True, kw_only=True)
class Coefficient(Measured):
    """A plain figure: limits, planning figures, rules of our own."""

    table: ClassVar[str] = "coefficient"


@dataclass(frozen=True, kw_only=True)
class Chance(Measured):
    """A chance or a factor between 0 and 1, neither of which it may reach: nothing is certain beforehand."""

    table: ClassVar[str] = "chance"

    def __post_init__(self) -> None:
        super().__post_init__()
        for name in ("value", "low", "high", "mean"):
            figure = getattr(self, name)
            if figure is not None and not 0 < figure < 1:
                raise self.fault(f"{name} is {figure:g}; a chance lies between 0 and 1 and reaches neither")


@dataclass(frozen=True, kw_only=True)
class Target(Measured):
    """Nodules or clusters that an adequate plant carries, under one named scheme.

    ``counting_unit`` is ``nodule`` or ``cluster``; ``comparison`` is ``at_least`` or ``more_than``;
    ``counts`` says which nodules count (``any_size`` or ``at_least_2_mm``). ``default`` marks the
    scheme that is in force for its crop when the book names none.
    """

    table: ClassVar[str] = "target"

    counting_unit: str
    comparison: str = "at_least"
    counts: str = "any_size"
    default: bool = False

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.counting_unit not in ("nodule", "cluster"):
            raise self.fault(f"counting_unit {self.counting_unit!r} is neither nodule nor cluster")
        if self.comparison not in ("at_least", "more_than"):
            raise self.fault(f"comparison {self.comparison!r} is neither at_least nor more_than")
        if self.counts not in ("any_size", "at_least_2_mm"):
            raise self.fault(f"counts {self.counts!r} is neither any_size nor at_least_2_mm")
        on_judgement = self.grade is Grade.JUDGEMENT and self.source != COMMON_PRACTICE
        if self.default and on_judgement and not self.overridden:
            raise self.fault("a target on memory or judgement may not be a default")


@dataclass(frozen=True, kw_only=True)
class Classes(Row):
    """Class limits: ``names`` from worst to best, ``limits`` between them; a value at a limit is in the upper class."""

    table: ClassVar[str] = "classes"

    names: tuple[str, ...]
    limits: tuple[float, ...]

    def __post_init__(self) -> None:
        super().__post_init__()
        if len(self.names) != len(self.limits) + 1:
            raise self.fault("needs one name more than limits")
        if list(self.limits) != sorted(self.limits):
            raise self.fault("limits must rise")


@dataclass(frozen=True, kw_only=True)
class Cardinal(Row):
    """Temperatures that drive development [degC]. ``t_cap`` is where the rate stops rising."""

    table: ClassVar[str] = "cardinal"

    unit: str = "degC"
    t_base: float
    t_cap: float | None = None

    def __post_init__(self) -> None:
        super().__post_init__()
        _check_cap(self, self.t_base, self.t_cap)


@dataclass(frozen=True, kw_only=True)
class ThermalTime(Measured):
    """A degree-day sum between two stages, tied to its base and averaging rule.

    ``stage_from`` and ``stage_to`` are sowing, emergence, first_flower, pod_fill or maturity;
    ``method`` is an id of the degree-day rules in ``agronomy.clock``.
    """

    table: ClassVar[str] = "thermal_time"

    stage_from: str
    stage_to: str
    t_base: float
    t_cap: float | None = None
    method: str
    default: bool = False

    def __post_init__(self) -> None:
        super().__post_init__()
        _check_cap(self, self.t_base, self.t_cap)
        for name in ("stage_from", "stage_to"):
            if getattr(self, name) not in _STAGES:
                raise self.fault(f"{name} {getattr(self, name)!r} is not one of {', '.join(_STAGES)}")
        if _STAGES.index(self.stage_from) >= _STAGES.index(self.stage_to):
            raise self.fault(f"stage_from {self.stage_from} does not come before stage_to {self.stage_to}")


@dataclass(frozen=True, kw_only=True)
class NodeInterval(Measured):
    """Degree-days from one main-stem node (or leaf) to the next."""

    table: ClassVar[str] = "node_interval"

    t_base: float
    method: str


@dataclass(frozen=True, kw_only=True)
class DigWindow(Row):
    """When a crop's nodules can be judged, under one named scheme.

    Calendar: days after ``anchor`` (sowing or emergence) from ``opens_days`` to ``closes_days``,
    either may be absent. Stage: BBCH codes ``opens_bbch`` to ``closes_bbch``, either may be absent.
    ``default`` marks the scheme in force for its crop (and region, when given) if the book names none.
    """

    table: ClassVar[str] = "dig_window"

    unit: str = "d"
    anchor: str
    opens_days: float | None = None
    closes_days: float | None = None
    opens_bbch: int | None = None
    closes_bbch: int | None = None
    default: bool = False

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.anchor not in ("sowing", "emergence"):
            raise self.fault(f"anchor {self.anchor!r} is neither sowing nor emergence")
        for opens, closes in (("opens_days", "closes_days"), ("opens_bbch", "closes_bbch")):
            first, last = getattr(self, opens), getattr(self, closes)
            if first is not None and last is not None and first > last:
                raise self.fault(f"{opens} {first} is after {closes} {last}")
        if all(edge is None for edge in (self.opens_days, self.closes_days, self.opens_bbch, self.closes_bbch)):
            raise self.fault("needs days or BBCH codes, or it opens and closes nothing")


@dataclass(frozen=True, kw_only=True)
class PrincipalStage(Row):
    """A principal growth stage of the BBCH scale: ``code`` 0-9 and what it is called."""

    table: ClassVar[str] = "principal_stage"

    unit: str = "1"
    code: int
    meaning: str


@dataclass(frozen=True, kw_only=True)
class Statement(Row):
    """A published or practical statement that a reading rests on (colour, position, timing); no figure.

    ``subject`` is the message subject that cites it, such as ``position.crown``.
    """

    table: ClassVar[str] = "statement"

    unit: str = "1"
    subject: str
    says: str


@dataclass(frozen=True, kw_only=True)
class Caution(Row):
    """A warning that must stand where the work can hurt someone.

    ``when`` is dig, seed, field or always; or cause or rescue: then it stands beside the causes that name it, or
    beside a decision on nitrogen, and nowhere else.
    """

    table: ClassVar[str] = "caution"

    unit: str = "1"
    WITH_ADVICE: ClassVar[tuple[str, ...]] = ("cause", "rescue")

    when: str
    message: str

    @property
    def stands_alone(self) -> bool:
        """Whether it is told with every advice, whatever that says."""
        return self.when not in self.WITH_ADVICE


@dataclass(frozen=True, kw_only=True)
class WordList(Row):
    """Words that mean one thing where people write freely: lower case, singular, matched whole or in the plural."""

    table: ClassVar[str] = "words"

    unit: str = "1"
    words: tuple[str, ...]

    def __post_init__(self) -> None:
        super().__post_init__()
        if not self.words or any(word != word.strip().lower() or not word for word in self.words):
            raise self.fault("needs words, each in lower case")
        if len(set(self.words)) != len(self.words):
            raise self.fault("a word stands twice")


def _check_cap(row: Row, t_base: float, t_cap: float | None) -> None:
    if t_cap is not None and t_cap <= t_base:
        raise row.fault(f"t_cap {t_cap} must be above t_base {t_base}")
