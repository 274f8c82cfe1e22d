"""A sentence to be: what advice says, before it is put into any language."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

__all__ = ["Message", "Scalar"]

Scalar = str | int | float | bool | dt.date | None


@dataclass(frozen=True)
class Message:
    """A sentence to be: a dotted id (``timing.too_early.headline``), its values, and the rows it rests on."""

    id: str
    values: Mapping[str, Scalar] = field(default_factory=dict)
    sources: tuple[str, ...] = ()
