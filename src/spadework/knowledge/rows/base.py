"""What every knowledge row and source carries, the crops and the units."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import ClassVar

from spadework.errors import KnowledgeError
from spadework.quantity import Grade, Quantity

__all__ = ["ANY_CROP", "COMMON_PRACTICE", "UNITS", "Crop", "Measured", "Row", "Source"]


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
        "kg/ha": "kg/har",
        "kg/t": "kg/t",
        "t": "t",
        "ha": "har",
        "permil": "[ppth]",
        "dS/m": "dS/m",
        "mm": "mm",
        "h": "h",
        "min": "min",
        "pH": "[pH]",
        "%": "%",
        "m": "m",
        "mm/m": "mm/m",
        "t/m3": "t/m3",
        "kg/L": "kg/L",
        "kg/ha/d": "kg/har/d",
        "1/d": "/d",
        "1/h": "/h",
    }
)
"""The unit names that rows may carry, each with its UCUM code."""


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

    @property
    def source_keys(self) -> tuple[str, ...]:
        """Keys of all sources that the row rests on, the first one first."""
        return (self.source, *self.also)

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
