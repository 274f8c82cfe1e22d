"""The options of the decision as texts, for the page, the figure and the terminal: what each brings and costs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from spadework.advice.messages import fill
from spadework.advice.rescue.value import Decision, RescueOption
from spadework.quantity import Quantity
from spadework.report.decision import product_name, rate_text
from spadework.report.display import (
    UnitSystem,
    format_number,
    format_quantity,
    format_share,
    grain_shown,
    land_word,
    money_per_land,
)
from spadework.report.reader import Reader

__all__ = ["Money", "OptionRow", "best_option", "money_of", "option_line", "option_rows"]

_SMALL_MONEY = 20
"""Where no sum of money is larger than this, it is shown to a tenth."""


@dataclass(frozen=True)
class Money:
    """How sums of money are shown: per unit of land, in the user's own currency, with as few decimals as will do."""

    units: UnitSystem
    currency: str
    decimals: int

    @property
    def unit(self) -> str:
        """``mk/ha``, or ``per ha`` where the currency has no name."""
        land = land_word(self.units)
        return f"{self.currency}/{land}" if self.currency else f"per {land}"

    def amount(self, per_ha: float, *, sign: bool = False) -> str:
        """The number alone, with a plus where asked for."""
        return self.text(self.shown(per_ha), sign=sign)

    def text(self, shown: float, *, sign: bool = False) -> str:
        """As ``amount``, of a sum of numbers as they are shown."""
        text = format_number(shown, self.decimals)
        return f"+{text}" if sign and round(shown, self.decimals) > 0 else text

    def shown(self, per_ha: float) -> float:
        """The number as it is shown."""
        return round(money_per_land(per_ha, self.units), self.decimals)

    def is_nothing(self, per_ha: float) -> bool:
        """Whether the sum shows as zero."""
        return self.shown(per_ha) == 0

    def told(self, per_ha: float) -> str:
        """The number with its unit."""
        return f"{self.amount(per_ha)} {self.unit}"

    def span(self, quantity: Quantity) -> str:
        """``−60 to 140``; empty without an interval."""
        if quantity.low is None or quantity.high is None:
            return ""
        return f"{self.amount(quantity.low)} to {self.amount(quantity.high)}"


@dataclass(frozen=True)
class OptionRow:
    """One option as texts; what is not known, or makes no sense for it, is empty."""

    name: str
    product: str
    amount: str
    on: str
    gain: str
    gain_range: str
    gain_unit: str
    cost: str
    net: str
    net_range: str
    loss: str
    given_up: str
    chosen: bool


def money_of(decision: Decision, reader: Reader) -> Money:
    """The way in which all sums of this decision are shown."""
    sums = [abs(money_per_land(option.cost, reader.units)) for option in decision.options if option.cost is not None]
    decimals = 1 if sums and max(sums) < _SMALL_MONEY else 0
    return Money(units=reader.units, currency=decision.currency, decimals=decimals)


def best_option(decision: Decision) -> RescueOption | None:
    """The option that the figures for one option are for: the one chosen, else the one with nitrogen that pays best."""
    if decision.chosen is not None and decision.chosen.option == "apply":
        return decision.chosen
    priced = [option for option in decision.options if option.option == "apply" and option.net_return is not None]
    return max(priced, key=lambda option: option.net_return.value if option.net_return else 0.0, default=None)


def option_rows(decision: Decision, reader: Reader) -> list[OptionRow]:
    """The options in the order of the advice, each as texts."""
    money = money_of(decision, reader)
    return [_option_row(option, decision, reader, money) for option in decision.options]


def option_line(row: OptionRow, words: Mapping[str, str], money: Money) -> str:
    """One option in one line: what it is, and every figure of it that is known."""
    figures = (
        ("line_gain", {"x": row.gain, "range": row.gain_range, "unit": row.gain_unit}),
        ("line_cost", {"x": row.cost, "unit": money.unit}),
        ("line_net", {"x": row.net, "range": row.net_range, "unit": money.unit}),
        ("line_loss", {"x": row.loss}),
        ("line_given_up", {"x": row.given_up, "unit": money.unit}),
    )
    told = []
    for key, values in figures:
        if values["x"]:
            span = values.get("range", "")
            told.append(fill(words[key], {**values, "range": f" ({span})" if span else ""}))
    name = " ".join(filter(None, (row.name, row.product)))
    amount = f" ({', '.join(filter(None, (row.amount, row.on)))})" if row.amount or row.on else ""
    mark = f", {words['chosen']}" if row.chosen else ""
    return f"{name}{amount}{mark}: {', '.join(told)}" if told else f"{name}{amount}{mark}"


def _option_row(option: RescueOption, decision: Decision, reader: Reader, money: Money) -> OptionRow:
    words, units, leave = reader.texts["rescue"], reader.units, option.option == "leave"
    gain = grain_shown(option.gain, units, reader.crop)
    net = option.net_return
    amount = option.product_rate
    return OptionRow(
        name=words["leave"] if leave else rate_text(option, units),
        product="" if option.product is None else product_name(option.product, reader),
        amount="" if amount is None else format_quantity(amount, units, interval=False),
        on="" if option.on is None else _day(option, reader),
        gain="" if leave else _number(gain.value, gain.unit),
        gain_range="" if leave or gain.low is None or gain.high is None else _span(gain),
        gain_unit=gain.unit,
        cost="" if option.cost is None or leave else money.amount(option.cost),
        net="" if net is None else money.amount(net.value, sign=True),
        net_range="" if net is None or leave else money.span(net),
        loss="" if option.chance_of_loss is None or leave else format_share(option.chance_of_loss),
        given_up="" if option.regret is None else money.amount(option.regret),
        chosen=option == decision.chosen,
    )


def _day(option: RescueOption, reader: Reader) -> str:
    return "" if option.on is None else f"{option.on.day} {reader.texts['month'][str(option.on.month)]}"


def _number(value: float, unit: str) -> str:
    return format_quantity(Quantity(value, unit), UnitSystem.METRIC).removesuffix(f" {unit}")


def _span(quantity: Quantity) -> str:
    assert quantity.low is not None  # noqa: S101 - asked before
    assert quantity.high is not None  # noqa: S101 - asked before
    return f"{_number(quantity.low, quantity.unit)} to {_number(quantity.high, quantity.unit)}"
