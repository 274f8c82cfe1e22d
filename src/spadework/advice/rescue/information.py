"""What it would be worth to know one thing before choosing."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from spadework.advice.message import Message
from spadework.advice.nitrogen.balance import Balance
from spadework.advice.rescue.outlook import Outlook, counted_draws
from spadework.advice.rescue.value import Information
from spadework.agronomy.rescue.choice import value_of_knowing

__all__ = ["information_of"]

Floats = NDArray[np.float64]

_MOST, _LEAST = 3, 0.0005
"""Things told, and the share of what the crop is worth under which one is not worth a line."""

_NEVER_SOAKED = 60.0
"""Days that stand for no soaking rain at all."""


def information_of(net: Floats, balance: Balance, outlook: Outlook, *, crop_worth: float) -> tuple[Information, ...]:
    """Value of knowing each input that somebody could find out in time, the largest first; money per ha."""
    values = {name: value_of_knowing(net, known) for name, known in _inputs(balance, outlook).items()}
    ranked = sorted(values.items(), key=lambda item: (-item[1], item[0]))
    return tuple(
        Information(name=name, value=value, message=Message(f"rescue.information.{name}"))
        for name, value in ranked[:_MOST]
        if value > _LEAST * crop_worth
    )


def _inputs(balance: Balance, outlook: Outlook) -> Mapping[str, Floats]:
    """What is not known, draw by draw; inputs that act as one are one. What does not vary is left out."""
    parameters, counted = balance.inputs.parameters, counted_draws(balance)

    def own(*names: str) -> Floats:
        product = np.ones(counted.size)
        for name in names:
            values = np.asarray(getattr(parameters, name))
            product = product * (values[counted, 0] if values.size > 1 else float(values))
        return product

    freed = own("organic_matter", "mineralisable_share", "field_factor", "bulk_density") / own("carbon_to_nitrogen")
    found = {
        "nodulation": balance.nodulation[counted, 0],
        "rain": np.minimum(np.broadcast_to(outlook.surface.delay, (counted.size, 1))[:, 0], _NEVER_SOAKED),
        "soil_n": own("mineral_n_at_sowing"),
        "mineralisation": freed,
        "water": own("available_water", "root_depth"),
    }
    return {name: values for name, values in found.items() if np.ptp(values) > 0}
