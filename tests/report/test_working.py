from dataclasses import replace

import pytest

from spadework.advice.value import DateRange
from spadework.quantity import Quantity
from spadework.report.display import UnitSystem
from spadework.report.labels import labels
from spadework.report.working import basis_line, folded_source_rows, source_rows, working

TEXTS = labels()


def page_2(advice, units=UnitSystem.METRIC):
    return working(advice, units=units, texts=TEXTS, language="en")


def test_degree_days_name_their_rule_base_and_days(situation):
    rows = dict(page_2(situation("good"))["timing"]["rows"])
    assert rows["Degree-days"] == (
        "512 °C d from 6 May 2026 to 24 June 2026; mean of the day, then the base; "
        "base 4.0 °C, cap 30.0 °C; 0 days missing, 2 filled in, 0 from normals"
    )


def test_degree_days_in_us_units(situation):
    # 512.4 x 1.8 = 922.3; 4 degC = 39.2 degF; 30 degC = 86 degF.
    rows = dict(page_2(situation("good"), UnitSystem.US)["timing"]["rows"])
    assert rows["Degree-days"].startswith("922 °F d from")
    assert "base 39.2 °F, cap 86.0 °F" in rows["Degree-days"]


def test_calendar_clock_shows_weeks_days_and_anchor(situation):
    advice = situation("good")
    assert dict(page_2(advice)["timing"]["rows"])["Calendar"] == "7.0 weeks (49 days) from sowing, 6 May"
    vague = replace(
        advice.timing,
        anchor="emergence",
        anchor_date=DateRange(advice.timing.emergence.low, advice.timing.emergence.high),
        days_since_anchor=Quantity(35.5, "d", 33, 38),
    )
    rows = dict(page_2(replace(advice, timing=vague))["timing"]["rows"])
    assert rows["Calendar"] == "4.7 to 5.4 weeks (33 to 38 days) from emergence, 17 to 22 May"


def test_clocks_that_nobody_can_read_say_so(situation):
    rows = dict(page_2(situation("no_target"))["timing"]["rows"])
    assert rows["Calendar"] == "no anchor date recorded"
    assert rows["Degree-days"] == "no weather recorded"


def test_index_bars_are_shares_of_their_most(situation):
    index = page_2(situation("good"))["index"]
    assert [row["most"] for row in index["rows"]] == [5, 5, 3, 13]
    assert index["rows"][0]["at"] == pytest.approx(4.2 / 5)
    assert index["rows"][3]["text"] == "11.1 (10.5 to 11.7)"
    assert index["judgement"] is True


def test_sources_share_the_number_of_one_citation(situation):
    sources = source_rows(situation("good").basis.rows, TEXTS)
    assert [row["sources"] for row in sources["rows"]] == [[1], [2], [3], [4], [4]]
    assert len(sources["citations"]) == 4


def test_sources_stand_under_their_grades_in_words(situation):
    assert [row["grade"] for row in source_rows(situation("good").basis.rows, TEXTS)["rows"]] == [
        "A read at the source",
        "A read at the source",
        "B second-hand",
        "C judgement",
        "C judgement",
    ]


def test_own_figures_the_target_and_the_limits_are_cut_last(a_full_basis):
    rows = folded_source_rows(a_full_basis.rows, TEXTS)["rows"]
    order = [row["row"] for row in sorted(rows, key=lambda row: row["keep"])]
    assert order[:2] == ["planning.stop_correlation", "target.faba_bean.fifty_nodules"]
    assert order[2:4] == ["classes.share_adequate", "classes.three_factor"]
    assert {name.split(".")[0] for name in order[4:9]} == {"window", "thermal", "cardinal", "late"}
    assert rows[0]["grade"] == "A read at the source"


def test_wordy_tables_share_a_line_with_all_their_citations(a_full_basis):
    sources = folded_source_rows(a_full_basis.rows, TEXTS)
    index = next(row for row in sources["rows"] if row["row"] == "index.* (10 rows)")
    assert index["grade"] == "C judgement"
    assert [sources["citations"][number - 1] for number in index["sources"]] == [
        "Judgement of the authors of this tool, to be replaced by a local figure where there is one",
        "Rule of this tool, stated in its documentation",
    ]
    names = [row["row"] for row in sources["rows"]]
    assert "caution.* (5 rows)" in names
    assert "caution.not_nitrogen" in names  # the only one of its grade
    assert len(source_rows(a_full_basis.rows, TEXTS)["rows"]) == 50


def test_an_own_figure_never_hides_in_a_folded_line(a_full_basis):
    own = [replace(row, overridden=row.row == "index.total_sd") for row in a_full_basis.rows]
    rows = {row["row"]: row for row in folded_source_rows(own, TEXTS)["rows"]}
    assert rows["index.total_sd"]["overridden"]
    assert "index.* (9 rows)" in rows


def test_agreement_with_nothing_to_report_is_left_out(situation):
    assert page_2(situation("poor"))["agreement"] is None
    line = page_2(situation("unsettled"))["agreement"]
    assert line["warning"] is True
    assert line["line"] == "5 plants scored twice; by C. Alder, D. Reed; weighted kappa 0.31; observed agreement 50 %"


def test_colours_that_nobody_saw_are_not_zero(situation):
    colour = page_2(situation("number_only"))["colour"]
    assert colour["parts"] == []
    assert colour["cut"] == "0 nodules cut open"


def test_basis_line(situation):
    assert basis_line(situation("good"), TEXTS) == (
        "Spadework 0.1.0 · knowledge 9f2c51d07ab4 · seed 1 · intervals hold 90 % · advised on 26 June 2026"
    )


def test_plan_and_summary(situation):
    work = page_2(situation("good"))
    assert work["plan"] == [
        "Fixed plan: 60 plants in 6 stops for ± 10 %",
        "Likeness of plants within a stop: 0.06 (0.00 to 0.20)",
    ]
    assert work["summary"] == (
        "30 plants in 3 stops; 25 adequate as counted; effective clusters a plant: 7.8 (6.9 to 8.8)."
    )
