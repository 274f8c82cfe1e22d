"""What to do now about nitrogen: leave the crop, give some, or dig again first."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from spadework.advice.diagnosis.value import Diagnosis
from spadework.advice.message import Message
from spadework.advice.nitrogen.balance import Balance
from spadework.advice.nitrogen.inputs import alkaline_surface, streams
from spadework.advice.rescue.budget import budget_of
from spadework.advice.rescue.gates import Gate, gate_of
from spadework.advice.rescue.ground import ground_of, treated_area
from spadework.advice.rescue.information import information_of
from spadework.advice.rescue.late_nodules import late_nodules, with_late_nodules
from spadework.advice.rescue.options import Market, Plans, net_at_prices, plans
from spadework.advice.rescue.outlook import counted_draws, outlooks
from spadework.advice.rescue.told import Reckoned, changes_of, changes_of_gate, headline_of, reasons_of
from spadework.advice.rescue.value import Decision, DigAgain, RescueWindow
from spadework.advice.rescue.waiting import SecondDig, better_dig, dig_again_of, size_of_dig
from spadework.advice.rescue.window import too_late_by_record, window_of
from spadework.advice.value import Sampling, Timing, Verdict
from spadework.agronomy.rescue.choice import chance_no_worse
from spadework.agronomy.rescue.window import StageLimit, evidence_of, limits_of, limits_that_hold
from spadework.agronomy.season.nodulation import DigReading, drawn_share
from spadework.knowledge.rows import Caution, Knowledge, RescueEvidence
from spadework.records.types import FieldRecords, Settings

__all__ = ["Asked", "decide"]

Floats = NDArray[np.float64]

_MOST = 0.5
"""Share of the draws in which nitrogen must bring any grain to be worth a price where none is known."""

_GRAIN, _AREA = "rescue.second_dig.grain", "rescue.second_dig.area"

_CAN_TELL = (DigReading.AS_DUG, DigReading.HIGH_NITRATE)
"""Readings of a dig of which another one could tell more."""


@dataclass(frozen=True, kw_only=True)
class Asked:
    """A field with all that is known of it before nitrogen is thought of.

    ``balance`` is that of the field. ``failed`` runs the balance of the part that failed where stops differ more than
    chance allows; it is asked only where the figures decide.
    """

    records: FieldRecords
    timing: Timing
    verdict: Verdict | None
    sampling: Sampling | None
    diagnosis: Diagnosis
    balance: Balance | None
    failed: Callable[[], Balance | None] | None
    today: dt.date


def decide(asked: Asked, *, settings: Settings, knowledge: Knowledge) -> Decision:
    """Say what to do about nitrogen for a field; the same records, settings and knowledge give the same decision.

    Gates come first, and no figure overrides them. Else leaving the crop, giving nitrogen now, and waiting for a
    second dig are weighed as one problem over the draws of the field's own balance.
    """
    records, crop = asked.records, asked.records.field.crop
    flowers = None if asked.balance is None else float(asked.balance.season.flowered_on[1])
    limits = limits_that_hold(limits_of(crop, knowledge), flowers_after=flowers, knowledge=knowledge)
    evidence = evidence_of(crop, knowledge)
    on = asked.today + dt.timedelta(days=settings.rescue.lead_days)
    level = knowledge.figure("planning.interval_level").central
    window, last = None, None
    if asked.balance is not None:
        day = (on - asked.balance.inputs.sown_on).days
        window, last = window_of(asked.balance, limits, day=day, level=level)
    passed = too_late_by_record(records, limits, on=on) if last is None else None
    gate = gate_of(
        timing=asked.timing,
        verdict=asked.verdict,
        diagnosis=asked.diagnosis,
        dug=asked.verdict is not None or (asked.balance is not None and asked.balance.dig.share is not None),
        measured=asked.balance is not None and asked.balance.dig.measured,
        too_late=passed is not None or (last is not None and on > last),
        can_dig=_dig_by(asked, last, settings) is not None,
        has_balance=asked.balance is not None,
        knowledge=knowledge,
    )
    if gate is not None or asked.balance is None or last is None:
        gate = gate or Gate(kind="cannot_tell", why="no_balance", values={})
        return _at_gate(asked, gate, window=window, limit=passed, last=last, evidence=evidence, settings=settings)
    of_part = None if asked.failed is None else asked.failed()
    return _weighed(
        asked,
        of_part or asked.balance,
        _Window(told=window, last=last, on=on, limits=limits),
        evidence,
        in_part=of_part is not None,
        settings=settings,
        knowledge=knowledge,
    )


@dataclass(frozen=True, kw_only=True)
class _Window:
    """The window, the last day of it, the day on which nitrogen could be on the field, and the limits."""

    told: RescueWindow | None
    last: dt.date
    on: dt.date
    limits: tuple[StageLimit, ...]


def _dig_by(asked: Asked, last: dt.date | None, settings: Settings) -> dt.date | None:
    """The last day on which a dig in its window could still decide on nitrogen; None where there is none."""
    timing = asked.timing
    if timing.wrong_time == "late":
        return None
    days = [] if timing.closes is None else [timing.closes.high]
    if last is not None:
        days.append(last - dt.timedelta(days=settings.rescue.lead_days))
    by = min(days, default=None)
    opens = asked.today if timing.opens is None else max(timing.opens.low, asked.today)
    return by if by is not None and by >= opens else None


def _at_gate(
    asked: Asked,
    gate: Gate,
    *,
    window: RescueWindow | None,
    limit: str | None,
    last: dt.date | None,
    evidence: RescueEvidence,
    settings: Settings,
) -> Decision:
    by = _dig_by(asked, last, settings) if gate.kind == "dig_first" else None
    how = ""
    if gate.why == "working":
        how = ".nodules" if gate.values["best"] else ".nothing_wrong"
    elif gate.why in ("not_dug", "wrong_time", "not_scored"):
        how = f".{gate.kind}"
    sooner = last if gate.why == "too_late" and last is not None and last >= asked.today else None
    if gate.why == "too_late":
        how = ".for_good" if sooner is None else ".unless_sooner"
    values = {
        **gate.values,
        "day": by,
        "last": sooner,
        "on": asked.today + dt.timedelta(days=settings.rescue.lead_days),
    }
    passed = () if limit is None else (Message(limit, sources=(limit,)),)
    return Decision(
        kind=gate.kind,
        why=gate.why,
        headline=Message(f"rescue.headline.{gate.why}{how}", values, gate.rows),
        reasons=passed if window is None else (),
        would_change=changes_of_gate(gate, asked.diagnosis, sooner=sooner),
        act_by=by,
        sure=None,
        window=window,
        evidence=evidence.trials,
        evidence_told=_evidence(evidence),
        currency=settings.prices.currency,
        grain_price=settings.prices.grain.get(asked.records.field.crop),
        nitrogen_prices=tuple(sorted(settings.prices.nitrogen.items())),
        pass_price=settings.prices.per_pass,
        options=(),
        chosen=None,
        dig_again=None,
        information=(),
        budget=(),
        net_at_price=(),
        part=None,
        strip=None,
        cautions=(),
        rows=gate.rows,
    )


def _weighed(
    asked: Asked,
    balance: Balance,
    window: _Window,
    evidence: RescueEvidence,
    *,
    in_part: bool,
    settings: Settings,
    knowledge: Knowledge,
) -> Decision:
    records, crop = asked.records, asked.records.field.crop
    level = knowledge.figure("planning.interval_level").central
    market = Market(grain_price=settings.prices.grain.get(crop), prices=settings.prices)
    alkaline, tested = alkaline_surface(records, knowledge)
    sown_on = balance.inputs.sown_on
    today_share = _share_behind(balance, settings)
    share, late = today_share, late_nodules(asked.diagnosis, knowledge)
    dig_now = _can_dig_now(asked)
    # Where a dig can be made now and nothing comes later by itself, the same dig on a later day tells no more.
    later_on = None if dig_now and late is None else _second_dig_on(asked, window, settings)
    if late is not None:
        balance, share = with_late_nodules(balance, share, late, knowledge=knowledge, seed=settings.seed)
    days = [window.on] if later_on is None else [window.on, later_on + dt.timedelta(days=settings.rescue.lead_days)]
    scale_row = f"rescue.response.{evidence.trials}"
    found = outlooks(
        balance,
        [(day - sown_on).days for day in days],
        limits=window.limits,
        plan=settings.rescue,
        alkaline=alkaline,
        scale_row=scale_row,
        knowledge=knowledge,
        seed=settings.seed,
    )
    now = plans(found[0], on=days[0], market=market, level=level, knowledge=knowledge)
    part, strip = ground_of(
        records,
        asked.verdict,
        implement_width=settings.rescue.implement_width,
        strip_bearing=settings.rescue.strip_bearing,
        knowledge=knowledge,
    )
    area = part.area.value if in_part and part is not None else records.field.area
    at_once = later = None
    dig = _second_dig(asked, balance, today_share, in_part=in_part, area=area, settings=settings, knowledge=knowledge)
    if dig is not None and dig_now:
        at_once = dig_again_of(dig, now, now)
    if dig is not None and later_on is not None:
        then = plans(found[1], on=days[1], market=market, level=level, knowledge=knowledge, only=now.best_offer.product)
        on_that_day = replace(dig, on=later_on, nitrogen_on=days[1], share=share[counted_draws(balance)], at_once=False)
        later = dig_again_of(on_that_day, now, then)
    again = better_dig(at_once, later)
    kind, why = _choice(now, again)
    reckoned = Reckoned(
        kind=kind,
        why=why,
        now=now,
        outlook=found[0],
        market=market,
        again=again,
        turning_share=None if at_once is None else at_once.turning_share,
        late=late,
        sure=_sure(now, kind, why),
        patch=in_part,
        area_assumed=None if area is not None else knowledge.figure(_AREA).central,
    )
    priced = now.net is not None and market.grain_price is not None
    worth = found[0].expected_yield * (market.grain_price or 0.0)
    return Decision(
        kind=kind,
        why=why,
        headline=headline_of(reckoned),
        reasons=reasons_of(reckoned, knowledge=knowledge),
        would_change=changes_of(reckoned, soaking=knowledge.figure("rescue.soaking_rain").central),
        act_by=again.on if kind == "dig_again" and again is not None else window.on if kind == "apply" else None,
        sure=reckoned.sure,
        window=window.told,
        evidence=evidence.trials,
        evidence_told=_evidence(evidence),
        currency=settings.prices.currency,
        grain_price=market.grain_price,
        nitrogen_prices=tuple(sorted(settings.prices.nitrogen.items())),
        pass_price=settings.prices.per_pass,
        options=now.options,
        chosen=now.options[now.best if kind == "apply" else 0] if kind in ("apply", "leave") else None,
        dig_again=again,
        information=() if now.net is None else information_of(now.net, balance, found[0], crop_worth=worth),
        budget=budget_of(now, found[0], market, grain_price=market.grain_price or 0.0, knowledge=knowledge)
        if priced
        else (),
        net_at_price=net_at_prices(now, market, grain_price=market.grain_price or 0.0) if priced else (),
        part=part,
        strip=None if kind == "leave" else strip,
        treated=treated_area(records, part, None if kind == "leave" else strip, in_part=asked.failed is not None),
        cautions=tuple(
            Message(row.message, sources=(row.id,)) for row in knowledge.of(Caution) if row.when == "rescue"
        ),
        rows=tuple(
            dict.fromkeys((*now.rows, *tested, *(() if late is None else late.rows), "planning.interval_level"))
        ),
    )


def _choice(now: Plans, again: DigAgain | None) -> tuple[str, str]:
    """Kind and reason of the choice: a dig that is worth more than its error, else the best that can be done now.

    With prices the expected net return decides, without them whether nitrogen brings grain in most draws.
    """
    gains = now.gain[:, 1:]
    if now.net is None:
        gaining = bool(np.any(np.mean(gains > 0, axis=0) > _MOST))
        return ("needs_prices", "no_prices") if gaining else ("leave", "no_gain")
    if again is not None and again.told == "worth":
        return "dig_again", "waiting_pays"
    if now.best > 0:
        return "apply", "pays"
    return "leave", "does_not_pay" if np.any(gains.mean(axis=0) > 0) else "no_gain"


def _sure(now: Plans, kind: str, why: str) -> float | None:
    """Chance that the choice turns out no worse than the best other one, by grain alone where that decides it.

    Never told as a certainty.
    """
    if kind not in ("apply", "leave"):
        return None
    against = now.gain if now.net is None or why == "no_gain" else now.net
    chance = (
        chance_no_worse(against, option=now.best, than=0)
        if kind == "apply"
        else chance_no_worse(against, option=0, than=list(range(1, against.shape[1])))
    )
    draws = against.shape[0]
    return float(np.clip(chance, 1 / (draws + 1), draws / (draws + 1)))


def _can_dig_now(asked: Asked) -> bool:
    """Whether plants dug today are dug in their window, as far as is known."""
    timing, today = asked.timing, asked.today
    return not timing.is_closed(today) and (timing.opens is None or timing.opens.low <= today)


def _second_dig_on(asked: Asked, window: _Window, settings: Settings) -> dt.date | None:
    """Day of a second dig, earlier where dig window or time for nitrogen would be over; None where it is too soon."""
    plan, today, closes = settings.rescue, asked.today, asked.timing.closes
    latest = window.last - dt.timedelta(days=plan.lead_days)
    if closes is not None:
        latest = min(latest, closes.high)
    on = min(today + dt.timedelta(days=plan.dig_again_days), latest)
    return on if on >= today + dt.timedelta(days=math.ceil(plan.dig_again_days / 2)) else None


def _share_behind(balance: Balance, settings: Settings) -> Floats:
    """Share adequate behind each draw of the balance, shape (draws,) [1]; 0 where no dig says anything."""
    draws = balance.nodulation.shape[0]
    if balance.dig.share is None:
        return np.zeros(draws)
    return drawn_share(balance.dig.share, draws=draws, generator=streams(settings.seed)[2])


def _second_dig(
    asked: Asked,
    balance: Balance,
    share: Floats,
    *,
    in_part: bool,
    area: float | None,
    settings: Settings,
    knowledge: Knowledge,
) -> SecondDig | None:
    """More plants dug today where the decision stands, over ``area`` [ha]; None where they could tell nothing more."""
    dig = balance.dig
    if dig.share is None or dig.reading not in _CAN_TELL:
        return None
    plants, stops = size_of_dig(asked.verdict, asked.sampling, in_part=in_part, knowledge=knowledge)
    return SecondDig(
        on=asked.today,
        nitrogen_on=asked.today + dt.timedelta(days=settings.rescue.lead_days),
        plants=plants,
        stops=stops,
        share=share[counted_draws(balance)],
        correlation=dig.share.correlation,
        cost=_cost_of_dig(asked, settings, knowledge) / (area or knowledge.figure(_AREA).central),
        at_once=True,
        in_part=in_part,
    )


def _cost_of_dig(asked: Asked, settings: Settings, knowledge: Knowledge) -> float:
    """Money per field; where the book gives no price, what some grain is worth."""
    prices = settings.prices
    if prices.dig is not None:
        return prices.dig
    return knowledge.figure(_GRAIN).central * prices.grain.get(asked.records.field.crop, 0.0)


def _evidence(row: RescueEvidence) -> Message:
    return Message(f"rescue.evidence.{row.trials}", sources=(row.id,))
