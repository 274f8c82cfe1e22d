import numpy as np
import pytest
from tests.agronomy.season.seasons import drawn, middle, weather

from spadework.agronomy.season import ObservedStage, season_balance
from spadework.errors import DomainError


def test_what_was_seen_replaces_the_clock_that_day():
    seen = [ObservedStage(day=20, stage=0.0), ObservedStage(day=50, stage=1.0)]
    found = season_balance(weather(), middle(sowing_to_emergence=400.0), observed=seen, daily=("stage",))

    assert (found.emerged_on, found.flowered_on) == (20, 50)
    assert found.daily["stage"][0, [20, 50]] == pytest.approx([0, 1])
    assert found.seed_n == 7


def test_only_the_draws_that_were_seen_are_moved():
    sky, parameters = weather(), drawn(2)
    free = season_balance(sky, parameters)
    seen = season_balance(sky, parameters, observed=[ObservedStage(day=40, stage=np.array([[np.nan], [1.0]]))])

    assert seen.matured_on[0] == free.matured_on[0]
    assert seen.matured_on[1] < free.matured_on[1]


def test_a_clock_set_back_takes_no_growth_back():
    found = season_balance(
        weather(days=200), middle(), observed=[ObservedStage(day=60, stage=0.4)], daily=("stage", "demand", "crop_n")
    )
    stage, demand = found.daily["stage"][0], found.daily["demand"][0]

    assert stage[59] > 0.6
    assert stage[60] == 0.4
    assert (np.diff(demand) >= 0).all()
    assert demand[61] == demand[59]
    assert demand[-1] == pytest.approx(found.required[0])


@pytest.mark.parametrize("stage", [-0.5, 2.1])
def test_a_stage_off_the_clock_is_refused(stage):
    with pytest.raises(DomainError, match="stage must be from 0 to 2"):
        ObservedStage(day=3, stage=stage)
