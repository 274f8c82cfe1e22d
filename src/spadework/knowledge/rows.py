"""Rows of the knowledge tables: one frozen dataclass a table, checked when built. Reads no files."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields
from enum import StrEnum
from types import MappingProxyType
from typing import ClassVar, TypeVar

from spadework.errors import KnowledgeError
from spadework.quantity import Grade, Quantity

__all__ = [
    "TABLES",
    "Cardinal",
    "Caution",
    "Classes",
    "Coefficient",
    "Crop",
    "DigWindow",
    "Knowledge",
    "Measured",
    "NodeInterval",
    "PrincipalStage",
    "Row",
    "Source",
    "Statement",
    "Target",
    "ThermalTime",
]


class Crop(StrEnum):
    """The grain legumes that Spadework knows."""

    PEA = "pea"
    LENTIL = "lentil"
    CHICKPEA = "chickpea"
    FABA_BEAN = "faba_bean"
    COMMON_BEAN = "common_bean"
    SOYBEAN = "soybean"
    LUPIN = "lupin"
    MUNG_BEAN = "mung_bean"
    COWPEA = "cowpea"


ANY_CROP = "any"
COMMON_PRACTICE = "common_practice"
"""Key of the source that stands for a fact of the trade without a published source."""

UNITS: Mapping[str, str] = MappingProxyType(
    {
        "1": "1",
        "d": "d",
        "degC": "Cel",
        "degC d": "Cel.d",
        "BBCH": "{BBCH}",
        "nodule/plant": "{nodule}/{plant}",
        "cluster/plant": "{cluster}/{plant}",
        "plant": "{plant}",
        "stop": "{stop}",
        "point": "{point}",
    }
)
"""The unit names that rows may carry, each with its UCUM code."""

RowT = TypeVar("RowT", bound="Row")

_STAGES = ("sowing", "emergence", "first_flower", "pod_fill", "maturity")


@dataclass(frozen=True, kw_only=True)
class Source:
    """Who said so.

    ``kind`` is paper, standard, handbook, extension (advice of a public or growers' service), data (an open
    data or parameter file), practice or judgement. ``seen`` says how much was read: page, abstract, file,
    secondary (in a text that reports it) or none.
    """

    KINDS: ClassVar[tuple[str, ...]] = (
        "paper",
        "standard",
        "handbook",
        "extension",
        "data",
        "practice",
        "judgement",
    )
    SEEN: ClassVar[tuple[str, ...]] = ("page", "abstract", "file", "secondary", "none")

    key: str
    citation: str
    kind: str
    seen: str
    doi: str | None = None
    url: str | None = None
    note: str | None = None

    def __post_init__(self) -> None:
        if not self.citation.strip():
            raise KnowledgeError("source", self.key, "citation is empty")
        for name, allowed in (("kind", self.KINDS), ("seen", self.SEEN)):
            if getattr(self, name) not in allowed:
                raise KnowledgeError(
                    "source", self.key, f"{name} is {getattr(self, name)!r}; it is one of {', '.join(allowed)}"
                )


@dataclass(frozen=True, kw_only=True)
class Row:
    """What every row carries.

    ``source`` is the key of the source that it rests on, ``also`` those of further ones that bear on it.
    ``scope`` says where it holds: region, stage, method. ``overridden`` is set when a user's book replaced
    its figures.
    """

    table: ClassVar[str] = ""

    id: str
    crop: str = ANY_CROP
    unit: str
    scope: str
    source: str
    also: tuple[str, ...] = ()
    grade: Grade
    note: str | None = None
    overridden: bool = False

    def __post_init__(self) -> None:
        if self.crop != ANY_CROP and self.crop not in set(Crop):
            raise self.fault(f"crop {self.crop!r} is not one of {', '.join(Crop)} or {ANY_CROP!r}")
        for text in ("id", "unit", "scope", "source"):
            if not getattr(self, text).strip():
                raise self.fault(f"{text} is empty; every row names its id, unit, scope and source")

    def fault(self, what: str) -> KnowledgeError:
        """Build the error that names this row."""
        return KnowledgeError(self.table, self.id, what)


@dataclass(frozen=True, kw_only=True)
class Measured(Row):
    """A row with a figure: a value, a low-high range (with or without a value), or a mean with its sd."""

    value: float | None = None
    low: float | None = None
    high: float | None = None
    mean: float | None = None
    sd: float | None = None

    def __post_init__(self) -> None:
        super().__post_init__()
        figures = (self.value, self.low, self.high, self.mean, self.sd)
        if any(figure is not None and not math.isfinite(figure) for figure in figures):
            raise self.fault("a figure is not finite")
        if self.value is None and self.mean is None and (self.low is None or self.high is None):
            raise self.fault("needs value, or low and high, or mean (and sd)")
        if (self.low is None) != (self.high is None):
            raise self.fault("low and high go together")
        if self.low is not None and self.high is not None and self.low > self.high:
            raise self.fault(f"low {self.low} is above high {self.high}")
        if self.low is not None and self.high is not None:
            for name, figure in (("value", self.value), ("mean", self.mean)):
                if figure is not None and not self.low <= figure <= self.high:
                    raise self.fault(f"{name} {figure} lies outside low {self.low} to high {self.high}")
        if self.sd is not None and (self.mean is None or self.sd < 0):
            raise self.fault("sd needs a mean and may not be negative")

    @property
    def central(self) -> float:
        """The value; else the mean; else the middle of the range."""
        if self.value is not None:
            return self.value
        if self.mean is not None:
            return self.mean
        assert self.low is not None  # noqa: S101 - held by __post_init__
        assert self.high is not None  # noqa: S101
        return (self.low + self.high) / 2

    @property
    def range(self) -> tuple[float, float]:
        """Low and high; both the central figure where no range is known."""
        if self.low is not None and self.high is not None:
            return self.low, self.high
        return self.central, self.central

    def quantity(self) -> Quantity:
        """The row as a figure that names itself as its source."""
        return Quantity(
            value=self.central, unit=self.unit, low=self.low, high=self.high, sources=(self.id,), grade=self.grade
        )


@dataclass(frozen=True, kw_only=True)
class Coefficient(Measured):
    """A plain figure: limits, planning figures, rules of our own."""

    table: ClassVar[str] = "coefficient"


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
    """A warning that must stand where the work can hurt someone; ``when`` is dig, seed, field or always."""

    table: ClassVar[str] = "caution"

    unit: str = "1"
    when: str
    message: str


TABLES: Mapping[str, type[Row]] = MappingProxyType(
    {
        kind.table: kind
        for kind in (
            Coefficient,
            Target,
            Classes,
            Cardinal,
            ThermalTime,
            NodeInterval,
            DigWindow,
            PrincipalStage,
            Statement,
            Caution,
        )
    }
)


@dataclass(frozen=True)
class Knowledge:
    """All rows and sources, immutable; ``content_hash`` stands on every report."""

    rows: Mapping[str, Row]
    sources: Mapping[str, Source]
    content_hash: str

    def row(self, row_id: str) -> Row:
        """Return the row with this id; raises KnowledgeError where there is none."""
        try:
            return self.rows[row_id]
        except KeyError:
            raise KnowledgeError("any", row_id, "there is no such row") from None

    def figure(self, row_id: str) -> Measured:
        """Return a row that carries a figure; raises KnowledgeError for any other."""
        row = self.row(row_id)
        if not isinstance(row, Measured):
            raise row.fault("carries no figure")
        return row

    def of(self, kind: type[RowT], crop: Crop | None = None) -> tuple[RowT, ...]:
        """Return the rows of one table, for one crop (rows for any crop included), in file order."""
        return tuple(
            row
            for row in self.rows.values()
            if isinstance(row, kind) and (crop is None or row.crop in (crop, ANY_CROP))
        )


def field_names(kind: type[Row | Source]) -> tuple[str, ...]:
    """Names of the fields that a row of this table, or a source, may carry in a file."""
    return tuple(field.name for field in fields(kind) if field.name != "overridden")


def _check_cap(row: Row, t_base: float, t_cap: float | None) -> None:
    if t_cap is not None and t_cap <= t_base:
        raise row.fault(f"t_cap {t_cap} must be above t_base {t_base}")
