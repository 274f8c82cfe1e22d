"""Each figure of the knowledge tables, moved by 2 %, changes some advice, or stands in uncovered.toml with a reason.

A figure that could be wrong by 2 % without any fixed field noticing would be held by no test at all. Limits of the
rules of evidence are moved in the same way where their rules are tested (tests/advice/evidence/test_limits.py); what
checks take only ranks them, which is tested there (tests/advice/diagnosis/test_checks.py).
"""

import tomllib
from dataclasses import fields, replace
from functools import cache
from itertools import islice
from pathlib import Path

import pytest
from pydantic import TypeAdapter
from tests.reference.fixed_balances import BALANCED, fixed_balances
from tests.reference.fixed_fields import DUG, Case, diagnosed, dug_at_a_stage, undug, visits
from tests.reference.fixed_samples import MEASURED, SampleCase, fixed_samples

from spadework.advice import field
from spadework.advice.calibration import calibration_without
from spadework.advice.field import advise
from spadework.advice.measured.measure import measure
from spadework.advice.measured.value import FieldMeasurement
from spadework.advice.schema import to_json
from spadework.errors import KnowledgeError
from spadework.knowledge.load import load, with_overrides
from spadework.knowledge.rows import ANY_CROP, Classes, Coefficient, Crop, DigWindow, Knowledge, Target
from spadework.records.types import Settings

KNOWN = load()
UNCOVERED = tomllib.loads((Path(__file__).parent / "uncovered.toml").read_text("utf-8"))["row"]

ANY = (Crop.PEA, Crop.SOYBEAN, Crop.LENTIL)  # crops on which rows for any crop are tried
SCORING = ("index.", "red.", "colour.", "position.", "agreement.")
WHOLE = {"d", "BBCH", "plant", "stop"}
COUNTS = {"strip.stretches"}  # of no unit, and yet whole
ECHOES = {"target", "class_limits", "planned_precision", "base_c", "cap_c", "level", "target_words", "limit"}
ECHOES |= {"least_usual", "most_usual", "precise", "idle", "fed", "symbiotic"}
ECHOES |= {"least", "gap_that_matters", "matters", "stretch", "power"}


def figures_of(row):
    """The numbers of a row by the names that a book overrides them with."""
    numbers = {
        item.name: getattr(row, item.name)
        for item in fields(row)
        if str(item.type) in ("float", "float | None", "int | None") and getattr(row, item.name) is not None
    }
    limits = row.limits if isinstance(row, Classes) else ()
    return numbers | {f"limit_{place}": limit for place, limit in enumerate(limits, start=1)}


# Rows of the season balance are held by test_season.py, which runs the balance itself (but of nitrogen applied here),
# those of nitrogen for a standing crop by test_rescue_products.py and test_rescue_rows.py.
ELSEWHERE = ("limit.", "check.", "season.", "rescue.")
FIGURES = [
    (row.id, name)
    for row in KNOWN.rows.values()
    for name in figures_of(row)
    if row.id.startswith(BALANCED) or not row.id.startswith(ELSEWHERE)
]
EXCUSED = {(entry["id"], name) for entry in UNCOVERED for name in entry["figures"]}


def moved(row_id: str, name: str, direction: int) -> Knowledge | None:
    """Knowledge with one figure moved, everything else of its row (grade and source, too) as it was.

    By 2 %, by one where the figure counts whole things, by 0.1 where it is zero; None where the row then no
    longer fits together, as a value outside its own range.
    """
    row = KNOWN.row(row_id)
    before = figures_of(row)
    step = 0.02 * abs(before[name]) or 0.1
    whole = row.unit in WHOLE or row_id in COUNTS
    if isinstance(before[name], int) or (whole and isinstance(row, Coefficient)):
        step = max(1, round(step))
    try:
        changed = with_overrides(KNOWN, {row_id: {**before, name: before[name] + direction * step}})
    except KnowledgeError:
        return None
    as_was = {item.name: getattr(row, item.name) for item in fields(row) if item.name not in before}
    as_was.pop("limits", None)
    return replace(changed, rows={**changed.rows, row_id: replace(changed.row(row_id), **as_was)})


def without_echoes(value):
    """Advice as JSON without what it stands on, and without figures that are only told again."""
    if isinstance(value, dict):
        return {key: without_echoes(item) for key, item in value.items() if key not in ECHOES | {"basis"}}
    return [without_echoes(item) for item in value] if isinstance(value, list) else value


@cache
def any_diagnosis():
    return advise(next(diagnosed()).records, Settings(title="", season=""), KNOWN, DUG).diagnosis


def judged(case: Case | SampleCase, knowledge: Knowledge):
    """Advice as JSON; the diagnosis, which costs most, is made for the fields only that are there for it."""
    if isinstance(case, SampleCase):
        found = measure(case.rows, crop=case.crop, chosen=case.chosen, knowledge=knowledge)
        return without_echoes(TypeAdapter(list[FieldMeasurement]).dump_python(list(found), mode="json"))
    with pytest.MonkeyPatch.context() as patch:
        if not case.for_diagnosis:
            known = any_diagnosis()
            patch.setattr(field, "diagnose", lambda seen, settings: known)
        elsewhere = {f"other {number}": log for number, log in enumerate(case.measured_elsewhere)}
        calibration = calibration_without(case.records.field.field, elsewhere, knowledge)
        advice = advise(case.records, case.settings, knowledge, case.today, calibration=calibration)
        return without_echoes(to_json(advice))


@cache
def as_it_stands(case: Case | SampleCase):
    return judged(case, KNOWN)


@cache
def visits_dug() -> tuple[Case, ...]:
    return tuple(visits())


@cache
def sampled(row_id: str, crop: Crop) -> tuple[SampleCase, ...]:
    return tuple(fixed_samples(row_id, crop))


@cache
def seasons(crop: Crop, scheme: str | None) -> tuple[Case, ...]:
    chosen = {} if scheme is None else {"window_scheme": {crop: scheme}}
    return (*dug_at_a_stage(crop, **chosen), *undug(crop, **chosen))


def cases_for(row_id: str):
    """Fields that may notice."""
    row = KNOWN.row(row_id)
    crops = ANY if row.crop == ANY_CROP else (Crop(row.crop),)
    if row_id.startswith(MEASURED):
        yield from (case for crop in crops for case in sampled(row_id, crop))
        return
    if row_id.startswith(BALANCED):
        yield from fixed_balances(next(begins for begins in BALANCED if row_id.startswith(begins)))
        return
    if row_id.startswith("diagnosis."):
        yield from diagnosed()
        return
    if isinstance(row, Target | Classes) or row_id.startswith(SCORING):
        yield from (case for case in visits_dug() if case.records.field.crop in crops)
        return
    if row_id.startswith("planning."):
        yield from visits_dug()
        return
    named = isinstance(row, DigWindow) and not row.default
    for crop in crops:
        yield from seasons(crop, row_id if named else None)


def is_noticed(row_id: str, name: str, *, cases: int | None = None) -> bool:
    """Whether any case (of the first so many) is judged otherwise with the figure moved up or down."""
    variants = [known for known in (moved(row_id, name, 1), moved(row_id, name, -1)) if known is not None]
    assert variants
    return any(
        judged(case, known) != as_it_stands(case) for case in islice(cases_for(row_id), cases) for known in variants
    )


@pytest.mark.parametrize(("row_id", "name"), FIGURES, ids=[f"{row_id}-{name}" for row_id, name in FIGURES])
def test_a_figure_that_moves_is_noticed(row_id, name):
    if (row_id, name) in EXCUSED:
        assert not is_noticed(row_id, name, cases=40), "noticed after all; take it out of uncovered.toml"
    else:
        assert is_noticed(row_id, name), "no fixed field notices; make one that does, or say why in uncovered.toml"


def test_excuses_name_figures_and_reasons():
    assert set(FIGURES) >= EXCUSED
    assert all(len(entry["reason"]) > 20 for entry in UNCOVERED)
