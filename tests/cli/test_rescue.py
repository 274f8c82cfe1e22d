import json

import pytest
from tests.cli.few_fields import book_of

from spadework.demo import demo_book

# Fields of the invented season and a day on which the window of each is open.
OPEN = "2026-07-10"
MONEY = ("--price-grain", "520", "--price-n", "urea=1.3")


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return book_of(demo_book(), tmp_path_factory.mktemp("few") / "book", "north-01", "north-03", "south-13", "south-14")


@pytest.fixture
def decide(run, folder):
    def ask(*options, field="north-03", today=OPEN):
        return run("rescue", folder, "--field", field, "--today", today, *options)

    return ask


def flat(text):
    return " ".join(text.split())


def decision_of(result):
    return json.loads(result.stdout)["decision"]


def test_prices_of_the_command_line_decide(decide):
    dear = decision_of(decide("--price-grain", "800", "--price-n", "urea=1.3", "--format", "json"))
    cheap = decision_of(decide("--price-grain", "200", "--price-n", "urea=1.3", "--format", "json"))

    assert (dear["kind"], cheap["kind"]) == ("apply", "leave")
    assert dear["grain_price"] == 800
    assert {option["product"] for option in dear["options"][1:]} == {"urea"}


def test_the_same_money_in_other_units_decides_the_same(decide):
    # 520 a tonne is 14.152 a bushel of 60 lb, 1.3 a kg is 0.58967 a lb, 14 a hectare 5.6656 an acre; by hand.
    metric = decision_of(decide(*MONEY, "--pass-cost", "14", "--format", "json"))
    other = decision_of(
        decide(
            "--price-grain", "14.15208", "--price-n", "urea=0.589670", "--pass-cost", "5.665599", "--units", "us",
            "--format", "json",
        )
    )  # fmt: skip

    assert other["kind"] == metric["kind"]
    assert other["grain_price"] == pytest.approx(520, rel=1e-5)
    best, same = (max(one["options"], key=lambda option: option["net_return"]["value"]) for one in (metric, other))
    assert same["net_return"]["value"] == pytest.approx(best["net_return"]["value"], abs=0.01)


def test_without_prices_it_answers_all_the_same(decide):
    result = decide()

    assert result.exit_code == 0
    assert "needs your prices" in flat(result.stdout)


def test_a_rate_of_ones_own_is_weighed(decide):
    rates = {
        round(option["rate"]["value"]) for option in decision_of(decide("--rate", "40", "--format", "json"))["options"]
    }
    assert 40 in rates


def test_days_of_ones_own_move_the_days(decide):
    found = decision_of(decide(*MONEY, "--lead-days", "5", "--dig-again-in", "10", "--format", "json"))
    assert {option["on"] for option in found["options"][1:]} == {"2026-07-15"}


def test_the_same_seed_gives_the_same_bytes_and_another_does_not(decide):
    one, same, other = (decide(*MONEY, "--seed", seed, "--format", "json").stdout for seed in (1, 1, 2))
    assert one == same
    assert one != other


def test_nodules_that_work_close_the_gate(decide):
    result = decide(*MONEY, field="north-01", today="2026-06-26")
    assert result.exit_code == 0
    assert "Give no nitrogen: the nodules work" in flat(result.stdout)


def test_after_the_limit_no_price_of_grain_helps(decide):
    result = decide("--price-grain", "100000", "--price-n", "0", today="2026-09-20")
    assert "too late" in flat(result.stdout)
    assert "Until when nitrogen helps: most until " in flat(result.stdout)
    assert ", ended " in flat(result.stdout)


def test_what_cannot_be_told_ends_with_3_and_names_what_is_missing(decide):
    result = decide(*MONEY, field="south-13", today="2026-08-20")
    assert result.exit_code == 3
    assert "What is recorded cannot tell whether nitrogen would pay." in result.stderr


def test_a_field_never_dug_is_to_be_dug_first(decide):
    result = decide(*MONEY, field="south-14", today="2026-09-20")
    assert result.exit_code == 0
    assert "dig" in flat(result.stdout).lower()


def test_digs_that_a_day_does_not_know_are_told(decide):
    assert "1 dig after 2026-07-01 is left out." in decide(today="2026-07-01").stderr


def test_the_map_is_written_where_nitrogen_is_the_advice(decide, tmp_path):
    out = tmp_path / "map"
    result = decide("--price-grain", "800", "--price-n", "urea=1.3", "--map", out)

    assert result.exit_code == 0
    shapes = json.loads((out / "north-03.geojson").read_text("utf-8"))["features"]
    assert {shape["properties"]["kind"] for shape in shapes} == {"treat", "check"} | (
        {"rest"} if len(shapes) > 2 else set()
    )
    assert "Prescription written to" in flat(result.stdout)


def test_no_map_is_written_against_the_advice(decide, tmp_path):
    out = tmp_path / "map"
    result = decide("--price-grain", "100", "--price-n", "urea=1.3", "--map", out)

    assert not out.exists()
    assert "No map is written: it is not the advice to give nitrogen." in result.stderr


def test_no_map_can_be_drawn_of_ground_that_nobody_wrote_down(run, tmp_path):
    season = demo_book()
    nowhere = book_of(season, tmp_path / "book", "north-03")
    for name in ("stops.csv", "boundaries.geojson"):
        (nowhere / name).unlink()
    price = ("--price-grain", "800", "--price-n", "urea=1.3")
    result = run("rescue", nowhere, "--today", OPEN, *price, "--map", tmp_path / "map")

    assert result.exit_code == 3
    assert "Write the position of each stop into stops.csv, or add boundaries.geojson" in flat(result.stderr)


def test_a_part_without_positions_needs_the_stops_and_no_outline(run, tmp_path):
    nowhere = book_of(demo_book(), tmp_path / "book", "south-18")
    (nowhere / "stops.csv").unlink()
    dear = ("--price-grain", "3000", "--price-n", "urea=0.5", "--dig-cost", "100000")
    result = run("rescue", nowhere, *dear, "--map", tmp_path / "map")

    assert result.exit_code == 3
    assert (
        "nobody wrote down where each stop of the field lies. Write the position of each stop into stops.csv, and"
        in (flat(result.stderr))
    )


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--field", "north-3"), "There is no field 'north-3'. Did you mean north-0"),
        (("--field", "north-03", "--price-grain", "0"), "It must be a price above 0"),
        (("--field", "north-03", "--price-n", "ureaa=1"), "Did you mean urea"),
        (("--field", "north-03", "--rate", "500"), "A rate must be above 0 and up to 150 kg/ha"),
        (
            ("--field", "north-03", "--price-grain", "310,5"),
            "'310,5' is no number. Write it with a decimal point: 310",
        ),
        (("--field", "north-03", "--pass-cost", "inf"), "'inf' is no number. Write it so: 310.5."),
        (("--field", "north-03", "--dig-cost", "much"), "'much' is no number."),
        (("--field", "north-03", "--map", "BOOK"), "This would write among the records."),
        ((), "Name one field of the book, such as north-01"),
    ],
)
def test_wrong_use_is_told(run, folder, options, words):
    result = run("rescue", folder, *(folder if option == "BOOK" else option for option in options))
    assert result.exit_code == 2
    assert words in flat(result.stderr)


def test_plants_alone_are_refused_with_the_way_out(run, folder):
    result = run("rescue", folder / "plants.csv")
    assert result.exit_code == 2
    assert "Make a book with `spadework new DIR`" in flat(result.stderr)
