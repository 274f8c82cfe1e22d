"""The diagnosis as a value: causes ranked, what speaks for and against them, look-alikes, and checks."""

from __future__ import annotations

from dataclasses import dataclass

from spadework.advice.message import Message
from spadework.quantity import Quantity

__all__ = ["Argument", "CauseAdvice", "CauseChance", "CheckAdvice", "Diagnosis", "Evidence", "Pallor"]


@dataclass(frozen=True)
class Evidence:
    """One thing known of a field.

    ``finding`` is the name of a knowledge row ``finding.*``; ``sure`` the probability that it is so (1 yes, 0 no);
    ``rule`` the name of the rule that read it from the records, ``seen`` where somebody wrote down the finding
    itself. ``silent`` says why it is set aside here, where it is.
    """

    finding: str
    sure: float
    rule: str
    message: Message
    silent: Message | None = None


@dataclass(frozen=True)
class Argument:
    """What a known finding does to one cause: it multiplies its odds by ``odds_factor``, all else as it is."""

    finding: str
    odds_factor: float
    message: Message


@dataclass(frozen=True)
class CauseChance:
    """A cause with its probability, and nothing more."""

    cause: str
    name: Message
    probability: float


@dataclass(frozen=True)
class CauseAdvice:
    """One cause: its probability, the evidence, and what to do about it.

    ``probability`` carries the range over the bands of the figures behind the words. ``speaks_for`` and
    ``speaks_against`` are ordered by weight.
    """

    cause: str
    name: Message
    probability: Quantity
    speaks_for: tuple[Argument, ...]
    speaks_against: tuple[Argument, ...]
    confirm: Message
    this_season: Message
    next_season: Message
    cautions: tuple[Message, ...]


@dataclass(frozen=True)
class CheckAdvice:
    """A check not yet made: what it takes and what it is expected to tell.

    ``minutes`` is the adviser's own time, ``waits_days`` the wait for an answer, ``price`` the user's own figure,
    None where the book names none. ``bits`` is the information expected; ``right_now`` and ``right_then`` are the
    chances of choosing the right course without and with it. ``findings`` are those it settles.
    """

    check: str
    name: Message
    reason: Message
    findings: tuple[str, ...]
    minutes: float
    waits_days: float
    laboratory: bool
    price: float | None
    bits: float
    right_now: float
    right_then: float


@dataclass(frozen=True)
class Pallor:
    """Why leaves are pale, where they are: shortages and injuries that look alike.

    ``state``: ``not_pale``, ``cannot_tell``, ``nitrogen`` or ``other``. ``not_nitrogen`` says why pale leaves are not
    put down to nitrogen, where they are not. ``causes`` are ranked. ``shortage_by_leaves`` is how far leaves and
    all else but nodules say that nitrogen is short, from even odds.
    """

    state: str
    headline: Message
    not_nitrogen: Message | None
    causes: tuple[CauseAdvice, ...]
    shortage_by_leaves: float = 0.0


@dataclass(frozen=True)
class Diagnosis:
    """Why nodulation failed, where it did.

    ``state``: ``cannot_tell``, ``nothing_wrong``, ``wrong_time``, ``suppressed`` (nitrate holds nodules back in a
    green crop), ``likely`` or ``very_likely``. ``causes`` are those worth acting on, likeliest first; ``others`` the
    rest. ``nothing`` is the probability that no cause acts. ``together`` names causes that probably act at once;
    ``robust`` says whether the first cause stays first over the bands of the figures, ``priors`` what was assumed
    before looking. ``unread`` are observations that no rule reads. ``checks`` are ranked, the best first.
    """

    state: str
    headline: Message
    causes: tuple[CauseAdvice, ...]
    others: tuple[CauseChance, ...]
    nothing: Quantity
    together: Message | None
    robust: Message
    priors: Message
    evidence: tuple[Evidence, ...]
    unread: tuple[Message, ...]
    pallor: Pallor
    checks: tuple[CheckAdvice, ...]
