"""Findings, checks and look-alikes: each has its texts, can be found out, and says what its source says."""

import itertools

import pytest

from spadework.advice.messages import catalogue
from spadework.knowledge.load import load
from spadework.knowledge.rows import Cause, Check, Finding
from spadework.knowledge.rows.diagnosis import AGAINST, FOR
from spadework.quantity import Grade

KNOWN = load()
FINDINGS = KNOWN.of(Finding)
CHECKS = KNOWN.of(Check)
LOOKALIKES = tuple(row for row in KNOWN.of(Cause) if row.network == "pallor")
PATTERN = {row.name for row in FINDINGS if row.group == "pattern"}

ON_RECORD_ONLY = {"dug_early", "dug_late"}
"""Nobody goes out to find these: the day of the dig and the age of the crop tell."""

# Which leaves an element short pales first. Kansas State University, Agronomy eUpdate (ksu_def): what moves within the
# plant shows in old leaves first (N, P, K, Mg), what hardly moves in young ones (S, Fe, Mn, Cu, Zn, B, Ca).
OLD_FIRST = ("nitrogen_shortage", "phosphorus_shortage", "potassium_shortage", "magnesium_shortage")
YOUNG_FIRST = ("sulphur_shortage", "iron_shortage", "manganese_shortage")

# The signs by which each is known, as its source puts them.
SIGNS = {
    # Ontario ministry of agriculture, Field Crop News, May 2025 (omafra_def2025)
    "nitrogen_shortage": ("pale_old_leaves", "few_nodules"),
    "iron_shortage": ("pale_young_leaves", "green_veins_young", "alkaline_soil"),
    "magnesium_shortage": ("pale_old_leaves", "green_veins_old", "sandy_soil", "acid_soil"),
    "potassium_shortage": ("scorched_edges",),
    "phosphorus_shortage": ("dark_leaves", "stunted"),
    # Kansas State University (ksu_def): evenly pale young leaves
    "sulphur_shortage": ("pale_young_leaves", "sandy_soil"),
    # the same text in a newspaper's reprint (ksu_def_press)
    "manganese_shortage": ("pale_young_leaves", "green_veins_young", "alkaline_soil"),
    # Crop Protection Network 2023 (cpn_als)
    "herbicide_injury": ("pale_young_leaves", "stunted", "stubby_roots"),
    # Cornell Cooperative Extension, fact sheet 738 (cornell_virus)
    "virus": ("mosaic", "stunted"),
    # Pacific Northwest Plant Disease Management Handbook (pnw_aph); Illinois Report on Plant Disease 911
    "root_rot": ("sick_roots", "stunted", "low_places"),
    # Effects of short-term waterlogging on peas (pea_waterlog): lower leaves age, after rain
    "waterlogged_roots": ("saturated_soil", "pale_old_leaves"),
}


def level(cause, finding):
    """Level of a finding in a cause's evidence, None where it has none."""
    return next((line.level for line in cause.evidence if line.finding == finding), None)


def strength(cause, finding):
    """How far a finding speaks for a cause: the higher the more, 0 for nothing, below 0 against."""
    word = level(cause, finding)
    if word is None:
        return 0
    return -1 - AGAINST.index(word) if word in AGAINST else len(FOR) - FOR.index(word)


def lookalike(name):
    return next(row for row in LOOKALIKES if row.name == name)


# ------------------------------------------------------------------ findings
@pytest.mark.parametrize("finding", FINDINGS, ids=lambda row: row.name)
def test_a_finding_can_be_asked_and_told(finding):
    texts = catalogue()
    assert texts[f"{finding.id}.question"].endswith("?")
    assert texts[f"{finding.id}.question"].count("?") == 1
    for answer in ("yes", "no"):
        text = texts[f"{finding.id}.{answer}"]
        assert text.endswith(".")
        assert text[0].isupper()
    assert texts[f"{finding.id}.yes"] != texts[f"{finding.id}.no"]


def test_texts_of_findings_and_checks_belong_to_one():
    rows = {row.id for row in (*FINDINGS, *CHECKS)}
    told = {name.rpartition(".")[0] for name in catalogue() if name.startswith(("finding.", "check."))}
    assert told == rows


def test_a_group_has_its_question():
    groups = {row.group for row in FINDINGS if row.group}
    assert {name for name in catalogue() if name.startswith("group.")} == {f"group.{name}.question" for name in groups}


def test_what_is_only_a_matter_of_time_is_silent_at_both_wrong_times():
    silent = {row.name: row.silent_when for row in FINDINGS}
    # Verdicts hold no number against a crop dug early or late (messages verdict.headline.early and late).
    for name in ("few_nodules", "no_nodules", "nodules_normal", "bare_crown"):
        assert silent[name] == ("early", "late"), name
    # Nodules are white before they work (Penn State 2020) and turn green with age (MLA course).
    assert silent["many_small_pale"] == ("early",)
    assert silent["green_or_brown"] == ("late",)


# ------------------------------------------------------------------ checks
@pytest.mark.parametrize("check", CHECKS, ids=lambda row: row.name)
def test_a_check_is_called_by_what_one_does(check):
    name = catalogue()[f"{check.id}.name"]
    assert name[0].islower()
    assert not name.endswith((".", "?"))


@pytest.mark.parametrize("check", CHECKS, ids=lambda row: row.name)
def test_a_check_settles_few_findings_or_a_whole_group(check):
    assert len(set(check.findings)) == len(check.findings)
    assert len(check.findings) <= 4 or set(check.findings) == PATTERN


@pytest.mark.parametrize("check", CHECKS, ids=lambda row: row.name)
def test_a_laboratory_takes_time_and_what_a_check_takes_is_judgement(check):
    assert check.waits_days > 0 or not check.laboratory
    assert check.grade is Grade.JUDGEMENT
    assert "judgement" in check.note


def test_every_finding_can_be_found_out():
    settled = {name for check in CHECKS for name in check.findings}
    assert {row.name for row in FINDINGS} - settled == ON_RECORD_ONLY


# ------------------------------------------------------------------ look-alikes
def test_each_look_alike_has_its_signs_here():
    assert {row.name for row in LOOKALIKES} == set(SIGNS)


@pytest.mark.parametrize("name", SIGNS)
def test_the_signs_of_its_source_are_common(name):
    for sign in SIGNS[name]:
        assert level(lookalike(name), sign) in ("always", "common"), sign


@pytest.mark.parametrize(("one", "other"), tuple(itertools.permutations(SIGNS, 2)))
def test_each_has_a_sign_that_tells_it_from_each_other(one, other):
    mine, theirs = lookalike(one), lookalike(other)
    assert any(strength(mine, line.finding) > max(0, strength(theirs, line.finding)) for line in mine.evidence)


@pytest.mark.parametrize("name", OLD_FIRST)
def test_what_moves_within_the_plant_does_not_pale_young_leaves(name):
    assert level(lookalike(name), "pale_young_leaves") == "against"
    # Ontario (omafra_def2025): short of phosphorus, old leaves turn dark and never yellow.
    expected = AGAINST if name == "phosphorus_shortage" else FOR
    assert level(lookalike(name), "pale_old_leaves") in expected


@pytest.mark.parametrize("name", YOUNG_FIRST)
def test_what_hardly_moves_does_not_pale_old_leaves(name):
    assert level(lookalike(name), "pale_young_leaves") == "common"
    assert level(lookalike(name), "pale_old_leaves") == "against"


def test_nitrogen_is_never_short_where_nodules_are_normal_or_tops_green():
    assert level(lookalike("nitrogen_shortage"), "nodules_normal") == "excludes"
    assert level(lookalike("nitrogen_shortage"), "green_tops") == "excludes"


def test_only_nitrogen_shortage_lets_nitrogen_be_weighed():
    assert [row.name for row in LOOKALIKES if row.course == "weigh_rescue"] == ["nitrogen_shortage"]


# Ontario (omafra_def2025) and Kansas State (ksu_def_press): without iron nodules form badly. Pedosphere 17:36
# (p_soy2007): short of phosphorus, fewer and smaller. Anderson et al 2004: fewer with chlorsulfuron. North Dakota
# (ndsu_checking): fewer with root disease. So few nodules alone do not make pale leaves a matter of nitrogen.
@pytest.mark.parametrize("name", ["iron_shortage", "phosphorus_shortage", "herbicide_injury", "root_rot"])
def test_few_nodules_speak_for_what_cuts_them_too(name):
    assert level(lookalike(name), "few_nodules") in FOR


@pytest.mark.parametrize("row", LOOKALIKES, ids=lambda row: row.name)
def test_a_line_claims_no_more_than_its_source(row):
    for line in row.evidence:
        seen = KNOWN.sources[line.source].seen
        assert line.stated or line.grade is Grade.JUDGEMENT, line.finding
        assert line.grade is not Grade.READ or seen in ("page", "abstract", "file"), line.finding


@pytest.mark.parametrize("row", LOOKALIKES, ids=lambda row: row.name)
def test_a_look_alike_is_named_and_answered(row):
    texts = catalogue()
    name = texts[f"{row.id}.name"]
    assert name[0].islower()
    assert not name.endswith(".")
    for part in ("confirm", "this_season", "next_season"):
        text = texts[f"{row.id}.{part}"]
        assert text.endswith(".")
        assert len(text) <= 240
