import datetime as dt
from dataclasses import replace

import pytest
from tests.report.a_nitrogen import a_nitrogen
from tests.report.decisions import WINDOW, a_decision, dig_again, left_alone

from spadework.advice.value import DateRange
from spadework.report.display import UnitSystem
from spadework.report.labels import labels
from spadework.report.timeline import short_day, short_days, timeline

TEXTS = labels()


def day(month, number, year=2026):
    return dt.date(year, month, number)


def drawn(timing, today, nitrogen=None, decision=None):
    return timeline(timing, today=today, nitrogen=nitrogen, decision=decision, units=UnitSystem.METRIC, texts=TEXTS)


@pytest.fixture
def timing(situation):
    return situation("good").timing


@pytest.mark.parametrize(
    ("low", "high", "text"),
    [
        (day(6, 24), day(6, 24), "24 Jun"),
        (day(6, 3), day(6, 12), "3 to 12 Jun"),
        (day(5, 28), day(6, 4), "28 May to 4 Jun"),
        (day(12, 28, 2025), day(1, 4), "28 Dec to 4 Jan"),
    ],
)
def test_short_days(low, high, text):
    assert short_days(DateRange(low, high), TEXTS) == text


def test_short_day():
    assert short_day(day(2, 1), TEXTS) == "1 Feb"


def test_places_by_hand(timing):
    """Sown 1 January, dug 100 days later: 4 days of margin on each side, so the places are 4/108 and 104/108."""
    alone = replace(
        timing,
        dug_on=day(4, 11),
        anchor_date=DateRange(day(1, 1), day(1, 1)),
        emergence=None,
        first_flower=None,
        opens=None,
        closes=None,
    )
    line = drawn(alone, today=day(4, 11))
    assert line["rows"][0]["bars"] == [(round(4 / 108, 5), round(4 / 108, 5), "sure")]
    assert line["marks"] == [{"at": round(104 / 108, 5), "kind": "dug", "text": "dug today, 11 Apr"}]
    assert [tick["text"] for tick in line["ticks"]] == ["1 Jan", "1 Feb", "1 Mar", "1 Apr"]
    assert line["years"] == "2025–2026"


def test_a_late_today_is_pointed_at_and_does_not_squeeze_the_season(timing):
    near, far = drawn(timing, today=day(6, 26)), drawn(timing, today=day(9, 20))
    assert far["marks"][1] == {"at": 1.0, "kind": "today", "text": "today 20 Sep →"}
    assert far["rows"] == near["rows"]


def test_rows_in_the_order_of_the_season(timing):
    line = drawn(timing, today=day(6, 26))
    assert [row["label"] for row in line["rows"]] == ["Sowing", "Emergence", "Dig window", "First flower"]
    assert line["rows"][0]["texts"] == ["6 May, seen"]
    assert line["rows"][1]["texts"] == ["17 to 22 May, estimated"]
    assert line["rows"][2]["texts"] == ["opens 14 to 19 Jun", "closes 1 to 12 Jul"]


def test_window_is_pale_where_it_is_not_certain(timing):
    (window,) = (row for row in drawn(timing, today=day(6, 26))["rows"] if row["window"])
    assert [kind for _, _, kind in window["bars"]] == ["maybe", "sure", "maybe"]
    ends = [place for bar in window["bars"] for place in bar[:2]]
    assert ends == sorted(ends)


def test_window_whose_ends_overlap_is_pale_all_through(timing):
    wide = replace(timing, opens=DateRange(day(6, 1), day(7, 10)), closes=DateRange(day(7, 1), day(7, 20)))
    (window,) = (row for row in drawn(wide, today=day(6, 26))["rows"] if row["window"])
    assert [kind for _, _, kind in window["bars"]] == ["maybe"]


@pytest.mark.parametrize(
    ("change", "texts", "end"),
    [
        ({"closes": None}, ["opens 14 to 19 Jun", "end not known"], 1.0),
        ({"opens": None}, ["opening not known", "closes 1 to 12 Jul"], 0.0),
    ],
)
def test_open_window_reaches_the_edge(timing, change, texts, end):
    (window,) = (row for row in drawn(replace(timing, **change), today=day(6, 26))["rows"] if row["window"])
    assert window["texts"] == texts
    assert end in (window["bars"][0][0], window["bars"][-1][1])


def test_dug_and_today(timing):
    assert [mark["text"] for mark in drawn(timing, today=day(6, 26))["marks"]] == ["dug 24 Jun", "today 26 Jun"]
    assert [mark["text"] for mark in drawn(timing, today=day(6, 24))["marks"]] == ["dug today, 24 Jun"]


def test_emergence_as_anchor_is_drawn_once(timing):
    anchored = replace(timing, anchor="emergence", anchor_date=timing.emergence)
    assert [row["label"] for row in drawn(anchored, today=day(6, 26))["rows"]].count("Emergence") == 1


def test_everything_lies_on_the_line(advice):
    line = drawn(advice.timing, today=advice.advised_on)
    if line is None:
        assert advice.timing.opens is None
        return
    places = [place for row in line["rows"] for bar in row["bars"] for place in bar[:2]]
    places += [mark["at"] for mark in line["marks"]] + [tick["at"] for tick in line["ticks"]]
    assert min(places) >= 0
    assert max(places) <= 1


def test_few_tick_texts_on_a_short_line(timing):
    ticks = drawn(timing, today=day(6, 26))["ticks"]
    assert len(ticks) == 11
    assert len([tick for tick in ticks if tick["text"]]) <= 7


def test_with_a_balance_the_line_runs_on_to_ripeness(timing):
    line = drawn(timing, day(6, 26), a_nitrogen())
    assert [row["label"] for row in line["rows"]] == ["Sowing", "Emergence", "Dig window", "First flower", "Ripe"]
    assert line["rows"][-1]["texts"] == ["30 Jul to 13 Aug, estimated"]
    assert line["rows"][-1]["bars"][0][1] <= 1
    assert line["nitrogen"]["need"]["mid"][-1][0] == line["rows"][-1]["bars"][0][1]  # 13 August in both
    assert drawn(timing, day(6, 26))["nitrogen"] is None


def test_first_flower_is_of_the_same_clock_as_ripeness(timing):
    def flower(nitrogen):
        rows = {row["label"]: row["texts"] for row in drawn(timing, day(6, 26), nitrogen)["rows"]}
        return rows["First flower"]

    assert flower(a_nitrogen()) == ["28 Jun to 4 Jul, estimated"]
    assert flower(replace(a_nitrogen(), flowers=None)) == ["27 Jun to 8 Jul, estimated"]
    assert flower(None) == ["27 Jun to 8 Jul, estimated"]


def test_until_when_nitrogen_helps_is_a_row_of_its_own(timing):
    line = drawn(timing, day(6, 26), a_nitrogen(), a_decision())
    (row,) = (row for row in line["rows"] if row["label"] == "Nitrogen helps")
    assert row["texts"] == ["most until 2 to 6 Jul", "some until 14 to 20 Jul"]
    assert [kind for _, _, kind in row["bars"]] == ["best", "less", "closing"]
    (emergence,) = (row for row in line["rows"] if row["label"] == "Emergence")
    assert row["bars"][0][0] == emergence["bars"][0][0]
    ends = [place for bar in row["bars"] for place in bar[:2]]
    assert ends == sorted(ends)
    assert "Until when nitrogen helps: most until 2 to 6 Jul, some until 14 to 20 Jul." in line["alt"]


def test_a_window_that_has_closed_says_so(timing):
    line = drawn(timing, day(7, 26), a_nitrogen(), left_alone("too_late", window=replace(WINDOW, state="closed")))
    assert line["rows"][-1]["texts"] == ["most until 2 to 6 Jul", "ended 14 to 20 Jul"]


def test_a_crop_that_nitrogen_cannot_help_has_no_such_row(timing):
    line = drawn(timing, day(6, 26), a_nitrogen(), left_alone("working"))
    assert "Nitrogen helps" not in [row["label"] for row in line["rows"]]
    assert "nitrogen helps" not in line["alt"]


def test_the_day_to_dig_again_stands_where_it_is_the_decision(timing):
    rows = {row["label"]: row for row in drawn(timing, day(6, 26), None, dig_again())["rows"]}
    assert rows["Dig again"]["texts"] == ["3 Jul"]
    start, end, _ = rows["Dig again"]["bars"][0]
    assert start == end
    assert 0 < start < 1
    assert "Dig again" not in [row["label"] for row in drawn(timing, day(6, 26), None, a_decision())["rows"]]


def test_days_of_the_decision_after_all_others_still_lie_on_the_line(timing):
    late = replace(WINDOW, closes=(day(9, 1), day(9, 10)))
    row = drawn(timing, day(6, 26), None, a_decision(window=late))["rows"][-1]
    assert row["bars"][-1][1] <= 1
