"""Rows of the diagnosis: what can be found, the causes with their evidence, and the checks one can make."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from spadework.knowledge.rows.base import Crop, Row
from spadework.quantity import Grade

__all__ = ["AGAINST", "COURSES", "FOR", "LEVELS", "NETWORKS", "Cause", "Check", "EvidenceLine", "Finding"]

FOR = ("always", "common", "sometimes", "rare")
"""How often a finding is met when the cause acts, most often first; none of them speaks against the cause."""
AGAINST = ("against", "excludes")
"""The finding is rarer when the cause acts, or cannot be."""
LEVELS = FOR + AGAINST

BACKGROUNDS = ("seldom", "sometimes", "often", "usual")
"""How often a finding is met where no cause acts."""

NETWORKS = ("nodulation", "pallor")
"""Why nodulation failed, and why leaves are pale: two questions asked of the same findings."""

COURSES = ("weigh_rescue", "no_nitrogen", "dig_again")
"""What a cause means for this season's nitrogen, the boldest course first."""


@dataclass(frozen=True, kw_only=True)
class Finding(Row):
    """Something that is so or not in a field, its crop or its history.

    ``background`` is how often it is met where no cause acts. Findings of one ``group`` shut each other out:
    where one is so, the others are not. ``silent_when`` names times (early, late) at which it says nothing of
    any cause but the time itself. ``sign`` marks what is seen on the crop itself, not in its history, soil or weather.
    """

    table: ClassVar[str] = "finding"

    unit: str = "1"
    background: str
    sign: bool = False
    group: str | None = None
    silent_when: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.background not in BACKGROUNDS:
            raise self.fault(f"background {self.background!r} is not one of {', '.join(BACKGROUNDS)}")
        if not set(self.silent_when) <= {"early", "late"}:
            raise self.fault(f"silent_when holds {', '.join(self.silent_when)}; it may hold early and late")

    @property
    def name(self) -> str:
        """The last word of the id."""
        return self.id.removeprefix("finding.")


@dataclass(frozen=True, kw_only=True)
class EvidenceLine:
    """How often a finding is met when a cause acts: a level, and who says so.

    ``crops`` limits the line; empty means all. Without ``stated`` the level is read from the mechanism and is
    judgement whatever the source.
    """

    finding: str
    level: str
    source: str
    grade: Grade
    crops: tuple[str, ...] = ()
    stated: bool = False
    note: str | None = None

    @property
    def speaks_for(self) -> bool:
        """Whether the finding makes the cause likelier."""
        return self.level in FOR


@dataclass(frozen=True, kw_only=True)
class Cause(Row):
    """Why something is wrong, with what speaks for and against it.

    ``network`` is the question that it answers; ``crops`` are those that it can befall, empty for all;
    ``course`` is what it means for this season's nitrogen. ``of_timing`` marks a cause that is only a dig at
    the wrong time. ``scope`` says how often it has been met, where that is published. ``cautions`` are names of
    caution rows. The three ``*_sources`` are the keys of those who stand behind the texts of the cause: what
    confirms it, what to do this season, and next season.
    """

    table: ClassVar[str] = "cause"

    unit: str = "1"
    network: str
    course: str
    crops: tuple[str, ...] = ()
    of_timing: bool = False
    evidence: tuple[EvidenceLine, ...]
    cautions: tuple[str, ...] = ()
    confirm_sources: tuple[str, ...] = ()
    this_season_sources: tuple[str, ...] = ()
    next_season_sources: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        super().__post_init__()
        for field, value, allowed in (("network", self.network, NETWORKS), ("course", self.course, COURSES)):
            if value not in allowed:
                raise self.fault(f"{field} {value!r} is not one of {', '.join(allowed)}")
        seen = set()
        for line in self.evidence:
            if line.level not in LEVELS:
                raise self.fault(f"level {line.level!r} of {line.finding} is not one of {', '.join(LEVELS)}")
            if line.finding in seen:
                raise self.fault(f"{line.finding} stands twice among its evidence")
            seen.add(line.finding)
        for crops in (self.crops, *(line.crops for line in self.evidence)):
            if unknown := set(crops) - set(Crop):
                raise self.fault(f"crops {', '.join(sorted(unknown))} are not among {', '.join(Crop)}")

    @property
    def name(self) -> str:
        """The last word of the id."""
        return self.id.removeprefix("cause.")

    @property
    def source_keys(self) -> tuple[str, ...]:
        """Keys of the cause's own sources, of those of its evidence and of those behind its texts."""
        behind_texts = (*self.confirm_sources, *self.this_season_sources, *self.next_season_sources)
        return tuple(dict.fromkeys((*super().source_keys, *(line.source for line in self.evidence), *behind_texts)))

    def befalls(self, crop: Crop) -> bool:
        """Whether the cause can act in this crop."""
        return not self.crops or crop in self.crops


@dataclass(frozen=True, kw_only=True)
class Check(Row):
    """Something that one can go and find out: which findings it settles, and what it takes.

    ``minutes`` is the adviser's own time, ``waits_days`` how long until the answer is there, ``laboratory``
    whether somebody sends a bill. ``crops`` limits it; empty means all.
    """

    table: ClassVar[str] = "check"

    unit: str = "1"
    findings: tuple[str, ...]
    minutes: float
    waits_days: float = 0
    laboratory: bool = False
    crops: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        super().__post_init__()
        if not self.findings:
            raise self.fault("settles no finding")
        if self.minutes <= 0 or self.waits_days < 0:
            raise self.fault("minutes must be above 0, and waits_days 0 or more")

    @property
    def name(self) -> str:
        """The last word of the id."""
        return self.id.removeprefix("check.")
