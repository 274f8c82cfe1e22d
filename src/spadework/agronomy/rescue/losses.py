"""What is lost on the way: ammonia from the surface, leaves burnt, crop run down. All figures are judged per draw.

One rule for ammonia, for nitrogen that was given and nitrogen that may be. Each draw waits for the first soaking rain
of the weather that it meets; what surface urea loses by then is drawn about the published range, and all that bears
on it (product, inhibitor, warmth, residue, alkaline soil) multiplies it.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.rescue.products import product_row
from spadework.agronomy.season.draws import triangular
from spadework.agronomy.season.parameters import Values
from spadework.agronomy.season.weather import DailyWeather
from spadework.errors import DomainError
from spadework.knowledge.rows import AmmoniaLoss, Fertiliser, Knowledge, Spreading

__all__ = [
    "LOSS_CHANCES",
    "Lost",
    "Surface",
    "ammonia_loss",
    "leaf_burn",
    "soaking_delay",
    "surface_on",
    "wheel_loss",
]

Floats = NDArray[np.float64]

LOSS_CHANCES = 5
"""Chances that a draw of ammonia loss takes: situation, inhibitor, product, warmth, and what hastens it."""

_WARMTH_DAYS = 10
"""Days from the application whose mean says whether the weather is cool or warm."""

_LOSS, _COMMON_RATE = "rescue.loss", "rescue.rate.common"


@dataclass(frozen=True, kw_only=True)
class Lost:
    """A share lost [1], a number or of shape (draws, 1), and the knowledge rows that it rests on."""

    share: Values
    rows: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Surface:
    """What nitrogen meets on the ground from a day on.

    ``delay`` days until a soaking rain, infinite where none comes [d], and ``warmth``, mean temperature of the ten
    days from then on [degC], are of shape (draws, 1) or (1, 1). ``residue`` and ``alkaline`` are None where nobody
    knows.
    """

    delay: Floats
    warmth: Floats
    residue: bool | None = None
    alkaline: bool | None = None

    def __post_init__(self) -> None:
        if np.any(np.isnan(self.delay)) or np.any(self.delay < 0):
            raise DomainError("delay", float(np.min(self.delay)), "known and at least 0")
        if not np.all(np.isfinite(self.warmth)):
            raise DomainError("warmth", self.warmth, "known for every draw")

    @property
    def hastened(self) -> bool | None:
        """Whether residue or alkaline soil speeds the loss up; None where that cannot be said."""
        if self.residue or self.alkaline:
            return True
        return None if self.residue is None or self.alkaline is None else False


def soaking_delay(rain: Floats, *, day: int, at_least: float) -> Floats:
    """Days from a day until the first one with so much rain on it, 0 where it is that day.

    Parameters
    ----------
    rain : ndarray, shape (rows, days)
        Rain with irrigation, from sowing on. [mm]
    day : int
        Day of the application; 0 is the day of sowing.
    at_least : float
        Rain of one day. [mm]

    Returns
    -------
    ndarray of float64, shape (rows, 1)
        Infinite where no such day follows. [d]

    Raises
    ------
    DomainError
        A day outside the weather.
    """
    if not 0 <= day < rain.shape[1]:
        raise DomainError("day", day, f"from 0 to {rain.shape[1] - 1}, the last day of the weather")
    soaked = rain[:, day:] >= at_least
    return np.where(soaked.any(axis=1), soaked.argmax(axis=1), np.inf)[:, None]


def surface_on(
    day: int,
    *,
    weather: DailyWeather,
    weather_of: NDArray[np.intp] | None,
    knowledge: Knowledge,
    residue: bool | None = None,
    alkaline: bool | None = None,
) -> Surface:
    """What nitrogen spread on a day from sowing on meets, for each draw by the row of the weather that it meets."""
    soaking = knowledge.figure("rescue.soaking_rain").central
    delay = soaking_delay(weather.rain, day=day, at_least=soaking)
    warmth = weather.mean[:, day : day + _WARMTH_DAYS].mean(axis=1, keepdims=True)
    if weather_of is not None:
        delay, warmth = delay[weather_of], warmth[weather_of]
    return Surface(delay=delay, warmth=warmth, residue=residue, alkaline=alkaline)


def ammonia_loss(product: str, surface: Surface, *, chances: Floats, knowledge: Knowledge) -> Lost | None:
    """Share of the nitrogen of a product on the surface that is lost as ammonia.

    Parameters
    ----------
    product : str
        As in the records.
    surface : Surface
    chances : ndarray, shape (LOSS_CHANCES, draws, 1)
        Even from 0 to 1. The same chances give an inhibitor, a later rain or another product on one field.
    knowledge : Knowledge

    Returns
    -------
    Lost or None
        None where the tables know nothing of the product on the surface: manure, ammonia, others.

    Notes
    -----
    Between the days of the tables the share runs in straight lines; before the first and after the last it stays.
    Where nobody knows of residue or pH, a draw takes any part of what they would add.

    References
    ----------
    engel_learned, cantarella2018 (urease inhibitor)
    """
    row = product_row(product, knowledge)
    if row is None or row.form == "gas":
        return None
    share, situations = _of_urea(surface.delay, chances[0], knowledge)
    part, parts = _of_product(row, surface, chances, knowledge)
    warmth = knowledge.figure(f"{_LOSS}.cool")
    cool, warm = (knowledge.figure(f"{_LOSS}.{name}") for name in ("cool_until", "warm_from"))
    coolness = np.clip((warm.central - surface.warmth) / (warm.central - cool.central), 0.0, 1.0)
    share = share * (1 - coolness * (1 - _drawn(warmth.id, chances[3], knowledge)))
    hastened = _drawn(f"{_LOSS}.hastened", chances[4], knowledge)
    share = share * (1 + _part_of(surface.hastened, chances[4]) * (hastened - 1))
    rows = (row.id, "rescue.soaking_rain", *situations, *parts, warmth.id, cool.id, warm.id, f"{_LOSS}.hastened")
    return Lost(share=np.clip(share * part, 0.0, 1.0), rows=rows)


def leaf_burn(placement: Spreading, *, rate: Values, chance: Floats, knowledge: Knowledge) -> Lost:
    """Share of the yield that burnt leaves cost, in proportion to the rate of nitrogen [kg/ha]."""
    common = knowledge.figure(_COMMON_RATE)
    burnt = _drawn(placement.id, chance, knowledge) * np.asarray(rate) / common.central
    return Lost(share=np.minimum(burnt, 1.0), rows=(placement.id, common.id))


def wheel_loss(*, implement_width: float | None, chances: Floats, knowledge: Knowledge) -> Lost:
    """Share of the yield lost under the wheels of one pass; ``chances`` of shape (2, draws, 1), width in m or None."""
    names = ("rescue.wheels.run_down", "rescue.wheels.lost")
    width = knowledge.figure("rescue.wheels.implement_width")
    if implement_width is not None and not implement_width > 0:
        raise DomainError("implement_width", implement_width, "above 0")
    run_down, lost = (_drawn(name, chance, knowledge) for name, chance in zip(names, chances, strict=True))
    share = run_down / (width.central if implement_width is None else implement_width) * lost
    return Lost(share=np.minimum(share, 1.0), rows=(*names, *((width.id,) if implement_width is None else ())))


def _of_urea(delay: Floats, chance: Floats, knowledge: Knowledge) -> tuple[Floats, tuple[str, ...]]:
    """Share of surface urea lost by the delay: one chance for all days, so that a later rain never loses less."""
    rows = sorted(knowledge.of(AmmoniaLoss), key=lambda row: row.days)
    share = _drawn(rows[0].id, chance, knowledge)
    for before, after in pairwise(rows):
        way = np.clip((delay - before.days) / (after.days - before.days), 0.0, 1.0)
        step = _drawn(after.id, chance, knowledge) - _drawn(before.id, chance, knowledge)
        share = share + way * step
    return share, tuple(row.id for row in rows)


def _of_product(
    row: Fertiliser, surface: Surface, chances: Floats, knowledge: Knowledge
) -> tuple[Values, tuple[str, ...]]:
    """Loss of a product as a share of that of urea without inhibitor."""
    part: Values = 1.0
    used: list[str] = []
    if row.urea == "half":
        used = [f"{_LOSS}.uan"]
        part = _drawn(used[0], chances[2], knowledge)
    elif row.urea == "none":
        used = [f"{_LOSS}.ammonium"]
        part = _drawn(used[0], chances[2], knowledge)
        if row.ammonium and surface.alkaline is not False:
            used.append(f"{_LOSS}.ammonium_alkaline")
            share = _part_of(surface.alkaline, chances[4])
            part = part + share * (_drawn(used[1], chances[2], knowledge) - part)
    if row.inhibited:
        used.append(f"{_LOSS}.inhibitor")
        part = part * _drawn(used[-1], chances[1], knowledge)
    return part, tuple(used)


def _part_of(known: bool | None, chance: Floats) -> Values:
    """All of what something adds where it is so, nothing where it is not, any part of it where nobody knows."""
    return chance if known is None else float(known)


def _drawn(row_id: str, chance: Floats, knowledge: Knowledge) -> Floats:
    row = knowledge.figure(row_id)
    low, high = row.range
    return triangular(chance, low=low, value=row.central, high=high)
