from dataclasses import replace

import pytest
from tests.report.a_nitrogen import a_course, a_nitrogen, amount, say
from tests.report.decisions import a_decision

from spadework.advice.message import Message
from spadework.advice.messages import render
from spadework.advice.value import Missing
from spadework.agronomy.season.nodulation import DigReading
from spadework.knowledge.rows import Crop
from spadework.report.display import UnitSystem
from spadework.report.labels import labels
from spadework.report.nitrogen import (
    nitrogen_figure,
    nitrogen_note,
    nitrogen_rows,
    nitrogen_told,
    nitrogen_work,
    without_balance,
)
from spadework.report.reader import reader_of
from spadework.report.scale import DayScale

TEXTS = labels()


def drawn(nitrogen, units=UnitSystem.METRIC):
    scale = DayScale(nitrogen.course.days[0], nitrogen.course.days[-1])
    return nitrogen_figure(nitrogen, scale=scale, units=units, texts=TEXTS)


def rows(nitrogen, units=UnitSystem.METRIC, crop=Crop.PEA):
    return {
        name: (likely, interval)
        for name, likely, interval in nitrogen_rows(nitrogen, crop=crop, units=units, texts=TEXTS)
    }


def headline(advice, units=UnitSystem.METRIC):
    return nitrogen_told(advice, reader_of(advice, units))


def test_beside_a_decision_on_a_part_figures_of_the_whole_field_say_so(situation):
    patchy = replace(situation("patchy"), decision=a_decision())
    reader = reader_of(patchy, UnitSystem.METRIC)

    assert headline(patchy).startswith("Whole field: ")
    assert nitrogen_work(patchy, reader)["title"] == "Nitrogen above ground, whole field"
    for alike in (situation("patchy"), replace(situation("poor"), decision=a_decision())):
        assert not headline(alike).startswith("Whole field")
        assert nitrogen_work(alike, reader)["title"] == "Nitrogen above ground"


def without(situation, *records):
    missing = tuple(Missing(record, say(record), say("something")) for record in records)
    return replace(situation("good"), nitrogen=None, missing=missing)


def heights(line):
    return [height for _, height in line]


def test_the_supply_is_drawn_by_its_own_interval_not_by_sums_of_its_parts():
    figure = drawn(a_nitrogen())
    # At the end: soil 61; supply 70, 96 and 126; need 142, 151 and 162; 3 % of room over the highest, 162.
    top = 1.03 * 162
    assert [figure["soil"][end][-1][1] for end in ("low", "mid", "high")] == pytest.approx(
        [34 / top, 61 / top, 101 / top], abs=1e-5
    )
    assert [figure["supply"][end][-1][1] for end in ("low", "mid", "high")] == pytest.approx(
        [70 / top, 96 / top, 126 / top], abs=1e-5
    )
    assert [figure["need"][end][-1][1] for end in ("low", "mid", "high")] == pytest.approx(
        [142 / top, 151 / top, 162 / top], abs=1e-5
    )


def test_everything_drawn_lies_inside_the_figure():
    for course in (a_course(), a_course(need=(80, 90, 95), supply=(80, 150, 190), soil=(60, 90, 140))):
        figure = drawn(a_nitrogen(course=course))
        for lines in (figure["need"], figure["soil"], figure["supply"]):
            for line in lines.values():
                assert all(0 <= place <= 1 and 0 <= height <= 1 for place, height in line)
                assert heights(line) == sorted(heights(line))


def test_days_run_from_left_to_right():
    line = drawn(a_nitrogen())["need"]["mid"]
    assert [place for place, _ in line] == sorted(place for place, _ in line)
    assert len(line) == len(a_course().days)


def test_lines_are_labelled_at_their_ends_with_their_intervals():
    ends = {end["kind"]: (end["name"], end["text"]) for end in drawn(a_nitrogen())["ends"]}
    assert ends == {
        "need": ("Need", "151 (142 to 162)"),
        "fixed": ("Nodules", "33 (9 to 75)"),
        "soil": ("Soil", "61 (34 to 100)"),
    }


@pytest.mark.parametrize(
    ("units", "axis", "amounts", "need"),
    [
        (UnitSystem.METRIC, "kg N/ha", ["0", "50", "100", "150"], "151 (142 to 162)"),
        # 1 kg/ha is 0.892 lb/ac: by definition 0.45359237 kg a pound and 0.40468564 ha an acre
        (UnitSystem.US, "lb N/ac", ["0", "50", "100"], "135 (127 to 145)"),
        (UnitSystem.CANADA, "lb N/ac", ["0", "50", "100"], "135 (127 to 145)"),
    ],
)
def test_amounts_follow_the_units(units, axis, amounts, need):
    figure = drawn(a_nitrogen(), units)
    assert figure["axis"] == axis
    assert [amount["text"] for amount in figure["amounts"]] == amounts
    assert figure["ends"][0]["text"] == need
    unit = axis.replace(" N", "")
    assert f"need {need.replace(' (', f' {unit} (')}" in figure["alt"]


def test_an_amount_stands_where_the_lines_have_it():
    figure = drawn(a_nitrogen(course=a_course(need=(100, 150, 150))))
    at_150 = next(amount["at"] for amount in figure["amounts"] if amount["text"] == "150")
    assert at_150 == pytest.approx(figure["need"]["mid"][-1][1], abs=1e-5)


@pytest.mark.parametrize("most", [3, 12, 40, 75, 110, 190, 260, 420, 900])
def test_few_round_amounts_on_the_axis(most):
    figure = drawn(a_nitrogen(course=a_course(need=(most, most, most), supply=(0, 0, 0), soil=(0, 0, 0))))
    amounts = [float(amount["text"]) for amount in figure["amounts"]]
    assert amounts[0] == 0
    assert len(amounts) <= 4
    assert all(amount <= 1.03 * most for amount in amounts)


def test_rows_of_the_working():
    assert rows(a_nitrogen()) == {
        "Needed for 3 t/ha by ripeness": ("151 kg/ha", "142 to 162"),
        "Fixed by nodules by then": ("33 kg/ha", "9 to 75"),
        "From the soil by then": ("61 kg/ha", "34 to 100"),
        "From the seed": ("6 kg/ha", "4 to 8"),
        "Share of the crop’s N fixed": ("32 %", "11 to 58 %"),
        "Gap today": ("16 kg/ha", "0 to 44"),
        "Gap at ripeness": ("46 kg/ha", "0 to 83"),
        "Chance of being over 15 % short": ("79 %", ""),
        "Yield that the gap costs": ("0.6 t/ha", "0.0 to 1.3"),
        "Nodules, against good ones": ("23 %", "7 to 59 %"),
    }


def test_before_sowing_there_is_no_gap_today():
    assert "Gap today" not in rows(a_nitrogen(gap_today=None))


def test_yields_become_bushels_or_pounds_by_tens():
    nitrogen = a_nitrogen(yield_loss=amount(1.0, 0.5, 2.0, "t/ha"))
    # 1000 kg/ha x 0.8921791 = 892 lb/ac, of 60 lb a bushel 14.9
    told = rows(nitrogen, UnitSystem.US)
    assert told["Yield that the gap costs"] == ("14.9 bu/ac", "7.4 to 29.7")
    assert "Needed for 44.6 bu/ac by ripeness" in told
    told = rows(nitrogen, UnitSystem.CANADA, Crop.LUPIN)
    assert told["Yield that the gap costs"] == ("890 lb/ac", "450 to 1780")
    assert "Needed for 2680 lb/ac by ripeness" in told


@pytest.mark.parametrize("source", list(DigReading))
def test_where_the_figure_of_the_nodules_comes_from_is_told(situation, source):
    advice = replace(situation("good"), nitrogen=a_nitrogen(nodulation_from=str(source)))
    work = nitrogen_work(advice, reader_of(advice, UnitSystem.METRIC))
    assert work["nodulation_from"] == f"Nodules: {TEXTS['nitrogen'][source.value]}."
    assert work["drivers"] == [render(driver.message) for driver in advice.nitrogen.drivers]
    assert work["interval"] == "90 % interval"


def test_without_a_balance_there_is_no_working(situation):
    advice = without(situation)
    assert nitrogen_work(advice, reader_of(advice, UnitSystem.METRIC)) is None


@pytest.mark.parametrize(
    ("records", "named"),
    [
        (("expected_yield",), "expected_yield"),
        (("second_scorer", "sown_on", "expected_yield"), "expected_yield, sown_on"),
        (("weather", "expected_yield"), "expected_yield"),  # whether weather is in the way too is not known
        (("normals", "soil_tests"), "normals"),
        (("weather", "normals"), "weather, normals"),
        (("rain_normals",), "rain_normals"),
    ],
)
def test_without_a_balance_the_missing_record_is_named(situation, records, named):
    told = without_balance(without(situation, *records), texts=TEXTS)
    assert told == f"Whether there is nitrogen enough cannot be reckoned; not recorded: {named}."
    assert headline(without(situation, *records)) == told


def test_where_no_record_is_in_the_way_nothing_is_told(situation):
    assert headline(without(situation, "second_scorer")) == ""
    assert nitrogen_note(without(situation), texts=TEXTS) == ""


def test_the_headline_is_told_in_the_units_of_the_reader(situation):
    values = {"yield": 3.0, "gap": 94.0, "gap_low": 51.0, "gap_high": 117.0, "loss_low": 0.7, "loss_high": 2.0}
    nitrogen = a_nitrogen(headline=Message("nitrogen.headline.short", values))
    advice = replace(situation("good"), nitrogen=nitrogen)
    assert headline(advice) == render(advice.nitrogen.headline)
    # 51, 117 and 94 kg/ha x 0.8921791; 3, 0.7 and 2 t/ha x 14.8697 bushels of 60 lb.
    assert headline(advice, UnitSystem.US) == (
        "Nitrogen will very probably be short for 44.6 bu/ac: 46 to 104 lb/ac at maturity, most likely about 84, "
        "which would cost 10.4 to 29.7 bu/ac."
    )
