"""Advice values as the pages meet them: one maker a situation, all in invented places."""

import datetime as dt
import io
from dataclasses import replace

import pypdf
import pytest
from tests.report.a_diagnosis import (
    a_diagnosis,
    cannot_tell,
    endless_diagnosis,
    longest_diagnosis,
    nothing_wrong,
    pale,
    say,
)
from tests.report.a_nitrogen import a_nitrogen

from spadework.advice import messages
from spadework.advice.diagnosis.value import Evidence
from spadework.advice.next_step import next_step_of
from spadework.advice.nitrogen.value import Driver
from spadework.advice.value import (
    Agreement,
    Basis,
    ClassProbability,
    ColourReading,
    DateRange,
    DegreeDayTotal,
    FieldAdvice,
    Missing,
    NextStep,
    Patch,
    PositionReading,
    Readings,
    Sampling,
    SourceUsed,
    StageEstimate,
    StopSummary,
    TargetInForce,
    ThreeFactorIndex,
    Timing,
    Verdict,
)
from spadework.knowledge.rows import Crop
from spadework.quantity import Grade, Quantity

TODAY = dt.date(2026, 6, 26)


@pytest.fixture(autouse=True)
def _plain_catalogue(monkeypatch):
    sentences = {**messages.catalogue(), "test.sentence": "{text}"}
    monkeypatch.setattr(messages, "catalogue", lambda language="en": sentences)


def share(value, low=None, high=None):
    return Quantity(value, "1", low, high, 0.90 if low is not None else None, grade=Grade.JUDGEMENT)


def a_stop(name, adequate, *, plants=10, low=None, high=None, mean=4.0, patch=None):
    value = adequate / plants
    low = max(0.0, value - 0.22) if low is None else low
    high = min(1.0, value + 0.2) if high is None else high
    return StopSummary(str(name), plants, adequate, share(value, low, high), mean, patch)


def a_timing(**changes):
    timing = Timing(
        dug_on=dt.date(2026, 6, 24),
        state="in_window",
        sure=True,
        decided_by="stage_seen",
        window_scheme="four to six weeks after emergence",
        headline=say("The dig on 24 June 2026 was at the right time: 5 weeks after emergence and before flowering."),
        a_poor_reading_means=say(
            "Few plants carry enough working nodules now, and at this stage they will not make up for it by themselves."
        ),
        a_poor_reading_does_not_mean=say(
            "It does not yet say why: dead inoculant, acid soil, high nitrate and wet soil look alike on the root."
        ),
        anchor="sowing",
        anchor_date=DateRange(dt.date(2026, 5, 6), dt.date(2026, 5, 6), observed=True),
        days_since_anchor=Quantity(49, "d"),
        emergence=DateRange(dt.date(2026, 5, 17), dt.date(2026, 5, 22)),
        first_flower=DateRange(dt.date(2026, 6, 27), dt.date(2026, 7, 8)),
        stage=StageEstimate(18, 51, 39, "leaf development", "stem elongation"),
        opens=DateRange(dt.date(2026, 6, 14), dt.date(2026, 6, 19)),
        closes=DateRange(dt.date(2026, 7, 1), dt.date(2026, 7, 12)),
        degree_days=DegreeDayTotal(
            total=Quantity(512.4, "degC d", sources=("thermal_time.pea.flowering",), grade=Grade.READ),
            method="mean_then_floor",
            method_name="mean of the day, then the base",
            base_c=4.0,
            cap_c=30.0,
            from_date=dt.date(2026, 5, 6),
            to_date=dt.date(2026, 6, 24),
            filled_days=2,
            normal_days=0,
            missing_days=0,
        ),
        day_length=Quantity(16.3, "h"),
        cold_days=3,
        notes=(say("Two days without readings were filled in from the days around them."),),
    )
    return replace(timing, **changes)


A_TARGET = TargetInForce(
    scheme="target.pea.prairie",
    value=5.0,
    counting_unit="cluster",
    comparison="more_than",
    counts="any_size",
    chosen_by="default",
    grade=Grade.READ,
    source="source2004",
)


def a_verdict(**changes):
    verdict = Verdict(
        target=A_TARGET,
        plants=30,
        stops=3,
        adequate_as_counted=25,
        share=share(0.82, 0.70, 0.91),
        classes=(
            ClassProbability("poor", 0.004),
            ClassProbability("borderline", 0.046),
            ClassProbability("adequate", 0.95),
        ),
        leading="adequate",
        probability=0.95,
        none_found=False,
        by_number_only=False,
        headline=say("The peas in this field are adequately nodulated: the chance of that is 95 %."),
        reasons=(
            say("25 of 30 plants carry more than 5 clusters that are red or pink inside."),
            say("The three stops agree as well as chance allows."),
            say("Nodules sit on the crown of 26 plants: the inoculant reached the young root."),
            say("Old and young leaves are green."),
        ),
        stop_summaries=(a_stop(1, 9, mean=8.2), a_stop(2, 8, mean=7.4), a_stop(3, 8, mean=7.9)),
        mean_effective=Quantity(7.8, "cluster", 6.9, 8.8, 0.90),
        patch=None,
        class_limits=(0.5, 0.7),
    )
    return replace(verdict, **changes)


def a_readings(**changes):
    readings = Readings(
        colour=ColourReading(
            cut_open=148,
            red_pink=share(0.91, 0.86, 0.95),
            white=share(0.07, 0.04, 0.12),
            green_brown=share(0.02, 0.005, 0.05),
            message=say("Nine in ten nodules cut open were red or pink: they are at work."),
        ),
        position=PositionReading(
            crown_share=share(0.63, 0.55, 0.71),
            plants_with_crown=share(0.87, 0.74, 0.94),
            message=say("Crown nodules lead, as they do where the inoculant worked; laterals add to them."),
        ),
        agreement=Agreement(
            plants=6,
            scorers=("A. Quill", "B. Marrow"),
            weighted_kappa=0.81,
            observed_agreement=0.83,
            intraclass_correlation=0.88,
            warning=False,
            message=say("The two scorers agree well enough for this verdict."),
        ),
    )
    return replace(readings, **changes)


AN_INDEX = ThreeFactorIndex(
    vigour=Quantity(4.2, "1", 3.9, 4.5, 0.90, grade=Grade.JUDGEMENT),
    abundance_and_colour=Quantity(4.3, "1", 4.0, 4.6, 0.90, grade=Grade.JUDGEMENT),
    position=Quantity(2.6, "1", 2.3, 2.8, 0.90, grade=Grade.JUDGEMENT),
    total=Quantity(11.1, "1", 10.5, 11.7, 0.90, grade=Grade.JUDGEMENT),
    classes=(
        ClassProbability("failing", 0.002),
        ClassProbability("something_wrong", 0.05),
        ClassProbability("effective", 0.948),
    ),
    leading="effective",
    message=say("The index says effective with high potential, in line with the verdict."),
)


def a_sampling(**changes):
    sampling = Sampling(
        settled=True,
        settle_at=0.90,
        more_plants=None,
        more_stops=None,
        assurance=None,
        stop_correlation=Quantity(0.06, "1", 0.0, 0.2, 0.90),
        planned_plants=60,
        planned_stops=6,
        planned_precision=share(0.10),
        message=say("With 95 % on one class, further plants would hardly change the verdict. Leave the spade at home."),
    )
    return replace(sampling, **changes)


CAUTIONS = tuple(
    say(text)
    for text in (
        "Before digging, have buried cables, gas and water lines located; ask the local service first.",
        "Seed may carry a treatment: wear gloves, keep roots and soil off food and faces, wash hands.",
        "Clean boots and spade between fields, so that root diseases stay where they are.",
        "Local rules, product labels and licensed advice go before anything on this page.",
    )
)

BASIS = Basis(
    version="0.1.0",
    knowledge_hash="9f2c51d07ab4",
    seed=1,
    level=0.90,
    rows=(
        SourceUsed(
            "target.pea.prairie",
            "more than 5 clusters a plant",
            Grade.READ,
            "Agriculture office of an invented province (2004). Guide to judging nodules. Page 3.",
            overridden=False,
        ),
        SourceUsed(
            "classes.share_adequate",
            "limits 50 % and 70 %",
            Grade.READ,
            "Regional research body (2015). Inoculating legumes: a practical guide. Table 6.",
            overridden=False,
        ),
        SourceUsed(
            "dig_window.pea.weeks",
            "28 to 42 days from emergence",
            Grade.JUDGEMENT,
            "Common practice, no source.",
            overridden=False,
        ),
        SourceUsed(
            "thermal_time.pea.flowering",
            "650 degC d from sowing, base 4 degC",
            Grade.SECOND_HAND,
            "Writer, A. and Other, B. (1998). Heat units and pea flowering. Journal of Field Notes 12, 1-9.",
            overridden=False,
        ),
        SourceUsed(
            "planning.stop_correlation",
            "0.12, likely 0.05 to 0.25",
            Grade.JUDGEMENT,
            "Common practice, no source.",
            overridden=True,
        ),
    ),
)


# Grade, citation, row and figure as a bean field dug early has them.
_FULL_ROWS = """\
A 1 window.any.ten_to_twelve_weeks_from_sowing autumn-sown cool-season pulses, late winter to early spring
C J window.faba_bean.stage bud to full flower
C J thermal.faba_bean.emergence_first_flower 640.5 (448 to 833) degC d
C J late.faba_bean 75 BBCH
A 2 cold.any 10 degC
C P infection.any 14 d
B 3 first_look.any 17.5 (14 to 21) d
C J first_look.bbch 12 BBCH
C J range.thermal_time 0.15
C J range.first_flower 0.3
C J bud.share 0.8
C J normals.sd 1.5 degC
C P statement.timing.infection any crop
C P statement.timing.something_to_judge any crop
A 4 cardinal.faba_bean germination and emergence, near 0 in all accessions; South Australia
A 5 target.faba_bean.fifty_nodules 50 nodule/plant
A 1 classes.share_adequate share of adequate plants, 30 plants from 3 spots; southern Australia, crop-neutral
C J planning.stop_correlation 0.22 (0 to 0.65)
C J planning.interval_level 0.9
C J red.plant_correlation 0.2 (0 to 0.65)
C J planning.patch_p 0.01
C J planning.settle_at 0.9
C J planning.count_cv_sparse 0.75
B 6 statement.colour.white_young early season
C J colour.notable 0.3
C J planning.zone_sd 0.3
A 5 statement.position.crown_inoculant seed-placed inoculant
C J position.zone_share 0.2
C R index.vigour_max 5 point
C R index.abundance_max 5 point
C R index.crown_weight 2 point
C R index.lateral_weight 1 point
C J index.presence_share 0.2
C J index.vigour_sd 1 point
C J index.abundance_sd 1.2 point
C J index.position_sd 0.7 point
C J index.total_sd 2.2 point
C R index.position_max 3 point
C P classes.three_factor total of the three-factor index, 0 to 13
C J planning.precision 0.15
A 1 planning.plants_per_stop 10 plant
C P caution.buried_lines before a spade goes into the ground
C P caution.treated_seed handling of treated or inoculated seed
C P caution.clean_boots between fields
C P caution.lifting digging and lifting by hand
A 7 caution.not_nitrogen any verdict from looking at nodules
C P caution.local_rules everywhere
A 1 statement.position.salinity_confounder faba bean
B 2 node.faba_bean 50 (44 to 56) degC d
C J colour.mostly_red 0.7
"""
_FULL_CITATIONS = {
    "J": "Judgement of the authors of this tool, to be replaced by a local figure where there is one",
    "P": "Common practice: a fact of the trade; no published source",
    "R": "Rule of this tool, stated in its documentation",
}


def full_basis():
    """As many rows, citations and long names as a real field has."""
    rows = []
    for line in _FULL_ROWS.splitlines():
        grade, source, row, figure = line.split(" ", 3)
        made_up = f"Invented research body number {source} ({2000 + len(source)}) A guide with a title of usual length"
        citation = _FULL_CITATIONS.get(source, made_up)
        rows.append(SourceUsed(row, figure, Grade(grade), citation, row == "planning.stop_correlation"))
    return replace(BASIS, rows=tuple(rows))


def good_field(**changes):
    advice = FieldAdvice(
        field="north-12",
        name="North Twelve",
        grower="Tarn & Daughters",
        crop=Crop.PEA,
        advised_on=TODAY,
        timing=a_timing(),
        verdict=a_verdict(),
        readings=a_readings(),
        index=AN_INDEX,
        sampling=a_sampling(),
        diagnosis=nothing_wrong(),
        nitrogen=a_nitrogen(),
        next_step=NextStep((), dig_again=False),
        earlier_digs=(say("On 9 June 2026, before the window: nodules present on 8 of 10 plants."),),
        missing=(
            Missing(
                "soil_tests", say("soil tests"), say("would tell acid soil and high nitrate from a failed inoculant.")
            ),
        ),
        cautions=CAUTIONS,
        basis=BASIS,
    )
    advice = replace(advice, **changes)
    step = next_step_of(
        timing=advice.timing,
        verdict=advice.verdict,
        sampling=advice.sampling,
        diagnosis=advice.diagnosis,
        has_plants=advice.timing.dug_on is not None,
        today=advice.advised_on,
    )
    return replace(advice, next_step=step)


def poor_field():
    verdict = a_verdict(
        adequate_as_counted=6,
        share=share(0.21, 0.11, 0.34),
        classes=(
            ClassProbability("poor", 0.993),
            ClassProbability("borderline", 0.006),
            ClassProbability("adequate", 0.001),
        ),
        leading="poor",
        probability=0.993,
        headline=say("The lentils in this field are poorly nodulated: the chance of that is over 99 %."),
        reasons=(
            say("6 of 30 plants reach the target; the best stop has 3 of 10."),
            say("Half of the nodules cut open were white: they are not at work."),
            say("Old leaves are pale while the young ones are greener, as when nitrogen runs short."),
        ),
        stop_summaries=(
            a_stop(1, 2, low=0.05, high=0.45, mean=1.9),
            a_stop(2, 3, low=0.1, high=0.55, mean=2.4),
            a_stop(3, 1, low=0.01, high=0.36, mean=1.1),
        ),
    )
    readings = a_readings(
        colour=ColourReading(
            cut_open=61,
            red_pink=share(0.41, 0.30, 0.53),
            white=share(0.51, 0.4, 0.62),
            green_brown=share(0.08, 0.03, 0.16),
            message=say("Under half of the nodules cut open were red or pink."),
        ),
        agreement=None,
    )
    return good_field(
        field="brook-2",
        readings=readings,
        name="Brook Field, lower half",
        grower="O. Fenwether",
        crop=Crop.LENTIL,
        verdict=verdict,
        sampling=a_sampling(message=say("With over 99 % on one class, no further plant would change the verdict.")),
        diagnosis=a_diagnosis(),
        earlier_digs=(),
    )


def patchy_field():
    stops = [a_stop(n, 8, mean=7.7, patch="good") for n in (1, 2, 3)]
    stops += [a_stop(n, bad, mean=1.2, patch="poor") for n, bad in ((4, 1), (5, 0))]
    patch = Patch(
        p_value=0.0004,
        poor_stops=("4", "5"),
        good_stops=("1", "2", "3"),
        poor_share=share(0.05, 0.0, 0.19),
        good_share=share(0.80, 0.66, 0.9),
        message=say("Stops 4 and 5 differ from the rest by more than chance allows. Read the field as two parts."),
    )
    verdict = a_verdict(
        plants=50,
        stops=5,
        share=share(0.51, 0.28, 0.73),
        classes=(
            ClassProbability("poor", 0.47),
            ClassProbability("borderline", 0.40),
            ClassProbability("adequate", 0.13),
        ),
        leading="poor",
        probability=0.47,
        headline=say("This field is a patch: three stops are adequate and two are poor. One verdict does not fit it."),
        stop_summaries=tuple(stops),
        patch=patch,
    )
    sampling = a_sampling(
        settled=False,
        more_plants=40,
        more_stops=4,
        assurance=0.72,
        message=say(
            "Four more stops, two of them across the border between the parts, would tell how far each reaches."
        ),
    )
    return good_field(field="mill-7", name="Mill Seven", verdict=verdict, sampling=sampling)


def unsettled_field():
    verdict = a_verdict(
        plants=12,
        stops=2,
        adequate_as_counted=8.4,
        share=share(0.66, 0.44, 0.84),
        classes=(
            ClassProbability("poor", 0.12),
            ClassProbability("borderline", 0.50),
            ClassProbability("adequate", 0.38),
        ),
        leading="borderline",
        probability=0.50,
        headline=say(
            "Borderline is the likeliest reading of these soybeans, at 50 %, but twelve plants cannot settle it."
        ),
        stop_summaries=(
            a_stop("gate", 4.4, plants=6, mean=5.1),
            a_stop("far corner", 4, plants=6, mean=4.7),
        ),
    )
    readings = a_readings(
        agreement=Agreement(
            5, ("C. Alder", "D. Reed"), 0.31, 0.5, None, warning=True, message=say("Score a few plants together.")
        ),
    )
    sampling = a_sampling(
        settled=False,
        more_plants=48,
        more_stops=5,
        assurance=0.81,
        message=say("48 more plants in 5 more stops settle it with a chance of 81 %."),
    )
    return good_field(
        readings=readings, field="soy-3", name=None, grower=None, crop=Crop.SOYBEAN, verdict=verdict, sampling=sampling
    )


def too_early_field():
    timing = a_timing(
        dug_on=dt.date(2026, 5, 28),
        state="too_early",
        sure=False,
        decided_by="calendar",
        headline=say(
            "This dig came too early to judge: at most 11 days after emergence, nodules may still be forming."
        ),
        stage=StageEstimate(11, 13, None, "leaf development", "leaf development"),
        degree_days=None,
        day_length=None,
        cold_days=None,
        notes=(),
    )
    return good_field(
        field="ridge-1",
        name="Ridge One",
        advised_on=dt.date(2026, 5, 29),
        timing=timing,
        verdict=None,
        index=None,
        sampling=None,
        diagnosis=cannot_tell(),
        nitrogen=None,
        missing=(
            Missing("digs", say("digs"), say("A dig inside the window would allow a verdict.")),
            Missing(
                "weather", say("weather"), say("Daily highs and lows would narrow the window from 16 days to about 9.")
            ),
        ),
    )


def no_target_field():
    timing = a_timing(
        anchor=None,
        anchor_date=None,
        days_since_anchor=None,
        emergence=None,
        first_flower=None,
        stage=None,
        opens=None,
        closes=None,
        state="unknown",
        sure=False,
        decided_by="none",
        degree_days=None,
        headline=say("Nobody recorded when this crop was sown or came up, so the time of the dig cannot be judged."),
    )
    return good_field(
        field="lupin-4",
        name="Lupin Four",
        crop=Crop.LUPIN,
        timing=timing,
        verdict=None,
        sampling=None,
        diagnosis=cannot_tell(),
        nitrogen=None,
        index=None,
        missing=(
            Missing(
                "target", say("target"), say("No target is known for this crop; name one of your own in the book.")
            ),
        ),
    )


def number_only_field():
    colour = ColourReading(0, None, None, None, say("No nodule was cut open, so nobody knows whether they work."))
    position = PositionReading(None, None, say("Crown and lateral nodules were not told apart."))
    timing = a_timing(
        state="too_late",
        dug_on=dt.date(2026, 7, 20),
        closes=DateRange(dt.date(2026, 7, 1), dt.date(2026, 7, 4)),
        headline=say("This dig came late: the window had closed two weeks before."),
    )
    return good_field(
        field="chick-9",
        name="Chalk Bank",
        crop=Crop.CHICKPEA,
        advised_on=dt.date(2026, 7, 20),
        timing=timing,
        verdict=a_verdict(
            by_number_only=True,
            target=replace(A_TARGET, grade=Grade.JUDGEMENT, chosen_by="local", counting_unit="nodule", value=17.5),
        ),
        readings=a_readings(colour=colour, position=position, agreement=None),
        index=None,
    )


def longest_field():
    """A poor field with the longest texts of every kind on its page of causes."""
    return replace(poor_field(), field="brook-3", diagnosis=longest_diagnosis())


def pale_field():
    """Sound nodules under pale leaves: the page of causes tells look-alikes apart."""
    return good_field(field="north-13", diagnosis=replace(nothing_wrong(), pallor=pale()))


def open_field():
    """A poor field of which only the soil is known."""
    evidence = (Evidence("sandy_soil", 0.0, "sand", say("The soil is loam, not sand.")),)
    return replace(poor_field(), field="brook-4", diagnosis=cannot_tell(evidence=evidence))


def crowded_field():
    """More of everything than two pages can hold."""
    words = "a long sentence that goes on about roots, soil, seed and weather without ever coming to an end and "
    long = say(words * 9)
    stops = tuple(
        a_stop(f"stop with a long name {n}", n % 11, plants=10, mean=float(n), patch=("poor", "good")[n % 2])
        for n in range(40)
    )
    patch = replace(patchy_field().verdict.patch, message=long)
    rows = tuple(
        SourceUsed(
            f"table.soybean.a_rather_long_scope.{n}",
            f"figure {n}: {words}",
            grade,
            f"Citation {n}. {words * 2}",
            n == 7,
        )
        for n, grade in enumerate([Grade.READ, Grade.READ, Grade.JUDGEMENT, Grade.SECOND_HAND] * 15)
    )
    return good_field(
        name="Field of the very long name " * 9,
        grower="Grower of the very long name " * 9,
        timing=a_timing(headline=long, a_poor_reading_means=long, a_poor_reading_does_not_mean=long, notes=(long,) * 9),
        verdict=a_verdict(
            headline=long,
            reasons=tuple(say(f"{n}: {words * 6}") for n in range(20)),
            stop_summaries=stops,
            patch=patch,
        ),
        readings=a_readings(
            agreement=Agreement(99, ("Name of a scorer",) * 30, 0.2, 0.3, 0.1, warning=True, message=long)
        ),
        sampling=a_sampling(settled=False, more_plants=300, more_stops=30, assurance=0.5, message=long),
        index=replace(AN_INDEX, message=long),
        diagnosis=endless_diagnosis(long),
        nitrogen=a_nitrogen(
            headline=long, drivers=tuple(Driver(name, 0.3, long) for name in ("crop", "water", "demand"))
        ),
        earlier_digs=(long,) * 12,
        missing=tuple(Missing(f"record_{n}", say(f"record {n}"), long) for n in range(15)),
        basis=replace(BASIS, rows=rows),
    )


def texts_of(pdf):
    """The words of each page, with every gap one space and no invisible break points."""
    pages = pypdf.PdfReader(io.BytesIO(pdf)).pages
    return [" ".join(page.extract_text().replace("\u200b", "").split()) for page in pages]


SITUATIONS = {
    "good": good_field,
    "poor": poor_field,
    "patchy": patchy_field,
    "unsettled": unsettled_field,
    "too_early": too_early_field,
    "no_target": no_target_field,
    "number_only": number_only_field,
    "longest": longest_field,
    "pale": pale_field,
    "open": open_field,
    "crowded": crowded_field,
}


@pytest.fixture(params=sorted(SITUATIONS))
def advice(request):
    """Each situation in turn."""
    return SITUATIONS[request.param]()


@pytest.fixture
def situation():
    """Make one situation by name."""
    return lambda name: SITUATIONS[name]()


@pytest.fixture
def a_full_basis():
    return full_basis()


@pytest.fixture
def read_pages():
    return texts_of
