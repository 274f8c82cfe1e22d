import datetime as dt
from dataclasses import replace

import pytest
from tests.report.decisions import DECISIONS, LEAVE, WINDOW, a_decision, left_alone, without_prices

from spadework.knowledge.rows import Crop
from spadework.report.decision import (
    act_line,
    amount_text,
    decision_cell,
    decision_days,
    helping_window,
    placement_name,
    product_name,
    weighed,
)
from spadework.report.display import UnitSystem
from spadework.report.labels import labels
from spadework.report.reader import Reader

METRIC = Reader(units=UnitSystem.METRIC, language="en", crop=Crop.PEA, currency="mk")
US = replace(METRIC, units=UnitSystem.US)


def test_nitrogen_was_weighed_where_an_option_gives_some(situation):
    advice = situation("poor")
    assert weighed(advice) is None
    assert weighed(replace(advice, decision=left_alone())) is None
    assert weighed(replace(advice, decision=left_alone(options=(LEAVE,)))) is None
    assert weighed(replace(advice, decision=without_prices())) == without_prices()


def test_what_to_give_and_by_when():
    assert act_line(a_decision(), METRIC) == (
        "On the field by 6 July 2026: 122 kg/ha of urea with a urease inhibitor (56 kg/ha of nitrogen)."
    )
    # 56 kg/ha are 50.0 lb/ac, 121.7 are 108.6 (1.12085115619 kg/ha a lb/ac)
    assert act_line(a_decision(), US).endswith("109 lb/ac of urea with a urease inhibitor (50 lb/ac of nitrogen).")


@pytest.mark.parametrize(
    ("name", "line"),
    [
        ("dig_again", "By 3 July 2026: dig again."),
        ("dig_first", "By 30 June 2026: dig."),
        ("needs_prices", "By 6 July 2026: put your prices into the book and ask again."),
        ("leave", ""),
        ("cannot_tell", ""),
    ],
)
def test_what_waits_for_a_day(name, line):
    assert act_line(DECISIONS[name](), METRIC) == line


def test_liquids_are_told_by_volume():
    option = next(one for one in a_decision().options if one.product == "uan_28" and one.rate.value == 56.0)
    # 156.24 L/ha / 9.35395622896 L/ha a US gallon an acre (GNU Units 2.22) = 16.7
    assert amount_text(option, US) == (
        "16.7 US gal/ac of urea ammonium nitrate solution, 28 % N (50 lb/ac of nitrogen)."
    )
    assert amount_text(replace(option, product=None), METRIC) == "56 kg/ha of nitrogen."


def test_products_are_named_by_row_or_by_its_last_word():
    assert product_name("rescue.product.urea", METRIC) == product_name("urea", METRIC) == "urea"
    assert placement_name("dry_leaves", METRIC) == "granules spread when the leaves are dry"


def test_every_kind_of_decision_has_a_word_on_lists():
    kinds = ("leave", "apply", "dig_again", "dig_first", "needs_prices", "cannot_tell")
    assert set(labels()["decision_kind"]) == set(kinds)
    assert decision_cell(a_decision(), labels()) == ("give nitrogen", "by 6 Jul")
    assert decision_cell(left_alone(), labels()) == ("leave it", "")
    assert decision_cell(None, labels()) == ("", "")


@pytest.mark.parametrize(
    ("why", "helps"),
    [
        ("working", False),
        ("nitrate", False),
        ("cause_not_nitrogen", False),
        ("too_late", True),
        ("does_not_pay", True),
        ("pays", True),
    ],
)
def test_until_when_nitrogen_helps_is_told_only_of_a_crop_that_it_can_help(why, helps):
    decision = left_alone(why)
    assert (helping_window(decision) == WINDOW) is helps
    assert bool(list(decision_days(decision))) is helps


def test_the_day_to_dig_again_is_marked_only_where_that_is_the_decision():
    day = dt.date(2026, 7, 3)
    assert day not in list(decision_days(a_decision()))
    assert day in list(decision_days(DECISIONS["dig_again"]()))
    assert list(decision_days(None)) == []
