"""Fields whose nodules failed or did not, with prices, for the decision on nitrogen. All of it is invented."""

import datetime as dt
from functools import cache

from tests.advice.nitrogen.fields import SOYBEAN, WARM, a_balance_field, sky, soil_test, usual
from tests.factories import DUG, GOOD, NONE, POOR, a_dig, a_visit, advice_on

from spadework.advice.nitrogen.balance import balance_of
from spadework.advice.nitrogen.dig import DigSeen
from spadework.advice.rescue.outlook import outlooks
from spadework.advice.visit import gather_visit, is_bare
from spadework.agronomy.rescue.window import limits_of
from spadework.agronomy.scoring.share import field_share
from spadework.agronomy.season.nodulation import DigReading
from spadework.knowledge.load import load
from spadework.knowledge.rows import Crop
from spadework.records.types import LeafColour, Prices, RescuePlan

KNOWN = load()

WET = 16.0
"""Rain of every fourth day that soaks the surface [mm]."""

QUARTER = a_visit([80] * 3 + [0] * 7, [80] * 3 + [0] * 7, [80] * 2 + [0] * 8)
PATCHY = a_visit([40] * 10, [0] * 10, [0] * 10, [42] * 10)


def prices(grain=310.0, nitrogen=None, **more):
    """Prices in an invented money: the same for grain of every crop."""
    return Prices(
        **{
            "currency": "mk",
            "grain": dict.fromkeys(Crop, grain),
            "nitrogen": {"urea_inhibited": 1.45, "urea": 1.2} if nitrogen is None else nitrogen,
            "per_pass": 14.0,
            "dig": 60.0,
            **more,
        }
    )


def a_soybean(plants, *, nitrate=25.0, organic_matter=2.5, bbch=61, rain=WET, field=None, **more):
    """Soybean dug as it begins to flower, in time for nitrogen."""
    return a_balance_field(
        plants,
        field={**SOYBEAN, "area": 60.0, **(field or {})},
        weather=sky(rain=rain, **WARM),
        normals=usual(120.0, **WARM),
        soil_tests=soil_test(nitrate, organic_matter=organic_matter),
        **{"digs": (a_dig(stage_bbch=bbch),), **more},
    )


def green(plants):
    """The same plants, strong, all of their leaves green."""
    return tuple(
        row.model_copy(update={"leaf_old": LeafColour.GREEN, "leaf_young": LeafColour.GREEN, "vigour": 5.0})
        for row in plants
    )


HELD = {
    "failed": a_soybean(NONE),
    "quarter": a_soybean(QUARTER),
    "patchy": a_soybean(PATCHY),
    "good": a_soybean(a_visit(*[[60] * 10] * 3)),
    "green on nitrate": a_soybean(green(POOR), nitrate=200.0, organic_matter=4.0),
    "late pea": a_balance_field(NONE, soil_tests=soil_test(30.0), digs=(a_dig(stage_bbch=75),)),
    "late by weeks": a_balance_field(NONE, field={"sown_on": dt.date(2026, 4, 20), "emerged_on": dt.date(2026, 5, 2)},
                                     weather=sky(dt.date(2026, 4, 20)), digs=(a_dig(stage_bbch=55),)),
    "not dug": a_balance_field(digs=()),
    "too early": a_balance_field(POOR, digs=(a_dig(stage_bbch=14),)),
    "no yield": a_balance_field(POOR, field={"expected_yield": None, "sown_on": dt.date(2026, 5, 20),
                                             "emerged_on": None}, weather=sky(dt.date(2026, 5, 20))),
    "good pea": a_balance_field(GOOD, soil_tests=soil_test(40.0, organic_matter=3.5)),
}  # fmt: skip


@cache
def decided(name, grain=310.0, nitrogen=1.2, *, day=DUG):
    """The decision on one of these fields; urea at a price of nitrogen, None for no prices at all."""
    chosen = {} if nitrogen is None else {"prices": prices(grain, {"urea": nitrogen})}
    return advice_on(HELD[name], today=day, **chosen).decision


@cache
def looked_at(name="failed", days=(52, 56)):
    """Balance of one of these fields, and what nitrogen on some days after sowing does to it."""
    held = HELD[name]
    visit = gather_visit(held.plants, {DUG})
    share = field_share(
        stop=visit.stop_of_plant, chance=[float(not is_bare(row)) for row in visit.rows], prior_correlation=0.1
    )
    dig = DigSeen(share=share, reading=DigReading.AS_DUG, poor_with_nodules=0.0, colour_seen=True)
    balance = balance_of(held, dig, knowledge=KNOWN, seed=1, today=DUG)
    found = outlooks(
        balance,
        days,
        limits=limits_of(held.field.crop, KNOWN),
        plan=RescuePlan(),
        alkaline=None,
        scale_row="rescue.response.trials",
        knowledge=KNOWN,
        seed=1,
    )
    return balance, found
