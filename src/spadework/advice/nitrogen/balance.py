"""From the draws of the season balance to the nitrogen of a field as one value."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spadework.advice.nitrogen.crop_seen import CropSeen, contradiction_of, crop_rows, share_by, weights_by
from spadework.advice.nitrogen.dig import DigSeen, nodulation_rows
from spadework.advice.nitrogen.drivers import drivers_of
from spadework.advice.nitrogen.inputs import DRAWS, BalanceInputs, balance_inputs, streams
from spadework.advice.nitrogen.left import NitrogenLeft, left_of
from spadework.advice.nitrogen.told import headline_of, reasons_of
from spadework.advice.nitrogen.value import Nitrogen, NitrogenCourse
from spadework.agronomy.season import FieldSeason, field_season
from spadework.agronomy.season.nodulation import Calibration, draw_nodulation
from spadework.agronomy.season.parameters import Values
from spadework.knowledge.rows import Knowledge
from spadework.quantity import Grade, Quantity
from spadework.records.types import FieldRecords

__all__ = ["Balance", "balance_of", "nitrogen_of"]

Floats = NDArray[np.float64]

_STEP = 3
"""Days from one point of the course to the next."""

_GAP = "gap.that_matters"


@dataclass(frozen=True, kw_only=True)
class Balance:
    """The season balance of one field, run: what it ran on, what came of it, and the nodules that it was given.

    ``nodulation`` are the draws of the factor, shape (draws, 1); ``season.of_draw`` says which of them are counted.
    ``dig``, ``seen`` and ``calibration`` are what conditions them.
    """

    inputs: BalanceInputs
    season: FieldSeason
    nodulation: Floats
    dig: DigSeen
    seen: CropSeen
    calibration: Calibration


def balance_of(
    records: FieldRecords,
    dig: DigSeen,
    *,
    knowledge: Knowledge,
    seed: int,
    today: dt.date,
    crop_seen: CropSeen | None = None,
    calibration: Calibration | None = None,
) -> Balance | None:
    """Run the season balance of a field on its records and its dig.

    None where expected yield, day of sowing, latitude, or weather up to ripeness (observed, past years or normals
    with rain) is not recorded, or where the crop would not ripen. ``crop_seen`` is what leaves and laboratory say of
    this crop, by which the draws are weighed; ``calibration`` what fixation that was measured in other fields says.
    """
    nodulation = draw_nodulation(
        dig.share,
        reading=dig.reading,
        poor_with_nodules=dig.poor_with_nodules,
        colour_seen=dig.colour_seen,
        knowledge=knowledge,
        draws=DRAWS,
        generator=streams(seed)[2],
        measured=dig.measured,
        calibration=calibration,
    )
    inputs = balance_inputs(records, nodulation=nodulation, knowledge=knowledge, seed=seed, today=today)
    if inputs is None:
        return None
    level = knowledge.figure("planning.interval_level").central
    seen = crop_seen or CropSeen()
    found = field_season(
        inputs.sky.weather,
        inputs.parameters,
        weather_of=inputs.sky.met_by(DRAWS),
        applications=inputs.applications,
        observed=inputs.observed,
        levels=((1 - level) / 2, 0.5, (1 + level) / 2),
        bands=("demand", "crop_n", "taken", "fixed", "stage"),
        weigh=weights_by(
            seen, sown_on=inputs.sown_on, luxury=np.ravel(np.asarray(inputs.parameters.luxury)), knowledge=knowledge
        ),
    )
    if not found.share_mature > 0:
        return None
    return Balance(
        inputs=inputs,
        season=found,
        nodulation=nodulation,
        dig=dig,
        seen=seen,
        calibration=calibration or Calibration(),
    )


def nitrogen_of(
    balance: Balance,
    records: FieldRecords,
    *,
    knowledge: Knowledge,
    seed: int,
    settle_at: float,
    today: dt.date,
    can_dig: bool = True,
) -> Nitrogen:
    """Tell what a balance says; ``settle_at`` is the chance at which enough or short counts as told.

    ``can_dig`` says whether a dig can still come in the window.
    """
    inputs, found = balance.inputs, balance.season
    ripe_on = inputs.sown_on + dt.timedelta(days=int(np.ceil(found.matured_on[-1])))
    left = left_of(
        found.draws,
        crop=records.field.crop,
        expected_yield=float(np.max(inputs.parameters.expected_yield)),
        tested_after=any(row.nitrate_n is not None and ripe_on < row.date <= today for row in records.soil_tests),
        levels=found.levels,
        knowledge=knowledge,
        generator=streams(seed)[6],
    )
    return _value(balance, left=left, knowledge=knowledge, settle_at=settle_at, can_dig=can_dig)


def _value(balance: Balance, *, left: NitrogenLeft, knowledge: Knowledge, settle_at: float, can_dig: bool) -> Nitrogen:
    inputs, found, dig, seen = balance.inputs, balance.season, balance.dig, balance.seen
    parameters = inputs.parameters
    level = knowledge.figure("planning.interval_level").central
    expected = float(np.max(parameters.expected_yield))
    matters = knowledge.figure(_GAP)
    # So many draws cannot tell never from seldom.
    chance = float(np.clip(found.chance_of_gap(matters.central), 1 / (DRAWS + 1), DRAWS / (DRAWS + 1)))
    nodule_rows = nodulation_rows(dig, knowledge)
    if balance.calibration.logs and dig.is_read:
        nodule_rows = (*nodule_rows, "nodulation.measured_error")
    rows = tuple(dict.fromkeys((*nodule_rows, *crop_rows(seen), *inputs.rows, _GAP, *left.rows)))

    def figure(quantiles: Sequence[float] | Floats, unit: str, sources: tuple[str, ...] = ()) -> Quantity:
        low, middle, high = (float(value) for value in quantiles)
        return Quantity(
            value=middle, unit=unit, low=low, high=high, level=level, sources=sources, grade=Grade.JUDGEMENT
        )

    today = min(max(inputs.today, 0), inputs.sky.weather.days - 1)
    begun = inputs.today >= 0
    gap_today = np.maximum(_need(found, inputs, [today])[:, 0] - found.draws.daily["crop_n"][:, today], 0.0)
    totals = found.totals
    drivers = drivers_of(
        found.drivers,
        has_gap=float(totals["gap_at_maturity"][2]) > 0,
        known=_known(balance, can_dig=can_dig),
    )
    state = _state(chance, wrong_time=dig.came_at_wrong_time, settle_at=settle_at)
    luxury = _of_draws(parameters.luxury, found)
    contradiction = contradiction_of(
        seen, found.draws, state=state, sown_on=inputs.sown_on, luxury=np.ravel(luxury), knowledge=knowledge
    )
    if contradiction is not None:
        state = "cannot_tell"
    low, middle, high = found.levels
    value = {
        "expected_yield": Quantity(value=expected, unit="t/ha"),
        "required": figure(totals["required"], "kg/ha"),
        "fixed": figure(totals["fixed"], "kg/ha"),
        "fixed_so_far": figure(found.bands["fixed"][:, today], "kg/ha") if begun else None,
        "from_soil": figure(totals["taken"], "kg/ha"),
        "from_seed": figure(np.quantile(found.draws.seed_n, found.levels), "kg/ha"),
        "fixed_share": figure(totals["fixed_share"], "1"),
        "gap_today": figure(np.quantile(gap_today, found.levels), "kg/ha") if begun else None,
        "gap_at_maturity": figure(totals["gap_at_maturity"], "kg/ha"),
        "yield_loss": figure(expected * (1 - totals["relative_yield"][::-1]), "t/ha"),
        "nodulation": figure(np.quantile(balance.nodulation[found.of_draw], (low, middle, high)), "1", nodule_rows),
        "soil_n_at_sowing": figure(
            np.quantile(_of_draws(parameters.mineral_n_at_sowing, found), (low, middle, high)), "kg/ha"
        ),
        "applied": Quantity(value=inputs.applied, unit="kg/ha") if inputs.applied > 0 else None,
    }
    return Nitrogen(
        state=state,
        headline=headline_of(
            state,
            value,
            wrong_time=dig.came_at_wrong_time,
            contradicted=contradiction is not None,
            chance=chance,
            matters=matters.central,
        ),
        reasons=reasons_of(
            value,
            dig=dig,
            seen=seen,
            reckoned=_reckoned(balance),
            calibration=balance.calibration,
            contradiction=contradiction,
            inputs=inputs,
            share_mature=found.share_mature,
            drivers=drivers,
        ),
        chance_of_gap=chance,
        gap_that_matters=Quantity(value=matters.central, unit="1", sources=(_GAP,), grade=matters.grade),
        nodulation_from=dig.source,
        soil_n_from=inputs.soil_n_from,
        weather_from=inputs.sky.source,
        flowers=_dates(inputs.sown_on, found.flowered_on),
        ripens=_dates(inputs.sown_on, found.matured_on) or (inputs.sown_on, inputs.sown_on),
        drivers=drivers,
        course=_course(found, inputs),
        left=left,
        rows=rows,
        **value,  # type: ignore[arg-type]
    )


def _known(balance: Balance, *, can_dig: bool) -> dict[str, str]:
    """What is measured already, or cannot be looked at any more, by the group of inputs that it would narrow."""
    known = {}
    if balance.inputs.soil_n_from == "tested":
        known["soil_n"] = "tested"
    if balance.inputs.organic_matter_tested:
        known["mineralisation"] = "tested"
    if balance.dig.measured:
        known["nodulation"] = "measured"
    elif not can_dig:
        known["nodulation"] = "closed"
    return known


def _reckoned(balance: Balance) -> tuple[float, float] | None:
    """Interval of the share fixed by the day on which it was measured; None where it was not."""
    found, measured = balance.season, balance.seen.measured
    if measured is None:
        return None
    share = share_by(found.draws, measured.day, balance.inputs.sown_on)
    if np.all(np.isnan(share)):
        return None
    low, _, high = (float(end) for end in np.nanquantile(share, found.levels))
    return low, high


def _state(chance: float, *, wrong_time: bool, settle_at: float) -> str:
    """Enough or short where it is as good as sure; never from a dig that came at the wrong time."""
    if wrong_time or 1 - settle_at < chance < settle_at:
        return "cannot_tell"
    return "short" if chance >= settle_at else "enough"


def _dates(sown_on: dt.date, days: Floats) -> tuple[dt.date, dt.date] | None:
    if np.isnan(days[0]):
        return None
    first, last = (sown_on + dt.timedelta(days=round(float(days[place]))) for place in (0, 2))
    return first, last


def _need(found: FieldSeason, inputs: BalanceInputs, days: Sequence[int]) -> Floats:
    """What the yield expected asks for by some days, luxury apart, shape (draws, days) [kg/ha]."""
    return np.asarray(found.draws.daily["demand"][:, days] / _of_draws(inputs.parameters.luxury, found))


def _of_draws(parameter: Values, found: FieldSeason) -> Floats:
    """A parameter of the draws that the figures are of, shape (draws, 1) or ()."""
    values = np.asarray(parameter)
    return np.asarray(values[found.of_draw] if values.size > 1 else values)


def _course(found: FieldSeason, inputs: BalanceInputs) -> NitrogenCourse:
    """Every third day from sowing to ripeness, the last day included; tenths of a kilogram."""
    end = min(int(np.ceil(found.matured_on[-1])), inputs.sky.weather.days - 1)
    days = sorted({*range(0, end, _STEP), end})
    # Soil and nodules make up for each other, so that quantiles of what the crop holds are not sums of theirs.
    shown = {
        "need": np.quantile(_need(found, inputs, days), found.levels, axis=0),
        "supply": found.bands["crop_n"][:, days],
        "soil": found.bands["taken"][:, days],
        "fixed": found.bands["fixed"][:, days],
    }
    return NitrogenCourse(
        days=tuple(inputs.sown_on + dt.timedelta(days=day) for day in days),
        **{
            f"{name}_{end_of}": tuple(np.round(line, 1).tolist())
            for name, lines in shown.items()
            for end_of, line in zip(("low", "mid", "high"), lines, strict=True)
        },
    )
