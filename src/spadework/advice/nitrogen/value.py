"""The nitrogen of a field as a value: what the crop needs, what soil and nodules give, and the gap."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from spadework.advice.message import Message
from spadework.advice.nitrogen.left import NitrogenLeft
from spadework.quantity import Quantity

__all__ = ["Driver", "Nitrogen", "NitrogenCourse"]


@dataclass(frozen=True)
class Driver:
    """An input that makes the gap uncertain: the share of its variance, and what would narrow it."""

    name: str
    share: float
    message: Message


@dataclass(frozen=True)
class NitrogenCourse:
    """Bands over the season, one entry a day of ``days``: amounts since sowing, above ground [kg/ha].

    ``need`` is what the crop must hold by that day for the yield expected; ``soil`` and ``fixed`` what it took up from
    the soil (applied N included) and from the air, ``supply`` what it holds from them and the seed. Low and high are
    the ends of the interval of each; those of the parts do not add up to those of the supply.
    """

    days: tuple[dt.date, ...]
    need_low: tuple[float, ...]
    need_mid: tuple[float, ...]
    need_high: tuple[float, ...]
    supply_low: tuple[float, ...]
    supply_mid: tuple[float, ...]
    supply_high: tuple[float, ...]
    soil_low: tuple[float, ...]
    soil_mid: tuple[float, ...]
    soil_high: tuple[float, ...]
    fixed_low: tuple[float, ...]
    fixed_mid: tuple[float, ...]
    fixed_high: tuple[float, ...]


@dataclass(frozen=True)
class Nitrogen:
    """Whether there is nitrogen for the yield expected; above-ground N, every figure with its interval.

    ``state``: ``enough``, ``short`` or ``cannot_tell``, by the chance (``chance_of_gap``) that the gap at maturity is
    above ``gap_that_matters``, a share of what the yield requires. ``nodulation`` is the factor that scales
    fixation, judgement unless measured; ``nodulation_from`` says what it comes from (``as_dug``, ``none_dug``,
    ``too_early``, ``too_late``, ``high_nitrate``, ``measured``), ``soil_n_from`` where mineral N at sowing comes from
    (``tested``, ``tested_shallow``, ``not_tested``), ``weather_from`` where the days ahead do (``known``, ``years``,
    ``normals``).
    ``gap_today`` and ``fixed_so_far`` are None before sowing. ``left`` is what stays after harvest,
    ``rows`` are all knowledge rows that the balance took.
    """

    state: str
    headline: Message
    reasons: tuple[Message, ...]
    expected_yield: Quantity
    required: Quantity
    fixed: Quantity
    fixed_so_far: Quantity | None
    from_soil: Quantity
    from_seed: Quantity
    fixed_share: Quantity
    gap_today: Quantity | None
    gap_at_maturity: Quantity
    chance_of_gap: float
    gap_that_matters: Quantity
    yield_loss: Quantity
    nodulation: Quantity
    nodulation_from: str
    soil_n_at_sowing: Quantity
    soil_n_from: str
    applied: Quantity | None
    weather_from: str
    flowers: tuple[dt.date, dt.date] | None
    ripens: tuple[dt.date, dt.date]
    drivers: tuple[Driver, ...]
    course: NitrogenCourse
    left: NitrogenLeft
    rows: tuple[str, ...]
