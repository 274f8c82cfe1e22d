"""The figure of outcomes: each rate as an interval on a line, with zero marked; money, or grain without prices."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from spadework.advice.messages import fill
from spadework.advice.rescue.value import Decision, RescueOption
from spadework.knowledge.rows import Crop
from spadework.quantity import Quantity
from spadework.report.display import UnitSystem, format_number, grain_shown, money_per_land
from spadework.report.options import OptionRow, money_of
from spadework.report.reader import Reader

__all__ = ["outcomes"]

_MOST_TICKS = 7
_MOST_ROWS = 12
_OF_TEN = 10


def outcomes(decision: Decision, rows: Sequence[OptionRow], reader: Reader) -> dict[str, Any] | None:
    """Lay out the figure: the best product of each rate, waiting where its return is known, and leaving the crop.

    Returns
    -------
    dict
        ``title``, ``alt``, ``note``, ``zero`` (place), ``ticks`` (place, text) and ``rows``: ``label``, ``under``,
        places ``low``, ``at`` and ``high`` between 0 and 1, ``text`` and ``chosen``. None where no option has an
        interval.
    """
    money, crop = money_of(decision, reader), reader.crop
    words, priced = reader.texts["rescue"], any(option.net_return is not None for option in decision.options)
    drawn = _drawn(decision)
    lines = [
        _line(option, row, figure, words)
        for option, row in sorted(zip(decision.options, rows, strict=True), key=lambda pair: pair[0].rate.value)
        if option in drawn and (figure := _figure(option, crop, units=money.units, priced=priced)) is not None
    ]
    dig = decision.dig_again
    if priced and dig is not None and dig.net_return is not None:
        value = money_per_land(dig.net_return, money.units)
        lines.append(
            {
                "label": words["wait"],
                "under": "",
                "ends": (value, value, value),
                "text": "",
                "chosen": decision.kind == "dig_again",
            }
        )
    if not lines:
        return None
    ends = [end for line in lines for end in line["ends"]]
    step, low, high = _axis(min(0.0, *ends), max(0.0, *ends))

    def place(value: float) -> float:
        return round((value - low) / (high - low), 5)

    unit = money.unit if priced else grain_shown(Quantity(1.0, "t/ha"), money.units, crop).unit
    return {
        "title": fill(words["outcomes_title" if priced else "outcomes_title_grain"], {"unit": unit}),
        "alt": fill(words["outcomes_alt"], {"list": "; ".join(_told(line, step) for line in lines), "unit": unit}),
        "note": words["outcomes_note" if priced else "outcomes_note_grain"],
        "zero": place(0.0),
        "ticks": [
            {"at": place(tick), "text": format_number(tick, _decimals(step))} for tick in _ticks(low, high, step)
        ],
        "rows": [
            {
                **{key: line[key] for key in ("label", "under", "text", "chosen")},
                **dict(zip(("low", "at", "high"), map(place, line["ends"]), strict=True)),
            }
            for line in lines
        ],
    }


def _drawn(decision: Decision) -> list[RescueOption]:
    """Of each rate the product that pays best, or gains most without prices; of many rates the best and the chosen."""
    best: dict[float, RescueOption] = {}
    for option in decision.options:
        rate = option.rate.value
        if rate not in best or _rank(option) > _rank(best[rate]):
            best[rate] = option
    if decision.chosen is not None:
        best[decision.chosen.rate.value] = decision.chosen
    must = [option for option in best.values() if option.option == "leave" or option == decision.chosen]
    others = sorted((option for option in best.values() if option not in must), key=_rank, reverse=True)
    return [*must, *others[: _MOST_ROWS - len(must)]]


def _rank(option: RescueOption) -> float:
    return option.gain.value if option.net_return is None else option.net_return.value


def _figure(option: RescueOption, crop: Crop, *, units: UnitSystem, priced: bool) -> Quantity | None:
    if not priced:
        return grain_shown(option.gain, units, crop)
    net = option.net_return
    if net is None:
        return None
    low, high = (None if end is None else money_per_land(end, units) for end in (net.low, net.high))
    return Quantity(money_per_land(net.value, units), "1", low, high)


def _line(option: RescueOption, row: OptionRow, figure: Quantity, words: Mapping[str, str]) -> dict[str, Any]:
    low = figure.value if figure.low is None else figure.low
    high = figure.value if figure.high is None else figure.high
    chance = None if option.option == "leave" else option.chance_of_loss
    return {
        "label": row.name,
        "under": row.product,
        "ends": (low, figure.value, high),
        "text": "" if chance is None else _in_words(chance, words),
        "chosen": row.chosen,
    }


def _in_words(chance: float, words: Mapping[str, str]) -> str:
    """The chance of a loss as so many cases of ten."""
    of_ten = round(_OF_TEN * chance)
    if of_ten in (0, _OF_TEN):
        return words["loses_never" if of_ten == 0 else "loses_always"]
    return fill(words["loses"], {"n": of_ten})


def _told(line: dict[str, Any], step: float) -> str:
    low, at, high = (format_number(end, _decimals(step)) for end in line["ends"])
    return f"{line['label']} {at} ({low} to {high})" if low != high else f"{line['label']} {at}"


def _axis(low: float, high: float) -> tuple[float, float, float]:
    """Step of the ticks, and the ends of the axis on round numbers."""
    span = (high - low) or 1.0
    rough = span / (_MOST_TICKS - 1)
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(power * size for size in (1, 2, 5, 10) if power * size >= rough)
    bottom = math.floor(low / step) * step
    return step, bottom, max(math.ceil(high / step) * step, bottom + step)


def _ticks(low: float, high: float, step: float) -> Iterator[float]:
    yield from (low + number * step for number in range(round((high - low) / step) + 1))


def _decimals(step: float) -> int:
    return max(0, -math.floor(math.log10(step) + 1e-9))
