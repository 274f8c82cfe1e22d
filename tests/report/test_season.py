import io
from dataclasses import replace

import pypdf
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.report.decisions import a_decision, dig_again, left_alone

from spadework.advice.value import NextStep
from spadework.report import UnitSystem, season_report
from spadework.report.season import attention_order, season_page


@pytest.fixture
def season(situation):
    """One field of each kind, in the order of the alphabet."""
    return [
        situation(name) for name in ("good", "no_target", "number_only", "patchy", "poor", "too_early", "unsettled")
    ]


def page(fields, **changes):
    return season_page(fields, **({"title": "Round", "season": "2026", "units": UnitSystem.METRIC} | changes))


def report(fields, paper="a4"):
    return season_report(fields, title="Hollow Vale round", season="2026", paper=paper, units=UnitSystem.METRIC)


def test_what_needs_attention_comes_first(season):
    names = [row["name"] for row in page(season)["rows"]]
    assert names == [
        "Mill Seven",  # poor, not settled
        "Brook Field, lower half",  # poor, settled
        "soy-3",  # borderline
        "Ridge One",  # no verdict: too early
        "Lupin Four",  # no verdict: time not known
        "Chalk Bank",  # settled, but dug too late
        "North Twelve",  # adequate, in the window
    ]


@given(st.randoms(use_true_random=False))
def test_order_of_fields_does_not_matter(random):
    from tests.report.conftest import SITUATIONS

    fields = [make() for make in SITUATIONS.values()]
    ordered = sorted(fields, key=attention_order)
    random.shuffle(fields)
    assert sorted(fields, key=attention_order) == ordered


def test_counts(season):
    assert [(cell["word"], cell["n"]) for cell in page(season)["counts"]] == [
        ("poor", 2),
        ("borderline", 1),
        ("adequate", 1),
        ("not settled", 2),
        ("at the wrong time", 1),
        ("no verdict", 2),
    ]


def test_dig_again_lists_what_digging_can_mend(season):
    again = page(season)["again"]
    assert [item["name"] for item in again] == ["Mill Seven (mill-7)", "soy-3", "Ridge One (ridge-1)"]
    assert again[2]["what"].startswith("Dig from 19 June 2026: by then the window is open for certain.")


def test_figure_groups_by_crop_and_leaves_out_fields_without_a_verdict(season):
    groups = page(season)["groups"]
    assert [group["crop"] for group in groups] == ["Pea", "Lentil", "Chickpea", "Soybean"]
    assert [row["name"] for row in groups[0]["rows"]] == ["Mill Seven", "North Twelve"]


def test_a_class_read_at_the_wrong_time_is_named_so(season, situation):
    early = replace(situation("poor"), field="early", name="Early", timing=situation("too_early").timing)
    rows = {row["name"]: row for row in page([*season, early])["rows"]}
    assert rows["Early"]["class"] == "so far poor"
    assert rows["Chalk Bank"]["class"] == "late, adequate"
    assert rows["Mill Seven"]["class"] == "poor"


def test_a_field_to_dig_without_a_day_tells_its_time(season, situation):
    timing = replace(situation("no_target").timing, dug_on=None)
    undug = replace(situation("no_target"), field="undug", timing=timing, next_step=NextStep((), dig_again=True))
    what = {item["name"]: item["what"] for item in page([*season, undug])["again"]}
    assert what["Lupin Four (undug)"] == timing.headline.values["text"]


def test_heat_sum_follows_the_units(season):
    assert page(season, units=UnitSystem.US)["rows"][0]["heat"] == "922 °F d"


def test_sources_stand_once_with_the_number_of_fields(season):
    sources = page(season)["sources"]
    assert [row["fields"] for row in sources["rows"]] == [7] * 5
    own = replace(season[0].basis.rows[0], overridden=True, figure="more than 8 clusters a plant")
    season[0] = replace(season[0], basis=replace(season[0].basis, rows=(own,)))
    rows = {(row["row"], row["overridden"]): row["fields"] for row in page(season)["sources"]["rows"]}
    assert rows["target.pea.prairie", True] == 1
    assert rows["target.pea.prairie", False] == 6


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_report_holds_every_field(season, read_pages, paper):
    text = " ".join(read_pages(report(season, paper)))
    for advice in season:
        assert (advice.name or advice.field) in text
    for words in ("Hollow Vale round", "Dig again", "buried cables", "own figure", "as of 20 July 2026"):
        assert words in text


def test_a_long_season_takes_more_pages_and_repeats_the_heads(season, read_pages):
    many = [
        replace(advice, field=f"{advice.field}-{n}", name=f"Field {n}-{advice.field}")
        for n in range(12)
        for advice in season
    ]
    pages = read_pages(report(many))
    assert len(pages) > 3
    assert sum("Enough dug?" in text for text in pages) >= 2
    assert all(advice.name in " ".join(pages) for advice in many)


def test_same_fields_in_any_order_give_the_same_bytes(season):
    assert report(season) == report(season[::-1])


def test_empty_season(read_pages):
    pdf = report([])
    assert "There are no fields in this season." in read_pages(pdf)[0]
    assert pypdf.PdfReader(io.BytesIO(pdf)).metadata.title == "Hollow Vale round 2026"


def test_a_named_cause_stands_under_its_field(season, read_pages):
    causes = {row["name"]: row["cause"] for row in page(season)["rows"]}
    assert causes["Brook Field, lower half"] == "salty soil, 86 %"
    assert {cause for name, cause in causes.items() if name != "Brook Field, lower half"} == {""}
    assert "Brook Field, lower half Lentil salty soil, 86 %" in " ".join(read_pages(report(season)))


def test_a_dig_at_the_wrong_time_is_told_by_its_column_alone(situation):
    advice = situation("poor")
    late = replace(advice, diagnosis=replace(advice.diagnosis, state="wrong_time"))
    assert page([late])["rows"][0]["cause"] == ""


def test_what_must_be_done_soon_comes_first_and_says_by_when(season, situation, read_pages):
    soon = replace(situation("good"), field="soon", name="Soon", decision=dig_again())
    later = replace(situation("patchy"), field="later", name="Later", decision=a_decision())
    left = replace(situation("poor"), field="left", name="Left", decision=left_alone("too_late"))
    rows = page([*season, left, later, soon])["rows"]
    assert [(row["name"], row["decision"], row["by"]) for row in rows[:2]] == [
        ("Soon", "dig again", "by 3 Jul"),
        ("Later", "give nitrogen", "by 6 Jul"),
    ]
    assert {row["name"]: row["decision"] for row in rows[2:]}["Left"] == "leave it"
    # One field differs within itself: nitrogen is for the part of it that failed.
    assert {row["name"]: row["where"] for row in rows if row["where"]} == {"Later": "part that failed"}
    text = " ".join(read_pages(report([*season, left, later, soon])))
    assert "dig again by 3 Jul" in text
    assert text.index("Soon") < text.index("Mill Seven")


def test_without_any_decision_there_is_no_column_for_it(season, read_pages):
    assert not page(season)["decided"]
    assert "Decision" not in " ".join(read_pages(report(season)))
