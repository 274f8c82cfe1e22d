"""What the rules of evidence look at: the records of a field and what was already read from them."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from spadework.advice.value import Readings, Timing, Verdict
from spadework.advice.visit import Visit
from spadework.knowledge.rows import Knowledge
from spadework.records.types import FieldRecords

__all__ = ["Seen"]


@dataclass(frozen=True)
class Seen:
    """Records of a field with the visit judged, its verdict and readings, the knowledge tables and the day of advice."""

    records: FieldRecords
    timing: Timing
    visit: Visit | None
    verdict: Verdict | None
    readings: Readings | None
    knowledge: Knowledge
    today: dt.date
