"""The reader refuses what is not fit, by file, table, id and field; the package's own tables pass."""

import json
import re
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.agronomy.clock.degree_days import METHODS
from spadework.errors import KnowledgeError
from spadework.knowledge.load import load, parse, with_overrides
from spadework.knowledge.rows import (
    ANY_CROP,
    COMMON_PRACTICE,
    TABLES,
    UNITS,
    Cardinal,
    Cause,
    Classes,
    Coefficient,
    Crop,
    DigWindow,
    EvidenceLine,
    NodeInterval,
    PrincipalStage,
    Statement,
    Target,
    ThermalTime,
)
from spadework.quantity import Grade

SOURCES = """
schema = 1
[a1999]
citation = "A (1999) On roots"
kind = "paper"
seen = "page"
[own_judgement]
citation = "Judgement"
kind = "judgement"
seen = "none"
"""

ROW = {
    "id": "limit.pea",
    "crop": "pea",
    "value": 10,
    "unit": "degC",
    "scope": "pots",
    "source": "a1999",
    "grade": "A",
}
KNOWN = load()


def toml(table, **row):
    """One row as TOML; JSON's texts, numbers, lists and truth values read the same there."""
    return f"schema = 1\n[[{table}]]\n" + "".join(f"{name} = {json.dumps(value)}\n" for name, value in row.items())


def read(*texts, sources=SOURCES):
    return parse({f"file{number}.toml": text for number, text in enumerate(texts, start=1)}, sources)


def changed(**changes):
    row = {name: value for name, value in {**ROW, **changes}.items() if value is not None}
    return toml("coefficient", **row)


def test_a_row_is_read_into_its_dataclass():
    row = read(changed(low=8, high=12.5, note="n", also=["own_judgement"])).row("limit.pea")

    assert row == Coefficient(
        id="limit.pea",
        crop="pea",
        value=10.0,
        low=8.0,
        high=12.5,
        unit="degC",
        scope="pots",
        source="a1999",
        also=("own_judgement",),
        grade=Grade.READ,
        note="n",
    )
    assert isinstance(row.value, float)


REFUSED = [
    (changed(colour="red"), "file1.toml: knowledge table coefficient, row limit.pea: there is no field 'colour'"),
    (changed(valve=3), "there is no field 'valve'; did you mean value?"),
    (changed(overridden=True), "there is no field 'overridden'"),
    (changed(unit=None), "row limit.pea: unit is missing; here it is 1 or d or degC"),
    (changed(unit="furlong"), "unit is 'furlong'; here it is 1 or d or degC"),
    (changed(source=None), "row limit.pea: source missing; write it in"),
    (changed(source=None, grade=None), "source and grade missing; write them in"),
    (changed(grade=None), "grade missing; write it in"),
    (changed(scope=None), "scope missing; write it in"),
    (changed(scope=" "), "scope is empty"),
    (changed(grade="D"), "grade is 'D'; it must be A, B or C"),
    (changed(grade=1), "grade is 1; it must be A, B or C"),
    (changed(value="ten"), "value is 'ten'; it must be a number"),
    (changed(value=True), "value is True; it must be a number"),
    (changed(note=3), "note is 3; it must be text"),
    (changed(also="a1999"), "also is 'a1999'; it must be a list of texts"),
    (changed(also=[1]), "also is [1]; it must be a list of texts"),
    (changed(low=12, high=8, value=None), "row limit.pea: low 12.0 is above high 8.0"),
    (changed(source="b1999"), "source 'b1999' is not in sources.toml; did you mean a1999?"),
    (changed(also=["nobody"]), "source 'nobody' is not in sources.toml"),
    (changed(id=None), "table coefficient, row None: id is None; an id is lower case words"),
    (changed(id="Limit"), "id is 'Limit'; an id is lower case words with dots"),
    (changed(crop="peanut"), "crop 'peanut' is not one of"),
    (
        toml("coefficients", **ROW),
        "table coefficients, row -: no such table; the tables are coefficient, chance, target",
    ),
    ("schema = 1\n[coefficient]\nid = 'a.b'\n", "rows are written as [[coefficient]]"),
    ("schema = 1\ncoefficient = [1]\n", "rows are written as [[coefficient]]"),
    (changed().replace("schema = 1", "schema = 2"), "schema is 2; this version reads schema = 1"),
    (changed().replace("schema = 1", "schema = true"), "schema is True; this version reads schema = 1"),
    (changed().replace("schema = 1\n", ""), "schema is None; this version reads schema = 1"),
    ("schema = \n", "file1.toml: knowledge table -, row -: not valid TOML: Invalid value (at line 1"),
    (
        toml("principal_stage", **{**ROW, "value": 1, "code": 6, "meaning": "m"}),
        "there is no field 'value'",
    ),
    (
        toml("principal_stage", id="stage.6", code=6.5, meaning="m", scope="s", source="a1999", grade="A"),
        "code is 6.5; it must be a whole number",
    ),
    (
        toml("cardinal", id="cardinal.pea", t_base=0, unit="degF", scope="s", source="a1999", grade="A"),
        "unit is 'degF'; here it is degC",
    ),
    (
        toml("dig_window", id="window.pea", anchor="sowing", opens_days=1, scope="s", source="a1999", grade="A"),
        "unit is missing; here it is d",
    ),
    (
        toml(
            "target",
            **{**ROW, "id": "target.pea.x", "unit": "nodule/plant", "counting_unit": "nodule", "default": 1},
        ),
        "default is 1; it must be true or false",
    ),
    (
        toml("classes", id="c.x", unit="1", names=["a", "b"], limits=["x"], scope="s", source="a1999", grade="A"),
        "limits is ['x']; it must be a list of numbers",
    ),
]


@pytest.mark.parametrize(("text", "message"), REFUSED, ids=[case[1][:60] for case in REFUSED])
def test_a_file_that_is_not_fit_is_refused(text, message):
    with pytest.raises(KnowledgeError, match=re.escape(message)) as refusal:
        read(text)

    assert refusal.value.file == "file1.toml"


def test_an_id_may_not_stand_twice_even_in_two_files_and_tables():
    window = toml(
        "dig_window",
        id="limit.pea", unit="d", anchor="sowing", opens_days=1, scope="s", source="a1999", grade="A",
    )  # fmt: skip
    with pytest.raises(KnowledgeError, match=r"file2\.toml: .* table dig_window, row limit\.pea: this id stands twice"):
        read(changed(), window)


LINE = {"finding": "pale", "level": "common", "source": "a1999", "grade": "A"}


def diagnosis(line, **changes):
    """A finding, a caution and a cause with one line of evidence."""
    carried = {"scope": "s", "source": "a1999", "grade": "A"}
    cause = {"id": "cause.luck", "network": "nodulation", "course": "dig_again", **carried, **changes}
    evidence = ", ".join(f"{name} = {json.dumps(value)}" for name, value in line.items())
    return (
        toml("finding", id="finding.pale", background="seldom", **carried),
        toml("caution", id="caution.dust", when="cause", message="caution.dust", **carried),
        toml("cause", **cause) + f"evidence = [{{ {evidence} }}]\n",
    )


def test_evidence_is_read_into_lines():
    row = read(*diagnosis({**LINE, "crops": ["pea"], "stated": True, "note": "n"}, cautions=["dust"])).row("cause.luck")

    assert row.evidence == (
        EvidenceLine(
            finding="pale",
            level="common",
            source="a1999",
            grade=Grade.READ,
            crops=("pea",),
            stated=True,
            note="n",
        ),
    )
    assert row.cautions == ("dust",)


A_LIST_OF_LINES = (
    "it must be a list of tables {finding, level, source, grade} and, where they hold, crops, stated, note"
)
REFUSED_LINES = [
    (diagnosis({**LINE, "finding": "pail"}), "row cause.luck: there is no finding 'pail'; did you mean pale?"),
    (diagnosis(LINE, cautions=["dusk"]), "row cause.luck: there is no caution 'dusk'; did you mean dust?"),
    (diagnosis({**LINE, "source": "b1999"}), "source 'b1999' is not in sources.toml; did you mean a1999?"),
    (diagnosis(LINE, confirm_sources=["nobody"]), "row cause.luck: source 'nobody' is not in sources.toml"),
    (diagnosis({**LINE, "level": "often"}), "level 'often' of pale is not one of always"),
    (diagnosis({**LINE, "lvl": "common"}), A_LIST_OF_LINES),
    (diagnosis({"finding": "pale", "level": "common"}), A_LIST_OF_LINES),
    (diagnosis({**LINE, "stated": "yes"}), A_LIST_OF_LINES),
    (diagnosis({**LINE, "grade": "D"}), A_LIST_OF_LINES),
    (
        (toml("check", id="check.look", findings=["pale"], minutes=5, scope="s", source="a1999", grade="A"),),
        "row check.look: there is no finding 'pale'",
    ),
]


@pytest.mark.parametrize(("texts", "message"), REFUSED_LINES, ids=[case[1][:50] for case in REFUSED_LINES])
def test_evidence_that_is_not_fit_is_refused(texts, message):
    with pytest.raises(KnowledgeError, match=re.escape(message)):
        read(*texts)


REFUSED_SOURCES = [
    ('schema = 1\na1999 = "A (1999)"\n', "source, row a1999: a source is written as a table [key]"),
    ('schema = 1\n[a1999]\nkind = "paper"\nseen = "page"\n', "citation missing; write it in"),
    (SOURCES.replace('"paper"', '"hearsay"'), "kind is 'hearsay'; it is one of paper"),
    (SOURCES.replace('"page"', '"all"'), "seen is 'all'; it is one of page"),
    (SOURCES.replace("kind", "grade", 1), "there is no field 'grade'"),
    (SOURCES.replace("schema = 1", "schema = 0"), "schema is 0"),
]


@pytest.mark.parametrize(("sources", "message"), REFUSED_SOURCES, ids=[case[1][:40] for case in REFUSED_SOURCES])
def test_a_source_that_is_not_fit_is_refused(sources, message):
    with pytest.raises(KnowledgeError, match=re.escape(message)) as refusal:
        read(changed(), sources=sources)

    assert refusal.value.file == "sources.toml"


# ---- The content hash


def test_the_hash_follows_content_and_not_order():
    other = changed(id="limit.lentil", crop="lentil")
    apart = read(changed(), other).content_hash

    assert re.fullmatch(r"[0-9a-f]{12}", apart)
    assert read(other, changed()).content_hash == apart
    assert read(changed(value=11), other).content_hash != apart
    assert read(changed(note="n"), other).content_hash != apart
    assert read(changed(), other, sources=SOURCES.replace("On roots", "On nodules")).content_hash != apart


# ---- The user's own figures


def test_without_overrides_nothing_changes():
    assert with_overrides(KNOWN, {}) is KNOWN


def test_an_override_stands_alone_and_says_that_it_is_the_users():
    row_id = "thermal.lentil.emergence_first_flower"
    mine = with_overrides(KNOWN, {row_id: {"value": 700}})
    row = mine.row(row_id)

    assert (row.value, row.low, row.high) == (700.0, None, None)
    assert row.overridden
    assert row.grade is Grade.JUDGEMENT
    assert row.source == "users_own_figure"
    assert row.source in mine.sources
    assert "mckenzie_hill1989, grade B" in row.note
    assert row.t_base == KNOWN.row(row_id).t_base
    assert mine.content_hash != KNOWN.content_hash
    assert not KNOWN.row(row_id).overridden
    changed_rows = [key for key in KNOWN.rows if mine.rows[key] != KNOWN.rows[key]]
    assert changed_rows == [row_id]


@pytest.mark.parametrize(
    ("row_id", "figures", "expected"),
    [
        ("planning.stop_correlation", {"mean": 0.3}, {"mean": 0.3, "low": 0.0, "value": None}),
        ("first_look.any", {"low": 10, "high": 20}, {"low": 10.0, "high": 20.0}),
        ("target.pea.fifty_nodules", {"value": 30}, {"value": 30.0, "default": True}),
        ("cardinal.pea", {"t_base": 1, "t_cap": 28}, {"t_base": 1.0, "t_cap": 28.0}),
        ("window.pea.stage", {"closes_bbch": 69.0}, {"closes_bbch": 69}),
        ("window.any.four_to_six_weeks", {"opens_days": 25}, {"opens_days": 25.0, "closes_days": 42.0}),
        ("thermal.pea.sowing_emergence", {"t_base": 1.4, "value": 110}, {"t_base": 1.4, "value": 110.0}),
        ("classes.share_adequate", {"limit_2": 0.8}, {"limits": (0.5, 0.8)}),
    ],
)
def test_each_kind_of_figure_can_be_overridden(row_id, figures, expected):
    row = with_overrides(KNOWN, {row_id: figures}).row(row_id)

    assert {name: getattr(row, name) for name in expected} == expected
    assert row.overridden


@pytest.mark.parametrize(
    ("overrides", "message"),
    [
        ({"target.pea.fifty_nodule": {"value": 30}}, "override; did you mean target.pea.fifty_nodules"),
        ({"zzz": {"value": 30}}, "row zzz: there is no such row to override"),
        ({"target.pea.fifty_nodules": {"valve": 30}}, "no figure 'valve' to override; did you mean value?; it has"),
        ({"target.pea.fifty_nodules": {"scope": 30}}, "there is no figure 'scope' to override"),
        ({"target.pea.fifty_nodules": {"value": "30"}}, "value is overridden with '30'; it must be a finite number"),
        ({"target.pea.fifty_nodules": {"value": True}}, "value is overridden with True"),
        ({"target.pea.fifty_nodules": {"value": float("nan")}}, "value is overridden with nan"),
        ({"window.pea.stage": {"opens_bbch": 60.5}}, "opens_bbch is overridden with 60.5; it must be a whole"),
        ({"window.pea.stage": {"opens_bbch": 99}}, "opens_bbch 99 is after closes_bbch 65"),
        ({"first_look.any": {"low": 30}}, "low 30.0 is above high 21.0"),
        ({"cardinal.pea": {"t_base": 25}}, "t_cap 25.0 must be above t_base 25.0"),
        ({"classes.share_adequate": {"limit_1": 0.9}}, "limits must rise"),
        ({"classes.share_adequate": {"limit_3": 0.9}}, "there is no figure 'limit_3' to override"),
        ({"stage.6": {"code": 5}}, "there is no figure 'code' to override; it carries no figure"),
        ({"caution.buried_lines": {"value": 5}}, "it carries no figure"),
    ],
)
def test_an_override_that_does_not_fit_is_refused(overrides, message):
    with pytest.raises(KnowledgeError, match=re.escape(message)):
        with_overrides(KNOWN, overrides)


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_an_overridden_value_is_the_value_used(figure):
    row = with_overrides(KNOWN, {"first_look.any": {"value": figure}}).figure("first_look.any")

    assert row.central == figure
    assert row.range == (figure, figure)


# ---- The tables of the package


def test_every_row_loads_and_every_table_is_in_use():
    assert {row.table for row in KNOWN.rows.values()} == set(TABLES)
    assert not any(row.overridden for row in KNOWN.rows.values())
    assert load() is KNOWN


def test_every_unit_known_is_in_use():
    assert {row.unit for row in KNOWN.rows.values()} == set(UNITS)


def test_grade_c_says_that_it_is_judgement_or_practice():
    judged = [row for row in KNOWN.rows.values() if row.grade is Grade.JUDGEMENT]
    words = ("judgement", "practice", "rule of this tool", "fact of the trade")

    assert judged
    assert [row.id for row in judged if not any(word in f"{row.note} {row.scope}" for word in words)] == []


def graded():
    """Every row and every line of evidence, with the id of its row."""
    for row in KNOWN.rows.values():
        yield row.id, row
        for line in row.evidence if isinstance(row, Cause) else ():
            yield row.id, line


def test_what_has_no_published_source_carries_grade_c():
    unpublished = {key for key, source in KNOWN.sources.items() if source.kind in ("practice", "judgement")}

    assert [row_id for row_id, one in graded() if one.source in unpublished and one.grade is not Grade.JUDGEMENT] == []


def test_a_source_not_seen_itself_gives_no_grade_a():
    unseen = {key for key, source in KNOWN.sources.items() if source.seen in ("secondary", "none")}

    assert [row_id for row_id, one in graded() if one.source in unseen and one.grade is Grade.READ] == []


def test_no_default_target_stands_on_judgement_but_for_common_practice():
    defaults = [row for row in KNOWN.of(Target) if row.default]

    assert [row.id for row in defaults if row.grade is Grade.JUDGEMENT and row.source != COMMON_PRACTICE] == []
    assert {row.id for row in defaults if row.source == COMMON_PRACTICE} == {"target.any.five_clusters"}


@pytest.mark.parametrize("crop", Crop)
def test_each_crop_has_one_default_of_each_kind(crop):
    windows = [row for row in KNOWN.of(DigWindow, crop) if row.default]
    sums = [(row.stage_from, row.stage_to) for row in KNOWN.of(ThermalTime, crop) if row.default]

    assert len([row for row in windows if row.opens_days is not None]) == 1
    assert len([row for row in windows if row.opens_bbch is not None]) == 1
    assert len(KNOWN.of(Cardinal, crop)) == 1
    assert len([row for row in KNOWN.of(Target, crop) if row.default and row.counting_unit == "cluster"]) == 1
    assert len(sums) == len(set(sums))
    assert ("sowing", "emergence") in sums
    assert KNOWN.figure(f"late.{crop}").crop == crop


def test_no_nodule_target_is_made_up_for_crops_without_a_published_one():
    with_target = {row.crop for row in KNOWN.of(Target) if row.counting_unit == "nodule"}

    assert with_target == {"pea", "faba_bean", "soybean"}


def test_flowering_of_lupin_is_not_known():
    assert [row.id for row in KNOWN.of(ThermalTime, Crop.LUPIN)] == ["thermal.lupin.sowing_emergence"]


def test_principal_stages_are_all_there():
    assert [row.code for row in KNOWN.of(PrincipalStage)] == list(range(10))
    assert [row.id for row in KNOWN.of(PrincipalStage)] == [f"stage.{code}" for code in range(10)]


def test_degree_day_sums_name_a_rule_that_exists():
    rows = [*KNOWN.of(ThermalTime), *KNOWN.of(NodeInterval)]

    assert {row.method for row in rows} <= set(METHODS)
    assert [row.id for row in KNOWN.of(ThermalTime) if (row.t_cap is None) != (row.method == "mean_then_floor")] == []


def test_a_row_id_names_its_crop():
    rows = [row for row in KNOWN.rows.values() if row.crop != ANY_CROP]

    assert [row.id for row in rows if row.crop not in row.id.split(".")] == []


def test_classes_have_distinct_names():
    assert all(len(set(row.names)) == len(row.names) for row in KNOWN.of(Classes))


def test_a_statement_is_named_after_its_subject():
    assert [row.id for row in KNOWN.of(Statement) if row.id != f"statement.{row.subject}"] == []


def test_reading_the_tables_loads_nothing_heavy():
    code = (
        "import sys; from spadework.knowledge.load import load; load();"
        "print([name for name in ('numpy', 'scipy', 'pydantic', 'pandas', 'pint') if name in sys.modules])"
    )
    answer = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert answer.stdout.strip() == "[]"
