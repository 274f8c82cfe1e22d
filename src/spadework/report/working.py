"""The last page: the figures behind the verdict, what they stand on, what is missing, and the cautions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from spadework.advice.messages import fill, render
from spadework.advice.value import (
    Agreement,
    ColourReading,
    DegreeDayTotal,
    FieldAdvice,
    PositionReading,
    Sampling,
    SourceUsed,
    ThreeFactorIndex,
    Timing,
    Verdict,
)
from spadework.quantity import Grade, Quantity
from spadework.report.display import UnitSystem, format_number, format_quantity
from spadework.report.labels import Labels, word
from spadework.report.nitrogen import nitrogen_work
from spadework.report.reader import reader_of
from spadework.report.timeline import short_days
from spadework.report.verdict import class_chances, grade_word

__all__ = ["basis_line", "folded_source_rows", "source_rows", "working"]

_INDEX_PARTS = (("index_vigour", 5), ("index_abundance", 5), ("index_position", 3))
_KEPT = ("local_target", "target", "classes", "window", "thermal", "cardinal", "late")
"""Tables whose rows decide the class and the time of a dig: the last to be cut from the page."""


def working(advice: FieldAdvice, *, units: UnitSystem, texts: Labels, language: str) -> dict[str, Any]:
    """All of the last page as texts and shares of bars."""
    verdict, readings = advice.verdict, advice.readings
    return {
        "summary": _summary(verdict, texts, units) if verdict else "",
        "index": _index(advice.index, texts, units, language, in_time=advice.timing.in_time) if advice.index else None,
        "colour": _colour(readings.colour, texts, units, language) if readings else None,
        "position": _position(readings.position, texts, units, language) if readings else None,
        "agreement": _agreement(readings.agreement, texts, language) if readings and readings.agreement else None,
        "timing": _timing(advice.timing, texts, units, language),
        "nitrogen": nitrogen_work(advice, reader_of(advice, units, language)),
        "plan": _plan(advice.sampling, texts, units) if advice.sampling else [],
        "earlier": [render(message, language) for message in advice.earlier_digs],
        "missing": [[render(one.name, language), render(one.adds, language)] for one in advice.missing],
        "cautions": [render(message, language) for message in advice.cautions],
        "sources": folded_source_rows(advice.basis.rows, texts),
        "basis": basis_line(advice, texts),
    }


def basis_line(advice: FieldAdvice, texts: Labels) -> str:
    """Version, knowledge, seed and date: what makes the page again."""
    return fill(
        texts["working"]["basis"],
        {
            "brand": texts["page"]["brand"],
            "version": advice.basis.version,
            "hash": advice.basis.knowledge_hash,
            "seed": advice.basis.seed,
            "level": advice.basis.level,
            "day": advice.advised_on,
        },
    )


def source_rows(used_rows: Sequence[SourceUsed], texts: Labels) -> dict[str, Any]:
    """Rows by grade, A first, each with the number of its citation."""
    return _numbered([[used] for used in used_rows], texts)


def folded_source_rows(used_rows: Sequence[SourceUsed], texts: Labels) -> dict[str, Any]:
    """Like ``source_rows``, with the rows of a wordy table in one line a grade; the user's own figures stay apart."""
    lines: dict[tuple[str, ...], list[SourceUsed]] = {}
    for used in used_rows:
        table = used.row.split(".")[0]
        folds = table in texts["folded"] and not used.overridden
        lines.setdefault((table, used.grade) if folds else (used.row, used.figure, used.citation), []).append(used)
    return _numbered(list(lines.values()), texts)


def _numbered(lines: Sequence[Sequence[SourceUsed]], texts: Labels) -> dict[str, Any]:
    """``sources`` are numbers of citations, ``keep`` is low for what must not be cut."""
    numbers: dict[str, int] = {}
    rows = []
    for line in sorted(lines, key=lambda line: line[0].grade):
        first = line[0]
        sources = sorted({numbers.setdefault(used.citation, len(numbers) + 1) for used in line})
        name, figure = first.row, first.figure
        if len(line) > 1:
            table = first.row.split(".")[0]
            name, figure = fill(texts["working"]["folded"], {"table": table, "n": len(line)}), texts["folded"][table]
        rows.append(
            {
                "row": name,
                "figure": figure,
                "grade": grade_word(first.grade, texts),
                "overridden": first.overridden,
                "sources": sources,
                "keep": _keep(first, folded=len(line) > 1),
            }
        )
    return {"rows": rows, "citations": list(numbers)}


def _keep(used: SourceUsed, *, folded: bool) -> int:
    """Place in the order of keeping: own figures, what decides the class and the time, A, B, folded lines, C."""
    table = used.row.split(".")[0]
    if used.overridden:
        return 0
    if table in _KEPT:
        return 1 + _KEPT.index(table)
    return len(_KEPT) + (3 if folded else {"A": 1, "B": 2, "C": 4}[used.grade])


def _summary(verdict: Verdict, texts: Labels, units: UnitSystem) -> str:
    decimals = 0 if verdict.adequate_as_counted == round(verdict.adequate_as_counted) else 1
    return fill(
        texts["working"]["summary"],
        {
            "plants": verdict.plants,
            "stops": verdict.stops,
            "adequate": format_number(verdict.adequate_as_counted, decimals),
            "unit": word(texts, "counting_unit", verdict.target.counting_unit),
            "mean": _plain(verdict.mean_effective, units, 1),
        },
    )


def _plain(quantity: Quantity, units: UnitSystem, decimals: int) -> str:
    """A score, a mean count or a correlation: the number and its interval, no unit."""
    bare = Quantity(value=quantity.value, unit="1", low=quantity.low, high=quantity.high)
    return format_quantity(bare, units, decimals=decimals)


def _index(
    index: ThreeFactorIndex, texts: Labels, units: UnitSystem, language: str, *, in_time: bool
) -> dict[str, Any]:
    words = texts["working"]
    values = (index.vigour, index.abundance_and_colour, index.position)
    rows = [_index_row(words[key], part, most, units) for (key, most), part in zip(_INDEX_PARTS, values, strict=True)]
    rows.append(_index_row(words["index_total"], index.total, sum(most for _, most in _INDEX_PARTS), units))
    return {
        "rows": rows,
        "classes": class_chances(index.classes, texts) if in_time else [],
        "text": render(index.message, language),
        "judgement": any(part.grade is Grade.JUDGEMENT for part in (*values, index.total)),
    }


def _index_row(label: str, part: Quantity, most: int, units: UnitSystem) -> dict[str, Any]:
    low = part.value if part.low is None else part.low
    high = part.value if part.high is None else part.high
    return {
        "label": label,
        "at": part.value / most,
        "low": low / most,
        "high": high / most,
        "text": _plain(part, units, 1),
        "most": most,
    }


def _colour(colour: ColourReading, texts: Labels, units: UnitSystem, language: str) -> dict[str, Any]:
    words = texts["working"]
    shares = (
        ("colour_red_pink", colour.red_pink),
        ("colour_white", colour.white),
        ("colour_green_brown", colour.green_brown),
    )
    return {
        "cut": fill(words["colour_cut"], {"n": colour.cut_open}),
        "parts": [
            {"word": words[key], "share": share.value, "text": format_quantity(share, units)}
            for key, share in shares
            if share is not None
        ],
        "text": render(colour.message, language),
    }


def _position(position: PositionReading, texts: Labels, units: UnitSystem, language: str) -> dict[str, Any]:
    shares = (
        ("crown_share", position.crown_share),
        ("plants_with_crown", position.plants_with_crown),
    )
    return {
        "lines": [
            fill(texts["working"][key], {"share": format_quantity(share, units)})
            for key, share in shares
            if share is not None
        ],
        "text": render(position.message, language),
    }


def _agreement(agreement: Agreement, texts: Labels, language: str) -> dict[str, Any]:
    words = texts["working"]
    parts = [
        fill(words["agreement_plants"], {"n": agreement.plants}),
        fill(words["agreement_scorers"], {"names": ", ".join(agreement.scorers)}),
    ]
    if agreement.weighted_kappa is not None:
        parts.append(fill(words["kappa"], {"x": format_number(agreement.weighted_kappa, 2)}))
    if agreement.observed_agreement is not None:
        parts.append(fill(words["observed"], {"x": fill("{x:percent}", {"x": agreement.observed_agreement})}))
    if agreement.intraclass_correlation is not None:
        parts.append(fill(words["icc"], {"x": format_number(agreement.intraclass_correlation, 2)}))
    return {"line": "; ".join(parts), "warning": agreement.warning, "text": render(agreement.message, language)}


def _timing(timing: Timing, texts: Labels, units: UnitSystem, language: str) -> dict[str, Any]:
    words = texts["working"]
    rows = [[words["clock_calendar"], _calendar(timing, texts)]]
    heat = timing.degree_days
    rows.append([words["clock_heat"], words["heat_none"] if heat is None else _heat(heat, texts, units)])
    rows.append(
        [
            texts["timeline"]["window"],
            fill(
                words["window_scheme"],
                {"scheme": timing.window_scheme, "decided": word(texts, "decided_by", timing.decided_by)},
            ),
        ]
    )
    others = []
    if timing.day_length is not None:
        others.append(fill(words["day_length"], {"hours": format_quantity(timing.day_length, units)}))
    if timing.cold_days is not None:
        others.append(fill(words["cold_days"], {"n": timing.cold_days}))
    return {"rows": rows, "others": others, "notes": [render(note, language) for note in timing.notes]}


def _calendar(timing: Timing, texts: Labels) -> str:
    words = texts["working"]
    if timing.anchor is None or timing.anchor_date is None or timing.days_since_anchor is None:
        return words["clock_none"]
    since = timing.days_since_anchor
    days, weeks = format_number(since.value, 0), format_number(since.value / 7, 1)
    if since.low is not None and since.high is not None and since.low != since.high:
        days = f"{format_number(since.low, 0)} to {format_number(since.high, 0)}"
        weeks = f"{format_number(since.low / 7, 1)} to {format_number(since.high / 7, 1)}"
    anchor = texts["timeline"].get(f"anchor_{timing.anchor}", timing.anchor).lower()
    date = short_days(timing.anchor_date, texts)
    return fill(words["clock_since"], {"weeks": weeks, "days": days, "anchor": anchor, "date": date})


def _heat(heat: DegreeDayTotal, texts: Labels, units: UnitSystem) -> str:
    """The total, its days, and the rule that made it, base and cap in the units shown."""
    words = texts["working"]
    cap = ""
    if heat.cap_c is not None:
        cap = fill(words["heat_cap"], {"cap": format_quantity(Quantity(heat.cap_c, "degC"), units)})
    total = fill(
        words["heat_total"],
        {"total": format_quantity(heat.total, units), "start": heat.from_date, "end": heat.to_date},
    )
    base = format_quantity(Quantity(heat.base_c, "degC"), units)
    method = fill(words["heat_method"], {"method": heat.method_name, "base": base, "cap": cap})
    days = {"missing": heat.missing_days, "filled": heat.filled_days, "normal": heat.normal_days}
    return f"{total}; {method}; {fill(words['heat_days'], days)}"


def _plan(sampling: Sampling, texts: Labels, units: UnitSystem) -> list[str]:
    words = texts["working"]
    return [
        fill(
            words["plan_fixed"],
            {
                "plants": sampling.planned_plants,
                "stops": sampling.planned_stops,
                "precision": format_quantity(sampling.planned_precision, units, interval=False),
            },
        ),
        fill(words["plan_correlation"], {"x": _plain(sampling.stop_correlation, units, 2)}),
    ]
