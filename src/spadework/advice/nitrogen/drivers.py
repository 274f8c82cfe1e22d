"""What makes the figures wide, in groups that an adviser can do something about."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from spadework.advice.message import Message
from spadework.advice.nitrogen.value import Driver

__all__ = ["GROUPS", "drivers_of"]

_MOST, _LEAST_SHARE = 3, 0.03
"""Groups told, and the share of the variance under which a group is not worth a line."""

GROUPS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "nodulation": ("nodulation",),
        "weather": ("weather",),
        "soil_n": ("mineral_n_at_sowing",),
        "mineralisation": (
            "organic_matter",
            "mineralisable_share",
            "field_factor",
            "carbon_to_nitrogen",
            "bulk_density",
        ),
        "water": ("available_water", "water_at_sowing", "root_depth"),
        "demand": ("n_per_tonne", "luxury"),
        "applied": ("applied",),
    }
)
"""Inputs of the balance by group; all others are the crop itself, which nobody can measure in time."""

_OF = {name: group for group, names in GROUPS.items() for name in names}
_OTHERS = "crop"


def drivers_of(
    shares: Mapping[str, Mapping[str, float]], *, has_gap: bool, known: Mapping[str, str]
) -> tuple[Driver, ...]:
    """Group the shares of variance of the gap (of fixed N where no draw has one), the largest first.

    ``known`` says of a group what else can or cannot be done about it: ``tested`` where a soil test is there already;
    of nodules ``measured`` where fixation was, and ``closed`` where no dig can tell more.
    """
    found: dict[str, float] = {}
    for name, share in shares["gap_at_maturity" if has_gap else "fixed"].items():
        group = _OF.get(name, _OTHERS)
        found[group] = found.get(group, 0.0) + share
    total = max(sum(found.values()), 1.0)
    ranked = sorted(((share / total, group) for group, share in found.items()), key=lambda pair: (-pair[0], pair[1]))
    return tuple(
        Driver(
            name=group,
            share=share,
            message=Message(
                f"nitrogen.driver.{group}{f'_{known[group]}' if group in known else ''}",
                {"share": share, "of": "gap" if has_gap else "nitrogen fixed"},
            ),
        )
        for share, group in ranked[:_MOST]
        if share >= _LEAST_SHARE
    )
