"""Prices that a decision on nitrogen waits for, or counts as nothing."""

from __future__ import annotations

from spadework.advice.rescue.value import Decision

__all__ = ["missing_for_decision"]


def missing_for_decision(decision: Decision) -> dict[str, bool]:
    """Whether each price is missing where options were weighed, or would be."""
    asked, weighed = decision.kind == "needs_prices", bool(decision.options)
    return {
        "grain_price": asked and decision.grain_price is None,
        "nitrogen_price": asked and not decision.nitrogen_prices,
        "pass_price": weighed and decision.pass_price is None,
    }
