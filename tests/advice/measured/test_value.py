"""The value of measured fixation: when it answers."""

from spadework.advice.measured.value import FieldMeasurement, MeasuredShare
from spadework.advice.message import Message
from spadework.knowledge.rows import Crop
from spadework.quantity import Quantity


def test_a_field_is_answered_where_any_method_gives_a_share():
    refused = MeasuredShare("ureides", None, None, 4, 0, refused=Message("lab.refused.no_line"))
    given = MeasuredShare("isotope_dilution", Quantity(value=0.6, unit="1"), None, 4, 4)

    assert not FieldMeasurement(None, Crop.PEA, ()).is_answered
    assert not FieldMeasurement(None, Crop.PEA, (refused,)).is_answered
    assert FieldMeasurement(None, Crop.PEA, (refused, given)).is_answered
