"""The share fixed that a laboratory's results give for a field of the book."""

from __future__ import annotations

import datetime as dt

from spadework.advice.measured.measure import Chosen, measure
from spadework.advice.nitrogen.crop_seen import ShareMeasured
from spadework.knowledge.rows import Knowledge
from spadework.records.lab_result import LaboratoryMethod, SampleKind
from spadework.records.types import FieldRecords

__all__ = ["share_measured"]

_TRUSTED = (
    LaboratoryMethod.ISOTOPE_DILUTION,
    LaboratoryMethod.NATURAL_ABUNDANCE,
    LaboratoryMethod.UREIDES,
    LaboratoryMethod.NITROGEN_DIFFERENCE,
)
"""Of several methods the first counts: they are not averaged."""


def share_measured(records: FieldRecords, *, knowledge: Knowledge, today: dt.date) -> ShareMeasured | None:
    """Read the samples of this season up to today, by the B value of the tables.

    None where there is none, no method gives a share, or its standard error is not known.
    """
    sown_on = records.field.sown_on
    rows = [
        row
        for row in records.lab_results
        if row.date is None or (row.date <= today and (sown_on is None or row.date >= sown_on))
    ]
    if not rows:
        return None
    (found,) = measure(rows, crop=records.field.crop, chosen=Chosen(), knowledge=knowledge)
    known = {one.method: one for one in found.methods if one.share is not None and one.standard_error is not None}
    method = next((method.value for method in _TRUSTED if method.value in known), None)
    if method is None:
        return None
    share, error = known[method].share, known[method].standard_error
    assert share is not None and error is not None  # noqa: S101, PT018 - asked above
    days = [row.date for row in rows if row.kind is SampleKind.LEGUME and row.date is not None]
    return ShareMeasured(
        method=method,
        share=share.value,
        standard_error=error,
        day=max(days, default=None),
        rows=share.sources,
    )
