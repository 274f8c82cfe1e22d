import re

import pytest
from hypothesis import given
from tests.records.strategies import counts

from spadework.records.columns import columns_of
from spadework.records.counts import COUNT_PATTERN, read_count
from spadework.records.refusal import Refused
from spadework.records.types import CountRange, PlantRow

CROWN = next(plan for plan in columns_of(PlantRow) if plan.name == "crown_nodules")


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("12", 12, 12),
        ("12.0", 12, 12),
        ("0", 0, 0),
        ("007", 7, 7),
        ("11-20", 11, 20),
        ("11–20", 11, 20),
        ("11 - 20", 11, 20),
        ("11 to 20", 11, 20),
        ("11..20", 11, 20),
        ("5-5", 5, 5),
        (">50", 51, None),
        ("> 50", 51, None),
        ("over 50", 51, None),
        ("50+", 50, None),
        (">=50", 50, None),
        ("≥ 50", 50, None),
        ("<5", 0, 4),
        ("under 5", 0, 4),
        ("<=5", 0, 5),
        ("up to 5", 0, 5),
        ("<1", 0, 0),
    ],
)
def test_counts_and_classes(text, low, high):
    assert read_count(text, CROWN) == CountRange(low, high)


@given(counts())
def test_a_count_is_read_as_it_is_printed(count):
    assert read_count(str(count), CROWN) == count
    assert re.fullmatch(COUNT_PATTERN, str(count))


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("-3", "count.negative"),
        ("−3", "count.negative"),
        ("-0.5", "count.negative"),
        ("20-11", "count.reversed"),
        ("12.5", "count.decimals"),
        ("12,5", "count.decimals"),
        ("5001", "count.too_large"),
        (">5000", "count.too_large"),
        ("999999999", "count.too_large"),
        ("1234567890", "count.unreadable"),
        ("<0", "count.unreadable"),
        ("lots", "count.unreadable"),
        ("12 nodules", "count.unreadable"),
        ("1-2-3", "count.unreadable"),
        ("5 or 6", "count.unreadable"),
        ("\u0661\u0662", "count.unreadable"),  # 12 in Arabic-Indic digits
    ],
)
def test_what_is_no_count_is_refused(text, kind):
    with pytest.raises(Refused) as caught:
        read_count(text, CROWN)

    assert caught.value.kind == kind


@pytest.mark.parametrize(
    ("typed", "became"),
    [
        # Made by hand after what spreadsheets do to such cells in English and German; common practice, no source.
        ("11-20", ["20-Nov", "Nov-20", "Nov. 20", "2026-11-20", "2026-11-20 00:00:00", "20. Nov"]),
        ("1-5", ["05-Jan", "5-Jan", "01-May", "2026-01-05", "2026-05-01", "5. Jan. 2026"]),
        ("1-11 or 11-20", ["2020-11-01"]),
        ("6-10", ["10-Jun", "06-Oct", "2026-06-10"]),
    ],
)
def test_a_class_that_a_spreadsheet_made_a_date_of_is_recognised(typed, became):
    for text in became:
        with pytest.raises(Refused, match=re.escape(f"perhaps {typed}")) as caught:
            read_count(text, CROWN)
        assert caught.value.kind == "count.spreadsheet_date"


@pytest.mark.parametrize("text", ["11/20/2026", "20.11.2026", "1/5/26"])
def test_a_numeric_date_is_called_one(text):
    with pytest.raises(Refused, match="spreadsheet has turned a count class into it") as caught:
        read_count(text, CROWN)

    assert caught.value.kind == "count.spreadsheet_date"


def test_a_day_number_is_named_as_one():
    with pytest.raises(Refused, match="a spreadsheet's number for a day"):
        read_count("46346", CROWN)
