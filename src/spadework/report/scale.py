"""Days as places between 0 (left) and 1 (right) of a figure."""

from __future__ import annotations

import datetime as dt

__all__ = ["DayScale"]

_MARGIN = 0.04


class DayScale:
    """Places of days between the first and the last one shown, with a margin on both sides."""

    def __init__(self, first: dt.date, last: dt.date) -> None:
        margin = max(3, round((last - first).days * _MARGIN))
        self.first = first - dt.timedelta(days=margin)
        self.last = last + dt.timedelta(days=margin)

    def place(self, day: dt.date) -> float:
        """0 at the left margin, 1 at the right one; not held between them."""
        return round((day - self.first).days / (self.last - self.first).days, 5)
