"""Each situation of the demo gets the answer that its story calls for, in state, class and sentences.

The demo is invented, so that this holds the tool and its scenario to each other and not to the world. Which stops are a
patch, how sure a class is and what the weather adds up to is held in tests/integration/test_demo_season.py.
"""

from dataclasses import dataclass

import pytest

from spadework.advice.field import advise
from spadework.advice.value import FieldAdvice, Message
from spadework.demo import demo_book
from spadework.demo.situations import SITUATIONS
from spadework.knowledge.load import load


@dataclass(frozen=True)
class Answer:
    """What an adviser would expect to be told: state of the time, headline, how many more, and sentences.

    ``says`` are ids without their first word where that is ``verdict``; ``never`` are starts of ids.
    """

    state: str
    headline: str | None = None
    sampling: str | None = None
    says: tuple[str, ...] = ()
    never: tuple[str, ...] = ()


IN, LATE, EARLY, LOOK = "in_window", "too_late", "too_early", "first_look"
GOOD = ("adequate.settled", "settled")
BAD = ("poor.settled", "settled")

ANSWERS = {
    "well nodulated": Answer(IN, *GOOD, says=("colour.mostly_red", "position.both", "index.effective")),
    "poor on new land without inoculant": Answer(IN, *BAD, says=("index.failing",), never=("position.lateral_",)),
    "none at all": Answer(
        IN, "none.settled", "settled", says=("reason.none_upper", "colour.none", "position.none", "index.failing"),
        never=("colour.not_cut", "reason.number_only"),
    ),
    "borderline with few plants": Answer(IN, "poor.unsettled", "too_few", never=("sampling.border",)),
    "patch in a wet hole": Answer(IN, "patchy.any", "patchy", says=("patch.found",)),
    "laterals only": Answer(
        IN, "poor.unsettled", "dig_more", says=("position.lateral_inoculated", "colour.mostly_red")
    ),
    "crown and laterals": Answer(IN, *GOOD, says=("position.both",), never=("position.lateral",)),
    "white inside, too early": Answer(
        LOOK, says=("timing.first_look.not_means", "colour.white_early"), never=("verdict.headline",)
    ),
    "green and brown, too late": Answer(
        LATE, "late.poor", "too_late", says=("colour.green_brown_late", "index.late", "timing.too_late.not_means"),
        never=("index.doubtful", "index.failing", "colour.green_brown."),
    ),
    "first look only": Answer(LOOK, says=("timing.first_look.headline", "timing.cold"), never=("verdict.headline",)),
    "stage seen overrides the calendar": Answer(IN, *GOOD, says=("timing.by_stage",)),
    "cold spring": Answer(
        LOOK, "early.poor", "later", says=("timing.cold", "colour.white_early", "index.early"), never=("index.failing",)
    ),
    "count classes": Answer(IN, "adequate.unsettled", "dig_more", says=("reason.doubtful",)),
    "some plants uncut": Answer(IN, *GOOD, says=("reason.doubtful", "colour.mostly_red"),
                                never=("verdict.reason.number_only", "missing.cut_open")),
    "clusters counted": Answer(IN, *GOOD, says=("reason.target_judgement", "index.effective")),
    "nothing cut open": Answer(
        IN, "number.adequate", "cut_open", says=("reason.number_only", "colour.not_cut", "missing.cut_open")
    ),
    "two scorers agree": Answer(IN, "borderline.unsettled", "border", says=("agreement.good",)),
    "high nitrate": Answer(IN, *BAD, says=("colour.mostly_red", "index.doubtful")),
    "poor host": Answer(IN, says=("missing.target", "missing.index_full"), never=("verdict.", "index.")),
    "treated seed": Answer(IN, *BAD, says=("position.lateral_inoculated",)),
    "no weather station": Answer("unknown", "adequate.unsettled", "too_few", says=("timing.unknown.headline",
                                 "reason.one_stop", "missing.weather", "missing.emerged_on", "missing.stage_bbch")),
    "very many plants": Answer(IN, *GOOD, says=("index.effective",)),
    "second dig a week later": Answer(IN, "adequate.unsettled", "dig_more", says=("earlier.dig_cut",)),
    "local target": Answer(IN, "adequate.unsettled", "border", says=("reason.target_own",),
                           never=("verdict.reason.target_judgement",)),
    "pale strips": Answer(IN, "patchy.any", "patchy", says=("patch.found", "index.doubtful")),
    "dug too early": Answer(
        EARLY, "early.poor", "later", says=("timing.too_early.not_means", "timing.window.opens_between", "index.early"),
        never=("index.failing", "sampling.settled"),
    ),
    "few clusters": Answer(IN, *BAD, says=("reason.target_judgement", "index.doubtful")),
    "two scorers disagree": Answer(IN, "borderline.unsettled", "border", says=("agreement.poor",)),
    "acid soil": Answer(IN, *BAD, says=("position.crown", "timing.days.filled", "timing.days.normal")),
    "sandy soil": Answer(IN, "borderline.unsettled", "border", says=("reason.sandy", "missing.emerged_on")),
    "dry seedbed": Answer(IN, *BAD, says=("reason.target_own", "index.failing")),
    "waterlogged dig": Answer(IN, *BAD, says=("colour.green_brown",), never=("colour.green_brown_late",)),
    "pale old leaves": Answer(IN, *BAD, says=("index.failing",)),
    "pale young leaves": Answer(IN, "adequate.unsettled", "dig_more", says=("colour.mostly_red", "reason.sandy")),
    "wrong group on the label": Answer(IN, *BAD, says=("colour.white", "index.failing")),
    "missing sowing date": Answer(IN, says=("missing.sown_on", "missing.target"), never=("verdict.", "index.")),
    "window opens soon": Answer(
        LOOK, says=("timing.undug.first_look.headline", "timing.window.opens_between", "missing.plants"),
        never=("verdict.", "sampling."),
    ),
    "across the new year": Answer(IN, says=("missing.target",), never=("timing.days.missing",)),
    "weather missing for weeks": Answer(IN, "borderline.unsettled", "border", says=("timing.days.missing",
                                        "missing.normals", "reason.target_judgement")),
    "sparse and uneven": Answer(IN, "poor.unsettled", "dig_more", never=("verdict.patch",)),
    "in time, and a part failed": Answer(
        IN, "patchy.any", "patchy", says=("patch.found", "rescue.headline.pays.part.share")
    ),
    "in time, but not worth it": Answer(IN, *BAD, says=("rescue.headline.does_not_pay.price",)),
    "in time, dig again first": Answer(
        IN, "poor.unsettled", "dig_more", says=("rescue.headline.waiting_pays.now.field.share",)
    ),
}  # fmt: skip


CAUSES = {
    "poor on new land without inoculant": "no_rhizobia",
    "none at all": "no_rhizobia",
    "packed soil": "compaction",
    "patch in a wet hole": "waterlogging",
    "laterals only": "dead_inoculant",
    "green and brown, too late": "wrong_time",
    "cold spring": "wrong_time",
    "herbicide residue": "herbicide_residue",
    "high nitrate": "high_nitrate",
    "poor host": "poor_host",
    "treated seed": "toxic_seed_treatment",
    "pale strips": "uneven_application",
    "dug too early": "wrong_time",
    "nodule larvae": "nodule_larvae",
    "acid soil": "soil_acidity",
    "dry seedbed": "drought",
    "waterlogged dig": "waterlogging",
    "expired lot": "dead_inoculant",
    "wrong group on the label": "wrong_group",
    "salt": "salinity",
    "in time, but not worth it": "no_rhizobia",
}
"""The cause that stands first where the story tells of one."""

NOTHING_WRONG = (
    "well nodulated", "crown and laterals", "stage seen overrides the calendar", "count classes",
    "counts and classes mixed", "clusters counted", "nothing cut open", "no weather station", "very many plants",
    "second dig a week later", "local target", "missing sowing date", "across the new year",
)  # fmt: skip
"""Where nodules are as they should be, and no cause is looked for."""


@pytest.fixture(scope="module")
def all_advice() -> dict[str, FieldAdvice]:
    """Return the advice on each field, by its situation."""
    book = demo_book()
    fields = book.by_field()
    assert book.settings.today is not None
    said = {s: advise(fields[s.field], book.settings, load(), book.settings.today) for s in SITUATIONS}
    return {name: advice for situation, advice in said.items() for name in (situation.name, *situation.also)}


def ids(part: object) -> set[str]:
    """Ids of all messages of a part."""
    if isinstance(part, Message):
        return {part.id}
    if isinstance(part, tuple):
        return {name for one in part for name in ids(one)}
    if hasattr(part, "__dataclass_fields__"):
        return {name for field in part.__dataclass_fields__ for name in ids(getattr(part, field))}
    return set()


def test_every_field_of_the_demo_has_its_answer_here() -> None:
    named = {name: situation.field for situation in SITUATIONS for name in (situation.name, *situation.also)}
    assert {named[name] for name in ANSWERS} == {situation.field for situation in SITUATIONS}


@pytest.mark.parametrize("situation", ANSWERS)
def test_the_answer_is_the_one_that_the_story_calls_for(all_advice: dict[str, FieldAdvice], situation: str) -> None:
    advice, answer = all_advice[situation], ANSWERS[situation]
    said = ids(advice)
    assert advice.timing.state == answer.state
    headline = None if advice.verdict is None else advice.verdict.headline.id.removeprefix("verdict.headline.")
    assert headline == answer.headline
    sampling = None if advice.sampling is None else advice.sampling.message.id.removeprefix("sampling.")
    assert sampling == answer.sampling
    for name in answer.says:
        assert name in said or f"verdict.{name}" in said, name
    for start in answer.never:
        assert not [name for name in said if f"{name}.".startswith(start)], start


def test_the_cautions_stand_beside_every_answer(all_advice: dict[str, FieldAdvice]) -> None:
    for advice in all_advice.values():
        assert "caution.buried_lines" in ids(advice.cautions)


@pytest.mark.parametrize("situation", CAUSES)
def test_the_first_cause_is_the_one_of_the_story(all_advice: dict[str, FieldAdvice], situation: str) -> None:
    diagnosis = all_advice[situation].diagnosis
    assert diagnosis.causes[0].cause == CAUSES[situation]
    assert diagnosis.state != "nothing_wrong"


@pytest.mark.parametrize("situation", NOTHING_WRONG)
def test_a_crop_that_nodulates_well_has_nothing_wrong(all_advice: dict[str, FieldAdvice], situation: str) -> None:
    diagnosis = all_advice[situation].diagnosis
    assert diagnosis.state == "nothing_wrong"
    assert diagnosis.causes == ()


def test_green_plants_on_nitrate_are_called_suppressed_and_an_undug_field_cannot_be_told(
    all_advice: dict[str, FieldAdvice],
) -> None:
    assert all_advice["high nitrate"].diagnosis.state == "suppressed"
    assert all_advice["no dig"].diagnosis.state == "cannot_tell"


def test_pale_young_leaves_are_put_down_to_sulphur_and_not_to_nitrogen(all_advice: dict[str, FieldAdvice]) -> None:
    diagnosis = all_advice["pale young leaves"].diagnosis
    assert diagnosis.causes[0].cause == "other_nutrients"  # the nodules themselves are as they should be
    pallor = diagnosis.pallor
    assert pallor.causes[0].cause == "sulphur_shortage"
    assert pallor.not_nitrogen is not None


def test_only_the_free_remark_is_left_unread(all_advice: dict[str, FieldAdvice]) -> None:
    unread = {name for name, advice in all_advice.items() if advice.diagnosis.unread}
    assert unread == {"treated seed"}


DECISIONS = {
    "well nodulated": ("leave", "working"),
    "none at all": ("leave", "too_late"),
    "high nitrate": ("leave", "nitrate"),
    "window opens soon": ("dig_first", "not_dug"),
    "missing sowing date": ("cannot_tell", "not_scored"),
    "in time, and a part failed": ("apply", "pays"),
    "in time, but not worth it": ("leave", "does_not_pay"),
    "in time, dig again first": ("dig_again", "waiting_pays"),
}
"""What to do about nitrogen on the day of the demo, and why: one field of each kind at least."""


@pytest.mark.parametrize("situation", DECISIONS)
def test_the_demo_shows_every_kind_of_decision(all_advice: dict[str, FieldAdvice], situation: str) -> None:
    decision = all_advice[situation].decision
    assert decision is not None
    assert (decision.kind, decision.why) == DECISIONS[situation]


def test_the_part_that_failed_is_drawn_about_its_two_stops(all_advice: dict[str, FieldAdvice]) -> None:
    decision = all_advice["in time, and a part failed"].decision
    assert decision is not None
    assert decision.part is not None
    assert decision.part.stops == ("4", "5")
    assert 10 < decision.part.area.value < 30
    assert decision.strip is not None
    assert decision.strip.ring is not None
