"""The causes of poor nodulation: each can be told, argued and acted on, and says what its sources say."""

import re
import string

import pytest

from spadework.advice.messages import catalogue
from spadework.knowledge.load import load
from spadework.knowledge.rows import Cause, Caution, Crop, Finding
from spadework.knowledge.rows.diagnosis import FOR
from spadework.quantity import Grade

KNOWN = load()
CAUSES = tuple(row for row in KNOWN.of(Cause) if row.network == "nodulation")
BY_NAME = {row.name: row for row in CAUSES}
LINES = [pytest.param(row, line, id=f"{row.name}-{line.finding}") for row in CAUSES for line in row.evidence]

NEED_AN_INOCULANT = {"dead_inoculant", "wrong_group", "lost_on_seed", "toxic_seed_treatment", "competing_strains",
                     "uneven_application"}  # fmt: skip
PASSING = {"wrong_time", "cold_soil", "waterlogging", "drought", "herbicide_residue"}
"""What goes by or is grown out of: dig again before any nitrogen."""

# Findings that a source ties to a cause: 1 speaks for it, -1 against. What it says stands above; whether its page, its
# abstract or only a report of it was read, sources.toml tells.
PUBLISHED = [
    # Nitrogen fertiliser: soybean 31.8 nodules a plant without, 23.7 with it, and smaller (cigelske2020)
    ("high_nitrate", "nitrogen_before", 1),
    ("high_nitrate", "few_nodules", 1),
    ("high_nitrate", "few_large_red", -1),
    # Pea fixes nothing where soil holds above 48 kg N/ha (voisin2002)
    ("high_nitrate", "high_nitrate", 1),
    ("high_nitrate", "no_nodules", 1),
    # Soybean root zone at 10 degC: no nodules (matthews1982)
    ("cold_soil", "cold_root_zone", 1),
    ("cold_soil", "no_nodules", 1),
    # Chlorsulfuron: 51 % fewer chickpea nodules (anderson2004); side roots pruned or brushy (cpn_als)
    ("herbicide_residue", "few_nodules", 1),
    ("herbicide_residue", "stubby_roots", 1),
    # Up to 62 % of bacteria dead within 2 h on dressed soybean seed, 87 % fewer nodules on new land (campo2009)
    ("toxic_seed_treatment", "toxic_dressing", 1),
    ("toxic_seed_treatment", "host_new", 1),
    # Rhizobia of pea, faba bean, lentil and chickpea suffer below pH(CaCl2) 5.5 (grdc2022_acid)
    ("soil_acidity", "acid_soil", 1),
    # Lupin nodulates poorly on alkaline clay (tang1995)
    ("soil_alkalinity", "alkaline_soil", 1),
    # Molybdenum: short in acid soil, unlikely above pH 6.0 (unl_mo)
    ("molybdenum_shortage", "acid_low_molybdenum", 1),
    ("molybdenum_shortage", "alkaline_soil", -1),
    # Salt moves cowpea nodules to side roots (predeepa2010)
    ("salinity", "lateral_only", 1),
    # Nodules brown and mushy after 5 to 7 days of saturation (msu_nodulation)
    ("waterlogging", "green_or_brown", 1),
    # Standard inoculation does not do beyond 7 days in dry soil (sagit_s716)
    ("drought", "dry_seedbed", 1),
    # Short of phosphorus: nodules fewer and smaller (p_soy2007)
    ("other_nutrients", "few_nodules", 1),
    ("other_nutrients", "few_large_red", -1),
    # No response to inoculation where the soil holds 20 a gram or more (singleton1986)
    ("no_rhizobia", "soil_rhizobia_few", 1),
    # White nodules may be young: look again after a week (psu2020)
    ("wrong_time", "many_small_pale", 1),
    # Molybdenum salts on the seed cost cells and nodules (albino2001)
    ("lost_on_seed", "harmful_partner", 1),
    # A mixture thins each strain, and a keen poor fixer can take the nodules (fao1984_ch4)
    ("competing_strains", "mixed_strains", 1),
]


def level(cause, finding):
    """Level of a finding in a cause's evidence, None where it has none."""
    return next((line.level for line in BY_NAME[cause].evidence if line.finding == finding), None)


def test_the_causes_are_all_there():
    assert len(CAUSES) == 23
    assert len(BY_NAME) == 23
    assert {row.id for row in CAUSES} == {f"cause.{name}" for name in BY_NAME}


# ------------------------------------------------------------------ evidence
@pytest.mark.parametrize("cause", CAUSES, ids=lambda row: row.name)
def test_something_speaks_for_each_cause_and_something_against(cause):
    for crop in Crop:
        if cause.befalls(crop):
            lines = [line for line in cause.evidence if not line.crops or crop in line.crops]
            assert any(line.level in ("always", "common") for line in lines), crop
            assert any(not line.speaks_for for line in lines), crop


def test_every_finding_is_evidence_of_something():
    used = {line.finding for row in KNOWN.of(Cause) for line in row.evidence}
    pallor_only = {row.name for row in KNOWN.of(Finding)} - {line.finding for row in CAUSES for line in row.evidence}

    assert used == {row.name for row in KNOWN.of(Finding)}
    assert pallor_only == {"green_veins_old", "scorched_edges", "mosaic"}


@pytest.mark.parametrize(("cause", "finding", "sign"), PUBLISHED, ids=[f"{row[0]}-{row[1]}" for row in PUBLISHED])
def test_evidence_points_where_its_source_points(cause, finding, sign):
    word = level(cause, finding)
    assert word is not None
    assert (1 if word in FOR else -1) == sign


def test_where_no_inoculant_went_on_causes_that_need_one_are_out():
    assert {row.name for row in CAUSES if level(row.name, "no_inoculant") == "excludes"} == NEED_AN_INOCULANT
    assert level("no_rhizobia", "no_inoculant") == "always"


def test_good_nodules_speak_against_every_cause():
    assert {row.name for row in CAUSES if level(row.name, "nodules_normal") == "against"} == set(BY_NAME)


def test_green_tops_speak_for_nitrate_and_against_what_starves_a_crop():
    green = {row.name: level(row.name, "green_tops") for row in CAUSES}

    assert {name for name, word in green.items() if word in FOR} == {"high_nitrate", "wrong_time"}
    assert {name for name, word in green.items() if word is None} == {"nodule_larvae"}
    assert level("high_nitrate", "pale_old_leaves") == "against"


@pytest.mark.parametrize("cause", CAUSES, ids=lambda row: row.name)
def test_few_nodules_go_with_a_cause_at_least_as_often_as_none(cause):
    none, few = level(cause.name, "no_nodules"), level(cause.name, "few_nodules")
    if none in FOR:
        assert few is not None
        assert FOR.index(few) <= FOR.index(none)


def test_only_the_wrong_time_is_a_matter_of_timing():
    assert [row.name for row in CAUSES if row.of_timing] == ["wrong_time"]
    assert level("wrong_time", "dug_early") == level("wrong_time", "dug_late") == "always"
    assert level("wrong_time", "still_poor_a_week_later") == "against"


def test_what_lasts_is_still_poor_a_week_later():
    order = {name: FOR.index(word) for name in BY_NAME if (word := level(name, "still_poor_a_week_later")) in FOR}

    assert set(order) == set(BY_NAME) - {"wrong_time"}
    assert {name for name, place in order.items() if place > FOR.index("common")} == PASSING - {"wrong_time"} | {
        "poor_host"
    }
    assert max(order, key=order.get) == "cold_soil"


def test_a_first_host_crop_speaks_against_residents_except_where_soils_hold_them_anyway():
    line = next(line for line in BY_NAME["ineffective_residents"].evidence if line.finding == "host_new")

    assert line.level == "against"
    assert set(Crop) - set(line.crops) == {Crop.COMMON_BEAN, Crop.COWPEA, Crop.MUNG_BEAN}


def test_causes_befall_the_crops_that_their_sources_name():
    limited = {row.name: set(row.crops) for row in CAUSES if row.crops}

    # Lupin's rhizobia stand acid soil (grdc2022_acid); lupin and soybean are hurt by lime (tang1996, omafra_def2025);
    # common bean fixes little (bean_low).
    assert limited == {
        "soil_acidity": set(Crop) - {Crop.LUPIN},
        "soil_alkalinity": {Crop.LUPIN, Crop.SOYBEAN},
        "poor_host": {Crop.COMMON_BEAN},
    }


def test_courses():
    assert {row.name for row in CAUSES if row.course == "dig_again"} == PASSING
    assert {row.name for row in CAUSES if row.course == "no_nitrogen"} == {
        "high_nitrate", "soil_alkalinity", "salinity", "molybdenum_shortage", "other_nutrients", "root_disease",
        "nodule_larvae", "compaction",
    }  # fmt: skip


# ------------------------------------------------------------------ who says so
@pytest.mark.parametrize(("cause", "line"), LINES)
def test_a_line_carries_the_grade_that_its_source_allows(cause, line):
    source = KNOWN.sources[line.source]
    if line.stated:
        allowed = (
            {Grade.READ, Grade.SECOND_HAND} if source.seen in ("page", "abstract", "file") else {Grade.SECOND_HAND}
        )
        assert source.kind not in ("practice", "judgement")
    else:
        allowed = {Grade.JUDGEMENT}
    assert line.grade in allowed


def test_each_cause_rests_on_somebody_besides_judgement():
    known = {row.name: set(row.source_keys) - {"own_judgement", "common_practice"} for row in CAUSES}

    assert {name for name, keys in known.items() if not keys} == set()


@pytest.mark.parametrize("cause", CAUSES, ids=lambda row: row.name)
def test_how_often_a_cause_is_met_is_published_or_said_not_to_be(cause):
    if cause.source == "own_judgement":
        assert cause.scope == "how often it is met is not published"
    else:
        assert cause.grade is not Grade.JUDGEMENT


# ------------------------------------------------------------------ texts
@pytest.mark.parametrize("cause", CAUSES, ids=lambda row: row.name)
def test_a_cause_is_called_confirmed_and_acted_on(cause):
    texts = catalogue()
    name = texts[f"{cause.id}.name"]
    assert name[0].islower()
    assert name[-1] not in ".?!"
    for part in ("confirm", "this_season", "next_season"):
        text = texts[f"{cause.id}.{part}"]
        assert text[0].isupper()
        assert text.endswith(".")
        assert len(text) <= 240
        assert getattr(cause, f"{part}_sources"), part


def test_texts_of_causes_belong_to_a_cause():
    ids = {row.id for row in KNOWN.of(Cause)}
    parts = {"name", "confirm", "this_season", "next_season"}

    told = [name for name in catalogue() if name.startswith("cause.")]
    assert {name.rpartition(".")[0] for name in told} == ids
    assert {name.rpartition(".")[2] for name in told} == parts
    assert len(told) == len(ids) * len(parts)


@pytest.mark.parametrize("cause", CAUSES, ids=lambda row: row.name)
def test_texts_hold_no_holes_and_cite_nobody(cause):
    for part in ("name", "confirm", "this_season", "next_season"):
        text = catalogue()[f"{cause.id}.{part}"]
        assert [hole for _, hole, _, _ in string.Formatter().parse(text) if hole is not None] == []
        assert not any(re.search(rf"\b{key}\b", text) for key in KNOWN.sources)


@pytest.mark.parametrize("cause", CAUSES, ids=lambda row: row.name)
def test_nitrogen_is_weighed_and_never_ordered(cause):
    text = catalogue()[f"{cause.id}.this_season"]
    assert ("eigh rescue nitrogen" in text or "eigh nitrogen" in text) == (cause.course == "weigh_rescue")
    assert not re.search(r"\b(apply|spread|give|broadcast)\b[^.]*\bnitrogen\b", text, re.IGNORECASE)
    if cause.course == "weigh_rescue":
        assert "eave a strip without" in text


@pytest.mark.parametrize("cause", KNOWN.of(Cause), ids=lambda row: row.name)
def test_what_can_hurt_stands_with_its_caution(cause):
    words = {
        "nitrogen_products": ("weigh rescue nitrogen", "weigh nitrogen"),
        "lime_dust": ("mix lime", "lime to above", "or lime"),
        "molybdenum_feed": ("give molybdenum", "mo/ha"),
        "pesticide_label": ("spray", "dressing"),
        "machinery": ("granule meters",),
        "buried_lines": ("drain", "loosen"),
    }
    text = " ".join(catalogue()[f"{cause.id}.{part}"] for part in ("confirm", "this_season", "next_season")).lower()
    missing = [name for name, signs in words.items() if any(s in text for s in signs) and name not in cause.cautions]

    assert missing == []


def test_each_caution_of_causes_is_named_by_one():
    named = {name for row in KNOWN.of(Cause) for name in row.cautions}

    assert {row.id.removeprefix("caution.") for row in KNOWN.of(Caution) if row.when == "cause"} <= named
