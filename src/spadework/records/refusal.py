"""How the readers of single cells say no; the table reader adds file, line and column."""

from __future__ import annotations

__all__ = ["Refused", "one_line", "quoted"]

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
    return f"'{one_line(text)}'"


def one_line(text: str) -> str:
    """Return the text as a message or a listing can hold it: printable signs only, at most 40 of them."""
    shown = "".join(sign if sign.isprintable() else " " for sign in text[: _LONGEST_SHOWN + 1])
    return shown if len(shown) <= _LONGEST_SHOWN else shown[: _LONGEST_SHOWN - 1] + "…"
