"""Maturity groups of soybean, as people write them."""

from __future__ import annotations

import re

__all__ = ["GROUPS", "maturity_group"]

_ROMAN = ("I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X")

GROUPS = ("000", "00", *(str(number) for number in range(len(_ROMAN) + 1)))
"""From the earliest to the latest."""

_WRITTEN = re.compile(r"(?:(?:MG|GROUP)[ .-]*)?(?:(?P<roman>[IVX]+)|(?P<figure>0+|[0-9]+)(?:[.,][0-9]+)?)")


def maturity_group(said: str) -> str | None:
    """Return one of ``GROUPS``, None where it cannot be understood.

    Roman figures stand for I to X in either case; a decimal, by which seed is told apart within a group, is left off.
    """
    found = _WRITTEN.fullmatch(said.strip().upper())
    if found is None:
        return None
    roman = found["roman"]
    group = found["figure"] if roman is None else str(_ROMAN.index(roman) + 1) if roman in _ROMAN else ""
    return group if group in GROUPS else None
