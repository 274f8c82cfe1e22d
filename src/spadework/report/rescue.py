"""The page on nitrogen now: the options beside each other, what they bring and cost, what would change the choice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from spadework.advice.messages import fill
from spadework.advice.rescue.value import Decision, DigAgain
from spadework.advice.value import FieldAdvice, Scalar
from spadework.agronomy.rescue.products import amount_on
from spadework.quantity import Quantity
from spadework.report.causes import sentence
from spadework.report.decision import placement_name, product_name, rate_text, sure_told, weighed
from spadework.report.display import (
    UnitSystem,
    format_number,
    format_quantity,
    grain_price,
    grain_shown,
    land_word,
    money_per_land,
    nitrogen_price,
)
from spadework.report.field_map import field_map
from spadework.report.labels import word
from spadework.report.options import Money, OptionRow, best_option, money_of, option_rows
from spadework.report.outcomes import outcomes
from spadework.report.reader import Reader
from spadework.report.timeline import window_line

__all__ = [
    "budget_sections",
    "evidence_line",
    "information_rows",
    "price_lines",
    "price_table",
    "product_lines",
    "rescue_page",
    "strip_lines",
    "waiting_lines",
]

_SECTIONS = (("added_returns", 1), ("reduced_costs", 1), ("added_costs", -1), ("reduced_returns", -1))


def rescue_page(advice: FieldAdvice, reader: Reader) -> dict[str, Any] | None:
    """Everything that the page shows; None where giving nitrogen was not reckoned."""
    decision = weighed(advice)
    if decision is None:
        return None
    words, money = reader.texts["rescue"], money_of(decision, reader)
    rows = option_rows(decision, reader)
    return {
        "headline": reader.say(decision.headline),
        "sure": sure_told(decision, words),
        "reasons": [reader.say(message) for message in decision.reasons],
        "would_change": [reader.say(message) for message in decision.would_change],
        "limit": window_line(decision, reader),
        "evidence": {"none": decision.evidence == "none", "text": evidence_line(decision, reader)},
        "options": _table(rows, decision, reader),
        "options_note": _options_note(decision, advice, reader),
        "products": product_lines(decision, reader),
        "prices": " ".join(price_lines(decision, reader)),
        "outcomes": outcomes(decision, rows, reader),
        "by_price": price_table(decision, reader),
        "budget": budget_sections(decision, reader),
        "waiting": waiting_lines(decision, reader),
        "information": information_rows(decision, reader),
        "information_unit": money.unit,
        "map": field_map(decision, reader),
        "strip": strip_lines(decision, reader),
        "cautions": [reader.say(message) for message in decision.cautions],
    }


def evidence_line(decision: Decision, reader: Reader) -> str:
    """What trials there are, in two words and then in a sentence."""
    return f"{word(reader.texts, 'evidence', decision.evidence)}. {reader.say(decision.evidence_told)}"


def _table(rows: Sequence[OptionRow], decision: Decision, reader: Reader) -> dict[str, Any]:
    """Columns that have anything to show, with units, rows under their product; the day where rows differ in it."""
    words = reader.texts["rescue"]
    money, grain = money_of(decision, reader).unit, grain_shown(Quantity(1.0, "t/ha"), reader.units, reader.crop).unit
    columns = {
        "name": words["column_rate"],
        "amount": words["column_amount"],
        "on": words["column_on"],
        "gain": fill(words["column_gain"], {"unit": grain}),
        "cost": fill(words["column_cost"], {"unit": money}),
        "net": fill(words["column_net"], {"unit": money}),
        "loss": words["column_loss"],
        "given_up": fill(words["column_given_up"], {"unit": money}),
    }
    used = [key for key in columns if any(getattr(row, key) for row in rows)]
    if len({row.on for row in rows if row.on}) <= 1:
        used = [key for key in used if key != "on"]
    ranges = {"gain": "gain_range", "net": "net_range"}
    return {
        "keys": used,
        "head": [columns[key] for key in used],
        "rows": [
            {
                "chosen": row.chosen,
                "group": "" if place and rows[place - 1].product == row.product else sentence(row.product),
                "cells": [[getattr(row, key), getattr(row, ranges[key]) if key in ranges else ""] for key in used],
            }
            for place, row in enumerate(rows)
        ],
    }


def _options_note(decision: Decision, advice: FieldAdvice, reader: Reader) -> str:
    """On which day, what the columns mean, and how large a gain the best option needs."""
    words = reader.texts["rescue"]
    money = money_of(decision, reader)
    days = {option.on for option in decision.options if option.on is not None}
    told = [fill(words["all_on"], {"day": next(iter(days))})] if len(days) == 1 else []
    told.append(fill(words["options_note"], {"level": advice.basis.level}))
    best = best_option(decision)
    if best is not None and best.break_even_gain is not None:
        least = grain_shown(best.break_even_gain, reader.units, reader.crop)
        told.append(
            fill(
                words["break_even"],
                {
                    "rate": rate_text(best, reader.units),
                    "gain": format_quantity(least, UnitSystem.METRIC, interval=False),
                },
            )
        )
    if any(option.regret is not None for option in decision.options):
        told.append(fill(words["given_up_note"], {"unit": money.unit}))
    return " ".join(told)


def product_lines(decision: Decision, reader: Reader) -> list[str]:
    """Each product with how it is spread, what is lost as ammonia, and how much of it the treated ground takes."""
    words, lines = reader.texts["rescue"], []
    for product in dict.fromkeys(option.product for option in decision.options if option.product is not None):
        first = next(option for option in decision.options if option.product == product)
        line = sentence(product_name(product, reader))
        parts = [] if first.placement is None else [placement_name(first.placement, reader)]
        if first.lost is not None:
            parts.append(fill(words["lost"], {"share": format_quantity(first.lost, reader.units)}))
        lines.append(f"{line}: {'; '.join(parts)}." if parts else f"{line}.")
    best = best_option(decision)
    treated = decision.treated
    if treated is not None and best is not None and best.product_rate is not None:
        whole = amount_on(rate=best.product_rate.value, area=treated.value)
        values = {
            "rate": rate_text(best, reader.units),
            "area": format_quantity(treated, reader.units, interval=False),
            "amount": format_quantity(Quantity(whole, best.product_rate.unit.removesuffix("/ha")), reader.units),
            "product": product_name(best.product, reader) if best.product else "",
        }
        check = decision.strip is not None and decision.strip.ring is not None
        lines.append(fill(words["for_treated" if check else "for_all"], values))
    return lines


def price_lines(decision: Decision, reader: Reader) -> list[str]:
    """The user's own prices in one sentence; none where there are none."""
    words = reader.texts["rescue"]
    currency = decision.currency or words["money"]
    parts = []
    if decision.grain_price is not None:
        price, per = grain_price(decision.grain_price, reader.units, reader.crop)
        parts.append(fill(words["price_grain"], {"price": _price(price), "currency": currency, "per": per}))
    for product, per_kg in decision.nitrogen_prices:
        price, per = nitrogen_price(per_kg, reader.units)
        values = {"price": _price(price), "currency": currency, "per": per}
        if product == "any":
            key = "price_other_nitrogen" if len(decision.nitrogen_prices) > 1 else "price_any_nitrogen"
        else:
            key, values["product"] = "price_nitrogen", product_name(product, reader)
        parts.append(fill(words[key], values))
    if decision.pass_price is not None:
        price = money_per_land(decision.pass_price, reader.units)
        values = {"price": _price(price), "currency": currency, "per": land_word(reader.units)}
        parts.append(fill(words["price_pass"], values))
    return [fill(words["prices"], {"list": ", ".join(parts)})] if parts else []


def _price(price: float) -> str:
    return format_number(price, 0 if abs(price) >= 100 else 2)


def price_table(decision: Decision, reader: Reader) -> dict[str, Any] | None:
    """Net return of each rate by what grain sells at; the user's own price is marked."""
    if not decision.net_at_price:
        return None
    words, money = reader.texts["rescue"], money_of(decision, reader)
    rates = list(dict.fromkeys(cell.rate.value for cell in decision.net_at_price))
    prices = sorted({cell.grain_price for cell in decision.net_at_price})
    net = {(cell.rate.value, cell.grain_price): cell.net_return for cell in decision.net_at_price}
    per = grain_price(1.0, reader.units, reader.crop)[1]
    currency = decision.currency or words["money"]
    return {
        "title": fill(words["by_price_title"], {"unit": money.unit}),
        "corner": fill(words["by_price_corner"], {"unit": f"{currency}/{per}"}),
        "prices": [
            {"text": _price(grain_price(price, reader.units, reader.crop)[0]), "own": price == decision.grain_price}
            for price in prices
        ],
        "rows": [
            {
                "rate": format_quantity(Quantity(rate, "kg/ha"), reader.units),
                "cells": [
                    money.amount(net[rate, price], sign=True) if (rate, price) in net else "" for price in prices
                ],
            }
            for rate in rates
        ],
    }


def budget_sections(decision: Decision, reader: Reader) -> dict[str, Any] | None:
    """The four sections of the partial budget with their sums, and the net return; None without one."""
    if not decision.budget:
        return None
    words, best = reader.texts["rescue"], best_option(decision)
    money = _adding_up(decision, money_of(decision, reader))
    sections, net = {}, 0.0
    for section, sign in _SECTIONS:
        lines = [line for line in decision.budget if line.section == section]
        total = sum(money.shown(line.amount) for line in lines)
        net += sign * total
        sections[section] = {
            "title": words[section],
            "lines": [[reader.say(line.name), money.amount(line.amount)] for line in lines],
            "total": money.text(total),
        }
    of = "" if best is None else fill(words["budget_of"], {"rate": rate_text(best, reader.units)})
    return {
        "title": fill(words["budget_title"], {"of": of, "unit": money.unit}),
        "sections": sections,
        "net": money.text(net, sign=True),
    }


def _adding_up(decision: Decision, money: Money) -> Money:
    """Money with a decimal more where the rounded lines of the budget would come to another sum than they do."""
    signs = dict(_SECTIONS)
    shown = sum(signs[line.section] * money.shown(line.amount) for line in decision.budget)
    net = sum(signs[line.section] * line.amount for line in decision.budget)
    alike = money.text(shown) == money.amount(net)
    return money if alike else replace(money, decimals=money.decimals + 1)


def waiting_lines(decision: Decision, reader: Reader) -> list[str]:
    """What the second dig is, where and when, what it is worth, and which result would turn the choice."""
    dig = decision.dig_again
    if dig is None:
        return []
    words: Any = reader.texts["rescue"]
    money = money_of(decision, reader)
    day: dict[str, Scalar] = {"on": dig.on, "nitrogen_on": dig.nitrogen_on, "plants": dig.plants, "stops": dig.stops}
    second = words["second_dig"]["now" if dig.at_once else "later"][_place(dig)]
    return [fill(second, day), *_worth(dig, money=money, words=words), *_turning(dig, words)]


def _place(dig: DigAgain) -> str:
    return "part" if dig.in_part else "field"


def _worth(dig: DigAgain, *, money: Money, words: Any) -> list[str]:
    told = []
    if dig.value is not None:
        key = "waiting_gains" if dig.value > 0 else "waiting_costs"
        key = "waiting_even" if dig.told == "even" or money.is_nothing(dig.value) else key
        told.append(fill(words[key], {"value": money.told(abs(dig.value))}))
    if dig.net_return is not None:
        told.append(fill(words["waiting_net"], {"value": money.told(dig.net_return)}))
    return told


def _turning(dig: DigAgain, words: Any) -> list[str]:
    told = [] if dig.apply_chance is None else [fill(words["apply_chance"], {"p": dig.apply_chance})]
    if dig.turning_share is not None:
        told.append(fill(words["turning"][_place(dig)], {"share": dig.turning_share}))
    elif dig.value is not None:
        told.append(words["no_turning"])
    return told


def information_rows(decision: Decision, reader: Reader) -> list[list[str]]:
    """Each thing that is not known, with what it would be worth to know it."""
    money = money_of(decision, reader)
    return [[reader.say(one.message), money.amount(one.value)] for one in decision.information]


def strip_lines(decision: Decision, reader: Reader) -> list[str]:
    """Where the check strip lies, how large it is, and what the harvest of it can tell."""
    strip = decision.strip
    if strip is None:
        return []
    words = reader.texts["rescue"]
    size = {"width": format_quantity(strip.width, reader.units, interval=False)}
    if strip.length is not None:
        size["length"] = format_quantity(strip.length, reader.units, interval=False)
    told = fill(words["strip_size" if strip.length is not None else "strip_width"], size)
    return [reader.say(strip.message), told, reader.say(strip.tells)]
