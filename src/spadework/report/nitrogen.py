"""The nitrogen of a field on paper: need against supply as a figure, and the table of the working."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from spadework.advice.messages import fill, render
from spadework.advice.value import FieldAdvice, Nitrogen
from spadework.quantity import Quantity
from spadework.report.display import UnitSystem, format_quantity, format_share, shown, unit_word
from spadework.report.labels import Labels
from spadework.report.scale import DayScale

__all__ = [
    "nitrogen_figure",
    "nitrogen_note",
    "nitrogen_rows",
    "nitrogen_told",
    "nitrogen_work",
    "without_balance",
]

_ALWAYS_NEEDED = ("expected_yield", "sown_on", "latitude", "rain_normals")
_WEATHER_NEEDED = ("weather", "normals")
_STEPS = (5, 10, 20, 25, 50, 100, 200, 500)
_MOST_TICKS = 4
_HEADROOM = 1.03
_KG_PER_TONNE = 1000


def nitrogen_told(advice: FieldAdvice, *, texts: Labels, language: str) -> str:
    """The headline; without a balance what is not recorded, or nothing where no record stands in the way."""
    if advice.nitrogen is None:
        return without_balance(advice, texts=texts, language=language)
    return render(advice.nitrogen.headline, language)


def nitrogen_note(advice: FieldAdvice, *, units: UnitSystem, texts: Labels) -> str:
    """How to read the figure."""
    if advice.nitrogen is None:
        return ""
    note = fill(texts["nitrogen"]["note"], {"level": advice.basis.level})
    # Sentences of the advice are in kg/ha.
    return note if units is UnitSystem.METRIC else f"{note} {texts['nitrogen']['converted']}"


def without_balance(advice: FieldAdvice, *, texts: Labels, language: str = "en") -> str:
    """One line of what stands in the way of a balance; empty where no record does."""
    records = ", ".join(_records_in_the_way(advice, language))
    return fill(texts["nitrogen"]["not_reckoned"], {"records": records}) if records else ""


def _records_in_the_way(advice: FieldAdvice, language: str = "en") -> list[str]:
    """Names of the missing records without which there is no balance; weather only where all else is there."""
    if advice.nitrogen is not None:
        return []
    names = {part.record: render(part.name, language) for part in advice.missing}
    always = [names[record] for record in _ALWAYS_NEEDED if record in names]
    return always or [names[record] for record in _WEATHER_NEEDED if record in names]


def nitrogen_figure(nitrogen: Nitrogen, *, scale: DayScale, units: UnitSystem, texts: Labels) -> dict[str, Any]:
    """Lay out the figure: days and amounts become places between 0 and 1, amounts from the foot up.

    Returns
    -------
    dict
        Lines of places ``low``, ``mid`` and ``high`` of ``need``, ``supply`` and ``soil``; nodules give what lies
        between the middles of soil and supply. ``amounts`` of the axis (place, text), its name ``axis``, what stands
        at the ``ends`` of the lines, and ``alt``, the words for the figure.
    """
    words, course = texts["nitrogen"], nitrogen.course
    most = _HEADROOM * max(*course.need_high, *course.soil_high, *course.supply_high)

    def line(amounts: Sequence[float]) -> list[list[float]]:
        places = (scale.place(day) for day in course.days)
        return [[place, round(amount / most, 5)] for place, amount in zip(places, amounts, strict=True)]

    figures = {
        "need": format_quantity(nitrogen.required, units),
        "fixed": format_quantity(nitrogen.fixed, units),
        "soil": format_quantity(nitrogen.from_soil, units),
    }
    middles = {
        "need": course.need_mid[-1],
        "fixed": (course.soil_mid[-1] + course.supply_mid[-1]) / 2,
        "soil": course.soil_mid[-1] / 2,
    }
    unit = unit_word(shown(nitrogen.required, units).unit)
    mass, land = unit.split("/")
    return {
        "axis": fill(words["axis"], {"mass": mass, "land": land}),
        "alt": fill(words["alt"], figures),
        "amounts": list(_amounts(most, units)),
        "need": {"low": line(course.need_low), "mid": line(course.need_mid), "high": line(course.need_high)},
        "soil": {"low": line(course.soil_low), "mid": line(course.soil_mid), "high": line(course.soil_high)},
        "supply": {"low": line(course.supply_low), "mid": line(course.supply_mid), "high": line(course.supply_high)},
        "ends": [
            # Without the unit, which stands at the axis.
            {"kind": kind, "at": round(at / most, 5), "name": words[kind], "text": text.replace(f" {unit}", "")}
            for (kind, text), at in zip(figures.items(), middles.values(), strict=True)
        ],
    }


def _amounts(most: float, units: UnitSystem) -> list[dict[str, Any]]:
    """Round amounts up the axis, in the unit shown."""
    top = shown(Quantity(most, "kg/ha"), units).value
    step = next((step for step in _STEPS if top / step < _MOST_TICKS), _STEPS[-1])
    return [{"at": round(amount / top, 5), "text": str(amount)} for amount in range(0, int(top) + 1, step)]


def nitrogen_rows(nitrogen: Nitrogen, *, units: UnitSystem, texts: Labels) -> list[tuple[str, str, str]]:
    """Name, likely figure and interval of each part of the balance; a part that is not known yet has no row."""
    words = texts["nitrogen"]
    expected = f"{nitrogen.expected_yield.value:g} t/ha"
    if units is not UnitSystem.METRIC:
        expected = format_quantity(_of_yield(nitrogen.expected_yield, units), units)
    quantities = (
        (fill(words["required"], {"yield": expected}), nitrogen.required),
        (words["total_fixed"], nitrogen.fixed),
        (words["from_soil"], nitrogen.from_soil),
        (words["from_seed"], nitrogen.from_seed),
        (words["fixed_share"], nitrogen.fixed_share),
        (words["gap_today"], nitrogen.gap_today),
        (words["gap_at_maturity"], nitrogen.gap_at_maturity),
        (words["yield_loss"], _of_yield(nitrogen.yield_loss, units)),
        (words["nodulation"], nitrogen.nodulation),
    )
    rows = [_row(name, quantity, units) for name, quantity in quantities if quantity is not None]
    chance = fill(words["chance"], {"matters": format_quantity(nitrogen.gap_that_matters, units)})
    rows.insert(-2, (chance, format_share(nitrogen.chance_of_gap), ""))
    return rows


def _row(name: str, quantity: Quantity, units: UnitSystem) -> tuple[str, str, str]:
    decimals = 1 if quantity.unit == "t/ha" else None
    text = format_quantity(quantity, units, decimals=decimals)
    likely, _, interval = text.partition(" (")
    return name, likely, interval.removesuffix(")")


def _of_yield(quantity: Quantity, units: UnitSystem) -> Quantity:
    """A yield as it is shown: tonnes, or kilograms that become pounds."""
    if units is UnitSystem.METRIC:
        return quantity
    low, high = (None if end is None else end * _KG_PER_TONNE for end in (quantity.low, quantity.high))
    return replace(quantity, value=quantity.value * _KG_PER_TONNE, unit="kg/ha", low=low, high=high)


def nitrogen_work(advice: FieldAdvice, *, units: UnitSystem, texts: Labels, language: str) -> dict[str, Any] | None:
    """The table of the last page, where the figure of the nodules comes from, and what to measure."""
    nitrogen = advice.nitrogen
    if nitrogen is None:
        return None
    words = texts["nitrogen"]
    return {
        "rows": nitrogen_rows(nitrogen, units=units, texts=texts),
        "interval": fill(words["column_interval"], {"level": advice.basis.level}),
        "nodulation_from": fill(words["nodulation_from"], {"source": words[nitrogen.nodulation_from]}),
        "drivers": [render(driver.message, language) for driver in nitrogen.drivers],
    }
