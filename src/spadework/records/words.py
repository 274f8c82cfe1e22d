"""Words and classes that a cell may hold, and what a column says about itself."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from spadework.errors import DomainError

__all__ = [
    "MAX_COUNT",
    "Column",
    "CountRange",
    "CountingUnit",
    "InoculantForm",
    "LaboratoryMethod",
    "LeafColour",
    "NitrogenProduct",
    "PhMethod",
    "Placement",
    "RootHealth",
    "SizeClass",
    "Sunlight",
    "Texture",
    "Wetness",
]


@dataclass(frozen=True)
class Column:
    """What a column means. ``measure`` names the kind of unit the book may declare for it."""

    description: str
    example: str
    unit: str | None = None
    measure: str | None = None


MAX_COUNT = 5000
"""More than this on one root is a slip of the pen (or a date that a spreadsheet turned into a number)."""


@dataclass(frozen=True, order=True)
class CountRange:
    """A count, exact (``low == high``) or a class such as 11-20; ``high`` is None for an open class (over 50)."""

    low: int
    high: int | None

    def __post_init__(self) -> None:
        if not 0 <= self.low <= MAX_COUNT:
            raise DomainError("low", self.low, f"from 0 to {MAX_COUNT}")
        if self.high is not None and not self.low <= self.high <= MAX_COUNT:
            raise DomainError("high", self.high, f"from low ({self.low}) to {MAX_COUNT}")

    @property
    def is_exact(self) -> bool:
        """Whether somebody counted rather than chose a class."""
        return self.low == self.high

    def __str__(self) -> str:
        if self.high is None:
            return f">{self.low - 1}" if self.low else "0+"
        return str(self.low) if self.is_exact else f"{self.low}-{self.high}"


class CountingUnit(StrEnum):
    """What a scorer counted; the two are never added up or compared."""

    NODULE = "nodule"
    CLUSTER = "cluster"


class SizeClass(StrEnum):
    """Size of most nodules of a plant."""

    UNDER_2_MM = "under_2_mm"
    FROM_2_TO_5_MM = "2_to_5_mm"
    OVER_5_MM = "over_5_mm"


class LeafColour(StrEnum):
    """Colour of a set of leaves."""

    GREEN = "green"
    PALE = "pale"
    YELLOW = "yellow"


class RootHealth(StrEnum):
    """What the washed root looks like."""

    HEALTHY = "healthy"
    DISCOLOURED = "discoloured"
    ROTTEN = "rotten"
    GALLED = "galled"
    PRUNED = "pruned"


class Wetness(StrEnum):
    """How wet the soil was at the dig."""

    DRY = "dry"
    MOIST = "moist"
    WET = "wet"
    WATERLOGGED = "waterlogged"


class Texture(StrEnum):
    """Soil texture, coarse classes."""

    SAND = "sand"
    LOAM = "loam"
    CLAY = "clay"


class InoculantForm(StrEnum):
    """How the bacteria were carried."""

    PEAT = "peat"
    LIQUID = "liquid"
    GRANULE = "granule"
    NONE = "none"


class Placement(StrEnum):
    """Where the inoculant went."""

    SEED = "seed"
    FURROW = "furrow"


class PhMethod(StrEnum):
    """How the laboratory measured pH; readings of the two are not exchangeable."""

    WATER = "water"
    CACL2 = "cacl2"


class Sunlight(StrEnum):
    """Whether a step of the handling stood in the sun."""

    SHADE = "shade"
    SUN = "sun"


class NitrogenProduct(StrEnum):
    """Kind of product that nitrogen was applied in; what is known of each stands in the knowledge tables."""

    UREA = "urea"
    UREA_INHIBITED = "urea_inhibited"
    DISSOLVED_UREA = "dissolved_urea"
    UAN_28 = "uan_28"
    UAN_32 = "uan_32"
    UREA_AMMONIUM_NITRATE = "urea_ammonium_nitrate"
    AMMONIUM_NITRATE = "ammonium_nitrate"
    CALCIUM_AMMONIUM_NITRATE = "calcium_ammonium_nitrate"
    AMMONIUM_SULPHATE = "ammonium_sulphate"
    AMMONIUM_PHOSPHATE = "ammonium_phosphate"
    ANHYDROUS_AMMONIA = "anhydrous_ammonia"
    MANURE = "manure"
    OTHER = "other"


class LaboratoryMethod(StrEnum):
    """How fixation is measured."""

    NATURAL_ABUNDANCE = "natural_abundance"
    ISOTOPE_DILUTION = "isotope_dilution"
    NITROGEN_DIFFERENCE = "nitrogen_difference"
    UREIDES = "ureides"
