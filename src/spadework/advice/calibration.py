"""Fixation measured in some fields of a book, held against what their digs said: it corrects what other digs say."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Mapping

import numpy as np

from spadework.advice.field import dig_in_time
from spadework.advice.nitrogen.balance import balance_of
from spadework.advice.nitrogen.crop_seen import CropSeen, ShareMeasured
from spadework.advice.nitrogen.dig import DigSeen
from spadework.advice.nitrogen.inputs import DRAWS, streams
from spadework.advice.nitrogen.lab_share import laboratory_seen
from spadework.agronomy.season.nodulation import Calibration, DigReading, draw_nodulation
from spadework.knowledge.rows import Knowledge
from spadework.records.types import FieldRecords, Settings

__all__ = ["calibration_without", "factors_measured"]

_LEAST = 0.1
"""Factor under which the logarithm of two of them says nothing of the step from dig to fixation."""


def factors_measured(
    fields: Iterable[FieldRecords], settings: Settings, knowledge: Knowledge, today: dt.date
) -> dict[str, float]:
    """Logarithm of measured over predicted nodulation factor of each field that has both; others cost nothing.

    Predicted is the median by a dig in time alone; measured is the median of a factor of which nothing is known
    beforehand, weighed by the share that a laboratory measured.
    """
    found = {}
    for records in fields:
        if not records.lab_results:
            continue
        measured = laboratory_seen(records, settings, knowledge=knowledge, today=today).share
        dig = None if measured is None else dig_in_time(records, settings, knowledge, today)
        if measured is None or dig is None:
            continue
        factors = (_measured(records, measured, settings, knowledge, today), _predicted(dig, settings, knowledge))
        if all(factor is not None and factor >= _LEAST for factor in factors):
            found[records.field.field] = math.log((factors[0] or 1.0) / (factors[1] or 1.0))
    return found


def calibration_without(field: str, factors: Mapping[str, float], knowledge: Knowledge) -> Calibration | None:
    """What the other fields say; a field's own measurement weighs its own balance and does not count twice."""
    logs = tuple(log for name, log in sorted(factors.items()) if name != field)
    if not logs:
        return None
    return Calibration(logs=logs, error=knowledge.figure("nodulation.measured_error").central)


def _predicted(dig: DigSeen, settings: Settings, knowledge: Knowledge) -> float:
    draws = draw_nodulation(
        dig.share,
        reading=dig.reading,
        poor_with_nodules=dig.poor_with_nodules,
        colour_seen=dig.colour_seen,
        knowledge=knowledge,
        draws=DRAWS,
        generator=streams(settings.seed)[2],
    )
    return float(np.median(draws))


def _measured(
    records: FieldRecords, measured: ShareMeasured, settings: Settings, knowledge: Knowledge, today: dt.date
) -> float | None:
    nothing_known = DigSeen(
        share=None, reading=DigReading.NONE_DUG, poor_with_nodules=1.0, colour_seen=True, measured=True
    )
    balance = balance_of(
        records,
        nothing_known,
        knowledge=knowledge,
        seed=settings.seed,
        today=today,
        crop_seen=CropSeen(measured=measured),
    )
    return None if balance is None else float(np.median(balance.nodulation[balance.season.of_draw]))
