"""The decision on nitrogen for one field on the terminal, as CSV and as JSON."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable, Iterator, Sequence
from itertools import groupby
from typing import TYPE_CHECKING

from spadework import __version__
from spadework.advice.messages import fill, render
from spadework.advice.rescue.value import Decision, RescueOption
from spadework.cli.choices import Format, UnitSystem
from spadework.cli.field_text import nitrogen_now
from spadework.cli.screen import console, section, show, write_data
from spadework.cli.verdicts import csv_text
from spadework.quantity import Quantity
from spadework.report.causes import sentence
from spadework.report.decision import act_line, sure_told, weighed
from spadework.report.display import UnitSystem as ReportUnits
from spadework.report.display import grain_price, grain_shown, land_word, nitrogen_price
from spadework.report.labels import word
from spadework.report.nitrogen import without_balance
from spadework.report.options import OptionRow, money_of, option_rows
from spadework.report.reader import Reader, reader_of
from spadework.report.rescue import price_lines
from spadework.report.timeline import window_line

if TYPE_CHECKING:
    from rich.console import RenderableType
    from rich.table import Table

    from spadework.advice.value import FieldAdvice
    from spadework.records.types import Settings

__all__ = ["COLUMNS", "print_decision"]

_MOST_SHOWN = 40

_MARK = "*"
_WIDE = 110
"""Columns of a terminal from which on a figure and its interval stand on one line."""

COLUMNS = (
    "field",
    "crop",
    "advised_on",
    "decision",
    "why",
    "act_by",
    "option",
    "chosen",
    "product",
    "placement",
    "rate_kg_ha",
    "product_rate",
    "product_unit",
    "on",
    "lost_percent",
    "gain_t_ha",
    "gain_low_t_ha",
    "gain_high_t_ha",
    "cost_per_ha",
    "net_return_per_ha",
    "net_return_low_per_ha",
    "net_return_high_per_ha",
    "chance_of_loss_percent",
    "given_up_per_ha",
    "break_even_gain_t_ha",
    "currency",
)
"""Headings of the CSV: one row an option, one row alone where none was weighed."""


def print_decision(advice: FieldAdvice, settings: Settings, form: Format, units: UnitSystem) -> None:
    """Print what to do about nitrogen, the choices with their money, and what the choice hangs on."""
    match form:
        case Format.JSON:
            write_data(_as_json(advice))
        case Format.CSV:
            write_data(_as_csv(advice))
        case Format.TABLE:
            _print_table(advice, settings, ReportUnits(units.value))


def _print_table(advice: FieldAdvice, settings: Settings, units: ReportUnits) -> None:
    from rich.text import Text

    reader, decision = reader_of(advice, units), advice.decision
    shown: list[RenderableType] = [Text(_title(advice, reader), style="bold")]
    if decision is not None:
        shown.append(Text(reader.say(decision.headline)))
        told = (act_line(decision, reader), window_line(decision, reader), _missing(advice, reader))
        shown += [Text(line) for line in filter(None, told)]
        shown += _reckoned(advice, settings, reader) if weighed(advice) else _why(decision, reader)
    show(*shown)


def _reckoned(advice: FieldAdvice, settings: Settings, reader: Reader) -> Iterator[RenderableType]:
    """Yield what stands below a decision for which the choices were weighed."""
    from rich.text import Text

    decision, words = advice.decision, reader.texts["rescue"]
    assert decision is not None  # noqa: S101 - asked before
    yield Text(_money_said(decision, settings, reader))
    yield Text(f"\n{words['options_title']}", style="bold")
    yield from _options(decision, reader)
    told = [f"{_MARK} {words['chosen']}."] if decision.chosen is not None else []
    if decision.sure is not None:
        told.append(sure_told(decision, words))
    if told:
        yield Text(" ".join(told))
    yield from _why(decision, reader)
    for title, lines in nitrogen_now(advice, reader):
        # The choices stand above, as a table.
        if lines and title != words["title"]:
            yield from section(title, lines, most=_MOST_SHOWN)


def _why(decision: Decision, reader: Reader) -> Iterator[RenderableType]:
    words = reader.texts["rescue"]
    for title, messages in (("reasons_title", decision.reasons), ("change_title", decision.would_change)):
        if messages:
            yield from section(words[title], [reader.say(message) for message in messages], most=_MOST_SHOWN)


def _title(advice: FieldAdvice, reader: Reader) -> str:
    crop = word(reader.texts, "crop", advice.crop.value).lower()
    day = fill("{day:date}", {"day": advice.advised_on})
    return ", ".join(filter(None, (advice.field, advice.name, crop, day)))


def _missing(advice: FieldAdvice, reader: Reader) -> str:
    """Say what is not recorded, where that is why it cannot be told."""
    if advice.decision is None or advice.decision.why != "no_balance":
        return ""
    return without_balance(advice, texts=reader.texts, language=reader.language)


def _money_said(decision: Decision, settings: Settings, reader: Reader) -> str:
    """Say the prices and what each is for, so that nobody takes a bushel for a tonne."""
    told = price_lines(decision, reader) or ["No prices are given."]
    if settings.prices.dig is not None:
        parts = ("A second dig:", f"{settings.prices.dig:g}", settings.prices.currency, "for the field.")
        told.append(" ".join(filter(None, parts)))
    grain, nitrogen = grain_price(1.0, reader.units, reader.crop)[1], nitrogen_price(1.0, reader.units)[1]
    bushel = " of 60 lb" if grain == "bu" else ""
    told.append(f"Money is per {grain}{bushel} of grain, per {nitrogen} of nitrogen, per {land_word(reader.units)}.")
    return " ".join(told)


def _options(decision: Decision, reader: Reader) -> Iterator[RenderableType]:
    """Yield the choices, a table for each product; columns that have nothing to show are left out."""
    from rich.text import Text

    words, money = reader.texts["rescue"], money_of(decision, reader).unit
    grain = grain_shown(Quantity(1.0, "t/ha"), reader.units, reader.crop).unit
    within = " " if console().width >= _WIDE else "\n"
    columns: dict[str, Callable[[OptionRow], str]] = {
        words["column_rate"]: lambda row: f"{row.name} {_MARK}" if row.chosen else row.name,
        words["column_amount"]: lambda row: row.amount,
        fill(words["column_gain"], {"unit": grain}): lambda row: _ranged(row.gain, row.gain_range, within),
        fill(words["column_cost"], {"unit": money}): lambda row: row.cost,
        fill(words["column_net"], {"unit": money}): lambda row: _ranged(row.net, row.net_range, within),
        words["column_loss"]: lambda row: row.loss,
        fill(words["column_given_up"], {"unit": money}): lambda row: row.given_up,
    }
    rows = option_rows(decision, reader)
    used = {heading: cell for heading, cell in columns.items() if any(cell(row) for row in rows)}
    widths = [
        max(len(part) for part in (*heading.split(), *(line for row in rows for line in cell(row).split("\n"))))
        for heading, cell in used.items()
    ]
    for number, (product, group) in enumerate(groupby(rows, key=lambda row: row.product)):
        if product:
            yield Text(sentence(product), style="italic")
        yield _table(list(used), widths, [[cell(row) for cell in used.values()] for row in group], head=number == 0)


def _table(headings: Sequence[str], widths: Sequence[int], rows: Sequence[Sequence[str]], *, head: bool) -> Table:
    from rich import box
    from rich.table import Table
    from rich.text import Text

    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), pad_edge=False, show_edge=False, show_header=head)
    for place, (heading, width) in enumerate(zip(headings, widths, strict=True)):
        table.add_column(heading, width=width, overflow="fold", justify="right" if place else "left", vertical="top")
    for row in rows:
        table.add_row(*map(Text, row))
    return table


def _ranged(value: str, span: str, within: str) -> str:
    return f"{value}{within}({span})" if value and span else value


def _as_json(advice: FieldAdvice) -> str:
    from spadework.advice.schema import ADVICE_SCHEMA_ID, to_json

    said = to_json(advice)
    document = {
        "schema": f"{ADVICE_SCHEMA_ID}#/$defs/Decision",
        "version": __version__,
        **{name: said[name] for name in ("field", "name", "crop", "advised_on", "decision")},
        "headline": None if advice.decision is None else render(advice.decision.headline),
    }
    return json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _as_csv(advice: FieldAdvice) -> str:
    decision = advice.decision
    field = (advice.field, advice.crop.value, advice.advised_on)
    if decision is None:
        return csv_text(COLUMNS, [(*field, *(None for _ in COLUMNS[len(field) :]))])
    about = (*field, decision.kind, decision.why, decision.act_by)
    if not decision.options:
        left = len(COLUMNS) - len(about) - 1
        return csv_text(COLUMNS, [(*about, *(None for _ in range(left)), decision.currency)])
    return csv_text(
        COLUMNS, [(*about, *_cells(option, decision), decision.currency or None) for option in decision.options]
    )


def _cells(option: RescueOption, decision: Decision) -> tuple[str | float | dt.date | None, ...]:
    rate, net, gain, least = option.product_rate, option.net_return, option.gain, option.break_even_gain
    return (
        option.option,
        option == decision.chosen,
        option.product,
        option.placement,
        option.rate.value,
        None if rate is None else rate.value,
        None if rate is None else rate.unit,
        option.on,
        None if option.lost is None else 100 * option.lost.value,
        gain.value,
        gain.low,
        gain.high,
        option.cost,
        None if net is None else net.value,
        None if net is None else net.low,
        None if net is None else net.high,
        None if option.chance_of_loss is None else 100 * option.chance_of_loss,
        option.regret,
        None if least is None else least.value,
    )
