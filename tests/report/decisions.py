"""Decisions as the pages meet them: invented figures, prices and places."""

import datetime as dt
from dataclasses import replace

from tests.report.a_nitrogen import amount, say

from spadework.advice.rescue.value import (
    BudgetLine,
    CheckStrip,
    Decision,
    DigAgain,
    FailedPart,
    Information,
    NetAtPrice,
    RescueOption,
    RescueWindow,
    StopPosition,
)
from spadework.quantity import Quantity

ON = dt.date(2026, 6, 29)
WINDOW = RescueWindow(
    state="open",
    best_until=(dt.date(2026, 7, 2), dt.date(2026, 7, 6)),
    closes=(dt.date(2026, 7, 14), dt.date(2026, 7, 20)),
    limit=say("Peas take up little nitrogen once pods fill."),
)
LEAVE = RescueOption(
    option="leave",
    rate=Quantity(0.0, "kg/ha"),
    product=None,
    placement=None,
    product_rate=None,
    on=None,
    lost=None,
    gain=Quantity(0.0, "t/ha"),
    cost=0.0,
    net_return=Quantity(0.0, "1"),
    chance_of_loss=0.0,
    regret=38.0,
    break_even_gain=None,
)
RATES = (28.0, 56.0, 84.1, 112.1)
_PRODUCTS = (("urea_inhibited", "dry_leaves", 1.45, "kg/ha", 1 / 0.46), ("uan_28", "below_canopy", 1.6, "L/ha", 2.79))


def an_option(rate, *, product="urea_inhibited", placement="dry_leaves", price=1.45, unit="kg/ha", per_kg=1 / 0.46):
    """Nitrogen at a rate: more of it gains less and less, and costs in step."""
    gain = 0.62 * (1 - 2.718 ** (-rate / 45))
    cost = 14 + price * rate
    net = 310 * gain - cost
    return RescueOption(
        option="apply",
        rate=Quantity(rate, "kg/ha"),
        product=product,
        placement=placement,
        product_rate=Quantity(rate * per_kg, unit),
        on=ON,
        lost=amount(0.07, 0.02, 0.15, "1"),
        gain=amount(gain, 0.2 * gain, 1.9 * gain, "t/ha"),
        cost=cost,
        net_return=amount(net, 62 * gain - cost, 589 * gain - cost, "1"),
        chance_of_loss=0.34 + rate / 900,
        regret=12.0 + rate / 10,
        break_even_gain=Quantity(cost / 310, "t/ha"),
    )


def options():
    """Leave it, and every rate of two products."""
    made = [
        an_option(rate, product=product, placement=placement, price=price, unit=unit, per_kg=per_kg)
        for product, placement, price, unit, per_kg in _PRODUCTS
        for rate in RATES
    ]
    return (LEAVE, *made)


DIG_AGAIN = DigAgain(
    on=dt.date(2026, 7, 3),
    nitrogen_on=dt.date(2026, 7, 6),
    plants=30,
    stops=3,
    net_return=31.0,
    value=-4.5,
    apply_chance=0.61,
    turning_share=0.45,
)
INFORMATION = (
    Information(name="nodulation", value=14.2, message=say("How well the nodules work.")),
    Information(name="rain", value=6.1, message=say("Whether a soaking rain follows within a week.")),
)
BUDGET = (
    BudgetLine(section="added_returns", name=say("Grain gained"), amount=137.0),
    BudgetLine(section="added_costs", name=say("Urea with an inhibitor"), amount=81.2),
    BudgetLine(section="added_costs", name=say("One pass over the field"), amount=14.0),
    BudgetLine(section="reduced_returns", name=say("Less nitrogen left to the next crop"), amount=3.5),
)
NET_AT_PRICE = tuple(
    NetAtPrice(rate=option.rate, grain_price=price, net_return=price * option.gain.value - option.cost)
    for option in options()[1:5]
    for price in (217.0, 310.0, 403.0)
)


def ring(west, south, east, north):
    return ((west, south), (east, south), (east, north), (west, north), (west, south))


PART = FailedPart(
    area=Quantity(6.3, "ha"),
    rings=(ring(-110.0105, 52.001, -110.0052, 52.0047),),
    stops=("4", "5"),
    outline=ring(-110.0105, 52.0, -110.0, 52.0063),
    drawn=True,
    positions=(
        StopPosition(stop="1", longitude=-110.0015, latitude=52.0055, failed=False),
        StopPosition(stop="2", longitude=-110.0018, latitude=52.0012, failed=False),
        StopPosition(stop="3", longitude=-110.0045, latitude=52.0051, failed=False),
        StopPosition(stop="4", longitude=-110.0072, latitude=52.0036, failed=True),
        StopPosition(stop="5", longitude=-110.0093, latitude=52.0018, failed=True),
    ),
)
STRIP = CheckStrip(
    width=Quantity(18.0, "m"),
    length=Quantity(400.0, "m"),
    bearing=0.0,
    ring=ring(-110.0083, 52.001, -110.00804, 52.0047),
    tells=say("The strip can show a difference of 0.3 t/ha or more."),
    message=say("Leave a strip of 18 m without nitrogen, from fence to fence through the failed part."),
)
CAUTIONS = tuple(
    say(text)
    for text in (
        "Keep urea and liquids off skin, eyes and leaves; wear gloves and goggles.",
        "Keep liquid nitrogen away from ditches and wells, and do not spray in wind.",
        "The label, nutrient-management rules and a licensed adviser go before this page.",
    )
)


def a_decision(**changes):
    """Give nitrogen: a field that failed, with prices."""
    made = options()
    decision = Decision(
        kind="apply",
        why="pays",
        headline=say(
            "Give 56 kg/ha of nitrogen by 6 July: the chance that it pays is 60 %; a green crop would change that."
        ),
        reasons=(say("Nodules fail on most plants."), say("The gap is 18 to 90 kg/ha.")),
        would_change=(say("Pale leaves turning green."), say("Grain under 240 a tonne.")),
        act_by=dt.date(2026, 7, 6),
        sure=0.6,
        window=WINDOW,
        evidence="trials",
        evidence_told=say("One thesis gave peas nitrogen four to eight weeks after seeding."),
        currency="mk",
        grain_price=310.0,
        nitrogen_prices=(("urea_inhibited", 1.45), ("uan_28", 1.6)),
        pass_price=14.0,
        options=made,
        chosen=made[2],
        dig_again=DIG_AGAIN,
        information=INFORMATION,
        budget=BUDGET,
        net_at_price=NET_AT_PRICE,
        part=PART,
        strip=STRIP,
        treated=Quantity(6.1, "ha"),
        cautions=CAUTIONS,
        rows=("response.pea",),
    )
    return replace(decision, **changes)


def dig_again(**changes):
    return a_decision(
        **{
            "kind": "dig_again",
            "why": "waiting_pays",
            "headline": say("Dig again on 3 July before paying for nitrogen: waiting is worth 9 mk/ha."),
            "act_by": dt.date(2026, 7, 3),
            "chosen": None,
            "dig_again": replace(DIG_AGAIN, value=9.0),
            **changes,
        }
    )


def left_alone(why="working", **changes):
    """Leave it, and nothing was reckoned: a gate closed before."""
    return a_decision(
        **{
            "kind": "leave",
            "why": why,
            "headline": say("Give this crop no nitrogen: its nodules work."),
            "act_by": None,
            "sure": None,
            "options": (),
            "chosen": None,
            "dig_again": None,
            "information": (),
            "budget": (),
            "net_at_price": (),
            "part": None,
            "strip": None,
            "grain_price": None,
            "nitrogen_prices": (),
            "pass_price": None,
            **changes,
        }
    )


def without_prices():
    made = tuple(
        replace(option, cost=None, net_return=None, chance_of_loss=None, regret=None, break_even_gain=None)
        for option in options()
    )
    return a_decision(
        kind="needs_prices",
        why="no_prices",
        headline=say("Whether nitrogen pays needs your prices: it would gain 0.1 to 0.8 t/ha."),
        sure=None,
        currency="",
        grain_price=None,
        nitrogen_prices=(),
        pass_price=None,
        options=made,
        chosen=None,
        dig_again=replace(DIG_AGAIN, net_return=None, value=None, apply_chance=None),
        information=(),
        budget=(),
        net_at_price=(),
        part=None,
        strip=replace(STRIP, ring=None, length=None, bearing=None),
    )


def cannot_tell():
    return left_alone(
        why="no_balance",
        kind="cannot_tell",
        headline=say("Whether nitrogen would pay cannot be told: the yield expected is not recorded."),
        window=None,
        reasons=(),
        would_change=(),
        cautions=(),
    )


def dig_first():
    return left_alone(
        why="not_dug",
        kind="dig_first",
        headline=say("Dig before anything else, by 30 June."),
        act_by=dt.date(2026, 6, 30),
    )


def endless():
    """More of everything than two pages can hold."""
    long = say("a long sentence on nitrogen, rain, prices and pods that goes on without coming to an end and " * 6)
    many = tuple(
        an_option(rate, product=product)
        for product in ("urea", "urea_inhibited", "uan_28")
        for rate in range(20, 140, 6)
    )
    return a_decision(
        headline=long,
        reasons=(long,) * 6,
        would_change=(long,) * 6,
        evidence_told=long,
        options=(LEAVE, *many),
        chosen=many[7],
        information=tuple(Information(name=f"thing_{n}", value=10.0 - n, message=long) for n in range(8)),
        budget=tuple(
            BudgetLine(section=section, name=long, amount=12.5)
            for section in ("added_returns", "reduced_costs", "added_costs", "reduced_returns")
            for _ in range(3)
        ),
        strip=replace(STRIP, tells=long, message=long),
        cautions=(long,) * 9,
    )


DECISIONS = {
    "apply": a_decision,
    "dig_again": dig_again,
    "leave": left_alone,
    "needs_prices": without_prices,
    "cannot_tell": cannot_tell,
    "dig_first": dig_first,
    "endless": endless,
}
