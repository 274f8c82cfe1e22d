import numpy as np
import pytest
from tests.agronomy.season.seasons import drawn, weather

from spadework.agronomy.season import ObservedStage, season_balance
from spadework.agronomy.season.seen_stage import draw_stage, set_clock, stage_of_code


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
