"""When: degree-days, day length, stages with their ranges, the dig window and whether a dig met it."""

from spadework.agronomy.clock.bbch import Order, compare_codes
from spadework.agronomy.clock.day_length import day_length
from spadework.agronomy.clock.degree_days import KNOWS_NO_CAP, METHODS, NEEDS_CAP, degree_days
from spadework.agronomy.clock.gaps import FilledSeries, fill_gaps
from spadework.agronomy.clock.series import DailyTemperature, DayOrigin, MonthlyNormals, daily_temperature
from spadework.agronomy.clock.stages import StageDate, StageEstimates, StageOnDay, estimate_stages
from spadework.agronomy.clock.timing import (
    DecidedBy,
    Doubt,
    TimingJudgement,
    TimingRules,
    TimingState,
    judge_timing,
)
from spadework.agronomy.clock.totals import (
    DayRange,
    DegreeDaySum,
    RunningTotal,
    WhyUnknown,
    degree_day_sum,
    running_total,
)
from spadework.agronomy.clock.window import ColdSpell, DigWindowEstimate, cold_days, dig_window

__all__ = [
    "KNOWS_NO_CAP",
    "METHODS",
    "NEEDS_CAP",
    "ColdSpell",
    "DailyTemperature",
    "DayOrigin",
    "DayRange",
    "DecidedBy",
    "DegreeDaySum",
    "DigWindowEstimate",
    "Doubt",
    "FilledSeries",
    "MonthlyNormals",
    "Order",
    "RunningTotal",
    "StageDate",
    "StageEstimates",
    "StageOnDay",
    "TimingJudgement",
    "TimingRules",
    "TimingState",
    "WhyUnknown",
    "cold_days",
    "compare_codes",
    "daily_temperature",
    "day_length",
    "degree_day_sum",
    "degree_days",
    "dig_window",
    "estimate_stages",
    "fill_gaps",
    "judge_timing",
    "running_total",
]
