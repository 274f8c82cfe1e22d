"""How the readers of single cells say no; the table reader adds file, line and column."""

from __future__ import annotations

__all__ = ["Refused", "quoted"]

_LONGEST_SHOWN = 40


class Refused(Exception):
    """A cell cannot be read: the kind of fault, what is wrong and how to mend it."""

    def __init__(self, kind: str, what: str, mend: str) -> None:
        super().__init__(what)
        self.kind = kind
        self.what = what
        self.mend = mend


def quoted(text: str) -> str:
    """Show a cell's text in a message: on one line, shortened, between single quotation marks."""
    shown = "".join(sign if sign.isprintable() else " " for sign in text)
    if len(shown) > _LONGEST_SHOWN:
        shown = shown[: _LONGEST_SHOWN - 1] + "…"
    return f"'{shown}'"
