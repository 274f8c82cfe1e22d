import dataclasses

import pytest
from tests.advice.rescue.fields import HELD, KNOWN, decided, looked_at, prices
from tests.factories import DUG, advice_on

from spadework.advice.message import Message
from spadework.advice.messages import render
from spadework.advice.rescue.options import Market, grain_price_that_pays, plans
from spadework.advice.rescue.told import Reckoned, changes_of, headline_of, reasons_of
from spadework.advice.rescue.value import DigAgain

_, (NOW, _) = looked_at("quarter")


def reckoned(grain=900.0, *, outlook=NOW, kind="leave", why="does_not_pay", **changes):
    market = Market(grain_price=grain, prices=prices(grain, {"urea": 1.2}))
    now = plans(outlook, on=DUG, market=market, level=0.9, knowledge=KNOWN)
    found = Reckoned(
        kind=kind, why=why, now=now, outlook=outlook, market=market, again=None, turning_share=None, late=None,
        sure=0.6, patch=False,
    )  # fmt: skip
    return dataclasses.replace(found, **changes)


def said(messages):
    return {message.id: render(message) for message in messages}


@pytest.mark.parametrize(
    ("name", "grain"), [("failed", 150.0), ("failed", 800.0), ("quarter", 1000.0), ("patchy", 500.0)]
)
def test_every_sentence_renders_with_what_it_is_given(name, grain):
    found = decided(name, grain)
    texts = [render(one) for one in (found.headline, *found.reasons, *found.would_change, found.evidence_told)]
    texts += [render(line.name) for line in found.budget] + [render(one.message) for one in found.information]
    assert all("None" not in text and "{" not in text and "  " not in text for text in texts)
    assert len(found.reasons) >= 4


def test_the_headline_says_by_when_how_sure_and_what_would_change_it():
    text = render(headline_of(reckoned(1500.0, kind="apply", why="pays", turning_share=0.4)))
    assert "by 22 June 2026: 60 % sure that it pays; finding 40 % or more of further plants adequate would" in text
    assert "a grain price below" in render(headline_of(reckoned(1500.0, kind="apply", why="pays")))
    part = render(headline_of(reckoned(1500.0, kind="apply", why="pays", patch=True)))
    assert part.startswith("Give the part that failed about ")


def test_nodules_that_still_work_are_told_what_nitrogen_takes_from_them():
    told = said(reasons_of(reckoned(), knowledge=KNOWN))
    assert "rescue.reason.nodules" in told
    failed = said(reasons_of(reckoned(outlook=looked_at("failed")[1][0]), knowledge=KNOWN))
    assert "rescue.reason.nodules" not in failed or "0 kg/ha to" in failed["rescue.reason.nodules"]


def test_nitrogen_that_comes_late_is_told_so():
    late = dataclasses.replace(NOW, factor=0.5 * NOW.factor)
    assert "does about 50 %" in said(reasons_of(reckoned(outlook=late), knowledge=KNOWN))["rescue.reason.late"]
    assert "rescue.reason.late" not in said(reasons_of(reckoned(), knowledge=KNOWN))


@pytest.mark.parametrize(("left", "headline", "change"), [(0.4, "late", "nothing"), (0.9, "not_short", "pale")])
def test_no_gain_is_put_down_to_the_hour_or_to_the_crop(left, headline, change):
    none = reckoned(outlook=dataclasses.replace(NOW, factor=left * NOW.factor), why="no_gain")
    assert headline_of(none).id == f"rescue.headline.no_gain.{headline}"
    assert "60 % sure" in render(headline_of(none))
    assert f"rescue.change.{change}" in said(changes_of(none, soaking=12.7))


def test_prices_not_given_are_told_to_count_as_nothing():
    found = advice_on(HELD["failed"], prices=prices(150.0, {"urea": 1.2}, per_pass=None, dig=None)).decision
    told = said(found.reasons)
    assert "rescue.reason.pass_unpriced" in told
    assert "rescue.reason.dig_unpriced" in told
    assert "rescue.reason.pass_unpriced" not in said(decided("failed", 150.0).reasons)


def test_rain_is_told_only_where_it_turns_what_is_expected():
    (failed, _) = looked_at("failed")[1]
    turn = grain_price_that_pays(reckoned(900.0, outlook=failed).now, reckoned(900.0, outlook=failed).market)
    near, far = (said(changes_of(reckoned(turn * times, outlook=failed), soaking=12.7)) for times in (0.98, 0.1))
    # Just under the price that pays, the seasons with rain in time are those in which it would.
    assert "13 mm or more in one day, within 7 days" in near["rescue.change.rain.comes"]
    assert "rescue.change.rain.comes" not in far
    over = said(changes_of(reckoned(turn * 1.05, outlook=failed, kind="apply", why="pays"), soaking=12.7))
    assert "rescue.change.rain.stays_away" in over
    assert "rescue.change.rain.comes" not in over


def test_what_would_change_it_turns_with_the_kind():
    leave, give = (
        said(changes_of(reckoned(kind=kind, turning_share=0.4), soaking=12.7)) for kind in ("leave", "apply")
    )
    assert "rescue.change.grain_price.above" in leave
    assert "rescue.change.nitrogen_price.below" in leave
    assert "rescue.change.grain_price.below" in give
    assert "rescue.change.share.more.now.field" in give
    assert not [name for name in leave if name.startswith("rescue.change.share.")]


DIG = DigAgain(
    on=DUG, nitrogen_on=DUG, plants=30, stops=3, net_return=9.0, value=6.2, error=2.0, apply_chance=0.4,
    turning_share=0.3, at_once=True,
)  # fmt: skip


@pytest.mark.parametrize(
    ("at_once", "patch", "start", "end"),
    [
        (True, False, "Dig more plants now before giving nitrogen, 30 in 3 stops: what they show is worth about 6 per ",
         "30 % or more of them adequate would say leave it."),
        (True, True, "Dig more plants now in the part that failed, before giving nitrogen there, 30 in 3 stops: ",
         "the choice there with a chance of 40 %; 30 % or more of them adequate would say leave it."),
        (False, False, "Dig again on 22 June 2026 before giving nitrogen, 30 plants in 3 stops: waiting is worth ",
         "30 % of those plants adequate, or more, would say leave it."),
        (False, True, "Dig again on 22 June 2026 in the part that failed, before giving nitrogen there, 30 plants ",
         "30 % of those plants adequate, or more, would say leave it."),
    ],
)  # fmt: skip
def test_a_second_dig_says_when_where_and_which_result_says_leave(at_once, patch, start, end):
    asked = {"kind": "dig_again", "why": "waiting_pays", "patch": patch}
    again = dataclasses.replace(DIG, at_once=at_once, in_part=patch)
    text = render(headline_of(reckoned(**asked, again=again)))
    assert text.startswith(start)
    assert text.endswith(end)
    always = render(headline_of(reckoned(**asked, again=dataclasses.replace(again, turning_share=None))))
    assert always.startswith(start)
    assert always.endswith("with a chance of 40 %.")


@pytest.mark.parametrize("patch", [True, False])
@pytest.mark.parametrize("at_once", [True, False])
@pytest.mark.parametrize(("kind", "says"), [("leave", "give nitrogen"), ("dig_again", "leave it")])
def test_which_result_of_a_dig_would_turn_the_choice(kind, says, at_once, patch):
    found = reckoned(kind=kind, again=dataclasses.replace(DIG, at_once=at_once), patch=patch)
    told = [text for name, text in said(changes_of(found, soaking=12.7)).items() if ".share." in name]
    assert len(told) == 1
    assert says in told[0]
    assert told[0].startswith("More plants dug at once" if at_once else "A dig on 22 June 2026")
    assert ("in the part that failed" in told[0]) is patch


@pytest.mark.parametrize("at_once", [True, False])
@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({}, "is worth about 6 per ha"),
        ({"value": 1.9}, "about as good"),
        ({"value": -6.2}, "would cost about 6 per ha more"),
        ({"value": -6.2, "apply_chance": 0.0}, "would not turn this choice"),
    ],
)
def test_the_reasons_say_what_digging_would_be_worth(at_once, changes, says):
    found = reckoned(again=dataclasses.replace(DIG, at_once=at_once, **changes))
    told = said(reasons_of(found, knowledge=KNOWN))
    assert [says in text for name, text in told.items() if ".digging." in name] == [True]


def test_an_area_that_is_not_known_is_told():
    found = reckoned(again=DIG, area_assumed=40.0)
    assert "spread over 40 ha" in said(reasons_of(found, knowledge=KNOWN))["rescue.reason.area_unknown"]
    assert "rescue.reason.area_unknown" not in said(reasons_of(reckoned(again=DIG), knowledge=KNOWN))


def test_seldom_sentences_read_as_the_others():
    assert "whatever grain is worth" in render(Message("rescue.headline.does_not_pay.never", {"sure": 0.8}))
    assert "no failure of the nodules" in render(Message("rescue.headline.working.nothing_wrong"))
