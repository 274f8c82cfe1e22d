"""From the records of a field to what the season balance takes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spadework.advice.evidence.layers import depths_within, newest_layers, nitrate_within
from spadework.advice.nitrogen.sky import Sky, sky_of
from spadework.agronomy.rescue.losses import LOSS_CHANCES, ammonia_loss, surface_on
from spadework.agronomy.season.applied import Application
from spadework.agronomy.season.draws import draw_parameters, row_of, triangular
from spadework.agronomy.season.parameters import Parameters, Values
from spadework.agronomy.season.root_zone import draw_root_zone_n
from spadework.agronomy.season.seen_stage import draw_stage, set_clock, stage_of_code
from spadework.agronomy.season.stages import EMERGED, MATURE, ObservedStage
from spadework.knowledge.rows import Crop, Knowledge
from spadework.records.maturity_group import maturity_group
from spadework.records.types import AppliedRow, FieldRecords, SoilTestRow

__all__ = ["DRAWS", "BalanceInputs", "alkaline_surface", "balance_inputs", "streams"]

Floats = NDArray[np.float64]

DRAWS = 500
"""Draws for one field: the chance of a gap is then known to 0.02."""

_SUMS = ("sowing_to_emergence", "emergence_to_flower", "flower_to_maturity")
_CLOCK = ("base_temperature", "cap_temperature")
_MARGIN, _MARGIN_LONG_DAY = 20, 45
"""Days beyond ripeness by the sums, for stages seen late; more where short days hold flowering back."""

_TOP_SOIL_CM = 20.0
_CM = 100.0


@dataclass(frozen=True, kw_only=True)
class BalanceInputs:
    """What the balance of one field runs on.

    ``rows`` are the knowledge rows taken, ``soil_n_from`` one of ``tested``, ``tested_shallow``, ``not_tested``;
    ``applied`` the nitrogen applied up to today [kg/ha], ``applied_in_test`` what was applied by the day of the nitrate
    test, which holds it already, ``organic_matter_tested`` whether a soil test gives it, ``group_passed_over`` a
    maturity group of soybean for which the sums of all groups stand.
    """

    sown_on: dt.date
    today: int
    sky: Sky
    parameters: Parameters
    applications: tuple[Application, ...]
    observed: tuple[ObservedStage, ...]
    soil_n_from: str
    organic_matter_tested: bool
    applied: float
    applied_in_test: float
    group_passed_over: str | None
    rows: tuple[str, ...]


def streams(seed: int) -> tuple[np.random.Generator, ...]:
    """Return generators apart for weather, crop and soil, nodules, soil tests, stages, applications and harvest.

    What becomes known of one of them leaves the draws of the others as they were.
    """
    return tuple(np.random.default_rng([seed, stream]) for stream in range(7))


def balance_inputs(
    records: FieldRecords,
    *,
    nodulation: Floats,
    knowledge: Knowledge,
    seed: int,
    today: dt.date,
) -> BalanceInputs | None:
    """Collect the inputs; None where yield, sowing, place or weather are not known.

    ``nodulation`` are the draws of the nodulation factor, shape (draws, 1).
    """
    field = records.field
    if field.expected_yield is None or field.sown_on is None or field.latitude is None:
        return None
    crop, draws = field.crop, nodulation.shape[0]
    weather_stream, crop_stream, _, soil_stream, stage_stream, applied_stream, _ = streams(seed)
    group = _group(field.maturity_group, crop, knowledge)
    sums = [knowledge.figure(str(row_of(knowledge, crop, name, group))) for name in _SUMS]
    base, cap = (knowledge.figure(str(row_of(knowledge, crop, name))).central for name in _CLOCK)
    held_back = row_of(knowledge, crop, "long_day_slope") is not None
    sky = sky_of(
        records,
        sown_on=field.sown_on,
        latitude=field.latitude,
        today=today,
        base=base,
        cap=cap,
        needed=sum(row.range[1] for row in sums),
        margin=_MARGIN_LONG_DAY if held_back else _MARGIN,
        knowledge=knowledge,
        generator=weather_stream,
    )
    if sky is None:
        return None

    known: dict[str, Values] = {"expected_yield": field.expected_yield, "nodulation": nodulation}
    layers = _nitrate_at_sowing(records, sown_on=field.sown_on, today=today, knowledge=knowledge)
    soil_n_from, used = _soil(
        records, layers, known, today=today, knowledge=knowledge, draws=draws, generator=soil_stream
    )
    tested_on = layers[0].date if soil_n_from != "not_tested" else None
    counted, held = _applied_since(records, tested_on, sown_on=field.sown_on, today=today, knowledge=knowledge)
    applications, rows = _applications(
        counted,
        records,
        sown_on=field.sown_on,
        sky=sky,
        knowledge=knowledge,
        draws=draws,
        generator=applied_stream,
    )
    observed = _observed(
        records, sown_on=field.sown_on, today=today, knowledge=knowledge, draws=draws, generator=stage_stream
    )
    drawn = draw_parameters(knowledge, crop, draws=draws, generator=crop_stream, known=known, maturity_group=group)
    parameters = set_clock(drawn, sky.weather, weather_of=sky.met_by(draws), observed=observed)
    return BalanceInputs(
        sown_on=field.sown_on,
        today=(today - field.sown_on).days,
        sky=sky,
        parameters=parameters,
        applications=applications,
        observed=observed,
        soil_n_from=soil_n_from,
        organic_matter_tested="organic_matter" in known,
        applied=sum(row.nitrogen for row in counted),
        applied_in_test=sum(row.nitrogen for row in held),
        group_passed_over=field.maturity_group if crop is Crop.SOYBEAN and group is None else None,
        rows=(
            *_rows_of(knowledge, crop, group, set(known)),
            *used,
            *sky.rows,
            *rows,
            *(("stage_seen.spread",) if observed else ()),
        ),
    )


def _group(said: str | None, crop: Crop, knowledge: Knowledge) -> str | None:
    """The maturity group where the tables know it; else None, and the sums that hold for all groups stand."""
    group = None if said is None else maturity_group(said)
    return group if f"season.{crop}.group_{group}.flower_to_maturity" in knowledge.rows else None


def _rows_of(knowledge: Knowledge, crop: Crop, group: str | None, known: set[str]) -> tuple[str, ...]:
    """Rows that the parameters are drawn from, in their order."""
    rows = (row_of(knowledge, crop, name, group) for name in Parameters.__dataclass_fields__ if name not in known)
    return tuple(row for row in rows if row is not None)


def _nitrate_at_sowing(
    records: FieldRecords, *, sown_on: dt.date, today: dt.date, knowledge: Knowledge
) -> list[SoilTestRow]:
    """Layers of the newest nitrate test that says what the soil held at sowing; none where there is none."""
    late = dt.timedelta(days=knowledge.figure("soil_n.test_after_sowing").central)
    early = dt.timedelta(days=knowledge.figure("limit.nitrate_age.any").central)
    tests = [row for row in records.soil_tests if row.date >= sown_on - early]
    return newest_layers(tests, "nitrate_n", until=min(sown_on + late, today))


def _applied_since(
    records: FieldRecords, tested_on: dt.date | None, *, sown_on: dt.date, today: dt.date, knowledge: Knowledge
) -> tuple[list[AppliedRow], list[AppliedRow]]:
    """Nitrogen applied up to today that counts, and what the nitrate test holds already.

    What was applied longer before sowing than a test would hold good is left out.
    """
    early = dt.timedelta(days=knowledge.figure("limit.nitrate_age.any").central)
    rows = [row for row in records.applied if sown_on - early <= row.date <= today]
    held = [row for row in rows if tested_on is not None and row.date <= tested_on]
    return [row for row in rows if row not in held], held


def _soil(
    records: FieldRecords,
    layers: Sequence[SoilTestRow],
    known: dict[str, Values],
    *,
    today: dt.date,
    knowledge: Knowledge,
    draws: int,
    generator: np.random.Generator,
) -> tuple[str, tuple[str, ...]]:
    """Put what soil tests and texture say into ``known``; says where mineral N comes from, and the rows used."""
    field, rows = records.field, []
    depth_row = knowledge.figure(str(row_of(knowledge, field.crop, "root_depth")))
    root_depth = depth_row.central * _CM
    found, covered = nitrate_within(layers, bottom=root_depth)
    chances, deviation = generator.random((1, draws, 1)), generator.standard_normal((draws, 1))
    soil_n_from = "not_tested"
    if covered > 0:
        known["mineral_n_at_sowing"] = draw_root_zone_n(
            tested=found,
            sampled=[(top / _CM, end / _CM) for top, end in depths_within(layers, bottom=root_depth)],
            root_depth=depth_row.central,
            knowledge=knowledge,
            draws=draws,
            generator=generator,
        )
        soil_n_from = "tested" if covered >= root_depth else "tested_shallow"
        rows += [
            depth_row.id,
            "soil_n.test_spread",
            "soil_n.depth_scale",
            "soil_n.test_after_sowing",
            "limit.nitrate_age.any",
        ]
    top = [
        row for row in newest_layers(records.soil_tests, "organic_matter", until=today) if row.depth_top < _TOP_SOIL_CM
    ]
    if top:
        spread = knowledge.figure("soil_n.organic_matter_spread")
        depths = [min(row.depth_bottom, _TOP_SOIL_CM) - row.depth_top for row in top]
        mean = sum((row.organic_matter or 0.0) * depth for row, depth in zip(top, depths, strict=True)) / sum(depths)
        known["organic_matter"] = np.clip(mean * (1 + spread.central * deviation), 0.0, 100.0)
        rows.append(spread.id)
    if field.soil_texture is not None:
        texture = knowledge.figure(f"available_water.{field.soil_texture}")
        low, high = texture.range
        known["available_water"] = triangular(chances[0], low=low, value=texture.central, high=high)
        rows.append(texture.id)
    return soil_n_from, tuple(rows)


def _applications(
    applied: Sequence[AppliedRow],
    records: FieldRecords,
    *,
    sown_on: dt.date,
    sky: Sky,
    knowledge: Knowledge,
    draws: int,
    generator: np.random.Generator,
) -> tuple[tuple[Application, ...], tuple[str, ...]]:
    """Nitrogen applied: in the soil at sowing, or spread on the crop and waiting for rain.

    What goes off as ammonia follows product and weather; the situation is unknown for manure and others alone.
    """
    found, rows = [], []
    # One chance for each share: how a field holds on to N is the same for all that is applied to it.
    chances = generator.random((1 + LOSS_CHANCES, draws, 1))
    alkaline, tested = alkaline_surface(records, knowledge)

    def drawn(row_id: str, chance: Floats) -> Floats:
        row = knowledge.figure(row_id)
        rows.append(row.id)
        low, high = row.range
        return triangular(chance, low=low, value=row.central, high=high)

    for row in sorted(applied, key=lambda row: (row.date, row.product)):
        if row.date <= sown_on:
            access = drawn("season.any.access_at_sowing", chances[0])
            found.append(Application(day=0, rate=row.nitrogen, access=access))
            continue
        day, rain = (row.date - sown_on).days, knowledge.figure("season.any.rain_to_free")
        rows.append(rain.id)
        access = drawn("season.any.access_in_season", chances[0])
        surface = surface_on(
            min(day, sky.weather.days - 1),
            weather=sky.weather,
            weather_of=sky.met_by(draws),
            knowledge=knowledge,
            alkaline=alkaline,
        )
        lost = ammonia_loss(row.product, surface, chances=chances[1:], knowledge=knowledge)
        rows += () if lost is None else (*lost.rows, *tested)
        found.append(
            Application(
                day=day,
                rate=row.nitrogen,
                access=access,
                volatilised=drawn("applied_n.volatilised", chances[1]) if lost is None else lost.share,
                rain_to_free=rain.central,
            )
        )
    return tuple(found), tuple(dict.fromkeys(rows))


def alkaline_surface(records: FieldRecords, knowledge: Knowledge) -> tuple[bool | None, tuple[str, ...]]:
    """Whether the surface is alkaline, None without a soil test of its pH; and the row that says from where on."""
    top = [row for row in newest_layers(records.soil_tests, "ph", until=dt.date.max) if row.depth_top == 0]
    if not top or top[0].ph is None:
        return None, ()
    limit = knowledge.figure("rescue.loss.alkaline_from")
    return top[0].ph > limit.central, (limit.id,)


def _observed(
    records: FieldRecords,
    *,
    sown_on: dt.date,
    today: dt.date,
    knowledge: Knowledge,
    draws: int,
    generator: np.random.Generator,
) -> tuple[ObservedStage, ...]:
    """Emergence, and the stages of digs that the clock can be set by, the earliest first.

    Where emergence is written down, seedlings seen say nothing more, and stages seen before it are passed over. Of
    looks at seedlings, and of those at a ripe crop, the first counts: the crop was there by then.
    """
    emerged_on = records.field.emerged_on
    seen: dict[dt.date, float] = {} if emerged_on is None else {emerged_on: EMERGED}
    for dig in sorted(records.digs, key=lambda dig: dig.date):
        stage = None if dig.stage_bbch is None else stage_of_code(dig.stage_bbch)
        if stage is None or (emerged_on is not None and dig.date <= emerged_on):
            continue
        if not (stage == EMERGED and seen) and not (stage == MATURE and stage in seen.values()):
            seen[dig.date] = stage
    spread = knowledge.figure("stage_seen.spread").central
    return tuple(
        ObservedStage(
            day=(day - sown_on).days,
            stage=stage
            if stage in (EMERGED, MATURE)
            else draw_stage(stage=stage, spread=spread, draws=draws, generator=generator),
        )
        for day, stage in sorted(seen.items())
        if sown_on <= day <= today
    )
