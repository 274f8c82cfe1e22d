"""What a crop leaves, as lines: net balance, residues, and credits by kind, never their sum or mean."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from spadework.advice.measured.value import Credit
from spadework.advice.messages import fill
from spadework.advice.nitrogen.left import NitrogenLeft
from spadework.report.display import UnitSystem, format_quantity, shown, unit_word
from spadework.report.labels import Labels

__all__ = ["credit_lines", "left_block", "left_rows"]

_PARTS = ("grain", "net_shoot", "net_whole", "residue_shoot", "residue_below_ground")


def left_rows(left: NitrogenLeft, *, units: UnitSystem, texts: Labels) -> list[tuple[str, str, str]]:
    """Name, likely figure and interval of what the grain takes, the net balance and the residues."""
    rows = []
    for part in _PARTS:
        likely, _, interval = format_quantity(getattr(left, part), units).partition(" (")
        rows.append((texts["left"][part], likely, interval.removesuffix(")")))
    return rows


def credit_lines(credits_found: Sequence[Credit], *, units: UnitSystem, texts: Labels) -> Iterator[str]:
    """A line a credit, kind by kind; one that a soil test holds already is marked as held."""
    words = texts["left"]
    for kind, kind_name in texts["credit_kind"].items():
        for credit in credits_found:
            if credit.kind == kind:
                name = words["held"] if credit.held else kind_name
                yield fill(
                    words["credit"],
                    {"kind": name, "amount": format_quantity(credit.nitrogen, units), "scope": credit.scope},
                )


def left_block(left: NitrogenLeft, *, units: UnitSystem, texts: Labels) -> dict[str, Any]:
    """The block of the working: rows of what is left, and a line a kind of credit with its figures to choose from."""
    words = texts["left"]
    lines = []
    for kind, kind_name in texts["credit_kind"].items():
        of_kind = [credit for credit in left.credits if credit.kind == kind]
        if of_kind:
            unit = unit_word(shown(of_kind[0].nitrogen, units).unit)
            amounts = dict.fromkeys(
                format_quantity(credit.nitrogen, units).replace(f" {unit}", "") for credit in of_kind
            )
            name = words["held"] if of_kind[0].held else kind_name
            lines.append(fill(words["credits"], {"kind": name, "amounts": words["or"].join(amounts), "unit": unit}))
    return {"rows": left_rows(left, units=units, texts=texts), "credits": lines}
