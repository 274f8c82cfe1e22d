"""The page on nitrogen now: its tables as data, and its pages as a reader has them."""

import io
from dataclasses import replace

import numpy as np
import pypdf
import pypdfium2
import pytest
from tests.report.a_nitrogen import say
from tests.report.decisions import (
    BUDGET,
    CAUTIONS,
    DECISIONS,
    DIG_AGAIN,
    a_decision,
    dig_again,
    left_alone,
    without_prices,
)
from tests.report.test_field import MARGIN, character_boxes

from spadework.advice.messages import render
from spadework.advice.rescue.value import BudgetLine
from spadework.advice.value import Message, NextStep
from spadework.knowledge.rows import Crop
from spadework.quantity import Quantity
from spadework.report import UnitSystem, field_report
from spadework.report.field import field_page
from spadework.report.reader import Reader, reader_of
from spadework.report.rescue import (
    budget_sections,
    price_lines,
    price_table,
    product_lines,
    rescue_page,
    strip_lines,
    waiting_lines,
)

METRIC = Reader(units=UnitSystem.METRIC, language="en", crop=Crop.PEA, currency="mk")
US = replace(METRIC, units=UnitSystem.US)


def decided(situation, name, of="poor"):
    return replace(situation(of), decision=DECISIONS[name]())


def page(advice, units=UnitSystem.METRIC):
    return rescue_page(advice, reader_of(advice, units))


@pytest.mark.parametrize("name", ["leave", "cannot_tell", "dig_first"])
def test_where_nothing_was_reckoned_there_is_no_page(situation, name):
    assert page(decided(situation, name)) is None
    assert page(situation("poor")) is None


def test_columns_without_any_figure_are_left_out(situation):
    table = page(decided(situation, "apply"))["options"]
    assert table["keys"] == ["name", "amount", "gain", "cost", "net", "loss", "given_up"]
    assert table["head"][2:5] == ["Grain gained, t/ha", "Cost, mk/ha", "Net return, mk/ha"]
    assert page(decided(situation, "needs_prices"))["options"]["keys"] == ["name", "amount", "gain"]


def test_days_have_a_column_where_they_differ(situation):
    decision = a_decision()
    *same, last = decision.options
    assert "on the field on 29 June 2026" in page(decided(situation, "apply"))["options_note"]
    mixed = replace(decision, options=(*same, replace(last, on=DIG_AGAIN.nitrogen_on)))
    told = page(replace(situation("poor"), decision=mixed))
    assert "on" in told["options"]["keys"]
    assert "on the field on" not in told["options_note"]


def test_rows_stand_under_their_product(situation):
    rows = page(decided(situation, "apply"))["options"]["rows"]
    assert [row["group"] for row in rows if row["group"]] == [
        "Urea with a urease inhibitor",
        "Urea ammonium nitrate solution, 28 % N",
    ]
    assert [row["chosen"] for row in rows].index(True) == 2


def test_the_gain_that_the_best_option_needs_is_told(situation):
    # cost 14 + 1.45 x 56 = 95.2 at 310 a tonne: 0.307 t/ha, which are 4.57 bu/ac
    assert "56 kg/ha pays from a gain of 0.31 t/ha on." in page(decided(situation, "apply"))["options_note"]
    assert (
        "50 lb/ac pays from a gain of 4.6 bu/ac on." in page(decided(situation, "apply"), UnitSystem.US)["options_note"]
    )


def test_products_say_how_they_are_spread_and_what_the_treated_ground_takes():
    lines = product_lines(a_decision(), METRIC)
    assert lines[0] == (
        "Urea with a urease inhibitor: granules spread when the leaves are dry; lost as ammonia 7 % (2 to 15 %)."
    )
    # 56 kg/ha of N in urea of 46 % on 6.1 ha: 56 / 0.46 x 6.1 = 743 kg, 1637 lb
    assert lines[-1] == (
        "In all 743 kg of urea with a urease inhibitor: 56 kg/ha of nitrogen on the 6.1 ha that are treated, the check "
        "strip left out."
    )
    assert product_lines(a_decision(), US)[-1].startswith(
        "In all 1637 lb of urea with a urease inhibitor: 50 lb/ac of nitrogen on the 15.1 ac"
    )
    assert len(product_lines(a_decision(treated=None), METRIC)) == 2


def test_without_a_map_the_whole_field_is_told():
    whole = product_lines(a_decision(part=None, strip=None, treated=Quantity(10.0, "ha")), METRIC)[-1]

    # 56 / 0.46 x 10 = 1217 kg
    assert whole == "In all 1217 kg of urea with a urease inhibitor: 56 kg/ha of nitrogen on 10.0 ha."


def test_prices_are_told_as_the_users_own():
    assert price_lines(a_decision(nitrogen_prices=(("any", 1.3),)), METRIC) == [
        "Your prices: grain 310 mk/t, nitrogen 1.30 mk/kg, one pass 14.00 mk/ha."
    ]
    assert price_lines(a_decision(nitrogen_prices=(("any", 1.3),)), US) == [
        "Your prices: grain 8.44 mk/bu, nitrogen 0.59 mk/lb, one pass 5.67 mk/ac."
    ]
    both = price_lines(a_decision(nitrogen_prices=(("any", 1.3), ("urea", 1.2))), METRIC)[0]
    assert "nitrogen in other products 1.30 mk/kg, nitrogen as urea 1.20 mk/kg" in both
    assert price_lines(without_prices(), METRIC) == []


def test_net_return_by_rate_and_price():
    decision = a_decision()
    table = price_table(decision, METRIC)
    assert [price["text"] for price in table["prices"]] == ["217", "310", "403"]
    assert [price["own"] for price in table["prices"]] == [False, True, False]
    assert [row["rate"] for row in table["rows"]] == ["28 kg/ha", "56 kg/ha", "84 kg/ha", "112 kg/ha"]
    cell = next(one for one in decision.net_at_price if one.rate.value == 56.0 and one.grain_price == 403.0)
    assert table["rows"][1]["cells"][2] == f"+{cell.net_return:.0f}"
    assert price_table(decision, US)["corner"] == "Rate; grain, mk/bu"
    assert price_table(without_prices(), METRIC) is None


def test_the_partial_budget_adds_up_in_four_sections():
    budget = budget_sections(a_decision(), METRIC)
    assert list(budget["sections"]) == ["added_returns", "reduced_costs", "added_costs", "reduced_returns"]
    assert [part["total"] for part in budget["sections"].values()] == ["137", "0", "95", "4"]
    assert budget["sections"]["reduced_costs"]["lines"] == []
    # 137 + 0 - (81.2 + 14) - 3.5 = 38.3
    assert budget["net"] == "+38"
    assert budget["title"] == "Partial budget for 56 kg/ha, mk/ha"
    assert len(BUDGET) == sum(len(part["lines"]) for part in budget["sections"].values())
    assert budget_sections(left_alone(), METRIC) is None


def test_where_whole_numbers_do_not_add_up_the_budget_shows_a_decimal_more():
    amounts = {"added_returns": 306.4, "added_costs": 145.6, "reduced_returns": 30.6}
    lines = tuple(BudgetLine(section=name, name=say(name), amount=x)
                  for name, x in amounts.items())  # fmt: skip
    budget = budget_sections(a_decision(budget=lines), METRIC)

    # 306 - 146 - 31 would be 129, where 130.2 is the net return.
    assert [part["total"] for part in budget["sections"].values()] == ["306.4", "0.0", "145.6", "30.6"]
    assert budget["net"] == "+130.2"


@pytest.mark.parametrize("amounts", np.random.default_rng(1).uniform(0, 900, (60, 4)).tolist())
def test_what_the_budget_shows_adds_up(amounts):
    sections = ("added_returns", "added_costs", "added_costs", "reduced_returns")
    lines = tuple(BudgetLine(section=name, name=say("a line"), amount=x)
                  for name, x in zip(sections, amounts, strict=True))  # fmt: skip
    budget = budget_sections(a_decision(budget=lines), METRIC)

    def number(text):
        return float(text.replace("−", "-"))

    shown = {name: sum(number(x) for _, x in part["lines"]) for name, part in budget["sections"].items()}
    assert all(shown[name] == pytest.approx(number(part["total"])) for name, part in budget["sections"].items())
    net = shown["added_returns"] - shown["added_costs"] - shown["reduced_returns"]
    assert number(budget["net"]) == pytest.approx(net, abs=1e-6)
    # Four numbers rounded to a tenth, or to a whole where they add up so.
    assert net == pytest.approx(amounts[0] - sum(amounts[1:]), abs=0.5001)


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"value": 9.0}, "That is worth 9 mk/ha more than the best that can be done without it."),
        ({"value": -4.4}, "That would lose 4 mk/ha against the best that can be done without it"),
        ({"value": -0.4}, "That is worth about as much as the best that can be done without it."),
        ({"value": 3.0, "error": 3.2}, "That is worth about as much as the best that can be done without it."),
        ({"at_once": True}, "More plants dug at once (30 in 3 stops), nitrogen then on 6 July 2026"),
        ({"in_part": True}, "A second dig in the part that failed on 3 July 2026 (30 plants in 3 stops), "),
        ({"at_once": True, "in_part": True}, "More plants dug at once in the part that failed (30 in 3 stops)"),
        ({"turning_share": 0.45, "in_part": True}, "of those plants are adequate, leave that part, too."),
        ({"turning_share": 0.45}, "If 45 % or more of those plants are adequate, leave the crop."),
        ({"turning_share": None}, "No result of that dig would change the choice."),
        ({"apply_chance": 0.61}, "Chance that nitrogen is then the choice: 61 %."),
    ],
)
def test_what_waiting_is_worth(changes, told):
    assert told in " ".join(waiting_lines(a_decision(dig_again=replace(DIG_AGAIN, **changes)), METRIC))


def test_without_prices_waiting_has_no_worth_and_no_turning_point_is_denied():
    dig = replace(DIG_AGAIN, value=None, net_return=None, apply_chance=None, turning_share=None)
    assert waiting_lines(a_decision(dig_again=dig), METRIC) == [
        "A second dig on 3 July 2026 (30 plants in 3 stops), nitrogen then on 6 July 2026 if it is still the choice."
    ]
    assert waiting_lines(left_alone(), METRIC) == []


def test_the_strip_is_told_in_the_units_of_the_land():
    assert strip_lines(a_decision(), METRIC)[1] == "Strip: 18 m wide, 400 m long."
    # 18 m / 0.3048 m = 59.06 ft, 400 m = 1312.3 ft
    assert strip_lines(a_decision(), US)[1] == "Strip: 59 ft wide, 1312 ft long."
    assert strip_lines(without_prices(), METRIC)[1] == "Strip: 18 m wide."
    assert strip_lines(left_alone(), METRIC) == []


@pytest.mark.parametrize(
    ("evidence", "word"),
    [
        ("trials", "Trials of this on such crops."),
        ("near", "Trials near to this."),
        ("none", "No trial: extrapolated."),
    ],
)
def test_evidence_says_what_it_is(situation, evidence, word):
    told = page(replace(situation("poor"), decision=a_decision(evidence=evidence)))["evidence"]
    assert told["text"].startswith(word)
    assert told["none"] is (evidence == "none")


def report(advice, paper="a4", units=UnitSystem.METRIC):
    return field_report(advice, paper=paper, units=units)


def test_the_report_leads_with_the_decision_and_sets_the_choices_out(situation, read_pages):
    advice = decided(situation, "apply")
    first, _, *nitrogen, last = read_pages(report(advice))
    headline, verdict = render(advice.decision.headline), render(advice.verdict.headline)
    assert first.index(headline) < first.index(verdict) < first.index("What to do next")
    assert "What to do next set out under “Nitrogen now?” On the field by 6 July 2026: 122 kg/ha of urea" in first
    assert "Nitrogen helps most until 2 to 6 Jul some until 14 to 20 Jul" in first
    text = " ".join(nitrogen)
    for words in (
        headline,
        "Chance that this turns out better than leaving the crop: 60 %.",
        "What it stands on: Trials of this on such crops.",
        "56 kg/ha, chosen 122 kg/ha 0.44 (0.09 to 0.84) 95 +42 (−68 to 165) 40 %",
        "loses in 4 of 10 cases",
        "dig again, then choose",
        "Net return by rate and price of grain, mk/ha",
        "Reduced returns 4",
        "Whether a soaking rain follows within a week. 6",
        "failed part, 6.3 ha",
        "200 m",
        "Leave a strip of 18 m without nitrogen",
        *(render(caution) for caution in CAUTIONS),
    ):
        assert words in text
    assert "Nitrogen now?" not in last


@pytest.mark.parametrize("name", ["leave", "cannot_tell", "dig_first"])
@pytest.mark.parametrize("of", ["good", "too_early", "no_target"])
def test_a_decision_without_figures_prints_on_page_1_alone(situation, read_pages, name, of):
    advice = decided(situation, name, of)
    pages = read_pages(report(advice))
    assert render(advice.decision.headline) in pages[0]
    assert "Nitrogen now?" not in " ".join(pages)
    assert len(pages) == 2


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("units", [UnitSystem.METRIC, UnitSystem.US])
def test_endless_texts_and_tables_flow_on_inside_the_margins(situation, read_pages, paper, units):
    advice = decided(situation, "endless")
    pdf = report(advice, paper, units)
    pages = read_pages(pdf)
    assert len(pages) > 6
    assert " ".join(pages).count("goes on without coming to an end") > 100  # nothing of them is cut
    for (width, height), left, bottom, right, top in character_boxes(pdf):
        assert left >= MARGIN - 1
        assert right <= width - MARGIN + 1
        assert bottom >= 20
        assert top <= height - 20
    lines_of = [line for page in pages for line in page.split() if line.startswith("+")]
    assert len(lines_of) > 40  # a net return in each row that pays


def test_no_two_texts_of_the_nitrogen_page_lie_upon_each_other(situation):
    """Boxes of characters may touch, but the middle of one is never inside another; ligatures share one box."""
    document = pypdfium2.PdfDocument(io.BytesIO(report(decided(situation, "apply"))))
    for page in list(document)[2:-1]:
        text = page.get_textpage()
        boxes = [
            text.get_charbox(index)
            for index in range(text.count_chars())
            if text.get_text_range(index, 1).strip("\u200b\u00a0\r\n ")
        ]
        for number, (left, bottom, right, top) in enumerate(boxes):
            x, y = (left + right) / 2, (bottom + top) / 2
            others = (box for box in boxes[:number] if box != boxes[number])
            upon = [box for box in others if box[0] < x < box[2] and box[1] < y < box[3]]
            assert upon == []
        text.close()
    document.close()


def test_the_pictures_have_words(situation):
    root = pypdf.PdfReader(io.BytesIO(report(decided(situation, "apply")))).trailer["/Root"]["/StructTreeRoot"]
    from tests.report.test_field import alternative_texts

    words = list(alternative_texts(root))
    assert any("56 kg/ha 42 (−68 to 165)" in text for text in words)
    assert any(text.startswith("Map of the field, north up: the failed part of 6.3 ha") for text in words)


def test_same_decision_same_bytes(situation):
    assert report(decided(situation, "apply")) == report(decided(situation, "apply"))


def test_dig_again_is_told_by_its_day(situation, read_pages):
    first, *_ = read_pages(report(replace(situation("unsettled"), decision=dig_again())))
    assert "set out under “Nitrogen now?” By 3 July 2026: dig again." in first
    assert "Dig again 3 Jul" in first


def test_what_the_decision_asks_for_is_told_once(situation):
    advice = decided(situation, "apply")
    step = NextStep(
        (Message("next.nitrogen.apply", {"day": advice.decision.act_by}), say("Then this.")), dig_again=False
    )
    told = field_page(replace(advice, next_step=step), units=UnitSystem.METRIC)["next"]
    assert told == [
        "On the field by 6 July 2026: 122 kg/ha of urea with a urease inhibitor (56 kg/ha of nitrogen).",
        "Then this.",
    ]


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("more", [0, 3, 6, 9])
def test_cautions_stay_together(situation, read_pages, paper, more):
    cautions = tuple(
        say(f"Caution {number}: {'keep away from ditches, wells and neighbours, ' * 3}") for number in range(14)
    )
    reasons = tuple(say(f"Reason {n}.") for n in range(1 + more))
    advice = replace(situation("poor"), decision=a_decision(cautions=cautions, reasons=reasons))
    pages = read_pages(field_report(advice, paper=paper, units=UnitSystem.METRIC))

    assert len({number for number, page in enumerate(pages) for one in range(14) if f"Caution {one}:" in page}) == 1
