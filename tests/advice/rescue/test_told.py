import dataclasses

import pytest
from tests.advice.rescue.fields import HELD, KNOWN, decided, looked_at, prices
from tests.factories import DUG, advice_on

from spadework.advice.message import Message
from spadework.advice.messages import render
from spadework.advice.rescue.options import Market, grain_price_that_pays, plans
from spadework.advice.rescue.told import Reckoned, changes_of, headline_of, reasons_of

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
    assert "rescue.change.share.now" in give
    assert "rescue.change.share.now" not in leave


def test_seldom_sentences_read_as_the_others():
    assert "whatever grain is worth" in render(Message("rescue.headline.does_not_pay.never", {"sure": 0.8}))
    values = {"day": DUG, "value": 6.2, "chance": 0.4}
    waiting = render(Message("rescue.headline.waiting_pays.always", values))
    assert waiting == (
        "Dig again on 22 June 2026 before giving nitrogen: waiting is worth about 6 per ha, and nitrogen would then be "
        "the choice with a chance of 40 %."
    )
    assert "no failure of the nodules" in render(Message("rescue.headline.working.nothing_wrong"))
