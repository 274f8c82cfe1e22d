"""What the rules of evidence look at: the records of a field and what was already read from them."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from spadework.advice.value import Readings, Timing, Verdict
from spadework.advice.visit import Visit
from spadework.knowledge.rows import Crop, Knowledge
from spadework.records.types import FieldRecords

__all__ = ["Seen"]


@dataclass(frozen=True)
class Seen:
    """Records of a field with the visit judged, its verdict and readings, the knowledge tables, the day of advice."""

    records: FieldRecords
    timing: Timing
    visit: Visit | None
    verdict: Verdict | None
    readings: Readings | None
    knowledge: Knowledge
    today: dt.date

    @property
    def crop(self) -> Crop:
        """The crop of the field."""
        return self.records.field.crop

    @property
    def last_day(self) -> dt.date:
        """The day up to which things could act on the roots that were judged: of the dig, or of the advice."""
        return self.timing.dug_on or self.today
