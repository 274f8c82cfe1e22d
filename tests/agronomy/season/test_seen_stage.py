import numpy as np
import pytest
from tests.agronomy.season.seasons import drawn, weather

from spadework.agronomy.season import ObservedStage, season_balance
from spadework.agronomy.season.seen_stage import draw_stage, set_clock, stage_of_code
from spadework.knowledge.rows import Crop

SUMS = ("sowing_to_emergence", "emergence_to_flower", "flower_to_maturity")


@pytest.mark.parametrize(
    ("bbch", "stage"),
    [
        (0, None),
        (9, 0.0),
        (10, 0.0),
        (14, None),
        (50, None),
        (51, 0.85),
        # 0.85 + 0.15 * 4 / 9
        (55, 0.9167),
        (60, 1.0),
        # 1 + 5 / 29
        (65, 1.1724),
        (89, 2.0),
        (97, 2.0),
    ],
)
def test_codes_on_the_clock(bbch, stage):
    assert stage_of_code(bbch) == (None if stage is None else pytest.approx(stage, abs=5e-5))


def test_the_field_varies_about_the_stage_seen_and_stays_on_the_clock():
    found = draw_stage(stage=1.0, spread=0.05, draws=3000, generator=np.random.default_rng(1))
    assert found.shape == (3000, 1)
    assert found.mean() == pytest.approx(1.0, abs=0.005)
    assert found.std() == pytest.approx(0.05, abs=0.003)
    assert draw_stage(stage=2.0, spread=0.05, draws=50, generator=np.random.default_rng(1)).max() == 2.0


@pytest.mark.parametrize("stage", [0.9, 1.0, 1.3])
def test_the_clock_comes_to_the_stage_by_itself(stage):
    sky, parameters = weather(days=200), drawn(50)
    plain = season_balance(sky, parameters, daily=("stage",))
    day = int(np.argmax(np.median(plain.daily["stage"], axis=0) >= stage))
    seen = (ObservedStage(day=int(np.median(plain.emerged_on)), stage=0.0), ObservedStage(day=day, stage=stage))
    held = set_clock(parameters, sky, weather_of=None, observed=seen)
    found = season_balance(sky, held, daily=("stage",)).daily["stage"][:, day]

    # Within the two days' steps by which draws emerge and flower on whole days.
    assert np.abs(found - stage).max() < 0.06
    assert np.abs(found - stage).max() < np.abs(plain.daily["stage"][:, day] - stage).max()


def test_each_draw_meets_its_own_weather():
    sky, parameters = weather(rows=2, days=120), drawn(4)
    met = np.array([0, 1, 0, 1])
    held = set_clock(parameters, sky, weather_of=met, observed=(ObservedStage(day=20, stage=0.0),))
    sums = np.asarray(held.sowing_to_emergence)[:, 0]
    assert sums[0] == sums[2]
    assert sums[1] == sums[3]


def test_nothing_seen_changes_nothing():
    parameters = drawn(3)
    assert set_clock(parameters, weather(), weather_of=None, observed=()) == parameters


def test_a_stage_far_from_the_clock_stretches_it_by_no_more_than_a_third():
    parameters = drawn(30)
    held = set_clock(parameters, weather(days=200), weather_of=None, observed=(ObservedStage(day=15, stage=1.0),))
    ratio = np.asarray(held.emergence_to_flower) / np.asarray(parameters.emergence_to_flower)
    assert ratio == pytest.approx(0.7)


def stretched(held, parameters):
    """By how much each of the sums was changed, shape (draws, 3)."""
    return np.hstack([np.asarray(getattr(held, name)) / getattr(parameters, name) for name in SUMS])


@pytest.mark.parametrize("latitude", [-45, -30, 0, 33, 55])
@pytest.mark.parametrize("crop", Crop)
def test_the_clocks_own_stage_leaves_the_clock_as_it_is(crop, latitude):
    # Sown in spring, two ways that the season may go.
    sky = weather(rows=2, days=250, mean=17.0, latitude=latitude, first_day=110 if latitude >= 0 else 292)
    parameters, met = drawn(20, crop), np.arange(20) % 2
    own = season_balance(sky, parameters, weather_of=met, daily=("stage",)).daily["stage"]
    for share in (0.4, 0.99, 1.1, 1.6):
        day = int(np.argmax(np.median(own, axis=0) >= share))
        stage = own[:, [day]]
        look = ObservedStage(day=day, stage=np.where((stage > 0) & (stage < 2), stage, np.nan))
        assert np.isfinite(look.stage).sum() > 10
        held = set_clock(parameters, sky, weather_of=met, observed=(look,))
        assert stretched(held, parameters) == pytest.approx(1, abs=1e-9)


def test_a_long_day_crop_comes_to_the_stage_by_itself():
    sky, parameters = weather(days=220, latitude=33.0), drawn(40, Crop.LENTIL)
    plain = season_balance(sky, parameters, daily=("stage",)).daily["stage"]
    day = int(np.argmax(np.median(plain, axis=0) >= 1.4))
    look = ObservedStage(day=day, stage=1.3)
    held = set_clock(parameters, sky, weather_of=None, observed=(look,))
    found = season_balance(sky, held, daily=("stage",)).daily["stage"][:, day]
    # Within the step of the day on which it flowers.
    assert found == pytest.approx(1.3, abs=0.03)


def test_a_crop_that_differs_in_its_long_days_meets_its_own_weather():
    sky = weather(rows=3, days=200)
    parameters = drawn(6, Crop.LENTIL, long_day_slope=np.linspace(0.05, 0.15, 6)[:, None])
    met = np.arange(6) % 3
    own = season_balance(sky, parameters, weather_of=met, daily=("stage",)).daily["stage"]
    look = ObservedStage(day=100, stage=own[:, [100]])
    held = set_clock(parameters, sky, weather_of=met, observed=(look,))
    assert stretched(held, parameters) == pytest.approx(1, abs=1e-9)


@pytest.mark.parametrize("late", [0, 20, 60])
def test_ripe_says_only_that_maturity_is_past(late):
    sky, parameters = weather(days=250), drawn(30)
    ripe_on = int(season_balance(sky, parameters).matured_on.max())
    looks = (ObservedStage(day=ripe_on + late, stage=2.0),)
    held = set_clock(parameters, sky, weather_of=None, observed=looks)
    assert stretched(held, parameters) == pytest.approx(1, abs=1e-12)


def test_ripe_before_its_time_shortens_what_follows_flower():
    sky, parameters = weather(days=250), drawn(30)
    plain = season_balance(sky, parameters)
    day = int(plain.matured_on.min()) - 6
    held = set_clock(parameters, sky, weather_of=None, observed=(ObservedStage(day=day, stage=2.0),))
    found = season_balance(sky, held)
    # Those that would take more than a third off are left to the stage itself, which ends them on that day.
    enough = stretched(held, parameters)[:, 2] > 0.7001
    assert enough.sum() > 15
    assert set(found.matured_on[enough]) == {day}
    np.testing.assert_array_equal(found.flowered_on, plain.flowered_on)
    # Not more than a third, however early.
    early = set_clock(parameters, sky, weather_of=None, observed=(ObservedStage(day=30, stage=2.0),))
    assert stretched(early, parameters)[:, 2] == pytest.approx(0.7)


def test_flowers_seen_still_count_once_the_crop_is_ripe():
    sky, parameters = weather(days=250), drawn(30)
    flowers = ObservedStage(day=60, stage=1.0)
    alone = set_clock(parameters, sky, weather_of=None, observed=(flowers,))
    both = set_clock(parameters, sky, weather_of=None, observed=(flowers, ObservedStage(day=200, stage=2.0)))
    assert stretched(both, parameters) == pytest.approx(stretched(alone, parameters), abs=1e-12)
