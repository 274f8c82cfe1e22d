"""Products that carry nitrogen: how much of one gives a rate, and how it can be brought to a standing crop."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from spadework.agronomy.season.parameters import Values
from spadework.errors import DomainError
from spadework.knowledge.rows import Fertiliser, Knowledge, Spreading

__all__ = [
    "ProductAmount",
    "amount_for",
    "amount_on",
    "offered_products",
    "placements_of",
    "product_row",
    "products_known",
]

_PRODUCT, _DENSITY = "rescue.product", "rescue.density"


@dataclass(frozen=True, kw_only=True)
class ProductAmount:
    """Product as it is spread: ``mass`` [kg/ha, or kg] and, of a liquid whose density is known, ``volume`` [L/ha, L].

    ``rows`` are the knowledge rows that turn nitrogen into product.
    """

    mass: Values
    volume: Values | None
    rows: tuple[str, ...]


def products_known(knowledge: Knowledge) -> tuple[Fertiliser, ...]:
    """All kinds of product, offered or not, in the order of the tables."""
    return knowledge.of(Fertiliser)


def offered_products(knowledge: Knowledge) -> tuple[Fertiliser, ...]:
    """The kinds that are offered for a standing crop."""
    return tuple(row for row in products_known(knowledge) if row.offered)


def product_row(product: str, knowledge: Knowledge) -> Fertiliser | None:
    """The row of a kind of product; None for one of which nothing is known, as manure."""
    row = knowledge.rows.get(f"{_PRODUCT}.{product}")
    return row if isinstance(row, Fertiliser) else None


def placements_of(product: str, knowledge: Knowledge) -> tuple[Spreading, ...]:
    """Ways in which a product may be brought to the crop, the gentlest first; those never advised are left out."""
    fitting = (row for row in knowledge.of(Spreading) if row.offered and product in row.products)
    return tuple(sorted(fitting, key=lambda row: row.rank))


def amount_for(nitrogen: Values, product: str, knowledge: Knowledge) -> ProductAmount:
    """Product that carries so much nitrogen [kg/ha, or kg].

    Raises
    ------
    DomainError
        A product that is not known, or nitrogen under 0.
    """
    row, density = _known(product, knowledge)
    if not np.all(np.isfinite(nitrogen) & (np.asarray(nitrogen) >= 0)):
        raise DomainError("nitrogen", nitrogen, "finite and at least 0")
    mass = nitrogen / row.central
    if density is None:
        return ProductAmount(mass=mass, volume=None, rows=(row.id,))
    return ProductAmount(mass=mass, volume=mass / density, rows=(row.id, f"{_DENSITY}.{product}"))


def amount_on(*, rate: float, area: float) -> float:
    """What a rate of product [kg/ha, L/ha] comes to on an area [ha]: kg, or L."""
    if not area >= 0:
        raise DomainError("area", area, "at least 0")
    return rate * area


def _known(product: str, knowledge: Knowledge) -> tuple[Fertiliser, float | None]:
    row = product_row(product, knowledge)
    if row is None:
        known = ", ".join(one.name for one in products_known(knowledge))
        raise DomainError("product", product, f"one of {known}")
    density = f"{_DENSITY}.{product}"
    return row, knowledge.figure(density).central if density in knowledge.rows else None
