"""The page of causes: when it is there, what it says, and that it stays readable."""

import io
import math
from dataclasses import replace

import pypdfium2
import pypdfium2.raw as pdfium
import pytest
from PIL import Image, ImageColor
from tests.report.a_diagnosis import (
    NOT_PALE,
    a_cause,
    a_check,
    a_diagnosis,
    cannot_tell,
    chance,
    longest_diagnosis,
    nothing_wrong,
    pale,
    say,
)
from tests.report.test_look import PALETTE, grey

from spadework.advice.field import advise
from spadework.advice.messages import render
from spadework.demo import demo_book
from spadework.knowledge.load import load
from spadework.report import UnitSystem, field_report
from spadework.report.causes import causes_page, explains, fell_short, first_check, marks, named_cause, why_in_short
from spadework.report.labels import labels

TEXTS = labels()
PAPERS = ("a4", "letter")


def report(advice, paper="a4"):
    return field_report(advice, paper=paper, units=UnitSystem.METRIC)


def page(advice):
    return causes_page(advice, TEXTS, "en")


@pytest.fixture
def poor(situation):
    return situation("poor")


@pytest.fixture
def read_causes(read_pages):
    """The words of the page of causes."""

    def read(advice, paper="a4"):
        _, causes, *_ = read_pages(report(advice, paper))
        return causes

    return read


SANDY = (replace(a_diagnosis().evidence[3]),)


@pytest.mark.parametrize("state", ["likely", "very_likely", "suppressed", "wrong_time"])
def test_a_named_cause_is_explained_even_under_a_good_verdict(situation, state):
    for name in ("poor", "good", "no_target"):
        advice = replace(situation(name), diagnosis=a_diagnosis(state=state))
        assert explains(advice)
        assert named_cause(advice) is advice.diagnosis.causes[0]


@pytest.mark.parametrize(
    ("name", "diagnosis", "explained"),
    [
        ("poor", nothing_wrong(), False),
        ("good", replace(nothing_wrong(), pallor=pale()), True),
        ("poor", cannot_tell(), False),
        ("poor", cannot_tell(evidence=SANDY), True),
        ("good", cannot_tell(evidence=SANDY), False),
        ("unsettled", cannot_tell(evidence=SANDY), True),
        ("patchy", cannot_tell(evidence=SANDY), True),
        ("too_early", cannot_tell(evidence=SANDY), True),
    ],
)
def test_where_it_cannot_tell_something_must_be_known_and_not_good(situation, name, diagnosis, explained):
    advice = replace(situation(name), diagnosis=diagnosis)
    assert explains(advice) is explained
    assert (page(advice) is not None) is explained
    assert (why_in_short(advice, TEXTS, "en") is not None) is explained
    assert named_cause(advice) is None


def test_a_field_not_dug_is_explained_only_where_a_cause_is_worth_a_check(situation):
    advice = situation("too_early")
    undug = replace(advice, timing=replace(advice.timing, dug_on=None))
    found = cannot_tell(evidence=SANDY)
    assert not explains(replace(undug, diagnosis=found))
    assert explains(replace(undug, diagnosis=replace(found, causes=a_diagnosis().causes)))


def test_a_patch_is_no_good_verdict(situation):
    advice = situation("patchy")
    assert fell_short(replace(advice, verdict=replace(advice.verdict, leading="adequate")))
    assert not fell_short(situation("good"))
    assert not fell_short(situation("too_early"))


@pytest.mark.parametrize(
    ("name", "diagnosis", "check"),
    [
        ("poor", a_diagnosis(), "look_over_field"),
        ("poor", cannot_tell(), "look_over_field"),  # nothing is known, and the first check is what to say
        ("poor", nothing_wrong(), None),
        ("good", cannot_tell(evidence=SANDY), None),
        ("poor", a_diagnosis(checks=()), None),
    ],
)
def test_a_check_is_named_where_something_is_open(situation, name, diagnosis, check):
    found = first_check(replace(situation(name), diagnosis=diagnosis))
    assert (found and found.check) == check


def test_bars_carry_the_causes_their_ranges_and_nothing_wrong_last(poor):
    bars = page(poor)["bars"]
    assert [(bar["number"], bar["label"], bar["text"], bar["interval"]) for bar in bars] == [
        ("1", "Salty soil", "86 %", "71 to 100 %"),
        ("2", "Shortage of phosphorus, sulphur, boron or iron", "20 %", "5 to 35 %"),
        ("", "Nothing wrong", "2 %", "under 1 to 8 %"),
    ]
    assert [(bar["low"], bar["at"], bar["high"]) for bar in bars][2] == (0.003, 0.02, 0.08)


def test_only_causes_told_in_detail_bear_numbers(situation):
    shown = page(situation("longest"))
    assert [bar["number"] for bar in shown["bars"]] == ["1", "2", "3", "", "", ""]
    assert len(shown["causes"]) == 3


def test_the_rest_is_one_line(poor):
    assert page(poor)["others"].startswith("2 other causes: 8 % or less each.")
    one = replace(poor.diagnosis, others=poor.diagnosis.others[:1])
    assert page(replace(poor, diagnosis=one))["others"].startswith("1 other cause: 8 % or less each.")
    assert page(situation_open(poor))["others"] == "That nothing is wrong: 35 % (15 to 60 %)."


def situation_open(advice):
    return replace(advice, diagnosis=cannot_tell(evidence=SANDY))


@pytest.mark.parametrize(
    ("factor", "shown"),
    [
        (1.2, "+"),
        (2.99, "+"),
        (3.0, "++"),
        (9.9, "++"),
        (10.0, "+++"),
        (math.inf, "+++"),
        (0.9, "−"),
        (1 / 2.99, "−"),
        (1 / 3.01, "−−"),
        (1 / 10.01, "−−−"),
        (0.0, "−−−"),
        (1.0, ""),
    ],
)
def test_marks_grow_with_what_a_finding_does_to_the_odds(factor, shown):
    assert marks(factor) == shown


def test_what_is_known_stands_with_its_marks_the_strongest_first(poor):
    known = page(poor)["evidence"]
    assert [(row["text"], row["marks"]) for row in known["rows"]] == [
        ("The soil is salty: 4.6 dS/m, above the limit of 4.", ["+++", ""]),
        ("It was bad where the soil changed.", ["++", "+"]),
        ("The soil was never full of water for long after the crop came up.", ["", "−−"]),
    ]
    assert known["rest"] == ["The soil is loam, not sand."]
    (aside,) = known["aside"]
    assert aside == {"reason": render(poor.diagnosis.evidence[4].silent), "items": ["Nodules were few."]}


def test_everything_known_stands_once_on_the_page(poor, read_causes):
    words = read_causes(poor)
    for one in poor.diagnosis.evidence:
        assert words.count(render(one.message)) == 1


def test_the_page_says_all_of_the_first_causes(poor, read_causes):
    words = read_causes(poor)
    for cause in poor.diagnosis.causes:
        for message in (cause.confirm, cause.this_season, cause.next_season):
            assert render(message) in words
    for message in (poor.diagnosis.headline, poor.diagnosis.robust, poor.diagnosis.priors, *poor.diagnosis.unread):
        assert render(message) in words
    assert "Judgement (grade C)" in words


def test_causes_that_act_together_are_named(poor, read_causes):
    together = say("Salt and a shortage may act at once.")
    assert "Salt and a shortage may act at once." in read_causes(
        replace(poor, diagnosis=a_diagnosis(together=together))
    )


def test_checks_say_what_they_take(poor, read_causes):
    words = read_causes(poor)
    assert "Test the top 30 cm for nitrate 20 min 5 days 38.50 Bears on salty soil" in words
    assert "Send leaves in for sulphur and molybdenum 20 min 1 day lab fee" in words


def test_columns_that_no_check_uses_are_left_out(poor, read_causes):
    words = read_causes(replace(poor, diagnosis=a_diagnosis(checks=(a_check("read_label"),))))
    assert "Check Takes What it tells" in words


def test_a_whole_price_has_no_decimals(poor):
    found = a_diagnosis(checks=(a_check("soil_nitrate", laboratory=True, price=40.0),))
    assert page(replace(poor, diagnosis=found))["checks"][0]["cost"] == "40"


def test_pale_leaves_have_a_box_with_why_it_is_not_nitrogen(situation, read_causes):
    words = read_causes(situation("pale"))
    first = situation("pale").diagnosis.pallor.causes[0]
    for text in (
        "Leaves point to something else than nitrogen: sulphur short (64 %).",
        "Not called nitrogen shortage: that pales the oldest leaves first",
        "Sulphur short 64 % (49 to 79 %) · Iron short, on limy or wet soil 21 % (6 to 36 %)",
        "++ Young leaves are pale.",
        render(first.confirm),
        render(first.this_season),
    ):
        assert text in words
    assert "What to check next, the best first" not in words  # they bear on nodules, which are sound


def test_without_pale_leaves_there_is_no_box(poor, read_causes):
    assert poor.diagnosis.pallor is NOT_PALE
    assert "Pale leaves" not in read_causes(poor)


def test_cautions_of_the_measures_stand_whole_and_once(situation, read_pages):
    advice = situation("longest")
    on_last_page = render(advice.diagnosis.causes[0].cautions[0])
    for paper in PAPERS:
        _, causes, *_ = read_pages(report(advice, paper))
        for caution in advice.diagnosis.causes[0].cautions:
            assert causes.count(render(caution)) == 1
    both = replace(advice, cautions=(*advice.cautions, advice.diagnosis.causes[0].cautions[0]))
    assert on_last_page not in page(both)["cautions"]


@pytest.mark.parametrize("paper", PAPERS)
def test_the_longest_texts_of_the_catalogue_are_not_cut_short(situation, read_causes, paper):
    advice = situation("longest")
    words, first = read_causes(advice, paper), advice.diagnosis.causes[0]
    for message in (advice.diagnosis.headline, first.confirm, first.this_season, first.next_season):
        assert render(message) in words
    pallor = advice.diagnosis.pallor
    for message in (pallor.headline, pallor.causes[0].confirm, pallor.causes[0].this_season):
        assert render(message) in words
    assert "and 2 more, see the JSON" in words  # causes without room for their measures


@pytest.mark.parametrize("paper", PAPERS)
def test_without_pale_leaves_two_of_the_longest_causes_stand_in_full(situation, read_causes, paper):
    found = replace(longest_diagnosis(), pallor=NOT_PALE)
    words = read_causes(replace(situation("longest"), diagnosis=found), paper)
    for cause in found.causes[:2]:
        for message in (cause.confirm, cause.this_season, cause.next_season):
            assert render(message) in words


def test_the_smallest_letters_of_the_page_are_of_nine_points(situation):
    for name in ("poor", "longest", "pale", "crowded"):
        document = pypdfium2.PdfDocument(io.BytesIO(report(situation(name))))
        text = document[1].get_textpage()
        foot = 15 / 25.4 * 72  # the bottom margin holds the footer only
        sizes = [
            pdfium.FPDFText_GetFontSize(text, index)
            for index in range(text.count_chars())
            if text.get_charbox(index)[1] > foot and text.get_text_range(index, 1).strip("\u200b\u00a0\r\n ")
        ]
        assert 8.99 <= min(sizes) < max(sizes) <= 18.01
        text.close()
        document.close()


def test_bars_and_their_ranges_stand_out_in_grey(situation):
    document = pypdfium2.PdfDocument(io.BytesIO(report(situation("longest"))))
    picture = document[1].render(scale=2).to_pil().convert("L")
    document.close()
    accent = ImageColor.getrgb(PALETTE["accent"])

    def paler(share):
        mixed = tuple(round(part + (255 - part) * share) for part in accent)
        return Image.new("RGB", (1, 1), mixed).convert("L").getpixel((0, 0))

    counts = picture.histogram()
    first, other, ground = paler(0.25), paler(0.62), grey(PALETTE["wash"])
    for one in (first, other):
        assert sum(counts[one - 3 : one + 4]) > 1500
    assert min(abs(first - other), abs(other - ground)) >= 24


def test_page_1_names_the_check_only_where_the_next_step_does_not(poor):
    short = why_in_short(poor, TEXTS, "en")
    assert short["title"] == "Why it failed"
    assert short["text"] == "Very likely cause: salty soil (86 %)."
    bare = replace(poor, next_step=replace(poor.next_step, messages=()))
    told = why_in_short(bare, TEXTS, "en")["text"]
    assert told.endswith("First check: look over the whole field and see what the bad parts follow.")


@pytest.mark.parametrize("state", ["suppressed", "wrong_time"])
def test_what_is_no_failure_is_not_called_one(poor, state):
    short = why_in_short(replace(poor, diagnosis=a_diagnosis(state=state)), TEXTS, "en")
    assert short["title"] == "Causes, and what to check next"


@pytest.mark.parametrize("ends", [(None, None), (0.001, 0.006)])
def test_a_range_that_says_nothing_is_left_out(poor, ends):
    low, high = ends
    bare = replace(chance(0.005), low=low, high=high)
    found = a_diagnosis(causes=(replace(a_cause("salinity", 0.005), probability=bare),))
    assert page(replace(poor, diagnosis=found))["bars"][0]["interval"] == ""


@pytest.mark.parametrize("paper", PAPERS)
def test_fields_of_the_invented_season_have_room(paper, read_causes):
    season, knowledge = demo_book(), load()
    fields = season.by_field()
    for name in ("north-05", "north-20", "south-06", "south-08"):
        advice = advise(fields[name], season.settings, knowledge, season.settings.today)
        words = read_causes(advice, paper)
        assert "…" not in words  # no sentence is cut short
        assert render(advice.diagnosis.causes[0].next_season) in words
        assert "What is known, and what it says of the causes" in words
        document = pypdfium2.PdfDocument(io.BytesIO(report(advice, paper)))
        text = document[1].get_textpage()
        foot = 15 / 25.4 * 72
        bottoms = [text.get_charbox(index)[1] for index in range(text.count_chars())]
        assert not [bottom for bottom in bottoms if foot - 4.5 / 25.4 * 72 + 1 < bottom < foot - 3]
        text.close()
        document.close()
