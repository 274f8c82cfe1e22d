"""What a row of the demo's scenario says: a situation, its visits, and what was known of the field before."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from spadework.demo.plants import Nodulation, Tops, Writing
from spadework.knowledge.rows import Crop
from spadework.records.types import (
    CountingUnit,
    InoculantForm,
    NitrogenProduct,
    PhMethod,
    Placement,
    Sunlight,
    Texture,
    Wetness,
)

__all__ = ["Applied", "Inoculant", "Sight", "Situation", "SoilTest", "Step", "Visit"]


@dataclass(frozen=True, kw_only=True)
class Visit:
    """A dig: ``stops`` of ``each`` plants, the stage that was seen, and the roots and tops as they truly are."""

    on: dt.date
    stage: int | None = None
    stops: int = 3
    each: int = 10
    unit: CountingUnit = CountingUnit.NODULE
    roots: Nodulation
    tops: Tops = field(default_factory=Tops)
    writing: Writing = field(default_factory=Writing)
    wetness: Wetness = Wetness.MOIST
    conditions: str | None = None


@dataclass(frozen=True, kw_only=True)
class Inoculant:
    """What went on the seed or in the furrow; ``group`` None stands for the crop's own group."""

    form: InoculantForm = InoculantForm.PEAT
    placement: Placement | None = Placement.SEED
    group: str | None = None
    lot: str | None = "L-204"
    expires_on: dt.date | None = dt.date(2027, 3, 31)
    seed_treatment: str | None = None
    hours_to_sowing: float | None = 5.0


@dataclass(frozen=True, kw_only=True)
class SoilTest:
    """A soil sample, by default of the plough layer: depths [cm], nitrate nitrogen [kg/ha], conductivity [dS/m].

    Organic matter [%].
    """

    on: dt.date
    ph: float | None = None
    method: PhMethod | None = None
    nitrate: float | None = None
    ec: float | None = None
    organic_matter: float | None = None
    top: float = 0.0
    bottom: float = 15.0


@dataclass(frozen=True, kw_only=True)
class Applied:
    """Nitrogen applied [kg/ha]."""

    on: dt.date
    nitrogen: float
    product: NitrogenProduct = NitrogenProduct.AMMONIUM_PHOSPHATE


@dataclass(frozen=True, kw_only=True)
class Step:
    """A step on the inoculant's way to the soil: hours, air temperature [degC], shade or sun."""

    what: str
    hours: float
    temperature: float | None = None
    sunlight: Sunlight | None = None
    partner: str | None = None


@dataclass(frozen=True)
class Sight:
    """Something else that was seen, in the whole field or at one stop.

    Subjects that the diagnosis reads are the names of its findings (answered yes or no) and "pattern".
    """

    subject: str
    value: str
    stop: str | None = None


@dataclass(frozen=True, kw_only=True)
class Situation:
    """One field of the demo: what it shows, in plain words, and everything that its records are drawn from.

    ``name`` is what the field is there to show, ``also`` what else can be seen in it. ``up`` is the day on
    which half of the plants were up, None where nobody wrote it down; likewise ``sown`` and ``expected_yield``
    [t/ha].
    """

    name: str
    story: str
    also: tuple[str, ...] = ()
    field: str
    called: str
    grower: str
    crop: Crop
    station: str | None
    sown: dt.date | None
    up: dt.date | None
    area: float = 60.0
    depth: float = 5.0
    texture: Texture | None = Texture.LOAM
    host_before: bool | None = True
    host_last_year: int | None = None
    maturity_group: str | None = None
    expected_yield: float | None = None
    applied: tuple[Applied, ...] = ()
    inoculants: tuple[Inoculant, ...] = (Inoculant(),)
    soil: tuple[SoilTest, ...] = ()
    handling: tuple[Step, ...] = ()
    sights: tuple[Sight, ...] = ()
    visits: tuple[Visit, ...] = ()
    note: str | None = None
