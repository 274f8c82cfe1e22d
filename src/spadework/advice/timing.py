"""When: whether the visit was at the right time, or when to go, with both clocks beside it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

import numpy as np

from spadework.advice.choose import WindowInForce, window_in_force
from spadework.advice.value import DateRange, DegreeDayTotal, Message, StageEstimate, Timing
from spadework.agronomy.clock import (
    KNOWS_NO_CAP,
    METHODS,
    NEEDS_CAP,
    DailyTemperature,
    DayRange,
    DegreeDaySum,
    MonthlyNormals,
    StageEstimates,
    TimingJudgement,
    TimingRules,
    TimingState,
    daily_temperature,
    day_length,
    degree_day_sum,
    estimate_stages,
    judge_timing,
)
from spadework.knowledge.rows import Cardinal, Crop, Knowledge, NodeInterval, PrincipalStage, ThermalTime
from spadework.quantity import Quantity, worst_grade
from spadework.records.types import FieldRecords, NormalRow, Settings, WeatherRow

__all__ = ["DEFAULT_METHOD", "timing_of"]

DEFAULT_METHOD = "mean_then_floor"
"""Degree-day rule in force when the book names none: nearest to what most crop papers describe."""

_FLOWERING, _RIPENING = 60, 80
"""BBCH codes; an estimate from before the one to the other or later says nothing, and is left out."""

_DAYS_AHEAD = 330
"""Days after the anchor for which stages are looked for; every crop here has set pods by then."""


def timing_of(
    records: FieldRecords,
    *,
    settings: Settings,
    knowledge: Knowledge,
    dug_on: dt.date | None,
    stage_seen: int | None,
    today: dt.date,
) -> Timing:
    """Judge the dig of one day, or, where nothing has been dug, how today stands to the window."""
    crop = records.field.crop
    window = window_in_force(crop=crop, settings=settings, knowledge=knowledge)
    day = dug_on or max(today, records.field.sown_on or today)
    stages = _stages(records, knowledge, crop, day)
    rules = _rules(knowledge, crop)
    judged = judge_timing(
        dug_on=day,
        days_window=window.days,
        stage_window=window.stage,
        stages=stages,
        rules=rules,
        stage_seen=stage_seen,
    )
    degree_days = _degree_days(records, stages, day, settings=settings, knowledge=knowledge)
    subject = f"timing.{judged.state}" if dug_on is not None else f"timing.undug.{judged.state}"
    return Timing(
        dug_on=dug_on,
        state=str(judged.state),
        sure=judged.sure,
        decided_by=str(judged.decided_by),
        window_scheme=" + ".join(window.rows),
        headline=Message(f"{subject}.headline", {"day": dug_on or today}),
        a_poor_reading_means=Message(f"timing.{judged.state}.means", sources=_reading_sources(judged.state)),
        a_poor_reading_does_not_mean=Message(
            f"timing.{judged.state}.not_means", sources=_reading_sources(judged.state)
        ),
        anchor=judged.window.anchor,
        anchor_date=_range(judged.window.anchor_day),
        days_since_anchor=_days(judged.days_since_anchor, window),
        emergence=_range(stages.emergence.days),
        first_flower=_range(stages.first_flower.days),
        stage=_stage(judged, knowledge),
        opens=_range(judged.window.opens),
        closes=_range(judged.window.closes),
        degree_days=degree_days,
        day_length=_day_length(records, dug_on or today),
        cold_days=None if judged.cold is None else judged.cold.cold_days,
        notes=(
            *_opening(judged, dug=dug_on is not None),
            *_notes(judged, degree_days, records, settings=settings, knowledge=knowledge),
        ),
        sources=_sources(judged, stages, degree_days, knowledge, crop),
    )


def _rules(knowledge: Knowledge, crop: Crop) -> TimingRules:
    return TimingRules(
        first_look_days=knowledge.figure(_own_or_any("first_look", crop, knowledge)).range[0],
        first_look_bbch=int(knowledge.figure("first_look.bbch").central),
        late_bbch=int(knowledge.figure(f"late.{crop}").central),
        infection_days=knowledge.figure("infection.any").central,
        cold_limit=knowledge.figure(_own_or_any("cold", crop, knowledge)).central,
    )


def _own_or_any(subject: str, crop: Crop, knowledge: Knowledge) -> str:
    """The crop's own row on a subject, else the one that holds for any crop."""
    own = f"{subject}.{crop}"
    return own if own in knowledge.rows else f"{subject}.any"


def _stages(records: FieldRecords, knowledge: Knowledge, crop: Crop, day: dt.date) -> StageEstimates:
    field = records.field
    rows = [row for row in knowledge.of(ThermalTime, crop) if row.default]
    node = next(iter(knowledge.of(NodeInterval, crop)), None)
    return estimate_stages(
        series=_series(records, knowledge, day),
        rows=rows,
        sown_on=field.sown_on,
        emerged_on=field.emerged_on,
        node_interval=node,
        bud_share=knowledge.figure("bud.share").central,
        relative_range=knowledge.figure("range.thermal_time").central,
        flower_range=knowledge.figure("range.first_flower").central,
        forecast_shift=knowledge.figure("normals.sd").central,
    )


def _series(records: FieldRecords, knowledge: Knowledge, day: dt.date) -> DailyTemperature:
    """Temperatures from sowing (or emergence) on; one missing day where neither is known."""
    anchor = records.field.sown_on or records.field.emerged_on
    first = (anchor or day) + dt.timedelta(days=1)
    weather = sorted(records.weather, key=lambda row: row.W_DATE)
    return daily_temperature(
        first_day=first,
        last_day=first + dt.timedelta(days=_DAYS_AHEAD),
        observed_days=[row.W_DATE for row in weather],
        tmin=_column(weather, "TMIN"),
        tmax=_column(weather, "TMAX"),
        normals=_normals(records.normals),
        longest_gap=int(knowledge.figure("weather.fill_days").central),
    )


def _column(rows: Sequence[WeatherRow], name: str) -> list[float]:
    return [np.nan if (value := getattr(row, name)) is None else value for row in rows]


def _normals(rows: Sequence[NormalRow]) -> MonthlyNormals | None:
    if not rows:
        return None
    tmin, tmax = np.full(12, np.nan), np.full(12, np.nan)
    for row in rows:
        tmin[row.month - 1], tmax[row.month - 1] = row.TMIN, row.TMAX
    return MonthlyNormals(tmin=tmin, tmax=tmax)


def _degree_days(
    records: FieldRecords, stages: StageEstimates, day: dt.date, *, settings: Settings, knowledge: Knowledge
) -> DegreeDayTotal | None:
    """Degree-days since emergence, where it is known or estimated, else since sowing."""
    sown = records.field.sown_on
    after = stages.emergence.days
    if after is None and sown is not None:
        after = DayRange(sown, sown, observed=True)
    if after is None or day < after.centre or not (records.weather or records.normals):
        return None
    cardinal = knowledge.row(f"cardinal.{records.field.crop}")
    assert isinstance(cardinal, Cardinal)  # noqa: S101 - ids of that name are held to that table by a test
    method = settings.degree_day_method or DEFAULT_METHOD
    if method in NEEDS_CAP and cardinal.t_cap is None:
        return None
    summed = degree_day_sum(
        stages.series,
        after=after,
        through=day,
        t_base=cardinal.t_base,
        t_cap=None if method in KNOWS_NO_CAP else cardinal.t_cap,
        method=method,
    )
    rows = tuple(dict.fromkeys((cardinal.id, *stages.emergence.rows)))
    return _total(summed, rows, knowledge)


def _total(summed: DegreeDaySum, rows: tuple[str, ...], knowledge: Knowledge) -> DegreeDayTotal:
    return DegreeDayTotal(
        total=Quantity(
            value=summed.total,
            unit="degC d",
            low=summed.low,
            high=summed.high,
            sources=rows,
            grade=worst_grade(*(knowledge.row(row).grade for row in rows)),
        ),
        method=summed.method,
        method_name=METHODS[summed.method],
        base_c=summed.t_base,
        cap_c=summed.t_cap,
        from_date=summed.after.centre,
        to_date=summed.through,
        filled_days=summed.filled_days,
        normal_days=summed.normal_days,
        missing_days=summed.missing_days,
    )


def _days(span: tuple[int, int] | None, window: WindowInForce) -> Quantity | None:
    if span is None:
        return None
    low, high = span
    return Quantity(value=(low + high) / 2, unit="d", low=low, high=high, sources=window.rows, grade=window.grade)


def _range(days: DayRange | None) -> DateRange | None:
    return None if days is None else DateRange(low=days.low, high=days.high, observed=days.observed)


def _stage(judged: TimingJudgement, knowledge: Knowledge) -> StageEstimate | None:
    low = judged.stage_seen if judged.stage_seen is not None else judged.stage.low
    high = judged.stage_seen if judged.stage_seen is not None else judged.stage.high
    if low is None or high is None or (low < _FLOWERING and high >= _RIPENING):
        return None
    names = {row.code: row.meaning for row in knowledge.of(PrincipalStage)}
    return StageEstimate(
        low_bbch=low, high_bbch=high, seen=judged.stage_seen, name_low=names[low // 10], name_high=names[high // 10]
    )


def _day_length(records: FieldRecords, day: dt.date) -> Quantity | None:
    if records.field.latitude is None:
        return None
    hours = day_length(latitude=records.field.latitude, day_of_year=day.timetuple().tm_yday)
    return Quantity(value=float(hours), unit="h")


def _sources(
    judged: TimingJudgement,
    stages: StageEstimates,
    degree_days: DegreeDayTotal | None,
    knowledge: Knowledge,
    crop: Crop,
) -> tuple[str, ...]:
    """Rows that dates, stages and state rest on: sums between stages, and the limits that a dig is held against."""
    sums = tuple(dict.fromkeys((*judged.rows, *stages.emergence.rows, *stages.first_flower.rows)))
    limits = [f"late.{crop}", _own_or_any("cold", crop, knowledge), "infection.any"]
    if judged.state in (TimingState.TOO_EARLY, TimingState.FIRST_LOOK):
        limits += [_own_or_any("first_look", crop, knowledge), "first_look.bbch"]
    if sums:
        limits += ["range.thermal_time", "range.first_flower", "bud.share", "normals.sd"]
    if degree_days is not None and degree_days.filled_days:
        limits.append("weather.fill_days")
    return (*sums, *limits)


def _opening(judged: TimingJudgement, *, dug: bool) -> list[Message]:
    """When to go, for who has been too early or not at all."""
    opens, closes = judged.window.opens, judged.window.closes
    if judged.state in (TimingState.TOO_EARLY, TimingState.FIRST_LOOK) and opens is not None:
        kind = "opens" if opens.low == opens.high else "opens_between"
        return [Message(f"timing.window.{kind}", {"low": opens.low, "high": opens.high})]
    if not dug and judged.state is TimingState.IN_WINDOW and closes is not None:
        kind = "closes" if closes.low == closes.high else "closes_between"
        return [Message(f"timing.window.{kind}", {"low": closes.low, "high": closes.high})]
    return []


_READING_SOURCES = {
    TimingState.TOO_EARLY: ("statement.timing.infection", "statement.timing.something_to_judge"),
    TimingState.FIRST_LOOK: ("statement.timing.something_to_judge", "statement.timing.white_again"),
    TimingState.IN_WINDOW: ("statement.score.not_kilograms",),
    TimingState.TOO_LATE: ("statement.timing.after_pods_fill",),
}


def _reading_sources(state: TimingState) -> tuple[str, ...]:
    return _READING_SOURCES.get(state, ())


def _notes(
    judged: TimingJudgement,
    degree_days: DegreeDayTotal | None,
    records: FieldRecords,
    *,
    settings: Settings,
    knowledge: Knowledge,
) -> tuple[Message, ...]:
    crop = records.field.crop
    notes = []
    if judged.stage_seen is not None and judged.decided_by == "stage_seen":
        notes.append(Message("timing.by_stage", {"bbch": judged.stage_seen}))
    notes += [Message(f"timing.doubt.{doubt}") for doubt in judged.doubts]
    if judged.why_unknown is not None:
        notes.append(Message(f"timing.why_unknown.{judged.why_unknown}"))
    if judged.cold is not None and judged.cold.cold_days > 0:
        cold = _own_or_any("cold", crop, knowledge)
        limit = knowledge.figure(cold).central
        notes.append(
            Message(
                "timing.cold",
                {"days": judged.cold.cold_days, "limit": limit, "limit_f": limit * 9 / 5 + 32},
                sources=(cold, "infection.any"),
            )
        )
    if degree_days is None and records.weather and settings.degree_day_method in NEEDS_CAP:
        notes.append(Message("timing.no_cap", {"method": METHODS[settings.degree_day_method or DEFAULT_METHOD]}))
    if degree_days is not None:
        for kind, days in (
            ("filled", degree_days.filled_days),
            ("normal", degree_days.normal_days),
            ("missing", degree_days.missing_days),
        ):
            if days:
                notes.append(Message(f"timing.days.{kind}", {"days": days}))
    return tuple(notes)
