"""What an advice stands on: each row that it names resolves, and no figure changes it in silence."""

from dataclasses import fields

import pytest
from tests.advice.nitrogen.fields import FIELDS
from tests.factories import (
    DUG,
    GOOD,
    POOR,
    a_book,
    a_dig,
    a_season,
    a_visit,
    advice_on,
    count,
    days,
    everything,
    inoculated,
    normals,
    records,
)

from spadework import __version__
from spadework.advice.basis import basis_of
from spadework.advice.message import Message
from spadework.advice.schema import to_json
from spadework.demo import demo_book
from spadework.errors import DomainError, KnowledgeError
from spadework.knowledge.load import load
from spadework.knowledge.rows import Cardinal, Classes, Crop, DigWindow, Measured
from spadework.quantity import Grade
from spadework.records.types import LocalBValue, LocalTarget, LocalUreideLine

GOOD_STOP = [70, 82, 95, 110, 64, 88, 101, 75]


def rows_of(advice):
    return {row.row: row for row in advice.basis.rows}


def named_anywhere(part):
    """Every row that is named by a scheme or by sources, anywhere in the JSON of an advice but its basis."""
    if isinstance(part, dict):
        for key, value in part.items():
            if key in ("sources", "rows"):
                yield from value
            elif key == "scheme":
                yield value
            elif key == "window_scheme":
                yield from value.split(" + ")
            elif key != "basis":
                yield from named_anywhere(value)
    elif isinstance(part, list):
        for value in part:
            yield from named_anywhere(value)


@pytest.fixture(scope="module")
def season():
    book = demo_book()
    return [advice_on(held, today=book.settings.today, window_scheme=book.settings.window_scheme,
                      local_target=book.settings.local_target) for held in book.by_field().values()]  # fmt: skip


def test_every_row_named_in_the_demo_season_stands_in_the_basis_and_in_the_tables(season):
    for advice in season:
        named = set(named_anywhere(to_json(advice)))
        assert named == set(rows_of(advice)), advice.field
        known = {name for name in named if not name.startswith("local_target.")}
        assert known <= set(load().rows)


def test_a_row_is_told_with_its_figure_grade_and_citation():
    row = rows_of(advice_on(everything()))["target.pea.fifty_nodules"]
    assert (row.figure, row.grade, row.overridden) == ("50 nodule/plant", Grade.READ, False)
    assert "Grains Research and Development Corporation" in row.citation


def test_a_range_is_told_with_its_ends_and_a_statement_by_its_scope():
    rows = rows_of(advice_on(everything()))
    assert rows["planning.stop_correlation"].figure == "0.22 (0 to 0.65)"
    assert rows["statement.score.not_kilograms"].figure == "any crop"


def test_judgement_is_never_left_out():
    rows = rows_of(advice_on(everything()))
    judged = {name for name, row in rows.items() if row.grade is Grade.JUDGEMENT}
    assert {"planning.stop_correlation", "red.plant_correlation", "planning.settle_at", "index.crown_weight"} <= judged
    assert all(row.grade is load().row(name).grade for name, row in rows.items())


def test_what_the_advice_can_be_made_again_from():
    basis = advice_on(everything(), seed=7).basis
    assert (basis.version, basis.knowledge_hash, basis.seed) == (__version__, load().content_hash, 7)
    assert basis.level == pytest.approx(0.9)


def test_an_override_is_flagged_and_changes_the_hash():
    own = {"target.pea.fifty_nodules": {"value": 30}}
    advice = advice_on(everything(), overrides=own)
    row = rows_of(advice)["target.pea.fifty_nodules"]
    assert (row.figure, row.grade, row.overridden) == ("30 nodule/plant", Grade.JUDGEMENT, True)
    assert advice.basis.knowledge_hash != load().content_hash
    assert [name for name, row in rows_of(advice).items() if row.overridden] == ["target.pea.fifty_nodules"]


@pytest.mark.parametrize(
    ("source", "citation"), [("strip by the yard", "strip by the yard"), (None, "The user's own figure, in the book.")]
)
def test_a_local_target_is_flagged_as_the_user_s_own(source, citation):
    own = {Crop.PEA: LocalTarget(value=30, source=source)}
    row = rows_of(advice_on(everything(), local_target=own))["local_target.pea"]
    assert (row.figure, row.grade, row.citation, row.overridden) == (
        "30 nodule/plant", Grade.JUDGEMENT, citation, True,
    )  # fmt: skip


def test_laboratory_figures_of_the_books_own_are_flagged_and_graded_by_their_source():
    own = a_book(
        local_b_value={Crop.PEA: LocalBValue(-1.1, 0.3, "pots, 2025"), Crop.LENTIL: LocalBValue(-0.7)},
        local_ureide_line={Crop.SOYBEAN: LocalUreideLine(0.08, 0.7)},
    )
    names = ("local_b_value.pea", "local_b_value.lentil", "local_ureide_line.soybean")
    rows = basis_of((Message("lab.sensitivity.moved", {}, names),), knowledge=load(), settings=own).rows
    assert [(row.figure, row.grade, row.overridden) for row in rows] == [
        ("-1.1 permil, standard error 0.3", Grade.SECOND_HAND, True),
        ("-0.7 permil", Grade.JUDGEMENT, True),
        ("0.08 + 0.7 x share, 0 to 1", Grade.JUDGEMENT, True),
    ]
    assert [row.citation for row in rows] == ["pots, 2025", *["The user's own figure, in the book."] * 2]


def test_a_level_of_settling_chosen_in_the_book_is_flagged():
    own = {"planning.settle_at": {"value": 0.8}}
    advice = advice_on(everything(), overrides=own)
    assert rows_of(advice)["planning.settle_at"].overridden
    assert advice.sampling.settle_at == pytest.approx(0.8)
    row = rows_of(advice_on(everything(), settle_at=0.8))["planning.settle_at"]
    assert (row.figure, row.overridden) == ("0.8", True)
    assert not rows_of(advice_on(everything()))["planning.settle_at"].overridden


BALANCE = ("season.", "nodulation.", "soil_n.", "available_water.", "applied_n.", "stage_seen.", "weather_ahead.")
GAP = tuple(days(DUG.replace(day=1), DUG.replace(day=2)))
CLUSTERS = a_visit([8, 2, 7, 5], [9, 3, 6, 6])
HASTY = {"crown_nodules": count(2), "cut_open": 2, "red_pink": 1, "white": 1}
SITUATIONS = {
    "estimated": records(
        a_visit(*[[52] * 8 + [20] * 2] * 3, cut_open=10, red_pink=8, white=2),
        digs=(a_dig(stage_bbch=None),),
        field={"emerged_on": None},
        weather=a_season(without=GAP),
        normals=normals(),
        inoculation=inoculated(),
    ),
    "early, white": records(
        a_visit([6] * 5, [9] * 5, red_pink=2, white=3, cut_open=5),
        digs=(a_dig(date=DUG.replace(day=3), stage_bbch=None),),
        weather=a_season(mean=9),
        normals=normals(),
    ),
    "soybean, few plants": records(
        a_visit([14, 3, 12], [13, 2, 11]),
        digs=(a_dig(stage_bbch=60),),
        field={"crop": Crop.SOYBEAN, "soil_texture": "sand"},
        weather=a_season(mean=16),
    ),
    "a patch": records(a_visit(GOOD_STOP, GOOD_STOP[::-1], [3, 0, 5, 9, 2, 4, 7, 1], GOOD_STOP)),
    "clusters, two scorers": records(
        (*CLUSTERS, *(row.model_copy(update={"scorer": "B", **HASTY}) for row in CLUSTERS)),
        digs=(a_dig(counting_unit="cluster"),),
        field={"crop": Crop.MUNG_BEAN},
        weather=a_season(mean=20),
        normals=normals(mean=20),
    ),
    "late": records(POOR, digs=(a_dig(stage_bbch=76),)),
    "undug": records(field={"crop": Crop.LENTIL, "emerged_on": None}, weather=a_season(), normals=normals()),
    "a balance": FIELDS["good soybean"],
    "with earlier digs": records(
        (*GOOD, *(row.model_copy(update={"date": DUG.replace(day=8)}) for row in a_visit([20] * 6))),
    ),
}  # fmt: skip


def nudges(row):
    """Other figures for a row, one at a time: each that it has, somewhat up and somewhat down."""
    if isinstance(row, Classes):
        names = {f"limit_{place}": limit for place, limit in enumerate(row.limits, start=1)}
    elif isinstance(row, Measured | DigWindow | Cardinal):
        numbers = {field.name: getattr(row, field.name) for field in fields(row)}
        names = {name: number for name, number in numbers.items()
                 if isinstance(number, int | float) and not isinstance(number, bool)}  # fmt: skip
    else:
        return
    for name, number in names.items():
        step = max(1, round(abs(number) * 0.15)) if isinstance(number, int) else max(abs(number) * 0.15, 0.05)
        yield from ({name: number + step}, {name: number - step})


@pytest.mark.slow
@pytest.mark.parametrize("situation", SITUATIONS)
def test_no_figure_of_the_user_s_own_changes_an_advice_in_silence(situation):
    held, knowledge = SITUATIONS[situation], load()
    plain = advice_on(held)
    silent, changed = set(), set()
    for row in knowledge.rows.values():
        # The balance runs in one of them; a figure of it takes no part in the others.
        if row.crop not in ("any", held.field.crop) or (plain.nitrogen is None and row.id.startswith(BALANCE)):
            continue
        for own in nudges(row):
            try:
                advice = advice_on(held, overrides={row.id: own})
            except (KnowledgeError, DomainError):
                continue  # refused aloud: the figure does not fit its row, or the formula that takes it
            if {**to_json(advice), "basis": None} != {**to_json(plain), "basis": None}:
                changed.add(row.id)
                if row.id not in rows_of(advice) or not rows_of(advice)[row.id].overridden:
                    silent.add(row.id)
    assert silent == set()
    assert changed, "no figure matters here: the test would be empty"
