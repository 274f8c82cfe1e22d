"""The dig window on a time line, the nitrogen on the same days: days become places between 0 (left) and 1 (right)."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from typing import Any

from spadework.advice.messages import fill
from spadework.advice.value import DateRange, Nitrogen, Timing
from spadework.report.display import UnitSystem
from spadework.report.labels import Labels
from spadework.report.nitrogen import nitrogen_figure
from spadework.report.scale import DayScale

__all__ = ["short_day", "short_days", "timeline"]

_MONTHLY_FROM_DAYS = 75
_MOST_TICK_TEXTS = 7
_FAR = 0.4  # a today later than this share of the season's line is only pointed at, so that the season keeps its width


def short_day(day: dt.date, texts: Labels) -> str:
    """``24 Jun``."""
    return f"{day.day} {texts['month'][str(day.month)]}"


def short_days(days: DateRange, texts: Labels) -> str:
    """``24 Jun``, ``3 to 12 Jun`` or ``28 May to 4 Jun``."""
    low, high = days.low, days.high
    if low == high:
        return short_day(low, texts)
    if (low.year, low.month) == (high.year, high.month):
        return f"{low.day} to {short_day(high, texts)}"
    return f"{short_day(low, texts)} to {short_day(high, texts)}"


def timeline(
    timing: Timing, *, today: dt.date, nitrogen: Nitrogen | None, units: UnitSystem, texts: Labels
) -> dict[str, Any] | None:
    """Lay out the time line, to ripeness where there is a balance; ``None`` where only the dig and today are known.

    Returns
    -------
    dict
        ``years`` covered, ``ticks`` (place, text), ``rows`` (label, bars, texts), ``marks`` (place, text,
        kind ``dug`` or ``today``) and ``nitrogen``, the figure on the same days (``None`` without a balance). Bars
        are (start, end, kind) with kind ``sure`` or ``maybe``.
    """
    flower = timing.first_flower
    if flower is None and nitrogen is not None and nitrogen.flowers is not None:
        flower = DateRange(*nitrogen.flowers)
    before: list[tuple[str, DateRange | None]] = [
        (_anchor_label(timing, texts), timing.anchor_date),
        (texts["timeline"]["emergence"], None if timing.anchor == "emergence" else timing.emergence),
    ]
    after: list[tuple[str, DateRange | None]] = [
        (texts["timeline"]["first_flower"], flower),
        (texts["timeline"]["ripe"], None if nitrogen is None else DateRange(*nitrogen.ripens)),
    ]
    known = [days for _, days in (*before, *after) if days is not None]
    known += [days for days in (timing.opens, timing.closes) if days is not None]
    if not known:
        return None
    days = [day for one in known for day in (one.low, one.high)]
    if nitrogen is not None:
        days += [nitrogen.course.days[0], nitrogen.course.days[-1]]
    if timing.dug_on is not None:
        days.append(timing.dug_on)
    if today <= max(days) + _FAR * (max(days) - min(days)):
        days.append(today)
    scale = DayScale(min(days), max(days))

    rows = [_range_row(label, one, scale, texts) for label, one in before if one is not None]
    rows += _window_row(timing, scale, texts)
    rows += [_range_row(label, one, scale, texts) for label, one in after if one is not None]
    return {
        "years": _years(scale),
        "ticks": list(_ticks(scale, texts)),
        "rows": rows,
        "marks": _marks(timing, today, scale, texts),
        "nitrogen": None if nitrogen is None else nitrogen_figure(nitrogen, scale=scale, units=units, texts=texts),
    }


def _anchor_label(timing: Timing, texts: Labels) -> str:
    return texts["timeline"].get(f"anchor_{timing.anchor}", texts["timeline"]["anchor"])


def _range_row(label: str, days: DateRange, scale: DayScale, texts: Labels) -> dict[str, Any]:
    template = texts["timeline"]["observed" if days.observed else "estimated"]
    kind = "sure" if days.low == days.high else "maybe"
    return {
        "label": label,
        "bars": [(scale.place(days.low), scale.place(days.high), kind)],
        "window": False,
        "texts": [fill(template, {"days": short_days(days, texts)})],
    }


def _window_row(timing: Timing, scale: DayScale, texts: Labels) -> Iterator[dict[str, Any]]:
    """Pale where the window may be open, full where it is open for certain."""
    opens, closes = timing.opens, timing.closes
    if opens is None and closes is None:
        return
    words = [
        fill(texts["timeline"][key], {"days": short_days(days, texts)}) if days else texts["timeline"][f"{key}_unknown"]
        for key, days in (("opens", opens), ("closes", closes))
    ]
    bars: list[tuple[float, float, str]]
    start = (0.0, 0.0) if opens is None else (scale.place(opens.low), scale.place(opens.high))
    end = (1.0, 1.0) if closes is None else (scale.place(closes.low), scale.place(closes.high))
    if start[1] < end[0]:
        bars = [(start[0], start[1], "maybe"), (start[1], end[0], "sure"), (end[0], end[1], "maybe")]
    else:
        bars = [(start[0], max(start[1], end[1]), "maybe")]
    yield {
        "label": texts["timeline"]["window"],
        "bars": [bar for bar in bars if bar[1] > bar[0]],
        "window": True,
        "texts": words,
    }


def _marks(timing: Timing, today: dt.date, scale: DayScale, texts: Labels) -> list[dict[str, Any]]:
    def mark(day: dt.date, kind: str, text: str) -> dict[str, Any]:
        return {
            "at": min(scale.place(day), 1.0),
            "kind": kind,
            "text": fill(texts["timeline"][text], {"day": short_day(day, texts)}),
        }

    if timing.dug_on is None:
        return [mark(today, "today", "today" if today <= scale.last else "today_later")]
    if timing.dug_on == today:
        return [mark(today, "dug", "dug_today")]
    return [mark(timing.dug_on, "dug", "dug"), mark(today, "today", "today" if today <= scale.last else "today_later")]


def _ticks(scale: DayScale, texts: Labels) -> Iterator[dict[str, Any]]:
    """First days of months; of weeks where the line is short."""
    starts = _month_starts if (scale.last - scale.first).days >= _MONTHLY_FROM_DAYS else _week_starts
    days = list(starts(scale.first, scale.last))
    every = 1 + len(days) // _MOST_TICK_TEXTS
    for number, day in enumerate(days):
        yield {"at": scale.place(day), "text": short_day(day, texts) if number % every == 0 else ""}


def _years(scale: DayScale) -> str:
    first, last = scale.first.year, scale.last.year
    return str(first) if first == last else f"{first}–{last}"


def _month_starts(first: dt.date, last: dt.date) -> Iterator[dt.date]:
    day = first.replace(day=1)
    while day <= last:
        if day >= first:
            yield day
        day = (day + dt.timedelta(days=32)).replace(day=1)


def _week_starts(first: dt.date, last: dt.date) -> Iterator[dt.date]:
    day = first + dt.timedelta(days=-first.weekday() % 7)
    while day <= last:
        yield day
        day += dt.timedelta(days=7)
