"""Sentences: each id that the code names has one, each is used, and each renders with the values that it is given."""

import ast
import dataclasses
import datetime as dt
import itertools
import re
import string
from pathlib import Path

import pytest
from tests.advice.nitrogen.fields import FIELDS, SOYBEAN, WARM, a_balance_field, applied, past, sky, soil_test, usual
from tests.advice.rescue.fields import HELD, a_soybean, prices
from tests.factories import (
    DUG,
    EMERGED,
    GOOD,
    NONE,
    POOR,
    SOWN,
    a_book,
    a_dig,
    a_plant,
    a_season,
    a_visit,
    advice_on,
    days,
    everything,
    inoculated,
    normals,
    records,
)

import spadework.advice
from spadework.advice.field import advise
from spadework.advice.messages import catalogue, fill, render
from spadework.advice.nitrogen.drivers import GROUPS
from spadework.advice.value import Message
from spadework.agronomy.clock import TimingState
from spadework.agronomy.clock.timing import Doubt
from spadework.agronomy.clock.totals import WhyUnknown
from spadework.agronomy.season.nodulation import Calibration, DigReading
from spadework.demo import demo_book
from spadework.errors import KnowledgeError
from spadework.knowledge.load import load
from spadework.knowledge.rows import (
    Cause,
    Caution,
    Check,
    Classes,
    Crop,
    Fertiliser,
    Finding,
    RescueEvidence,
    RescueLimit,
    Spreading,
)
from spadework.records.lab_result import FieldLabResultRow
from spadework.records.types import NitrogenProduct, ObservationRow, RescuePlan
from spadework.records.words import LaboratoryMethod

SOURCE = Path(spadework.advice.__file__).parent
WHEN, WHERE = ("now", "later"), ("field", "part")


def messages_in(part):
    """Every message anywhere in an advice."""
    if isinstance(part, Message):
        yield part
    elif isinstance(part, tuple):
        for one in part:
            yield from messages_in(one)
    elif hasattr(part, "__dataclass_fields__"):
        for name in part.__dataclass_fields__:
            yield from messages_in(getattr(part, name))


def scanned():
    """Ids of ``Message(...)`` in the source: literals as they are, and f-strings with ``*`` for each hole."""
    found = set()
    for path in SOURCE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Message" and node.args:
                first = node.args[0]
                if isinstance(first, ast.Constant):
                    found.add(first.value)
                elif isinstance(first, ast.JoinedStr):
                    parts = [part.value if isinstance(part, ast.Constant) else "*" for part in first.values]
                    found.add("".join(parts))
    return found


def evidence_rules():
    """Names of the rules of evidence: the words that stand alone as texts in their code."""
    return {
        node.value
        for path in (SOURCE / "evidence").glob("*.py")
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }


def expected_of_diagnosis():
    """Ids of the diagnosis, from the rows that it rests on and the words that fill the holes of its families."""
    knowledge = load()
    found = {f"finding.{row.name}.{part}" for row in knowledge.of(Finding) for part in ("question", "yes", "no")}
    found |= {f"group.{row.group}.question" for row in knowledge.of(Finding) if row.group}
    found |= {f"check.{row.name}.name" for row in knowledge.of(Check)}
    parts = ("name", "confirm", "this_season", "next_season")
    found |= {f"cause.{row.name}.{part}" for row in knowledge.of(Cause) for part in parts}
    states = ("cannot_tell", "nothing_wrong", "wrong_time", "suppressed", "likely", "very_likely")
    found |= {f"diagnosis.{state}" for state in (*states, "no_evidence", "only_history")}
    found |= {f"diagnosis.silent.{when}" for when in ("early", "late")}
    found |= {f"diagnosis.robust.{how}" for how in ("stays", "changes")}
    found |= {f"diagnosis.priors.{how}" for how in ("flat", "own")}
    found |= {f"diagnosis.reason.{how}" for how in ("decides", "tells")}
    found |= {f"pallor.{state}" for state in ("nitrogen", "other", "cannot_tell")}
    rules = evidence_rules()
    return found | {
        name for name in catalogue() if name.startswith("evidence.") and set(name.split(".")[1:2]) <= {*rules, "unread"}
    }


def expected_of_nitrogen():
    """Ids of the nitrogen balance."""
    found = {f"nitrogen.headline.{state}" for state in ("enough", "short", "cannot_tell", "wrong_time", "contradicted")}
    found |= {f"nitrogen.reason.nodules.{reading}" for reading in (*DigReading, "measured", "as_dug_corrected")}
    found |= {f"nitrogen.reason.soil.{source}" for source in ("tested", "tested_shallow", "not_tested")}
    found |= {f"nitrogen.reason.weather.{source}" for source in ("known", "over", "years", "few_years", "normals")}
    found |= {f"nitrogen.reason.filled.{source}" for source in ("around", "years", "normals")}
    found |= {f"nitrogen.reason.maturity_group.{kind}" for kind in ("unknown", "without_sums")}
    found |= {f"nitrogen.reason.leaves.{look}" for look in ("pale", "green")}
    found |= {f"nitrogen.reason.measured.{when}" for when in ("on_day", "ripe", "outside")}
    left_out = ("of_another_season", "later")
    found |= {f"nitrogen.laboratory.{what}" for what in left_out} | {f"nitrogen.unused.{why}" for why in left_out}
    found |= {f"nitrogen.left.{part}" for part in ("balance", "residue", "credits_by_kind", "credits_tested")}
    variants = ("soil_n_tested", "mineralisation_tested", "nodulation_measured", "nodulation_closed")
    return found | {f"nitrogen.driver.{group}" for group in (*GROUPS, "crop", *variants)}


def expected_of_rescue_rows():
    """Ids of products, ways to spread them, limits and evidence, from their rows."""
    knowledge = load()
    found = {f"{row.id}.name" for kind in (Fertiliser, Spreading) for row in knowledge.of(kind)}
    found |= {f"{row.id}.why_not" for row in knowledge.of(Fertiliser) if not row.offered}
    found |= {row.id for row in knowledge.of(RescueLimit)}
    return found | {f"rescue.evidence.{word}" for word in RescueEvidence.WORDS}


def expected_of_decision():
    """Ids of the decision on nitrogen."""
    heads = {
        "working": ("nodules", "nothing_wrong"),
        "pays": ("field.share", "field.price", "part.share", "part.price"),
        "does_not_pay": ("price", "never"),
        "no_gain": ("not_short", "late"),
        "too_late": ("for_good", "unless_sooner"),
        "no_prices": ("both", "grain", "nitrogen"),
        "waiting_pays": tuple(
            f"{when}.{where}.{how}" for when in WHEN for where in WHERE for how in ("share", "always")
        ),
        **dict.fromkeys(("not_dug", "wrong_time", "not_scored"), ("dig_first", "cannot_tell")),
    }
    found = {f"rescue.headline.{why}.{how}" for why, all_how in heads.items() for how in all_how}
    alone = ("nitrate", "cause_not_nitrogen", "no_balance")
    found |= {f"rescue.headline.{why}" for why in alone}
    found |= {
        f"rescue.reason.digging.{when}.{kind}" for when in WHEN for kind in ("worth", "even", "not_worth", "idle")
    }
    found |= {f"rescue.change.{of}_price.{way}" for of in ("grain", "nitrogen") for way in ("above", "below")}
    found |= {
        f"rescue.change.share.{way}.{when}.{where}" for way in ("more", "less") for when in WHEN for where in WHERE
    }
    found |= {f"rescue.change.{way}" for way in ("nothing", "pale", "sooner")}
    found |= {f"rescue.information.{name}" for name in ("nodulation", "rain", "soil_n", "mineralisation", "water")}
    lines = ("grain", "nothing_saved", "nitrogen", "one_pass", "burn", "wheels")
    found |= {f"rescue.budget.{line}" for line in lines}
    found |= {f"rescue.strip.{where}.{fits}" for where in ("part", "field") for fits in ("clear", "tight")}
    return found | {f"next.nitrogen.{kind}" for kind in ("apply", "dig_again", "dig_now", "dig_first")}


def expected():
    """Every id that the families of the code can make, from the words that fill their holes."""
    knowledge = load()
    states = [str(state) for state in TimingState]
    classes, index = (knowledge.row(f"classes.{name}") for name in ("share_adequate", "three_factor"))
    assert isinstance(classes, Classes)
    assert isinstance(index, Classes)
    found = {pattern for pattern in scanned() if "*" not in pattern}
    found |= {f"timing.{state}.{part}" for state in states for part in ("headline", "means", "not_means")}
    found |= {f"timing.undug.{state}.headline" for state in states}
    found |= {f"timing.doubt.{doubt}" for doubt in Doubt} | {f"timing.why_unknown.{why}" for why in WhyUnknown}
    found |= {f"timing.days.{kind}" for kind in ("filled", "normal", "missing")}
    found |= {f"timing.window.{kind}" for kind in ("opens", "opens_between", "closes", "closes_between")}
    found |= {f"verdict.headline.{when}.{name}" for when in ("early", "late") for name in (*classes.names, "none")}
    found |= {f"verdict.headline.number.{name}" for name in classes.names}
    found |= {f"verdict.headline.{name}.{how}" for name in (*classes.names, "none") for how in ("settled", "unsettled")}
    found |= {
        f"verdict.reason.{name}"
        for name in ("unknown", "size_unknown", "target_own", "target_judgement", "counted", "counted_number")
    }
    found |= {f"colour.{name}" for name in ("green_brown", "green_brown_late", "white", "white_early",
              "white_undated", "mostly_red", "mixed")}  # fmt: skip
    found |= {f"position.{name}" for name in ("both", "crown", "lateral", "lateral_granule",
              "lateral_inoculated")}  # fmt: skip
    found |= {f"agreement.{name}" for name in ("good", "poor")}
    found |= {f"index.{name}" for name in (*index.names, "early", "late")}
    found |= {f"sampling.{name}" for name in ("later", "too_late", "settled", "patchy")}
    found |= {f"earlier.{kind}_{cut}" for kind in ("dig", "early", "late") for cut in ("cut", "not_cut")}
    gaps = ("plants", "zones", "size_class", "target", "stage_bbch", "cut_open", "sown_on", "emerged_on", "weather",
            "normals", "latitude", "vigour", "index_full", "inoculation", "second_scorer", "expected_yield",
            "rain_normals", "nitrate_test", "deeper_nitrate", "organic_matter", "soil_texture",
            "past_weather", "grain_price", "nitrogen_price", "pass_price")  # fmt: skip
    found |= {f"{kind}.{name}" for kind in ("missing", "record") for name in gaps} | {"record.lab_results"}
    found |= {f"next.{name}" for name in ("look_for_cause", "look_for_cause_late", "look_at_weak_plants",
              "nothing_to_mend")}  # fmt: skip
    found |= expected_of_rescue_rows() | expected_of_decision()
    found |= {f"lab.warning.not_measured.{method.value}" for method in LaboratoryMethod}
    found |= {f"lab.warning.below_ground_{side}" for side in ("least", "most")}
    return found | expected_of_diagnosis() | expected_of_nitrogen() | {row.message for row in knowledge.of(Caution)}


def test_the_catalogue_holds_what_the_code_can_say_and_nothing_else():
    assert set(catalogue()) == expected()


def test_each_family_of_the_code_stands_in_the_list_above():
    families = {pattern for pattern in scanned() if "*" in pattern}
    # The subject of a timing headline is a word made beforehand.
    families.discard("*.headline")
    for pattern in families:
        shape = re.compile(re.escape(pattern).replace(r"\*", "[a-z_.]+"))
        assert any(shape.fullmatch(name) for name in expected()), pattern


def test_ids_are_dotted_words():
    for name in catalogue():
        assert re.fullmatch(r"[a-z_]+(\.[a-z_][a-z0-9_]*)+", name), name


D = dt.date


def advices_on_causes():
    """Fields of which little is known but what somebody saw, so that each thing a diagnosis can say is said."""
    wasted = {"no_inoculant": "yes", "host_new": "yes", "no_nodules": "yes", "pale_old_leaves": "yes"}
    all_seen = (
        {},
        {"acid_soil": "yes"},
        wasted,
        {**wasted, "pale_old_leaves": "no", "few_nodules": "yes"},
        {"high_nitrate": "yes", "nitrogen_before": "yes", "few_nodules": "yes", "green_tops": "yes"},
        {"stunted": "yes", "few_nodules": "yes"},
        {"pale_old_leaves": "yes", "few_nodules": "yes"},
        {"pale_old_leaves": "yes"},
        {"pale_old_leaves": "yes", "few_nodules": "no", "nodules_normal": "yes"},
        {"pale_young_leaves": "yes", "sandy_soil": "yes", "nodules_normal": "yes", "green_veins_young": "no"},
        {"mosaic": "yes", "stunted": "yes", "pale_old_leaves": "no"},
        {"salty_soil": "yes", "lateral_only": "yes", "hollow_nodules": "yes", "notched_leaves": "yes"},
    )
    for seen in all_seen:
        rows = tuple(ObservationRow(field="west", date=DUG, subject=name, value=said) for name, said in seen.items())
        for stage in (14, 55, 79):
            yield advice_on(records(observations=rows, digs=(a_dig(stage_bbch=stage),)))
    yield advice_on(records(POOR, observations=rows, digs=(a_dig(stage_bbch=55),)), cause_prior={"salinity": 0.3})
    plenty = tuple(
        ObservationRow(field="west", date=DUG, subject=name, value="yes")
        for name in ("high_nitrate", "nitrogen_before", "green_tops")
    )
    yield advice_on(records(POOR, observations=plenty))


def advices_on_nitrogen():
    """Fields with a yield expected, of which more or less is known."""
    yield from (advice_on(held) for held in FIELDS.values())
    over = D(2026, 10, 30)
    yield advice_on(a_balance_field(GOOD, weather=sky(last=over)), today=over)
    after = soil_test(60, day=D(2026, 10, 1))
    yield advice_on(a_balance_field(GOOD, weather=sky(last=over), soil_tests=after), today=over)
    yield advice_on(a_balance_field(GOOD, weather=past() + sky()))
    for group in ("early", "000"):
        beans = {**SOYBEAN, "maturity_group": group}
        yield advice_on(a_balance_field(field=beans, weather=sky(**WARM), normals=usual(**WARM)))
    # Few past years; a day, and many days, that were not written down.
    yield advice_on(a_balance_field(GOOD, weather=past(range(2020, 2026)) + sky()))
    yield advice_on(a_balance_field(GOOD, weather=(*sky(last=D(2026, 6, 2)), *sky(D(2026, 6, 4), over))), today=over)
    yield advice_on(a_balance_field(GOOD, weather=sky(last=D(2026, 6, 10))))
    yield advice_on(a_balance_field(GOOD, weather=past() + sky(last=D(2026, 6, 10))))
    yield advice_on(a_balance_field(GOOD, field={"soil_texture": None}))
    yield advice_on(a_balance_field(GOOD, normals=normals()))
    yield advice_on(a_balance_field(POOR, soil_tests=soil_test(30), applied=applied(20)))
    tested_after = soil_test(60, day=SOWN + dt.timedelta(days=10))
    yield advice_on(a_balance_field(POOR, soil_tests=tested_after, applied=applied(20)))
    manure = applied(150, D(2026, 6, 10), NitrogenProduct.MANURE)
    yield advice_on(a_balance_field(NONE, soil_tests=soil_test(30, organic_matter=2.5), applied=manure))
    yield advice_on(a_balance_field(POOR, soil_tests=soil_test(170, organic_matter=3.0)))
    yield advice_on(a_balance_field(POOR, soil_tests=soil_test(5), normals=usual(20.0), weather=sky(rain=4.0)))
    for date, excess in ((None, 0.12), (DUG, 0.12), (None, -0.09)):
        samples = (
            (kind, value + 0.01 * n) for kind, value in (("legume", excess), ("reference", 0.4)) for n in range(4)
        )
        rows = tuple(
            FieldLabResultRow(field="west", sample=str(n), kind=kind, date=date, atom_percent_excess=value)
            for n, (kind, value) in enumerate(samples)
        )
        yield advice_on(a_balance_field(NONE if excess < 0 else POOR, lab_results=rows, soil_tests=soil_test(170)))
    yield from advices_on_the_laboratory()
    short, cool = {"mean": 5.2, "swing": 10.0}, {"expected_yield": 3.0, "emerged_on": None}
    yield advice_on(a_balance_field(weather=sky(**short), normals=usual(**short), field=cool))


def advices_on_rescue():
    """Fields at prices that lead to each kind of decision."""
    yield from (advice_on(held) for held in HELD.values())
    yield from (advice_on(held, prices=prices(310.0, {"urea": 1.2})) for held in FIELDS.values())
    for name, grain in (
        ("failed", 200.0),
        ("failed", 800.0),
        ("quarter", 600.0),
        ("quarter", 950.0),
        ("patchy", 900.0),
    ):
        for dig in (0.0, None):
            yield advice_on(HELD[name], prices=prices(grain, {"urea": 1.2}, dig=dig, per_pass=dig))
    for name in ("failed", "patchy"):
        # No more plants can be dug in their window.
        yield advice_on(HELD[name], prices=prices(900.0, {"urea": 1.2}), today=D(2026, 6, 27))
    yield advice_on(HELD["failed"], rescue=RescuePlan(lead_days=20))
    yield advice_on(HELD["failed"], prices=prices(900.0, {}))
    yield advice_on(HELD["failed"], prices=dataclasses.replace(prices(900.0, {"urea": 1.2}), grain={}))
    wet = ("saturated_soil", "low_places")
    rows = tuple(ObservationRow(field="west", date=DUG, subject=name, value="yes") for name in wet)
    yield advice_on(dataclasses.replace(HELD["failed"], observations=rows), prices=prices(800.0, {"urea": 1.2}))
    # The nitrogen could still come, but the window of the dig has closed; and nodules without a target.
    yield advice_on(a_soybean((), digs=()), today=D(2026, 6, 28))
    yield advice_on(HELD["too early"], today=D(2026, 6, 27), rescue=RescuePlan(lead_days=1))
    chickpea = {"crop": Crop.CHICKPEA, "expected_yield": 1.5, "sown_on": D(2026, 5, 16), "emerged_on": D(2026, 5, 25)}
    yield advice_on(a_balance_field(POOR, field=chickpea, digs=(a_dig(stage_bbch=55),)))
    over = {**chickpea, "sown_on": D(2026, 5, 1), "emerged_on": D(2026, 5, 8)}
    yield advice_on(a_balance_field(POOR, field=over, digs=(a_dig(stage_bbch=55),)), rescue=RescuePlan(lead_days=1))


def sampled(excess=(0.12, 0.13, 0.11, 0.12), date=DUG, name="", **more):
    """Samples of a field by isotope dilution, with references of 0.4."""
    return tuple(
        FieldLabResultRow(
            field="west", sample=f"{name}{kind}{n}", kind=kind, date=date, atom_percent_excess=value, **more
        )
        for kind, values in (("legume", excess), ("reference", (0.4, 0.41, 0.39, 0.4)[: len(excess) or 4]))
        for n, value in enumerate(values)
    )


def advices_on_the_laboratory():
    """Results that are used, used in part, and not used."""
    before, after = SOWN - dt.timedelta(days=300), DUG + dt.timedelta(days=9)
    undated = sampled(date=None, name="u")[:1]
    rows = (*sampled(), *sampled(date=before, name="b"), *sampled(date=after, name="a"), *undated,
            *sampled(date=DUG - dt.timedelta(days=20), name="e"))  # fmt: skip
    yield advice_on(a_balance_field(POOR, lab_results=rows))
    yield advice_on(a_balance_field(POOR, lab_results=sampled(date=before)))
    yield advice_on(a_balance_field(POOR, lab_results=sampled(date=after)))
    yield advice_on(a_balance_field(POOR, lab_results=sampled((0.12,))))
    yield advice_on(a_balance_field(POOR, lab_results=sampled(())))
    yield advice_on(a_balance_field(POOR, lab_results=sampled()[:4]))
    yield advice_on(a_balance_field(POOR, lab_results=sampled(), field={"expected_yield": None}))
    amounts = {"shoot_n": 2.5, "shoot_dry_matter": 4000.0}
    both = tuple(
        row.model_copy(update={**amounts, "delta_15n": 1.0 + n, "atom_percent_excess": None,
                               "shoot_dry_matter": (4000.0 if n < 4 else 2000.0) + 9 * n})
        for n, row in enumerate(sampled())
    )  # fmt: skip
    yield advice_on(a_balance_field(GOOD, lab_results=both))
    high = sampled((0.10, 0.11, 0.09, 0.10), **amounts)
    yield advice_on(a_balance_field(GOOD, lab_results=high, soil_tests=soil_test(90)))
    yield advice_on(a_balance_field(GOOD, weather=sky(last=D(2026, 7, 30))), today=D(2026, 7, 30))
    held = a_balance_field(POOR, soil_tests=soil_test(30))
    yield advise(held, a_book(), load(), DUG, calibration=Calibration(logs=(-0.2, 0.1), error=0.25))


def many_advices():
    """Advice on the demo season and on fields made so that everything that can be said is said."""
    book = demo_book()
    yield from (advise(held, book.settings, load(), book.settings.today) for held in book.by_field().values())
    nothing = {"cut_open": None, "red_pink": None, "white": None, "green_brown": None}
    white = {"cut_open": 10, "red_pink": 4, "white": 6, "green_brown": 0}
    brown = {"cut_open": 10, "red_pink": 4, "white": 0, "green_brown": 6}
    mixed = {"cut_open": 10, "red_pink": 6, "white": 2, "green_brown": 2}
    thirds = a_visit(*[[80] * 12 + [5] * 8] * 3)
    good = [70, 82, 95, 110, 64, 88, 101, 75]
    unseen = {"sown_on": None, "emerged_on": None}
    visits = [GOOD, POOR, NONE, thirds, a_visit(good, [3, 0, 5, 9, 2, 4, 7, 1], good), a_visit([80, 5])]
    visits += [a_visit(*[[80] * 8] * 3, **colours) for colours in (white, brown, mixed, nothing)]
    visits += [a_visit(*[[nodules] * 8] * 3, **nothing) for nodules in (5,)] + [
        a_visit(*[[60] * 5 + [5] * 3] * 3, **nothing)
    ]
    visits += [a_visit(*[[80] * 8] * 3, crown_share=share) for share in (0.05, 0.95)]
    for plants, stage in itertools.product(visits, (None, 7, 14, 21, 55, 70, 79)):
        for settle_at in (0.5, 0.9999):
            yield advice_on(records(plants, digs=(a_dig(stage_bbch=stage),)), settle_at=settle_at)
    for plants in visits:
        yield advice_on(records(plants, digs=(a_dig(stage_bbch=None),), field=unseen))
        for inoculation in (inoculated(), inoculated("granule", "furrow")):
            yield advice_on(records(plants, inoculation=inoculation))
    yield advice_on(records((*GOOD, a_plant(stop="1", plant="11", lateral=None))))
    yield advice_on(records((a_plant(lateral=None),)))
    soybean = {"crop": Crop.SOYBEAN, "soil_texture": "sand"}
    by_size = {"target_scheme": {Crop.SOYBEAN: "target.soybean.seven_red_of_2_mm"}}
    sized = (*a_visit([20] * 5), a_plant(stop="1", plant="9", size_class=None))
    yield advice_on(records(sized, field=soybean), **by_size)
    yield advice_on(records(a_visit([20] * 5, size_class=None), field=soybean), **by_size)
    yield advice_on(records(a_visit([8] * 5), digs=(a_dig(counting_unit="cluster"),)))
    yield advice_on(records(a_visit([8] * 5, vigour=None), field={"crop": Crop.LENTIL, "latitude": None}))
    yield advice_on(records(GOOD), overrides={"target.pea.fifty_nodules": {"value": 30}})
    mean = a_visit([5, 12, 25, 60, 90, 8], [15, 30, 55, 110])
    for changes in (
        {},
        {"crown_nodules": None},
        {"crown_nodules": a_plant(1).crown_nodules, "cut_open": 1, "red_pink": 1},
    ):
        again = tuple(row.model_copy(update={"scorer": "B", **changes}) for row in mean)
        yield advice_on(records(mean + again))
    yield advice_on(everything())
    yield from advices_on_causes()
    yield from advices_on_nitrogen()
    yield from advices_on_rescue()
    # Earlier digs: in time, early and late, cut or not; and one that gave nothing.
    stages = ((D(2026, 6, 1), 14), (D(2026, 6, 14), 55), (D(2026, 6, 18), 79))
    for cut in ({}, nothing):
        rows = tuple(row.model_copy(update={"date": day}) for day, _ in stages for row in a_visit([60] * 4, **cut))
        digs = (*(a_dig(date=day, stage_bbch=stage) for day, stage in stages), a_dig(), a_dig(date=D(2026, 6, 20)))
        yield advice_on(records((*rows, *a_visit([80] * 4)), digs=digs))
    # Not dug, on days from before sowing to harvest, with much and little known.
    gap, long_gap = tuple(days(D(2026, 5, 20), D(2026, 5, 20))), tuple(days(D(2026, 5, 20), D(2026, 5, 30)))
    climates = ((a_season(), normals()), (a_season(without=gap), normals()), (a_season(without=long_gap), normals()),
                (a_season(without=long_gap), ()), (a_season(mean=4), ()), ((), ()))  # fmt: skip
    fields = (
        {},
        {"emerged_on": None},
        unseen,
        {"emerged_on": None, "crop": Crop.LUPIN},
        {"emerged_on": None, "crop": Crop.LENTIL},
    )
    for (weather, months), field, number in itertools.product(climates, fields, range(-20, 130, 6)):
        yield advice_on(records(weather=weather, normals=months, field=field), today=SOWN + dt.timedelta(days=number))
    for number in range(110):
        day = EMERGED + dt.timedelta(days=number)
        parts = {"digs": (a_dig(date=day, stage_bbch=None),), "weather": a_season(last=day), "normals": normals()}
        yield advice_on(records((a_plant(date=day),), field={"emerged_on": None}, **parts), today=day)
    from_sowing = {"window_scheme": {Crop.FABA_BEAN: "window.any.ten_to_twelve_weeks_from_sowing"}}
    yield advice_on(records(field={"crop": Crop.FABA_BEAN, "emerged_on": None}), today=DUG, **from_sowing)
    small = tuple(row.model_copy(update={"lateral_nodules": None}) for row in a_visit([9] * 5, size_class="under_2_mm"))
    yield advice_on(records(small, field=soybean), **by_size)
    yield advice_on(records(weather=a_season(), field={"crop": Crop.LENTIL}), degree_day_method="capped_mean")


@pytest.fixture(scope="module")
def said():
    """Every message met, one of each id and set of values."""
    found = {}
    for advice in many_advices():
        for message in messages_in(advice):
            found.setdefault((message.id, tuple(message.values.values())), message)
    return list(found.values())


# Reasons that no field above leads to: each is a rule of the clock, tested there by itself.
HARD_TO_MEET = {
    "timing.why_unknown.beyond_series",
    "timing.why_unknown.no_row",
    # Told in tests/advice/rescue/test_told.py, test_information.py and tests/advice/test_next_step.py by themselves.
    "rescue.change.rain.comes",
    "rescue.headline.does_not_pay.never",
    "rescue.change.rain.stays_away",
    "next.nitrogen.dig_again",
    *(f"rescue.headline.waiting_pays.now.{where}.always" for where in WHERE),
    *(f"rescue.headline.waiting_pays.later.{where}.{how}" for where in WHERE for how in ("always", "share")),
    *(f"rescue.change.share.{way}.later.{where}" for way in ("more", "less") for where in WHERE),
    "rescue.change.share.less.now.part",
    *(f"rescue.reason.digging.later.{kind}" for kind in ("idle", "worth", "not_worth")),
    "rescue.headline.no_gain.not_short",
    "rescue.information.water",
}


# Families of the tables, each row with its texts, are met one by one in the tests of the tables and of the rules;
# those of the laboratory in tests/advice/measured/test_measure.py, of the strip in tests/advice/rescue/test_ground.py.
OF_TABLES = ("cause.", "finding.", "check.", "group.", "evidence.", "caution.", "lab.",
             "rescue.strip.", "rescue.product.", "rescue.placement.", "rescue.limit.", "rescue.evidence.")  # fmt: skip


def test_nearly_everything_that_can_be_said_was_said(said):
    unsaid = set(catalogue()) - {message.id for message in said}
    assert {name for name in unsaid if not name.startswith(OF_TABLES)} == HARD_TO_MEET


def test_every_text_of_the_tables_reads_as_a_sentence_a_question_or_a_name():
    for name, template in catalogue().items():
        if not name.startswith(OF_TABLES):
            continue
        assert "  " not in template, name
        if name.endswith(".name"):
            assert template[0].islower() or template.split()[0].isupper(), name
            assert not template.endswith("."), name
        else:
            assert template[0].isupper() or template[0] in "0123456789{", name
            assert template.endswith("?" if name.endswith(".question") else "."), name


def test_each_sentence_renders_with_the_values_given_and_reads_as_one(said):
    for message in said:
        text = render(message)
        assert "None" not in text, message
        assert "{" not in text, message
        assert "  " not in text, message
        if not message.id.startswith(("missing.", "record.", "rescue.budget.")) and not message.id.endswith(".name"):
            assert text[0].isupper() or text[0].isdigit(), message
            assert text.endswith("."), message


def test_no_sentence_needs_a_value_that_it_is_not_given(said):
    templates = catalogue()
    for message in said:
        names = {name for _, name, _, _ in string.Formatter().parse(templates[message.id]) if name}
        assert names <= set(message.values), message.id


def test_percent_never_tells_a_certainty_that_is_not_there(said):
    uncertain = {"probability", "assurance", "p_value"}
    for message in said:
        for name in uncertain & set(message.values):
            alone = fill(f"{{{name}:percent}}", message.values)
            assert alone not in ("0 %", "100 %"), message


@pytest.mark.parametrize(
    ("share", "text"),
    [
        (0, "0 %"), (1e-9, "under 1 %"), (0.0099, "under 1 %"), (0.01, "1 %"), (0.125, "12 %"), (0.5, "50 %"),
        (0.99, "99 %"), (0.9901, "over 99 %"), (1 - 1e-9, "over 99 %"), (1, "100 %"),
    ],
)  # fmt: skip
def test_percent(share, text):
    assert fill("{x:percent}", {"x": share}) == text


@pytest.mark.parametrize(
    ("number", "text"),
    [(0, "0"), (0.02, "0"), (0.3, "fewer than 1"), (0.6, "about 1"), (12, "12"), (11.97, "12"), (28.2, "about 28")],
)
def test_about(number, text):
    assert fill("{x:about}", {"x": number}) == text


@pytest.mark.parametrize(("number", "text"), [(0, "0 stops"), (1, "1 stop"), (2, "2 stops")])
def test_plural(number, text):
    assert fill("{x:plural:stop|stops}", {"x": number}) == text
    assert fill("{x:word:stop|stops}", {"x": number}) == text.split()[1]


def test_dates_are_written_out():
    assert fill("{day:date}", {"day": dt.date(2026, 6, 4)}) == "4 June 2026"
    assert fill("{day:date}", {"day": dt.date(2025, 12, 31)}) == "31 December 2025"


def test_all_other_formats_are_python_s():
    assert fill("{x:.2f} {y}", {"x": 0.456, "y": "a"}) == "0.46 a"


def test_a_message_without_a_sentence_is_refused():
    with pytest.raises(KnowledgeError, match=r"no_such\.thing.*there is no such message"):
        render(Message("no_such.thing"))


def test_sentences_are_written_in_british_english_without_jargon():
    text = " ".join(catalogue().values()).lower()
    for word in ("color", "fertilizer", "posterior", "likelihood", "bayes", "p-value", "beta-binomial", "covariate"):
        assert word not in text, word


def test_a_grower_is_not_told_numbers_of_one_as_many():
    single = {"plants": 1, "days": 1, "stops": 1, "dug": 1, "dug_stops": 1, "limit": 10, "assurance": 0.5, "kappa": 0.5}
    for name, template in catalogue().items():
        names = {field for _, field, _, _ in string.Formatter().parse(template) if field}
        if names and names <= set(single):
            assert not re.search(r"\b1 (more )?(plants|days|stops)\b", fill(template, single)), name


def test_the_day_of_a_dig_is_its_own():
    assert render(advice_on(records(GOOD)).timing.headline) == f"Dug on {DUG.day} June 2026, at the right time."


def test_amounts_can_be_shown_in_units_of_the_reader_s_own():
    assert fill("{x:as:kg/ha}", {"x": 56.04}) == "56 kg/ha"
    assert fill("{x:as:t/ha}, {y:as:per kg}", {"x": 0.456, "y": 1.4}) == "0.46 t/ha, 1.40 per kg"
    assert fill("{x:as:per ha}", {"x": -12.3}) == "\u221212 per ha"
    assert fill("{x:as:kg/ha}", {"x": 56.04}, amounts=lambda value, unit: f"{value / 1.12:.0f} lb/ac") == "50 lb/ac"
