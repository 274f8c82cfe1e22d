"""The dig window on a time line, the nitrogen on the same days: days become places between 0 (left) and 1 (right)."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from typing import Any

from spadework.advice.messages import fill
from spadework.advice.rescue.value import Decision, RescueWindow
from spadework.advice.value import DateRange, Nitrogen, Timing
from spadework.report.decision import decision_days, helping_window
from spadework.report.display import UnitSystem
from spadework.report.labels import Labels
from spadework.report.nitrogen import nitrogen_figure
from spadework.report.reader import Reader
from spadework.report.scale import DayScale

__all__ = ["short_day", "short_days", "timeline", "window_line"]

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
    timing: Timing,
    *,
    today: dt.date,
    nitrogen: Nitrogen | None,
    decision: Decision | None = None,
    units: UnitSystem,
    texts: Labels,
) -> dict[str, Any] | None:
    """Lay out the time line, to ripeness where there is a balance; ``None`` where only the dig and today are known.

    A decision adds until when nitrogen helps, and the day to dig again where that is the decision.

    Returns
    -------
    dict
        ``years`` covered, ``ticks`` (place, text), ``rows`` (label, bars, texts), ``marks`` (place, text,
        kind ``dug`` or ``today``) and ``nitrogen``, the figure on the same days (``None`` without a balance). Bars
        are (start, end, kind) with kind ``sure`` or ``maybe``; of nitrogen ``best``, ``less`` or ``closing``.
    """
    # The balance has taken in the stages seen, and ripeness on the same picture is of its clock.
    reckoned = None if nitrogen is None else nitrogen.flowers
    flower = timing.first_flower if reckoned is None else DateRange(*reckoned)
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
    days += decision_days(decision)
    if nitrogen is not None:
        days += [nitrogen.course.days[0], nitrogen.course.days[-1]]
    if timing.dug_on is not None:
        days.append(timing.dug_on)
    if today <= max(days) + _FAR * (max(days) - min(days)):
        days.append(today)
    scale = DayScale(min(days), max(days))

    rows = [_range_row(label, one, scale, texts) for label, one in before if one is not None]
    rows += _window_row(timing, scale, texts)
    rows += _dig_again_row(decision, scale, texts)
    rows += [_range_row(label, one, scale, texts) for label, one in after if one is not None]
    up = timing.emergence or timing.anchor_date
    rows += _nitrogen_row(decision, scale, texts, since=scale.first if up is None else up.low)
    drawn = None if nitrogen is None else nitrogen_figure(nitrogen, scale=scale, units=units, texts=texts)
    return {
        "alt": " ".join(_alt(decision, drawn, texts)),
        "years": _years(scale),
        "ticks": list(_ticks(scale, texts)),
        "rows": rows,
        "marks": _marks(timing, today, scale, texts),
        "nitrogen": drawn,
    }


def window_line(decision: Decision, reader: Reader) -> str:
    """Until when nitrogen helps and what ends it, in words; empty where it would not help at any time."""
    window, texts = helping_window(decision), reader.texts
    if window is None:
        return ""
    best, closes = _window_texts(window, texts)
    return f"{fill(texts['timeline']['alt_nitrogen'], {'best': best, 'closes': closes})} {reader.say(window.limit)}"


def _alt(decision: Decision | None, drawn: dict[str, Any] | None, texts: Labels) -> Iterator[str]:
    """Words for the whole figure."""
    words = texts["timeline"]
    yield words["alt"]
    window = helping_window(decision)
    if window is not None:
        best, closes = _window_texts(window, texts)
        yield fill(words["alt_nitrogen"], {"best": best, "closes": closes})
    if drawn is not None:
        yield drawn["alt"]


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


def _dig_again_row(decision: Decision | None, scale: DayScale, texts: Labels) -> Iterator[dict[str, Any]]:
    if decision is None or decision.kind != "dig_again" or decision.dig_again is None:
        return
    day = decision.dig_again.on
    yield {
        "label": texts["timeline"]["dig_again"],
        "bars": [(scale.place(day), scale.place(day), "sure")],
        "window": False,
        "texts": [short_day(day, texts)],
    }


def _nitrogen_row(
    decision: Decision | None, scale: DayScale, texts: Labels, *, since: dt.date
) -> Iterator[dict[str, Any]]:
    """Dark while nitrogen helps most, paler while it helps less, palest where it closes; drawn ``since`` a day."""
    window = helping_window(decision)
    if window is None:
        return
    places = tuple(map(scale.place, (since, window.best_until[0], *window.closes)))
    bars = [(low, high, kind) for low, high, kind in zip(places, places[1:], ("best", "less", "closing"), strict=False)]
    yield {
        "label": texts["timeline"]["nitrogen"],
        "bars": [bar for bar in bars if bar[1] > bar[0]],
        "window": False,
        "texts": _window_texts(window, texts),
    }


def _window_texts(window: RescueWindow, texts: Labels) -> list[str]:
    end = "nitrogen_closed" if window.state == "closed" else "nitrogen_closes"
    return [
        fill(texts["timeline"][key], {"days": short_days(DateRange(*days), texts)})
        for key, days in (("nitrogen_best", window.best_until), (end, window.closes))
    ]


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
