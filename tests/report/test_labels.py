import pytest

from spadework.knowledge.rows import Crop
from spadework.quantity import Grade
from spadework.report.labels import labels, word


def test_every_crop_and_grade_has_a_word():
    texts = labels()
    assert set(texts["crop"]) == set(Crop)
    assert set(Grade) <= set(texts["grade"])


def test_grades_say_what_they_mean():
    grades = labels()["grade"]
    assert [grades[grade] for grade in Grade] == ["A read at the source", "B second-hand", "C judgement"]


def test_months_are_complete():
    assert [int(month) for month in labels()["month"]] == list(range(1, 13))


def test_word_falls_back_to_the_key_in_plain_letters():
    assert word(labels(), "class", "poor") == "poor"
    assert word(labels(), "class", "something_may_be_wrong") == "something may be wrong"


def test_an_unknown_language_is_an_error():
    with pytest.raises(FileNotFoundError, match=r"labels_xx\.toml"):
        labels("xx")
