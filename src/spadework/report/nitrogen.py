"""The nitrogen of a field on paper: need against supply as a figure, and the table of the working."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from spadework.advice.messages import fill, render
from spadework.advice.value import FieldAdvice, Nitrogen
from spadework.knowledge.rows import Crop
from spadework.quantity import Quantity
from spadework.report.decision import of_part
from spadework.report.display import UnitSystem, format_quantity, format_share, grain_text, shown, unit_word
from spadework.report.labels import Labels
from spadework.report.left import left_block
from spadework.report.reader import Reader
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


def nitrogen_told(advice: FieldAdvice, reader: Reader) -> str:
    """The headline; without a balance what is not recorded, or nothing where no record stands in the way."""
    if advice.nitrogen is None:
        return without_balance(advice, texts=reader.texts, language=reader.language)
    told = reader.say(advice.nitrogen.headline)
    return fill(reader.texts["nitrogen"]["whole_field"], {"text": told}) if of_part(advice) else told


def nitrogen_note(advice: FieldAdvice, *, texts: Labels) -> str:
    """How to read the figure."""
    return "" if advice.nitrogen is None else fill(texts["nitrogen"]["note"], {"level": advice.basis.level})


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


def nitrogen_rows(nitrogen: Nitrogen, *, crop: Crop, units: UnitSystem, texts: Labels) -> list[tuple[str, str, str]]:
    """Name, likely figure and interval of each part of the balance; a part that is not known yet has no row."""
    words = texts["nitrogen"]
    expected = f"{nitrogen.expected_yield.value:g} t/ha"
    if units is not UnitSystem.METRIC:
        expected = grain_text(nitrogen.expected_yield, units, crop)
    quantities = (
        (fill(words["required"], {"yield": expected}), nitrogen.required),
        (words["total_fixed"], nitrogen.fixed),
        (words["from_soil"], nitrogen.from_soil),
        (words["from_seed"], nitrogen.from_seed),
        (words["fixed_share"], nitrogen.fixed_share),
        (words["gap_today"], nitrogen.gap_today),
        (words["gap_at_maturity"], nitrogen.gap_at_maturity),
        (words["yield_loss"], nitrogen.yield_loss),
        (words["nodulation"], nitrogen.nodulation),
    )
    rows = [_row(name, quantity, units, crop) for name, quantity in quantities if quantity is not None]
    chance = fill(words["chance"], {"matters": format_quantity(nitrogen.gap_that_matters, units)})
    rows.insert(-2, (chance, format_share(nitrogen.chance_of_gap), ""))
    return rows


def _row(name: str, quantity: Quantity, units: UnitSystem, crop: Crop) -> tuple[str, str, str]:
    if quantity.unit == "t/ha":
        text = grain_text(quantity, units, crop, decimals=1)
    else:
        text = format_quantity(quantity, units)
    likely, _, interval = text.partition(" (")
    return name, likely, interval.removesuffix(")")


def nitrogen_work(advice: FieldAdvice, reader: Reader) -> dict[str, Any] | None:
    """The table of the last page, where the figure of the nodules comes from, what to measure, and what is left."""
    nitrogen = advice.nitrogen
    if nitrogen is None:
        return None
    texts, units = reader.texts, reader.units
    words = texts["nitrogen"]
    return {
        "title": words["work_title_whole" if of_part(advice) else "work_title"],
        "rows": nitrogen_rows(nitrogen, crop=advice.crop, units=units, texts=texts),
        "interval": fill(words["column_interval"], {"level": advice.basis.level}),
        "nodulation_from": fill(words["nodulation_from"], {"source": words[nitrogen.nodulation_from]}),
        "drivers": [reader.say(driver.message) for driver in nitrogen.drivers],
        "left": left_block(nitrogen.left, units=units, texts=texts),
    }
