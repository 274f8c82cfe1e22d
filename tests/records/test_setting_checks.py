"""Values at the edge of what a setting may be, and one step over it."""

import math

import pytest

from spadework.records.setting_checks import (
    Wrong,
    as_bearing,
    as_chance,
    as_days,
    as_figure,
    as_grain_price,
    as_hour_price,
    as_money_word,
    as_price,
    as_rates,
    as_share,
    as_whole,
    as_width,
    as_yes_or_no,
    one_of,
    unknown,
)


@pytest.mark.parametrize(
    ("check", "value"),
    [
        (as_bearing, 0),
        (as_bearing, 360),
        (as_chance, 0.001),
        (as_days(0), 0),
        (as_days(1), 60),
        (as_figure, -3),
        (as_grain_price, 0.01),
        (as_hour_price, 0.01),
        (as_money_word, "twelve signs"),
        (as_price, 0),
        (as_share, 0.5),
        (as_whole, 0),
        (as_width, 100),
        (as_yes_or_no, False),
        (one_of("one", "two"), "two"),
    ],
)
def test_what_is_allowed_comes_back_as_it_is(check, value):
    assert check(value) == value


@pytest.mark.parametrize(
    ("check", "value", "kind"),
    [
        (as_bearing, -1, "out_of_bounds"),
        (as_chance, 0, "out_of_bounds"),
        (as_chance, 1, "out_of_bounds"),
        (as_days(1), 0, "out_of_bounds"),
        (as_days(0), 61, "out_of_bounds"),
        (as_days(0), 3.5, "type"),
        (as_figure, True, "type"),
        (as_figure, math.inf, "type"),
        (as_grain_price, 0, "out_of_bounds"),
        (as_hour_price, 0, "out_of_bounds"),
        (as_money_word, "thirteen sign", "out_of_bounds"),
        (as_money_word, "two\nlines", "out_of_bounds"),
        (as_money_word, " ", "type"),
        (as_price, -0.01, "out_of_bounds"),
        (as_rates, [], "type"),
        (as_rates, 67, "type"),
        (as_rates, [20, 150.5], "out_of_bounds"),
        (as_rates, [0], "out_of_bounds"),
        (as_rates, ["67"], "type"),
        (as_share, 1, "out_of_bounds"),
        (as_whole, -1, "type"),
        (as_width, 0, "out_of_bounds"),
        (as_width, 100.5, "out_of_bounds"),
        (as_yes_or_no, 1, "type"),
        (one_of("one", "two"), "three", "choice"),
    ],
)
def test_one_step_further_is_refused_with_how_to_mend_it(check, value, kind):
    with pytest.raises(Wrong) as refused:
        check(value)

    assert refused.value.kind == kind
    assert refused.value.mend


def test_a_name_near_to_one_that_is_known_is_guessed():
    assert unknown("soybeen", ["pea", "soybean"], "here").mend == "Did you mean soybean? Known: pea, soybean."
