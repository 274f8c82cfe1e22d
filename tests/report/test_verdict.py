from dataclasses import replace

import pytest

from spadework.advice.value import ClassProbability
from spadework.quantity import Grade, Quantity
from spadework.report.labels import labels
from spadework.report.verdict import class_chances, field_name, grades_text, share_row, stop_rows, target_text

TEXTS = labels()


def test_ranks_run_from_worst_to_best():
    names = ("poor", "weak", "borderline", "adequate")
    chances = class_chances([ClassProbability(name, 0.25) for name in names], TEXTS)
    assert [one["rank"] for one in chances] == [0, 1, 1, 2]
    assert [one["word"] for one in chances] == list(names)


def test_share_without_interval_is_a_dot_without_a_line():
    assert share_row(Quantity(0.4, "1")) == {"at": 0.4, "low": 0.4, "high": 0.4, "text": "40 %", "interval": ""}


def test_share_with_interval():
    row = share_row(Quantity(0.4, "1", 0.0, 0.555))
    assert (row["low"], row["high"], row["interval"]) == (0.0, 0.555, "0 to 56 %")


def test_stop_rows_keep_order_and_name_the_patch(situation):
    rows = stop_rows(situation("patchy").verdict, TEXTS)
    assert [row["stop"] for row in rows] == ["1", "2", "3", "4", "5"]
    assert [row["patch"] for row in rows] == ["better part"] * 3 + ["poor patch"] * 2
    assert [row["poor_patch"] for row in rows] == [False] * 3 + [True] * 2


def test_expected_counts_keep_their_decimal(situation):
    assert [row["count"] for row in stop_rows(situation("unsettled").verdict, TEXTS)] == ["4.4 of 6", "4 of 6"]


def test_stop_that_nobody_scored_is_not_zero(situation):
    verdict = situation("good").verdict
    unscored = replace(verdict.stop_summaries[0], adequate=None, share=None, mean_effective=None)
    (row,) = stop_rows(replace(verdict, stop_summaries=(unscored,)), TEXTS)
    assert (row["count"], row["share"], row["mean"]) == ("not scored", None, "")


def test_target_names_scheme_and_choice(situation):
    target = situation("good").verdict.target
    assert target_text(target, TEXTS) == (
        "Adequate: more than 5 effective clusters a plant (target.pea.prairie, the default for the crop)."
    )
    own = replace(target, chosen_by="local", counts="at_least_2_mm", comparison="at_least")
    assert target_text(own, TEXTS) == (
        "Adequate: at least 5 effective clusters a plant, 2 mm or larger (target.pea.prairie, the user’s own figure)."
    )


def test_grades_of_target_and_share_in_words(situation):
    verdict = situation("good").verdict
    judged = "judgement on how alike plants of a stop are."
    assert grades_text(verdict, TEXTS, in_time=True) == (
        f"Target: grade A, read at the source. Interval and probability: grade C, {judged}"
    )
    assert grades_text(verdict, TEXTS, in_time=False).endswith(f" Interval: grade C, {judged}")
    second_hand = replace(verdict, share=replace(verdict.share, grade=Grade.SECOND_HAND))
    assert grades_text(second_hand, TEXTS, in_time=True).endswith("probability: grade B, second-hand.")
    unknown = replace(verdict, share=replace(verdict.share, grade=None))
    assert grades_text(unknown, TEXTS, in_time=True) == "Target: grade A, read at the source."


@pytest.mark.parametrize(("name", "shown"), [("North", "North"), (None, "soy-3"), ("  ", "soy-3")])
def test_field_name(situation, name, shown):
    assert field_name(replace(situation("unsettled"), name=name)) == shown
