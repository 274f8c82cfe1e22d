"""The question answered for one field: the same records give the same bytes, whatever is there or is not."""

import datetime as dt
import json
import os
import subprocess
import sys

import numpy as np
import pytest
from tests.factories import DUG, GOOD, NONE, POOR, a_dig, a_plant, a_visit, advice_on, everything, records

from spadework.advice.field import advise
from spadework.advice.messages import render
from spadework.advice.schema import to_json
from spadework.demo import demo_book
from spadework.errors import KnowledgeError
from spadework.knowledge.load import load
from spadework.knowledge.rows import Caution, Crop
from spadework.quantity import Quantity
from spadework.records.types import LocalTarget

D = dt.date


def on(day, plants):
    return tuple(row.model_copy(update={"date": day}) for row in plants)


def test_the_same_records_give_the_same_advice():
    assert to_json(advice_on(everything())) == to_json(advice_on(everything()))


_PRINT = """
import json
from spadework.advice.field import advise
from spadework.advice.schema import to_json
from spadework.demo import demo_book
from spadework.knowledge.load import load
book = demo_book()
fields = book.by_field()
for name in ("north-05", "north-14", "south-05", "south-14", "south-17"):
    print(json.dumps(to_json(advise(fields[name], book.settings, load(), book.settings.today))))
"""


@pytest.mark.slow
def test_the_same_records_give_the_same_bytes_in_every_process():
    def run(hash_seed):
        return subprocess.run(
            [sys.executable, "-c", _PRINT],
            env={**os.environ, "PYTHONHASHSEED": hash_seed},
            capture_output=True,
            check=True,
        ).stdout

    first, second = run("1"), run("2")
    assert first == second
    book = demo_book()
    here = advise(book.by_field()["north-05"], book.settings, load(), book.settings.today)
    assert first.decode().splitlines()[0] == json.dumps(to_json(here))


def test_another_seed_moves_only_what_is_drawn():
    one, other = (advice_on(records(a_visit(*[[80] * 8 + [5] * 2] * 3)), seed=seed) for seed in (1, 2))
    assert one.verdict.share == other.verdict.share
    assert one.verdict.classes == other.verdict.classes
    assert (one.basis.seed, other.basis.seed) == (1, 2)


def test_who_and_what_the_advice_is_for():
    held = records(GOOD, field={"name": "Below the dam", "grower": "Grower 3"})
    advice = advice_on(held, today=D(2026, 7, 1))
    assert (advice.field, advice.name, advice.grower, advice.crop) == ("west", "Below the dam", "Grower 3", Crop.PEA)
    assert advice.advised_on == D(2026, 7, 1)


def test_a_field_with_nothing_gets_an_answer_all_the_same():
    held = records(field={"sown_on": None, "emerged_on": None, "latitude": None, "station": None})
    advice = advice_on(held)
    assert (advice.verdict, advice.index, advice.sampling, advice.earlier_digs) == (None, None, None, ())
    assert advice.timing.state == "unknown"
    assert advice.missing[0].record == "plants"
    assert advice.cautions


def test_a_field_with_everything_gets_every_part():
    advice = advice_on(everything())
    for part in (advice.verdict, advice.index, advice.sampling, advice.timing.degree_days, advice.readings.agreement):
        assert part is not None


def test_the_last_dig_is_judged_and_earlier_ones_stand_as_a_line_each():
    plants = (*on(D(2026, 6, 10), POOR), *on(D(2026, 6, 16), NONE), *GOOD)
    advice = advice_on(records(plants))
    assert advice.timing.dug_on == DUG
    assert advice.verdict.leading == "adequate"
    assert [message.values["day"] for message in advice.earlier_digs] == [D(2026, 6, 10), D(2026, 6, 16)]
    first, second = (render(message) for message in advice.earlier_digs)
    assert first.startswith("On 10 June 2026: poor, over 99 % sure;")
    assert second.endswith("no nodule cut open.")


def test_an_earlier_dig_is_the_same_as_if_it_had_been_the_last():
    early = on(D(2026, 6, 15), POOR)
    alone = advice_on(records(early), today=D(2026, 6, 15)).verdict
    (line,) = advice_on(records((*early, *GOOD))).earlier_digs
    assert line.values["leading"] == alone.leading
    assert (line.values["probability"], line.values["share"]) == (alone.probability, alone.share.value)


@pytest.mark.parametrize(("stage", "words"), [(14, "too early for a verdict"), (79, "too late for a verdict")])
def test_no_class_is_told_of_an_earlier_dig_at_the_wrong_time(stage, words):
    plants = (*on(D(2026, 6, 5), POOR), *GOOD)
    digs = (a_dig(date=D(2026, 6, 5), stage_bbch=stage), a_dig())
    (line,) = advice_on(records(plants, digs=digs)).earlier_digs
    assert words in render(line)
    assert "poor" not in render(line)


def test_an_earlier_dig_without_a_verdict_is_named():
    digs = (a_dig(date=D(2026, 6, 15)), a_dig())
    (line,) = advice_on(records(GOOD, digs=digs)).earlier_digs
    assert render(line) == "On 15 June 2026: dug, no verdict possible."


def test_digs_to_come_are_not_looked_at():
    plants = (*GOOD, *on(D(2026, 7, 1), NONE))
    now, alone = advice_on(records(plants)), advice_on(records(GOOD))
    assert to_json(now) == to_json(alone)
    assert advice_on(records(plants), today=D(2026, 7, 1)).verdict.none_found


def test_before_its_first_dig_a_field_is_not_dug():
    advice = advice_on(records(GOOD), today=D(2026, 6, 1))
    assert (advice.timing.dug_on, advice.verdict, advice.missing[0].record) == (None, None, "plants")


def test_a_dig_without_plants_is_still_a_dig():
    advice = advice_on(records(digs=(a_dig(),)))
    assert (advice.timing.dug_on, advice.timing.state, advice.verdict) == (DUG, "in_window", None)
    assert "plants" in {part.record for part in advice.missing}


def test_plants_without_a_dig_row_are_judged_as_nodules():
    advice = advice_on(records(GOOD, digs=()))
    assert advice.verdict.target.counting_unit == "nodule"
    assert advice.verdict.leading == "adequate"


def test_without_a_target_there_is_no_verdict_and_it_is_said_what_is_needed():
    advice = advice_on(records(GOOD, field={"crop": Crop.LUPIN}))
    assert (advice.verdict, advice.sampling) == (None, None)
    assert "target" in {part.record for part in advice.missing}
    own = {Crop.LUPIN: LocalTarget(value=40)}
    assert advice_on(records(GOOD, field={"crop": Crop.LUPIN}), local_target=own).verdict.leading == "adequate"


def test_plants_that_nobody_could_read_give_no_verdict_and_no_sampling():
    advice = advice_on(records((a_plant(lateral=None),)))
    assert (advice.verdict, advice.sampling, advice.index) == (None, None, None)


def test_an_own_figure_changes_the_outcome_and_is_said():
    plants = a_visit(*[[40] * 10] * 3)
    plain, own = (advice_on(records(plants), overrides=overrides)
                  for overrides in ({}, {"target.pea.fifty_nodules": {"value": 30}}))  # fmt: skip
    assert (plain.verdict.leading, own.verdict.leading) == ("poor", "adequate")
    assert [row.row for row in own.basis.rows if row.overridden] == ["target.pea.fifty_nodules"]
    assert "verdict.reason.target_own" in {message.id for message in own.verdict.reasons}


def test_the_cautions_are_always_there():
    cautions = {row.message for row in load().of(Caution) if row.stands_alone}
    assert {"caution.buried_lines", "caution.treated_seed", "caution.clean_boots", "caution.local_rules"} <= cautions
    for held in (records(), everything()):
        assert {message.id for message in advice_on(held).cautions} == cautions


def test_a_scheme_that_the_book_names_wrongly_is_refused():
    with pytest.raises(KnowledgeError, match="is not a target scheme for pea"):
        advice_on(records(GOOD), target_scheme={Crop.PEA: "target.soybean.ten_any_size"})


def test_days_that_follow_closely_are_one_visit():
    more = tuple(row.model_copy(update={"stop": f"more {row.stop}"}) for row in on(DUG - dt.timedelta(days=2), GOOD))
    together, apart = advice_on(records((*more, *GOOD))), advice_on(records(GOOD))
    assert (together.verdict.plants, together.verdict.stops) == (2 * apart.verdict.plants, 2 * apart.verdict.stops)
    assert together.earlier_digs == ()
    assert together.timing.dug_on == DUG
    assert np.ptp(interval(together)) < np.ptp(interval(apart))


def interval(advice):
    return advice.verdict.share.low, advice.verdict.share.high


def test_a_stage_noted_later_without_plants_leaves_the_verdict_as_it_is():
    later = DUG + dt.timedelta(days=26)
    noted = advice_on(records(GOOD, digs=(a_dig(), a_dig(date=later, stage_bbch=79))), today=later)
    assert noted.verdict == advice_on(records(GOOD, digs=(a_dig(),)), today=later).verdict
    assert [message.id for message in noted.earlier_digs] == ["earlier.no_verdict"]


def test_a_dig_too_late_does_not_put_out_the_one_at_the_right_time():
    later = DUG + dt.timedelta(days=30)
    digs = (a_dig(), a_dig(date=later, stage_bbch=81))
    both = advice_on(records((*GOOD, *on(later, POOR)), digs=digs), today=later)
    assert both.verdict.leading == "adequate"
    assert both.timing.dug_on == DUG
    assert [message.id for message in both.earlier_digs] == ["earlier.late_cut"]


def test_by_number_alone_a_crop_is_never_called_well_nodulated():
    blind = {"cut_open": None, "red_pink": None, "white": None, "green_brown": None}
    many, few = (advice_on(records(a_visit(*[[nodules] * 10] * 3, **blind))) for nodules in (100, 10))
    assert many.verdict.headline.id == "verdict.headline.number.adequate"
    assert (many.sampling.settled, many.sampling.message.id) == (False, "sampling.cut_open")
    assert many.next_step.messages[0].id == "sampling.cut_open"
    assert few.verdict.headline.id == "verdict.headline.number.poor"
    assert few.sampling.settled


def test_no_figure_is_graded_better_than_what_it_rests_on():
    advice = advice_on(everything())
    known = load()
    for quantity in quantities(advice):
        grades = [known.rows[row].grade for row in quantity.sources if row in known.rows]
        assert quantity.grade is None or not grades or quantity.grade >= max(grades), quantity


def quantities(part):
    if isinstance(part, Quantity):
        yield part
    elif isinstance(part, tuple):
        for one in part:
            yield from quantities(one)
    elif hasattr(part, "__dataclass_fields__"):
        for name in part.__dataclass_fields__:
            yield from quantities(getattr(part, name))
