"""The pages as a reader has them: read back from the PDF."""

import io
from dataclasses import replace

import pypdf
import pypdfium2
import pytest
from tests.report.a_nitrogen import say

from spadework.advice.messages import render
from spadework.advice.value import Message, Missing
from spadework.quantity import Grade
from spadework.report import UnitSystem, field_report, typeset
from spadework.report.causes import explains
from spadework.report.field import field_page

PAPERS = ("a4", "letter")
MARGIN = 17 / 25.4 * 72  # the side margin, 17 mm in points


def report(advice, paper="a4", units=UnitSystem.METRIC):
    return field_report(advice, paper=paper, units=units)


def character_boxes(pdf):
    """(page size, left, bottom, right, top) of every character that can be seen."""
    document = pypdfium2.PdfDocument(io.BytesIO(pdf))
    for page in document:
        text = page.get_textpage()
        for index in range(text.count_chars()):
            if text.get_text_range(index, 1).strip("\u200b\u00a0\r\n "):
                yield (page.get_size(), *text.get_charbox(index))
        text.close()
        page.close()
    document.close()


@pytest.mark.parametrize("paper", PAPERS)
def test_three_pages_where_there_is_a_cause_to_explain_else_two(advice, paper):
    pages = pypdf.PdfReader(io.BytesIO(report(advice, paper))).pages
    assert len(pages) == (3 if explains(advice) else 2)


@pytest.mark.parametrize("paper", PAPERS)
def test_nothing_stands_in_the_margins(advice, paper):
    for (width, height), left, bottom, right, top in character_boxes(report(advice, paper)):
        assert left >= MARGIN - 1
        assert right <= width - MARGIN + 1
        assert bottom >= 20
        assert top <= height - 20


@pytest.mark.parametrize("paper", PAPERS)
def test_body_ends_above_the_footer(advice, paper):
    """The last way to fit a page is cut off at its foot; no situation may need that."""
    foot = 15 / 25.4 * 72  # bottom margin, 15 mm in points; descenders of the last line may hang 3 points below it
    footer_line = foot - 4.5 / 25.4 * 72  # the footer stands 4.5 mm lower
    between = [box for _, *box in character_boxes(report(advice, paper)) if footer_line + 1 < box[1] < foot - 3]
    assert between == []


def test_page_1_leads_with_the_answer(situation, read_pages):
    first, *_ = read_pages(report(situation("poor")))
    for words in (
        "The lentils in this field are poorly nodulated: the chance of that is over 99 %.",
        "Brook Field, lower half",
        "O. Fenwether",
        "Lentil",
        "24 June 2026",
        "BBCH 39, stem elongation (seen)",
        "in the window",
        "21 % 11 to 34 %",
        "poor over 99 %",
        "The likely cause is: salty soil.",
        "Why it failed Very likely cause: salty soil (86 %). Page 2 sets it out.",
        "First check: look over the whole field",
        "more than 5 effective clusters a plant",
        "What a poor reading now would mean",
        "Old leaves are pale while the young ones are greener",
        "opens 14 to 19 Jun",
    ):
        assert words in first


def test_the_last_page_shows_working_sources_grades_and_cautions(advice, read_pages):
    *_, last = read_pages(report(advice))
    assert "C judgement" in last
    assert "Before digging, have buried cables, gas and water lines located" in last
    assert "Local rules, product labels and licensed advice go before anything on this page." in last
    assert "knowledge 9f2c51d07ab4 · seed 1" in last


def test_every_source_row_has_its_grade_and_citation(situation, read_pages):
    *_, last = read_pages(report(situation("good")))
    for words in (
        "A read at the source target.pea.prairie more than 5 clusters a plant 1",
        "B second-hand thermal_time.pea.flowering 650 degC d from sowing",
        "planning.stop_correlation 0.12, likely 0.05 to 0.25, own figure 4",
        "4 Common practice, no source.",
    ):
        assert words in last


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", ["good", "patchy", "unsettled", "number_only"])
def test_what_decides_stands_on_the_page_however_long_the_list(situation, a_full_basis, read_pages, name, paper):
    *_, last = read_pages(report(replace(situation(name), basis=a_full_basis), paper))
    flat = last.replace(" ", "")  # long ids go on in a second line
    table = flat[flat.index("Figuresused") :]
    judged = table.index("Cjudgement")
    for row, figure in (
        ("target.faba_bean.fifty_nodules", "50nodule/plant"),
        ("classes.share_adequate", "shareofadequate"),
        ("window.any.ten_to_twelve_weeks_from_sowing", ""),
        ("thermal.faba_bean.emergence_first_flower", ""),
        ("window.faba_bean.stage", "budtofullflower"),
        ("planning.stop_correlation", "0.22(0to0.65),ownfigure"),
    ):
        assert row in table
        assert figure in table
    assert table.index("target.faba_bean") < judged < table.index("window.faba_bean.stage")
    cited = {row.citation for row in a_full_basis.rows if row.row.split(".")[0] in ("target", "classes", "window")}
    assert all(citation[:60].replace(" ", "") in table for citation in cited)


def test_patch_is_told_by_word(situation, read_pages):
    first, *_, last = read_pages(report(situation("patchy")))
    assert first.count("poor patch") == 2
    assert "Stops 4 and 5 differ from the rest by more than chance allows." in first
    assert "5, poor patch" in last


def test_number_only_says_so(situation, read_pages):
    first, *_, last = read_pages(report(situation("number_only")))
    assert "No nodule was cut open: judged by number only, colour unknown." in first
    assert "Target: grade C, judgement." in first
    assert "70 to 91 %, by number only" in first
    assert "Nodulation, dug late" in first
    assert "0 nodules cut open" in last


def test_a_visit_that_found_nothing_says_so(situation, read_pages):
    advice = situation("poor")
    first, *_ = read_pages(report(replace(advice, verdict=replace(advice.verdict, none_found=True))))
    assert "no nodules found" in first


def test_a_class_read_too_early_is_only_so_far(situation, read_pages):
    advice = situation("poor")
    first, *_ = read_pages(report(replace(advice, timing=situation("too_early").timing)))
    assert "Nodulation so far" in first
    assert "Enough dug?" not in first


@pytest.mark.parametrize("state", ["too_early", "too_late"])
def test_a_dig_at_the_wrong_time_shows_shares_but_no_chances(situation, read_pages, state):
    advice = situation("poor")
    first, *_, last = read_pages(report(replace(advice, timing=replace(advice.timing, state=state))))
    assert "poor not to be judged at this time" in first
    assert "How sure Not to be judged at this time." in first
    assert "21 % 11 to 34 %" in first
    assert "2 of 10" in first
    assert "over 99 %" not in first.replace(advice.verdict.headline.values["text"], "")
    assert "something wrong" not in last
    assert "Interval: grade" in first


def test_a_patchy_field_is_not_called_by_one_class(situation, read_pages):
    first, *_ = read_pages(report(situation("patchy")))
    assert "patchy poor part 5 %, better part 80 %" in first
    assert "probability 47 %" not in first
    assert "For the average of the field; its parts differ." in first


@pytest.mark.parametrize(("probability", "shown"), [(0.49, "perhaps borderline"), (0.5, "borderline")])
def test_a_class_less_likely_than_not_is_only_perhaps(situation, probability, shown):
    advice = situation("unsettled")
    page = field_page(
        replace(advice, verdict=replace(advice.verdict, probability=probability)), units=UnitSystem.METRIC
    )
    assert page["glance"][0]["value"] == shown
    assert page["glance"][0]["open"] is page["verdict"]["open"] is (probability < 0.5)


def test_grades_of_the_target_and_of_the_interval_are_told_apart(situation, read_pages):
    advice = situation("good")
    share = replace(advice.verdict.share, grade=Grade.JUDGEMENT)
    first, *_ = read_pages(report(replace(advice, verdict=replace(advice.verdict, share=share))))
    assert (
        "Target: grade A, read at the source. "
        "Interval and probability: grade C, judgement on how alike plants of a stop are."
    ) in first


@pytest.mark.parametrize(
    ("row", "told"), [("dig_window.pea.weeks", True), ("target.pea.prairie", False), ("planning.precision", False)]
)
def test_dates_that_rest_on_judgement_say_so(situation, read_pages, row, told):
    advice = situation("good")
    first, *_ = read_pages(report(replace(advice, timing=replace(advice.timing, sources=(row,)))))
    assert ("Dates rest on judgement (grade C) in part: see the last page." in first) is told


def test_without_a_verdict_the_page_says_why(situation, read_pages):
    first, *_, last = read_pages(report(situation("no_target")))
    assert "no verdict" in first
    assert "No target is known for this crop; name one of your own in the book." in first
    assert "No date is known that the window could be counted from." in first
    assert "target: No target is known" in last


def test_what_is_cut_is_counted(situation, read_pages):
    first, *_, last = read_pages(report(situation("crowded")))
    assert "more, see the JSON" in first
    assert "more, see the JSON" in last
    assert "table.soybean.a_rather_long_scope.7" in last.replace("_ ", "_")  # the user's own figure is never cut away


def test_units_reach_the_page(situation, read_pages):
    *_, metric = read_pages(report(situation("good")))
    *_, us = read_pages(report(situation("good"), units=UnitSystem.US))
    assert "512 °C d" in metric
    assert "922 °F d" in us


@pytest.mark.parametrize(
    "name",
    [
        "#let x = 3; $a$ [b] *c* _d_ @ref <l> \\ ` ~ // /* */",
        "<script>alert(1)</script> & \"quotes\" 'more'",
        "Поле за рекой, Χωράφι, Łąka",
    ],
)
def test_awkward_text_is_only_text(situation, read_pages, name):
    first, *_, last = read_pages(report(replace(situation("good"), name=name, grower=name)))
    assert first.count(name) == 2
    assert last.count(name) == 1


@pytest.mark.parametrize("name", ["שדה הצפון", "حقل الشمال"])
def test_text_from_right_to_left(situation, read_pages, name):
    first, *_ = read_pages(report(replace(situation("good"), name=name)))
    # Extraction turns the order of words, never their letters.
    assert all(part in first for part in name.split())


@pytest.mark.parametrize("name", ["北の畑", "उत्तर खेत", "🌱", "\x00\x1b[31m", "\ud800", "W" * 5000, "many words " * 500])
def test_text_that_no_face_can_draw_does_not_stop_the_page(situation, name):
    advice = replace(situation("good"), name=name, grower=name)
    assert len(pypdf.PdfReader(io.BytesIO(report(advice))).pages) == 2


def test_endless_words_stay_inside_their_column(situation):
    advice = situation("crowded")
    words = replace(advice.timing.headline, values={"text": "W" * 3000})
    timing = replace(advice.timing, headline=words, a_poor_reading_means=words, a_poor_reading_does_not_mean=words)
    verdict = replace(advice.verdict, headline=words, reasons=(words,) * 3)
    pdf = report(replace(advice, name="W" * 3000, grower="W" * 3000, timing=timing, verdict=verdict))
    assert max(right - size[0] for size, _, _, right, _ in character_boxes(pdf)) <= -MARGIN + 1


@pytest.mark.parametrize("paper", PAPERS)
def test_same_advice_same_bytes(situation, paper):
    once = report(situation("patchy"), paper)
    typeset._compiler.cache_clear()
    assert report(situation("patchy"), paper) == once


@pytest.mark.parametrize("rows", [0, 1, 2])
def test_few_sources_are_set_in_full(situation, read_pages, rows):
    advice = situation("good")
    *_, last = read_pages(report(replace(advice, basis=replace(advice.basis, rows=advice.basis.rows[:rows]))))
    assert "see the JSON" not in last
    assert all(row.row in last for row in advice.basis.rows[:rows])
    assert "Nine in ten nodules cut open were red or pink: they are at work." in last


def test_reader_software_finds_title_language_and_words_for_figures(situation):
    reader = pypdf.PdfReader(io.BytesIO(report(situation("good"))))
    root = reader.trailer["/Root"]
    assert reader.metadata.title == "Field report: North Twelve"
    assert root["/Lang"] == "en"
    assert root["/MarkInfo"]["/Marked"]
    words = set(alternative_texts(root["/StructTreeRoot"]))
    assert len(words) == 4
    assert "Probability of each class." in words


def alternative_texts(node):
    node = node.get_object() if hasattr(node, "get_object") else node
    if isinstance(node, list):
        for part in node:
            yield from alternative_texts(part)
    elif isinstance(node, dict):
        if "/Alt" in node:
            yield str(node["/Alt"])
        if "/K" in node:
            yield from alternative_texts(node["/K"])


def test_reasons_do_not_repeat_the_headline(situation):
    advice = situation("good")
    verdict = replace(advice.verdict, reasons=(advice.verdict.headline, *advice.verdict.reasons))
    page = field_page(replace(advice, verdict=verdict), units=UnitSystem.METRIC)
    assert page["headline"] not in page["why"]["items"]
    assert len(page["why"]["items"]) == 6


def test_page_1_tells_colour_position_and_disagreement_after_two_reasons(situation):
    advice = situation("unsettled")
    reasons = field_page(advice, units=UnitSystem.METRIC)["why"]["items"]
    assert reasons[2:5] == [
        "Nine in ten nodules cut open were red or pink: they are at work.",
        "Crown nodules lead, as they do where the inoculant worked; laterals add to them.",
        "Score a few plants together.",
    ]
    assert reasons[5] == "Nodules sit on the crown of 26 plants: the inoculant reached the young root."
    agreed = replace(advice.readings.agreement, warning=False)
    advice = replace(advice, readings=replace(advice.readings, agreement=agreed))
    assert "Score a few plants together." not in field_page(advice, units=UnitSystem.METRIC)["why"]["items"]


def test_a_stage_that_overrides_the_window_is_told_under_the_headline(situation):
    advice = situation("good")
    note = Message("timing.by_stage", {"bbch": 39})
    page = field_page(replace(advice, timing=replace(advice.timing, notes=(note,))), units=UnitSystem.METRIC)
    assert page["timing_headline"] == f"{render(advice.timing.headline)} {render(note)}"
    assert field_page(advice, units=UnitSystem.METRIC)["timing_headline"] == render(advice.timing.headline)


def test_stage_in_words(situation):
    facts = dict(field_page(situation("too_early"), units=UnitSystem.METRIC)["facts"])
    assert facts["Stage"] == "BBCH 11 to 13, leaf development (estimated)"
    advice = situation("good")
    stage = replace(advice.timing.stage, seen=None)
    facts = dict(field_page(replace(advice, timing=replace(advice.timing, stage=stage)), units=UnitSystem.US)["facts"])
    assert facts["Stage"] == "BBCH 18 to 51, leaf development to stem elongation (estimated)"


@pytest.mark.parametrize("paper", PAPERS)
def test_page_1_shows_need_against_supply(situation, read_pages, paper):
    advice = situation("good")
    first, *_ = read_pages(report(advice, paper))
    for words in (
        "The season: dig window and nitrogen",
        "kg N/ha",
        "Need 151 (142 to 162)",
        "Nodules 33 (9 to 75)",
        "Soil 61 (34 to 100)",
        "Ripe",
        "30 Jul to 13 Aug, estimated",
        "dug 24 Jun",
        "today 26 Jun",
        render(advice.nitrogen.headline),
    ):
        assert words in first


@pytest.mark.parametrize("paper", PAPERS)
def test_the_working_says_what_the_crop_leaves(situation, read_pages, paper):
    *_, last = read_pages(report(situation("good"), paper))
    for words in (
        "What the crop leaves",
        "Fixed minus grain, shoot alone −72",
        "Fixed minus grain, with roots −60",
        "Residue below ground 28",
        "A soil test will show it: 35 (15 to 55) or 54 (27 to 81) or 32 (19 to 52) kg/ha.",
        "Flat allowance: 45 kg/ha.",
        "Fertiliser saved: 60 or 27 (23 to 31) kg/ha.",
    ):
        assert words in last


def test_the_nitrogen_figure_has_words_for_those_who_cannot_see_it(situation):
    root = pypdf.PdfReader(io.BytesIO(report(situation("good")))).trailer["/Root"]
    words = next(text for text in alternative_texts(root["/StructTreeRoot"]) if "dig window" in text)
    assert "need 151 kg/ha (142 to 162), from nodules 33 kg/ha (9 to 75), from the soil 61 kg/ha (34 to 100)" in words


def test_the_last_page_shows_the_balance_and_what_would_narrow_it(situation, read_pages):
    *_, last = read_pages(report(situation("good"), units=UnitSystem.US))
    assert "Gap at ripeness 41 lb/ac 0 to 74" in last
    assert "How well the nodules work makes 41 % of the doubt: cut nodules open." in last


def test_without_a_balance_page_1_says_which_record_is_missing(situation, read_pages):
    missing = (Missing("expected_yield", say("expected yield"), say("whether there is nitrogen enough")),)
    first, *_, last = read_pages(report(replace(situation("good"), nitrogen=None, missing=missing)))
    assert "Whether there is nitrogen enough cannot be reckoned; not recorded: expected yield." in first
    assert "kg N/ha" not in first
    assert "Nitrogen above ground" not in last


@pytest.mark.parametrize("paper", PAPERS)
def test_no_text_of_page_1_is_smaller_than_9_points(advice, paper):
    document = pypdfium2.PdfDocument(io.BytesIO(report(advice, paper)))
    text = document[0].get_textpage()
    sizes = [
        pypdfium2.raw.FPDFText_GetFontSize(text, index)
        for index in range(text.count_chars())
        if text.get_text_range(index, 1).strip("\u200b\u00a0\r\n ")
    ]
    text.close()
    document.close()
    assert min(sizes) >= 8.99
