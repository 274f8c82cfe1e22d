"""The demo season through the main job: each situation must lead to the advice that its story promises.

The demo is invented; these tests hold the tool and its scenario to each other, not to the world.
"""

import pytest

from spadework.advice.field import advise
from spadework.advice.value import FieldAdvice
from spadework.demo import demo_book
from spadework.demo.situations import SITUATIONS
from spadework.knowledge.load import load


@pytest.fixture(scope="module")
def said() -> dict[str, FieldAdvice]:
    """Return the advice by the name of the situation."""
    book, knowledge = demo_book(), load()
    assert book.settings.today is not None
    fields = book.by_field()
    by_field = {name: advise(fields[name], book.settings, knowledge, book.settings.today) for name in fields}
    return {name: by_field[situation.field] for situation in SITUATIONS for name in (situation.name, *situation.also)}


@pytest.mark.parametrize(
    ("situation", "leading"),
    [
        ("well nodulated", "adequate"),
        ("crown and laterals", "adequate"),
        ("very many plants", "adequate"),
        ("clusters counted", "adequate"),
        ("stage seen overrides the calendar", "adequate"),
        ("poor on new land without inoculant", "poor"),
        ("none at all", "poor"),
        ("few clusters", "poor"),
        ("dry seedbed", "poor"),
        ("acid soil", "poor"),
        ("treated seed", "poor"),
        ("wrong group on the label", "poor"),
        ("pale old leaves", "poor"),
        ("high nitrate", "poor"),
        ("waterlogged dig", "poor"),
    ],
)
def test_plain_cases_are_settled(said: dict[str, FieldAdvice], situation: str, leading: str) -> None:
    verdict, sampling = said[situation].verdict, said[situation].sampling
    assert verdict is not None
    assert sampling is not None
    assert (verdict.leading, sampling.settled) == (leading, True)


@pytest.mark.parametrize(
    "situation",
    ["borderline with few plants", "very few plants", "sparse and uneven", "two scorers agree", "sandy soil"],
)
def test_doubtful_cases_are_not(said: dict[str, FieldAdvice], situation: str) -> None:
    verdict, sampling = said[situation].verdict, said[situation].sampling
    assert verdict is not None
    assert sampling is not None
    assert verdict.probability < 0.9
    assert not sampling.settled


@pytest.mark.parametrize(
    ("situation", "state", "decided_by"),
    [
        ("well nodulated", "in_window", "stage_seen"),
        ("stage seen overrides the calendar", "in_window", "stage_seen"),
        ("clusters counted", "in_window", "calendar"),
        ("counts and classes mixed", "in_window", "calendar"),
        ("white inside, too early", "first_look", "stage_seen"),
        ("first look only", "first_look", "stage_seen"),
        ("dug too early", "too_early", "calendar"),
        ("green and brown, too late", "too_late", "stage_seen"),
        ("missing sowing date", "in_window", "stage_seen"),
        ("no weather station", "unknown", "none"),
    ],
)
def test_timing(said: dict[str, FieldAdvice], situation: str, state: str, decided_by: str) -> None:
    timing = said[situation].timing
    assert (timing.state, timing.decided_by) == (state, decided_by)


def test_the_calendar_alone_would_have_said_too_early(said: dict[str, FieldAdvice]) -> None:
    timing = said["stage seen overrides the calendar"].timing
    assert timing.dug_on is not None
    assert timing.opens is not None
    assert timing.dug_on < timing.opens.low


@pytest.mark.parametrize(
    ("situation", "poor", "good"),
    [
        ("patch in a wet hole", ("3",), ("1", "2", "4")),
        ("pale strips", ("2", "4", "6"), ("1", "3", "5")),
        ("in time, and a part failed", ("4", "5"), ("1", "2", "3", "6")),
    ],
)
def test_patches_are_told_apart(
    said: dict[str, FieldAdvice], situation: str, poor: tuple[str, ...], good: tuple[str, ...]
) -> None:
    verdict = said[situation].verdict
    assert verdict is not None
    assert verdict.patch is not None
    assert (verdict.patch.poor_stops, verdict.patch.good_stops) == (poor, good)


def test_no_patch_is_seen_where_there_is_none(said: dict[str, FieldAdvice]) -> None:
    patchy = {name for name, advice in said.items() if advice.verdict and advice.verdict.patch}
    assert patchy == {"patch in a wet hole", "pale strips", "in time, and a part failed"}


def test_scorers(said: dict[str, FieldAdvice]) -> None:
    agree, disagree = (said[f"two scorers {word}"].readings for word in ("agree", "disagree"))
    assert agree is not None
    assert agree.agreement is not None
    assert disagree is not None
    assert disagree.agreement is not None
    assert (agree.agreement.plants, disagree.agreement.plants) == (15, 15)
    assert (agree.agreement.warning, disagree.agreement.warning) == (False, True)


def test_colour_and_position(said: dict[str, FieldAdvice]) -> None:
    def colour(name: str):
        return said[name].readings.colour

    def crown_share(name: str) -> float:
        return said[name].readings.position.crown_share.value

    assert said["nothing cut open"].verdict.by_number_only
    assert not said["some plants uncut"].verdict.by_number_only
    assert colour("well nodulated").red_pink.value > 0.8
    assert colour("green and brown, too late").green_brown.value > 0.6
    assert colour("waterlogged dig").green_brown.value > 0.4
    assert crown_share("laterals only") < 0.1
    assert 0.4 < crown_share("crown and laterals") < 0.6


def test_targets(said: dict[str, FieldAdvice]) -> None:
    local = said["local target"].verdict.target
    assert (local.chosen_by, local.value, local.counting_unit) == ("local", 12, "nodule")
    clusters = said["clusters without a nodule target"].verdict.target
    assert (clusters.comparison, clusters.value, clusters.counting_unit) == ("more_than", 5, "cluster")
    for name in ("no target", "poor host"):
        assert said[name].verdict is None
        assert "target" in {part.record for part in said[name].missing}


def test_what_is_not_recorded_is_named(said: dict[str, FieldAdvice]) -> None:
    def missing(name: str) -> set[str]:
        return {part.record for part in said[name].missing}

    assert missing("no dig") == {"plants", "nitrate_test", "organic_matter", "past_weather"}
    assert {"weather", "emerged_on", "stage_bbch"} <= missing("no weather station")
    assert {"sown_on", "emerged_on"} <= missing("missing sowing date")
    assert "emerged_on" in missing("missing emergence")
    assert "cut_open" in missing("nothing cut open")
    assert "normals" in missing("weather missing for weeks")


def test_two_digs_and_one_to_come(said: dict[str, FieldAdvice]) -> None:
    assert len(said["second dig a week later"].earlier_digs) == 1
    assert said["second dig a week later"].verdict.leading == "adequate"
    soon = said["window opens soon"]
    assert soon.timing.opens is not None
    assert 0 < (soon.timing.opens.low - soon.advised_on).days <= 10


def test_weather(said: dict[str, FieldAdvice]) -> None:
    gap = said["weather missing for weeks"].timing.degree_days
    assert gap is not None
    assert gap.missing_days > 20
    across = said["across the new year"].timing.degree_days
    assert across is not None
    assert across.missing_days == 0
    assert across.from_date.year < across.to_date.year
    cold = {name: said[name].timing.cold_days for name in ("cold spring", "well nodulated")}
    assert cold["cold spring"] > 2 * cold["well nodulated"]
    filled = said["acid soil"].timing.degree_days
    assert filled is not None
    assert filled.filled_days > 0
    assert filled.normal_days > 0
