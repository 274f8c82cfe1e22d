"""The partial budget of an option that gives nitrogen, per ha."""

from __future__ import annotations

from spadework.advice.message import Message, Scalar
from spadework.advice.rescue.options import Market, Plans
from spadework.advice.rescue.outlook import Outlook
from spadework.advice.rescue.value import BudgetLine
from spadework.agronomy.rescue.money import MoneyLine, PartialBudget, Section
from spadework.knowledge.rows import Knowledge

__all__ = ["budget_of"]


def budget_of(
    now: Plans, outlook: Outlook, market: Market, *, grain_price: float, knowledge: Knowledge
) -> tuple[BudgetLine, ...]:
    """What changes with the best option that gives nitrogen, by expected amounts; nothing is saved by giving it."""
    offer, option = now.best_offer, now.options[now.best_apply]
    place = offer.rates.index(option.rate.value)
    nitrogen = (offer.price or 0.0) * option.rate.value
    wheels = float(outlook.run_down(knowledge).mean())
    burn = float(offer.effect.harm[:, place].mean()) - wheels
    gross = float(offer.effect.gross[:, place].mean())
    lines = PartialBudget(
        lines=(
            MoneyLine(section=Section.ADDED_RETURNS, name="grain", amount=max(gross, 0.0) * grain_price),
            MoneyLine(section=Section.REDUCED_COSTS, name="nothing_saved", amount=0.0),
            MoneyLine(section=Section.ADDED_COSTS, name="nitrogen", amount=nitrogen),
            MoneyLine(section=Section.ADDED_COSTS, name="one_pass", amount=market.pass_price),
            MoneyLine(section=Section.REDUCED_RETURNS, name="burn", amount=max(burn, 0.0) * grain_price),
            MoneyLine(section=Section.REDUCED_RETURNS, name="wheels", amount=wheels * grain_price),
        )
    )
    values: dict[str, Scalar] = {
        "rate": option.rate.value,
        "product": offer.product,
        "gain": gross,
        "burn": burn,
        "wheels": wheels,
    }
    return tuple(
        BudgetLine(section=str(line.section), name=Message(f"rescue.budget.{line.name}", values), amount=line.amount)
        for line in lines.lines
    )
