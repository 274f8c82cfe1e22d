"""Each figure that counts in a decision on nitrogen alone, moved by 2 %, changes the decision on some field.

Those of products, losses and windows are moved in test_rescue_products.py.
"""

import datetime as dt
from collections.abc import Iterator
from functools import cache

import pytest
from tests.reference.fixed_balances import BARE, KNOWN, balanced, for_nitrogen
from tests.reference.fixed_fields import DUG, Case, in_stops
from tests.reference.test_rescue_products import ECHOES as TOLD_ONLY
from tests.reference.test_rescue_products import FIGURES as HELD_THERE
from tests.reference.test_sensitivity import as_it_stands, figures_of, judged, moved

from spadework.advice.nitrogen.balance import balance_of
from spadework.advice.nitrogen.dig import DigSeen
from spadework.agronomy.season.nodulation import DigReading
from spadework.knowledge.rows import Crop
from spadework.records.types import ObservationRow, Prices

PRICES = Prices(currency="mk", grain=dict.fromkeys(Crop, 500.0), nitrogen={"urea": 1.2}, per_pass=10.0)
QUARTER = in_stops([(50, 30, 5, 5), (0, 0, None, None), (0, 0, None, None), (0, 0, None, None)] * 6)

NOT_DRAWN = ("rescue.second_dig.", "rescue.late_nodules")
"""Costs and chances that are not drawn: their ranges say how little is known."""

FIGURES = [
    (row.id, name)
    for row in KNOWN.rows.values()
    if row.id.startswith("rescue.")
    for name in figures_of(row)
    if (row.id, name) not in TOLD_ONLY.union(HELD_THERE)
    and name != "rank"
    and not (row.id.startswith(NOT_DRAWN) and name in ("low", "high"))
]


def by_crop(*crops: Crop) -> Iterator[Case]:
    for crop in crops:
        yield for_nitrogen(f"{crop} without nodules", BARE, field={"crop": crop}, prices=PRICES)


def worth_digging() -> Iterator[Case]:
    """A quarter of the plants adequate, days left for a second dig, and no price of one; the area known and not."""
    for area in (20.0, None):
        yield for_nitrogen("a quarter", QUARTER, field={"crop": Crop.FABA_BEAN, "area": area}, prices=PRICES)


def waterlogged() -> Iterator[Case]:
    """A field in which the likely cause passes."""
    seen = {"saturated_soil": "yes", "low_places": "yes", "host_new": "no", "no_inoculant": "no", "acid_soil": "no"}
    rows = tuple(ObservationRow(field="f", date=DUG, subject=name, value=said) for name, said in seen.items())
    yield for_nitrogen("waterlogged", BARE, prices=PRICES, observations=rows, real=True)


def as_long_as_weeks_hold() -> Iterator[Case]:
    """Peas past their weeks and not in flower, which takes them just as long as weeks are counted for."""
    longest = KNOWN.figure("rescue.limit.weeks_hold").central
    unread = DigSeen(share=None, reading=DigReading.NONE_DUG, poor_with_nodules=1.0, colour_seen=True)
    emerged_on = dt.date(2026, 5, 12)
    for days in range(10, 60):
        field = {"sown_on": emerged_on - dt.timedelta(days), "emerged_on": emerged_on}
        case = balanced("just so long", BARE, stage=55, field=field, prices=PRICES)
        found = balance_of(case.records, unread, knowledge=KNOWN, seed=case.settings.seed, today=DUG)
        if longest - 1 < found.season.flowered_on[1] <= longest:
            yield case
            return
    raise AssertionError("no day of sowing makes flower so late")


FIELDS = {
    "rescue.response.near": lambda: by_crop(Crop.COMMON_BEAN, Crop.CHICKPEA),
    "rescue.response.none": lambda: by_crop(Crop.LENTIL, Crop.FABA_BEAN),
    "rescue.second_dig.": worth_digging,
    "rescue.late_nodules": waterlogged,
    "rescue.limit.weeks_hold": as_long_as_weeks_hold,
    "rescue.": lambda: by_crop(Crop.SOYBEAN),
}
"""How the ids of rows begin, the longer before the shorter, and the fields that may notice them."""


@cache
def fields_for(begins: str) -> tuple[Case, ...]:
    return tuple(FIELDS[begins]())


@pytest.mark.parametrize(("row_id", "name"), FIGURES, ids=[f"{row_id}-{name}" for row_id, name in FIGURES])
def test_a_figure_that_moves_changes_a_decision(row_id, name):
    variants = [known for known in (moved(row_id, name, 1), moved(row_id, name, -1)) if known is not None]
    cases = fields_for(next(begins for begins in FIELDS if row_id.startswith(begins)))

    assert variants
    assert any(
        judged(case, known)["decision"] != as_it_stands(case)["decision"] for case in cases for known in variants
    )
