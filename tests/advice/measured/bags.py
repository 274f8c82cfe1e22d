"""Samples for the tests of measured fixation: invented, in round figures."""

from spadework.advice.measured.measure import Chosen, measure
from spadework.knowledge.load import load
from spadework.knowledge.rows import Crop
from spadework.records.laboratory import LabResultRow

KNOWN = load()


def legume(name, **measured):
    return LabResultRow(sample=f"L{name}", kind="legume", **measured)


def reference(name, **measured):
    return LabResultRow(sample=f"R{name}", kind="reference", **measured)


def abundance(deltas=(0.8, 1.2, 0.6, 1.4), references=(6.2, 5.8, 6.4, 5.6), plants=("ryegrass", "thistle"), **more):
    """Legumes and references with delta-15N; by default means of 1 and 6, two kinds of reference in turn."""
    rows = [legume(n, delta_15n=delta, **more) for n, delta in enumerate(deltas)]
    rows += [
        reference(n, delta_15n=delta, plant=plants[n % len(plants)] if plants else None)
        for n, delta in enumerate(references)
    ]
    return rows


def measured(rows, crop=Crop.SOYBEAN, knowledge=KNOWN, **chosen):
    """The one field of these rows."""
    (field,) = measure(rows, crop=crop, chosen=Chosen(**chosen), knowledge=knowledge)
    return field


def only(rows, crop=Crop.SOYBEAN, **chosen):
    """The one method of the one field of these rows."""
    (one,) = measured(rows, crop, **chosen).methods
    return one


def said(one):
    """Ids of everything that a method says."""
    messages = (*((one.refused,) if one.refused else ()), *one.sensitivity, *one.warnings)
    return {message.id.removeprefix("lab.") for message in messages}
