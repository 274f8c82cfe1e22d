"""Weather and parameters for tests, ordinary ones and anything that hypothesis can think of."""

import numpy as np
from hypothesis import strategies as st

from spadework.agronomy.season import daily_weather, draw_parameters, middle_parameters
from spadework.agronomy.season.cells import cells_of
from spadework.agronomy.season.drivers import DAY
from spadework.knowledge.load import load
from spadework.knowledge.rows import Crop

KNOWN = load()
FIELD = {"expected_yield": 3.0, "nodulation": 0.6}


def middle(crop=Crop.PEA, **known):
    return middle_parameters(KNOWN, crop, known=FIELD | known)


def drawn(draws, crop=Crop.PEA, seed=1, **known):
    return draw_parameters(KNOWN, crop, draws=draws, generator=np.random.default_rng(seed), known=FIELD | known)


def cell(crop=Crop.PEA, **known):
    """One middle draw as the daily steps see it."""
    return cells_of(middle(crop, **known), 0, 1)[0]


def day(**values):
    """A day in which nothing falls, dries or mineralises, and warmth is no hindrance, but for the values given."""
    ordinary = {"degree_days": 10.0, "long_day": 1.0, "nodulation_warmth": 1.0, "fixation_warmth": 1.0}
    found = np.zeros(1, dtype=DAY)
    for name, value in (ordinary | values).items():
        found[name] = value
    return found[0]


def weather(*, rows=1, days=150, seed=1, mean=15.0, rainy=0.3, latitude=50.0, first_day=110):
    """A cool season with showers; each row another year."""
    chance = np.random.default_rng(seed)
    warmth = mean + 4 * np.sin(np.pi * np.arange(days) / days) + chance.normal(0, 3, (rows, days))
    half = chance.uniform(2, 8, (rows, days))
    rain = chance.gamma(0.8, 9, (rows, days)) * (chance.random((rows, days)) < rainy)
    day_of_year = (first_day - 1 + np.arange(days)) % 365 + 1
    return daily_weather(latitude=latitude, day_of_year=day_of_year, tmin=warmth - half, tmax=warmth + half, rain=rain)


@st.composite
def any_weather(draw):
    """Frost to heat, drought to flood, both hemispheres."""
    return weather(
        rows=draw(st.integers(1, 4)),
        days=draw(st.integers(1, 200)),
        seed=draw(st.integers(0, 2**32 - 1)),
        mean=draw(st.floats(-5, 35)),
        rainy=draw(st.floats(0, 1)),
        latitude=draw(st.floats(-70, 70)),
        first_day=draw(st.integers(1, 365)),
    )


@st.composite
def any_parameters(draw, draws):
    """Draws for any crop, with fields from bare to drowned in nitrate."""
    chance = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    known = {
        "expected_yield": chance.uniform(0.3, 7, (draws, 1)),
        "nodulation": chance.uniform(0, 1.3, (draws, 1)) * (chance.random((draws, 1)) < 0.9),
        "mineral_n_at_sowing": chance.uniform(0, 500, (draws, 1)),
        "water_at_sowing": chance.uniform(0, 1, (draws, 1)),
    }
    return draw_parameters(KNOWN, draw(st.sampled_from(Crop)), draws=draws, generator=chance, known=known)


def single(parameters, draw):
    """One draw's parameters as plain numbers, the responses as tuples of four."""
    values = {
        name: float(np.asarray(value).reshape(-1)[draw if np.size(value) > 1 else 0])
        for name, value in parameters.flat().items()
    }
    for name in ("fixation_temperature", "nodulation_temperature"):
        values[name] = tuple(values.pop(f"{name}.{place}") for place in range(4))
    return values
