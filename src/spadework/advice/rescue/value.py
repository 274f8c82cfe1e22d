"""The rescue decision of a field as a value: the options set against leaving the crop alone, and which to take."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from spadework.advice.message import Message
from spadework.quantity import Quantity

__all__ = [
    "BudgetLine",
    "CheckStrip",
    "Decision",
    "DigAgain",
    "FailedPart",
    "Information",
    "NetAtPrice",
    "RescueOption",
    "RescueWindow",
    "StopPosition",
]

_NEVER = 1e-9
"""A chance that is as good as none."""

Ring = tuple[tuple[float, float], ...]
"""Longitude and latitude of the corners, the first repeated at the end. [deg]"""


@dataclass(frozen=True, kw_only=True)
class RescueWindow:
    """Until when nitrogen can still help this crop.

    ``best_until`` and ``closes`` are earliest and latest day (the ends of the interval); ``state`` is ``open``,
    ``closing`` (past the best, not closed) or ``closed`` on the day on which nitrogen could be on the field.
    ``limit`` says in words what closes it.
    """

    state: str
    best_until: tuple[dt.date, dt.date]
    closes: tuple[dt.date, dt.date]
    limit: Message


@dataclass(frozen=True, kw_only=True)
class RescueOption:
    """Nitrogen given now, or nothing; set against leaving the crop as it is.

    ``option`` is ``leave`` or ``apply``. Of ``apply``: ``rate`` of nitrogen [kg/ha], ``product`` and ``placement``
    by their knowledge rows, ``product_rate`` in kg/ha or L/ha, ``lost`` the share lost as ammonia, ``gain`` the
    grain more than with none, burn and wheel marks taken off [t/ha]. Money per ha, None without prices: ``cost``,
    ``net_return`` with its interval, ``chance_of_loss``, ``regret`` (what is given up on average against the best
    choice in each draw), ``break_even_gain`` [t/ha].
    """

    option: str
    rate: Quantity
    product: str | None
    placement: str | None
    product_rate: Quantity | None
    on: dt.date | None
    lost: Quantity | None
    gain: Quantity
    cost: float | None
    net_return: Quantity | None
    chance_of_loss: float | None
    regret: float | None
    break_even_gain: Quantity | None


@dataclass(frozen=True, kw_only=True)
class DigAgain:
    """Dig again, at once or on a later day, and choose then; money per ha, None without prices.

    ``value`` is what that is worth against the best that can be done now: what the dig may show, less what the
    closing window and the dig cost; ``error`` its standard error. ``net_return`` is expected; ``apply_chance`` the
    chance that nitrogen is then the choice. ``turning_share`` is the share of plants adequate from which the second
    dig would say leave, None where no result would change it. ``at_once``: more plants on the day of the advice, and
    nitrogen no later than without them; ``in_part``: in the part that failed, and nowhere else.
    """

    on: dt.date
    nitrogen_on: dt.date
    plants: int
    stops: int
    net_return: float | None
    value: float | None
    apply_chance: float | None
    turning_share: float | None
    error: float | None = None
    at_once: bool = False
    in_part: bool = False

    @property
    def told(self) -> str | None:
        """``worth`` or ``not_worth``, ``idle`` where no result would turn the choice between leaving and giving.

        ``even`` where the value is within its error of nothing; None without prices.
        """
        if self.value is None or self.apply_chance is None:
            return None
        if self.value <= 0 and not _NEVER < self.apply_chance < 1 - _NEVER:
            return "idle"
        if abs(self.value) <= (self.error or 0.0):
            return "even"
        return "worth" if self.value > 0 else "not_worth"


@dataclass(frozen=True, kw_only=True)
class Information:
    """A thing not known, and what it would be worth per ha to know it before choosing; ``name`` as of a driver."""

    name: str
    value: float
    message: Message


@dataclass(frozen=True, kw_only=True)
class BudgetLine:
    """One line of the partial budget per ha.

    ``section``: ``added_returns``, ``reduced_costs``, ``added_costs`` or ``reduced_returns``.
    """

    section: str
    name: Message
    amount: float


@dataclass(frozen=True, kw_only=True)
class NetAtPrice:
    """Expected net return per ha of a rate where grain sells at ``grain_price`` per t, nitrogen as it is priced."""

    rate: Quantity
    grain_price: float
    net_return: float


@dataclass(frozen=True, kw_only=True)
class StopPosition:
    """Where a stop lies [deg], and whether it is one of those that failed."""

    stop: str
    longitude: float
    latitude: float
    failed: bool


@dataclass(frozen=True, kw_only=True)
class FailedPart:
    """The part of the field that failed, drawn around the stops that did.

    ``area`` [ha]; ``rings`` outer rings of its polygons; ``stops`` those it is drawn around; ``outline`` the field's
    own boundary, ``drawn`` False where the book has none and the outline is guessed from the stops. ``positions``
    are all stops of the field whose position is known. ``holes`` are cut out of the part; ``more_outline`` holds
    further rings of the boundary, where the field has several pieces, or holes.
    """

    area: Quantity
    rings: tuple[Ring, ...]
    stops: tuple[str, ...]
    outline: Ring
    drawn: bool
    positions: tuple[StopPosition, ...] = ()
    holes: tuple[Ring, ...] = ()
    more_outline: tuple[Ring, ...] = ()


@dataclass(frozen=True, kw_only=True)
class CheckStrip:
    """A strip left without nitrogen, to tell at harvest whether it paid.

    ``width`` and ``length`` [m], ``bearing`` of its long side [deg from north]; ``ring`` None where no position of
    the field is recorded. ``tells`` is the least difference in yield that the comparison can be expected to show.
    """

    width: Quantity
    length: Quantity | None
    bearing: float | None
    ring: Ring | None
    tells: Message
    message: Message


@dataclass(frozen=True, kw_only=True)
class Decision:
    """Leave the crop, give nitrogen, or dig again.

    ``kind``: ``leave``, ``apply``, ``dig_again``, ``dig_first``, ``needs_prices`` or ``cannot_tell``; ``why`` the
    reason as a word (``working``, ``nitrate``, ``too_late``, ``cause_not_nitrogen``, ``no_gain``,
    ``does_not_pay``, ``pays``, ``waiting_pays``, ``not_dug``, ``wrong_time``, ``no_prices``, ``no_balance``).
    ``headline`` is the decision in one sentence, with by when, how sure, and what would change it. ``sure`` is the
    chance that the choice turns out no worse than the best other one, None where no chance was reckoned.
    ``evidence``: ``trials``, ``near`` (another crop or another time) or ``none``: what rescue trials there are for
    the crop. ``options`` are led by ``leave``; ``chosen`` is one of them, None where the decision is not among
    them. Prices are None or the user's own: per t of grain, per kg of N by product, per ha and pass. ``treated`` is
    the area that nitrogen would be spread on [ha]: the failed part, else the field, less the check strip where that
    has its place; None where it is not known.
    """

    kind: str
    why: str
    headline: Message
    reasons: tuple[Message, ...]
    would_change: tuple[Message, ...]
    act_by: dt.date | None
    sure: float | None
    window: RescueWindow | None
    evidence: str
    evidence_told: Message
    currency: str
    grain_price: float | None
    nitrogen_prices: tuple[tuple[str, float], ...]
    pass_price: float | None
    options: tuple[RescueOption, ...]
    chosen: RescueOption | None
    dig_again: DigAgain | None
    information: tuple[Information, ...]
    budget: tuple[BudgetLine, ...]
    net_at_price: tuple[NetAtPrice, ...]
    part: FailedPart | None
    strip: CheckStrip | None
    cautions: tuple[Message, ...]
    rows: tuple[str, ...]
    treated: Quantity | None = None
