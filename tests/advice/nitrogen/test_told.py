import datetime as dt

import pytest
from tests.advice.nitrogen.fields import FIELDS, SOYBEAN, WARM, a_balance_field, past, sky, usual
from tests.factories import DUG, advice_on

from spadework.advice.messages import render
from spadework.advice.nitrogen.told import headline_of
from spadework.quantity import Quantity


def span(value, low, high):
    return Quantity(value=value, unit="1", low=low, high=high, level=0.9)


FIGURES = {
    "gap_at_maturity": span(94, 51, 117),
    "yield_loss": span(1.4, 0.7, 2.0),
    "nodulation": span(0.5, 0.2, 0.9),
    "expected_yield": Quantity(value=3.0, unit="t/ha"),
}


@pytest.mark.parametrize(
    ("state", "wrong_time", "sentence"),
    [
        (
            "short",
            False,
            "Nitrogen will very probably be short for 3 t/ha: 51 to 117 kg/ha at maturity, most likely about 94, "
            "which would cost 0.7 to 2.0 t/ha.",
        ),
        (
            "cannot_tell",
            True,
            "The dig came at the wrong time, so that nothing is sure of the nitrogen: with 20 % to 90 % of good "
            "fixation, the gap at maturity for 3 t/ha would be 51 to 117 kg/ha.",
        ),
    ],
)
def test_headlines(state, wrong_time, sentence):
    said = headline_of(state, FIGURES, wrong_time=wrong_time, contradicted=False, chance=0.95, matters=0.15)
    assert render(said) == sentence


def test_a_contradiction_stands_in_the_headline_unless_the_dig_says_nothing():
    values = {"chance": 0.05, "matters": 0.15, "contradicted": True}
    said = headline_of("cannot_tell", FIGURES, wrong_time=False, **values)
    assert render(said).startswith("The crop itself contradicts what is reckoned of its nitrogen")
    assert headline_of("cannot_tell", FIGURES, wrong_time=True, **values).id.endswith("wrong_time")


@pytest.mark.parametrize("name", FIELDS)
def test_reasons_say_need_supply_nodules_soil_weather_and_doubt(name):
    found = advice_on(FIELDS[name]).nitrogen
    families = [reason.id.split(".")[2] for reason in found.reasons if reason.id.startswith("nitrogen.reason.")]
    assert families[:5] == ["need", "supply", "nodules", "soil", "weather"]
    assert found.reasons[-1].id.startswith("nitrogen.driver.")
    for reason in (found.headline, *found.reasons):
        assert "{" not in render(reason)


OVER = dt.date(2026, 10, 30)
DRY = "Days so far without all temperatures and rain in the book: 1. They are filled from the days around them."


@pytest.mark.parametrize(
    ("weather", "today", "said"),
    [
        (sky(last=OVER), OVER, ["All weather of the season is in the book."]),
        (
            tuple(
                row.model_copy(update={"RAIN": None}) if dt.date(2026, 6, 3) == row.W_DATE else row
                for row in sky(last=OVER)
            ),
            OVER,
            ["All weather of the season lies behind.", DRY],
        ),
        (
            past(range(2019, 2026)) + sky(dt.date(2026, 1, 1), DUG),
            DUG,
            [
                "The weather still to come is taken from no more than 7 past years of the station, so that how much it "
                "may vary is poorly known."
            ],
        ),
    ],
)
def test_weather_behind_and_ahead_are_told_apart(weather, today, said):
    found = advice_on(a_balance_field(weather=weather), today=today).nitrogen
    told = [reason for reason in found.reasons if reason.id.split(".")[2] in ("weather", "filled")]
    assert [render(reason) for reason in told] == said


@pytest.mark.parametrize(
    ("group", "said"),
    [
        ("early", "Maturity group 'early' is not understood: stages are"),
        ("ix", "Maturity group ix has no sums of warmth of its own here: those"),
        ("ii", None),
    ],
)
def test_a_maturity_group_passed_over_is_told(group, said):
    field = {**SOYBEAN, "maturity_group": group}
    found = advice_on(a_balance_field(field=field, weather=sky(**WARM), normals=usual(**WARM))).nitrogen
    told = [render(reason) for reason in found.reasons if "maturity_group" in reason.id]
    assert len(told) == (said is not None)
    assert said is None or told[0].startswith(said)
