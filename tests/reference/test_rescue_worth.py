"""The simulation behind docs/rescue-worth.md: its parts hold together, and the advice is told nothing of the truth."""

import dataclasses
import datetime as dt
import sys
from pathlib import Path

import numpy as np
import pytest

from spadework.advice.field import advise
from spadework.advice.schema import to_json

SCRIPTS = Path(__file__).parents[2] / "scripts"
MODULES = ("simulated_roots", "simulated_fields", "rescue_truths", "rescue_worth", "rescue_worth_page")
SEED, FIELDS = 5, 12


@pytest.fixture(scope="module")
def worth():
    sys.path.insert(0, str(SCRIPTS))
    try:
        import rescue_worth

        yield rescue_worth
    finally:
        sys.path.remove(str(SCRIPTS))
        for name in MODULES:
            sys.modules.pop(name, None)


@pytest.fixture(scope="module")
def page(worth):
    import rescue_worth_page

    return rescue_worth_page


@pytest.fixture(scope="module")
def fields(worth):
    return [worth.simulated_field(SEED, number) for number in range(FIELDS)]


@pytest.fixture(scope="module")
def few(worth):
    """Outcomes of some fields; the advice takes its time."""
    return [worth.run_field(number, seed=SEED) for number in range(3)]


def first_dig(field):
    return field.dig(field.first_dig, stops=field.stops, plants=field.stops * field.each)


def test_never_earns_nothing_and_always_its_grain_less_its_cost(worth, few, fields):
    for one, field in zip(few, fields, strict=False):
        on = field.today + dt.timedelta(days=worth.LEAD)
        for (world, level), net in one.net.items():
            gain = worth.Truth(field).gain(world, on, np.array([56.04]))[:, 0] @ field.parts
            price = worth.GRAIN[field.row.crop] * worth.LEVELS[level]
            assert net["never"] == 0
            assert net["always 50 lb/ac"] == pytest.approx(price * gain - worth.PASS - 56.04 * worth.NITROGEN)
            assert net["always 50 lb/ac"] == pytest.approx(one.fixed[world, level][1])
            assert net["threshold"] in (0, net["always 50 lb/ac"])
            assert net["threshold and pale leaves"] in (0, net["threshold"])
            assert one.best[world, level] >= max(0, *one.fixed[world, level]) - 1.0


def test_every_way_meets_the_same_fields(page, few):
    for world, level in few[0].net:
        rules = page.nets(few, world, level)
        assert set(rules) == set(page.RULES)
        assert {values.shape for values in rules.values()} == {(len(few),)}
        mean, error = page.paired(rules["always 50 lb/ac"], rules["never"])
        assert mean == pytest.approx(np.mean([one.net[world, level]["always 50 lb/ac"] for one in few]))
        assert error >= 0


def test_a_field_comes_of_its_seed_and_number_alone(worth, fields, few):
    again = worth.run_field(2, seed=SEED)
    assert repr(again) == repr(few[2])
    assert worth.simulated_field(SEED + 1, 2).row != fields[2].row


def test_nothing_of_the_truth_is_in_the_records(fields):
    for field in fields:
        held = field.records(field.today, (first_dig(field),))
        assert max(row.W_DATE for row in held.weather) == field.today - dt.timedelta(days=1)
        assert held.field.expected_yield != pytest.approx(field.potential, abs=0.005)
        assert max(dig.date for dig in held.digs) <= field.today


def test_another_truth_leaves_the_advice_as_it_was(worth, fields):
    field, stranger = fields[0], fields[1]
    digs = (first_dig(field),)
    later = tuple(
        row if field.today > row.W_DATE else row.model_copy(update={"RAIN": 40.0, "TMAX": row.TMIN + 1})
        for row in field.season
    )
    truth = {name: getattr(stranger, name) for name in ("state", "zones", "weather", "parameters", "balance", "delay")}
    other = dataclasses.replace(field, season=later, number=field.number + 900, **truth)
    settings = worth.settings_at("high", seed=1)
    said = [
        to_json(advise(held.records(field.today, digs), settings, worth.KNOWN, field.today)) for held in (field, other)
    ]
    assert said[0] == said[1]


def test_nodules_that_come_late_are_found_when_they_have_come(worth):
    drawn = (worth.simulated_field(SEED, number) for number in range(200))
    field = next(field for field in drawn if field.delay is not None)
    assert field.state == "delayed"
    for on, roots in (
        (field.delay.until - dt.timedelta(days=1), field.delay.roots),
        (field.delay.until, field.zones[0].roots),
    ):
        plants = field.dig(on, stops=300, plants=900)[1]
        nodules = [row.crown_nodules.low + row.lateral_nodules.low for row in plants]
        assert np.mean(nodules) == pytest.approx(roots.mean, rel=0.15, abs=0.5)
    assert field.zones[0].roots.mean > field.delay.roots.mean


def test_nitrogen_pays_more_where_nodules_failed(worth, fields):
    failed = [field for field in fields if field.balance.relative_yield.min() < 0.8]
    sound = [field for field in fields if field.balance.relative_yield.min() > 0.999]
    assert failed
    assert sound
    for world in worth.WORLDS:
        for field in sound:
            gain = worth.Truth(field).gain(world, field.today, np.array([56.0, 112.0]))
            assert np.all(gain <= 0)
        gains = [worth.Truth(field).gain(world, field.first_dig, np.array([56.0])).max() for field in failed]
        assert max(gains) > 0.05


def test_gains_never_pass_the_gap_by_much_and_rise_with_the_rate(worth, fields):
    rates = np.linspace(0.0, 112.0, 8)
    for field in fields:
        truth = worth.Truth(field)
        gap = (field.potential - field.yield_without)[:, None]
        for world in worth.WORLDS:
            grain = truth.gain(world, field.first_dig, rates) + truth.harm(rates)
            assert np.allclose(grain[:, 0], 0)
            assert np.all(grain <= 1.5 * gap + 0.05)
            if world != "as reckoned":
                assert np.all(np.diff(grain, axis=1) >= -1e-9)


def test_more_plants_dug_show_the_true_share(worth, fields):
    field = next(one for one in fields if one.row.crop in (worth.Crop.PEA, worth.Crop.FABA_BEAN))
    _, plants = field.dig(field.first_dig, stops=200, plants=1000)
    found = []
    for row in plants:
        if row.cut_open:
            found.append((row.crown_nodules.low + row.lateral_nodules.low) * row.red_pink / row.cut_open >= 50)
        elif row.crown_nodules.low + row.lateral_nodules.low == 0:
            found.append(False)
    true = sum(zone.part * zone.share for zone in field.zones)
    assert np.mean(found) == pytest.approx(true, abs=0.08)


def test_the_threshold_is_the_published_one(worth, fields):
    soybean = next(one for one in fields if one.row.crop is worth.Crop.SOYBEAN)
    row = first_dig(soybean)[1][0]
    count = type(row.crown_nodules)

    def plants(number, red):
        update = {
            "crown_nodules": count(number, number),
            "lateral_nodules": count(0, 0),
            "cut_open": 5,
            "red_pink": red,
        }
        return [row.model_copy(update=update | {"size_class": worth.SizeClass.FROM_2_TO_5_MM})]

    assert worth.threshold_says(soybean, plants(6, 5))
    assert not worth.threshold_says(soybean, plants(7, 5))
    assert worth.threshold_says(soybean, plants(10, 3))
