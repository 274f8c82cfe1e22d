"""Rows of nitrogen given to a standing crop: products, ways to spread them, losses, and until when it helps."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from spadework.knowledge.rows.base import Measured, Row

__all__ = ["AmmoniaLoss", "Fertiliser", "RescueEvidence", "RescueLimit", "Spreading"]


@dataclass(frozen=True, kw_only=True)
class _Share(Measured):
    """A share from 0 to 1 [1]."""

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.unit != "1":
            raise self.fault(f"unit is {self.unit!r}; a share is in 1")
        if not 0 <= min(self.central, *self.range) <= max(self.central, *self.range) <= 1:
            raise self.fault("a share lies from 0 to 1")

    @property
    def name(self) -> str:
        """The last word of the id."""
        return self.id.rpartition(".")[2]


@dataclass(frozen=True, kw_only=True)
class Fertiliser(_Share):
    """A kind of product by the share of its mass that is nitrogen; its name is the word of the records.

    ``form`` is dry, liquid or gas. ``urea`` says how much of the nitrogen is urea: all, half or none; ``inhibited``
    whether it carries a urease inhibitor, ``ammonium`` whether it loses more on alkaline soil. ``offered``: whether
    it is advised for a standing pulse; where not, the message catalogue says why.
    """

    table: ClassVar[str] = "fertiliser"
    FORMS: ClassVar[tuple[str, ...]] = ("dry", "liquid", "gas")
    UREA: ClassVar[tuple[str, ...]] = ("all", "half", "none")

    form: str
    urea: str
    inhibited: bool = False
    ammonium: bool = False
    offered: bool

    def __post_init__(self) -> None:
        super().__post_init__()
        for name, allowed in (("form", self.FORMS), ("urea", self.UREA)):
            if getattr(self, name) not in allowed:
                raise self.fault(f"{name} {getattr(self, name)!r} is not one of {', '.join(allowed)}")
        if self.range[0] <= 0:
            raise self.fault("a product without nitrogen is none")
        if self.inhibited and self.urea == "none":
            raise self.fault("a urease inhibitor has nothing to hold where no nitrogen is urea")


@dataclass(frozen=True, kw_only=True)
class Spreading(_Share):
    """A way to bring products to a standing crop, by the share of its yield that leaf burn costs.

    ``rank`` is 1 for the gentlest; ``products`` are names of products that are spread so, ``offered`` whether it is
    ever advised.
    """

    table: ClassVar[str] = "spreading"

    rank: int
    products: tuple[str, ...]
    offered: bool

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.rank < 1 or not self.products:
            raise self.fault("needs a rank from 1 on, and products")


@dataclass(frozen=True, kw_only=True)
class AmmoniaLoss(_Share):
    """Share of the nitrogen of surface urea lost as ammonia where ``days`` pass until a soaking rain [d]."""

    table: ClassVar[str] = "ammonia_loss"

    days: float

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.days < 0:
            raise self.fault(f"days is {self.days:g}; it is at least 0")


@dataclass(frozen=True, kw_only=True)
class RescueLimit(Row):
    """Until when nitrogen helps a crop in full, and from when on it helps no more.

    In days after sowing, unit d (``best_until_days``, ``too_late_days``), or in BBCH codes from first flower to
    ripeness, unit BBCH (``best_until_bbch``, ``too_late_bbch``); one pair a row.
    """

    table: ClassVar[str] = "rescue_limit"
    FLOWER_TO_RIPE: ClassVar[tuple[int, int]] = (60, 89)

    best_until_days: float | None = None
    too_late_days: float | None = None
    best_until_bbch: int | None = None
    too_late_bbch: int | None = None

    def __post_init__(self) -> None:
        super().__post_init__()
        days = (self.best_until_days, self.too_late_days)
        codes = (self.best_until_bbch, self.too_late_bbch)
        pair, other, unit = (days, codes, "d") if codes == (None, None) else (codes, days, "BBCH")
        best, late = pair
        if best is None or late is None or other != (None, None):
            raise self.fault("needs best_until_days and too_late_days, or best_until_bbch and too_late_bbch")
        if not best < late:
            raise self.fault(f"it is too late at {late:g}, which does not come after the best time, {best:g}")
        if self.unit != unit:
            raise self.fault(f"unit is {self.unit!r}; here it is {unit}")
        first, last = self.FLOWER_TO_RIPE
        if pair is codes and not first <= best < late <= last:
            raise self.fault(f"codes lie from {first} to {last}, where the clock of the balance knows them")


@dataclass(frozen=True, kw_only=True)
class RescueEvidence(Row):
    """What field trials of rescue nitrogen there are for a crop: ``trials``, ``near`` or ``none``."""

    table: ClassVar[str] = "rescue_evidence"
    WORDS: ClassVar[tuple[str, ...]] = ("trials", "near", "none")

    unit: str = "1"
    trials: str

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.trials not in self.WORDS:
            raise self.fault(f"trials {self.trials!r} is not one of {', '.join(self.WORDS)}")
