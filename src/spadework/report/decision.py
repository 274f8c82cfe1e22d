"""The decision in few words: by when, what it is called on lists, and its days on the time line."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping

from spadework.advice.messages import fill
from spadework.advice.rescue.value import Decision, RescueOption, RescueWindow
from spadework.advice.value import FieldAdvice, Message
from spadework.report.display import UnitSystem, format_quantity
from spadework.report.labels import Labels, word
from spadework.report.reader import Reader

__all__ = [
    "act_line",
    "amount_text",
    "decision_cell",
    "decision_days",
    "decision_word",
    "helping_window",
    "of_part",
    "placement_name",
    "product_name",
    "rate_text",
    "sure_told",
    "weighed",
]

_NO_HELP = ("working", "nitrate", "cause_not_nitrogen")


def weighed(advice: FieldAdvice) -> Decision | None:
    """The decision where giving nitrogen was reckoned: one with an option other than to leave the crop."""
    decision = advice.decision
    if decision is None or all(option.option == "leave" for option in decision.options):
        return None
    return decision


def of_part(advice: FieldAdvice) -> bool:
    """Whether the decision is on the part that failed, where all else is told of the whole field."""
    return advice.verdict is not None and advice.verdict.patch is not None and weighed(advice) is not None


def sure_told(decision: Decision, words: Mapping[str, str]) -> str:
    """How sure the choice is, and against what; empty where no chance was reckoned. ``words`` are those of the page."""
    if decision.sure is None:
        return ""
    return fill(words["sure_apply" if decision.kind == "apply" else "sure"], {"p": decision.sure})


def act_line(decision: Decision, reader: Reader) -> str:
    """What to do and by when; empty where nothing waits for a day."""
    if decision.act_by is None:
        return ""
    words = reader.texts["decision"]
    line = fill(words.get(f"by_{decision.kind}", words["by"]), {"day": decision.act_by})
    if decision.kind == "apply" and decision.chosen is not None:
        line = f"{line} {amount_text(decision.chosen, reader)}"
    return line


def amount_text(option: RescueOption, reader: Reader) -> str:
    """Nitrogen, product and how much of it: one sentence of an option that gives nitrogen."""
    words, units = reader.texts["decision"], reader.units
    if option.product is None or option.product_rate is None:
        return fill(words["amount_plain"], {"rate": rate_text(option, units)})
    return fill(
        words["amount"],
        {
            "rate": rate_text(option, units),
            "product": product_name(option.product, reader),
            "amount": format_quantity(option.product_rate, units, interval=False),
        },
    )


def rate_text(option: RescueOption, units: UnitSystem) -> str:
    """``56 kg/ha``."""
    return format_quantity(option.rate, units, interval=False)


def product_name(product: str, reader: Reader) -> str:
    """What a kind of product is called, by its knowledge row or the last word of it."""
    return reader.say(Message(f"rescue.product.{product.rpartition('.')[2]}.name"))


def placement_name(placement: str, reader: Reader) -> str:
    """How a product is brought out, by its knowledge row or the last word of it."""
    return reader.say(Message(f"rescue.placement.{placement.rpartition('.')[2]}.name"))


def decision_word(decision: Decision | None, texts: Labels) -> str:
    """``give nitrogen``; empty without a decision."""
    return "" if decision is None else word(texts, "decision_kind", decision.kind)


def decision_cell(decision: Decision | None, texts: Labels) -> tuple[str, str]:
    """The word for a list of fields, and by when in few letters."""
    if decision is None:
        return "", ""
    day = decision.act_by
    by = (
        ""
        if day is None
        else fill(texts["decision"]["by_short"], {"day": f"{day.day} {texts['month'][str(day.month)]}"})
    )
    return decision_word(decision, texts), by


def helping_window(decision: Decision | None) -> RescueWindow | None:
    """Until when nitrogen helps; None where it would not help this crop at any time."""
    if decision is None or decision.why in _NO_HELP:
        return None
    return decision.window


def decision_days(decision: Decision | None) -> Iterator[dt.date]:
    """All days that the time line marks for the decision."""
    if decision is None:
        return
    window = helping_window(decision)
    if window is not None:
        yield from (*window.best_until, *window.closes)
    if decision.kind == "dig_again" and decision.dig_again is not None:
        yield decision.dig_again.on
