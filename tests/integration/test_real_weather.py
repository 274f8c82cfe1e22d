"""A real season through the main job: open daily weather, from the files of a book to advice.

Weather: Seattle, 2012-2015, daily highs, lows and rain as observed by the United States National Oceanic and
Atmospheric Administration; public domain. It comes with the package vega_datasets (BSD or MIT licence, see its
dist-info), file seattle-weather.csv. Position of the airport station: 47.45 N, 122.31 W. The two fields, their
dates and their plants are invented.

Degree-days are added up again here with pandas from the file as published. The pea figures beside the tests are
those of the knowledge rows that the advice names.
"""

import datetime as dt
import json
from pathlib import Path

import pandas as pd
import pytest
from typer.testing import CliRunner
from vega_datasets import local_data

from spadework.advice.field import advise
from spadework.advice.value import FieldAdvice
from spadework.cli.app import app
from spadework.demo.draws import Draws
from spadework.demo.plants import Nodulation, dig_plants
from spadework.knowledge.load import load
from spadework.knowledge.rows import Crop
from spadework.records.read import read_book
from spadework.records.types import Book, DigRow, FieldRow, NormalRow, Settings, WeatherRow
from spadework.records.write import write_book

D = dt.date
PEA_SOWN, PEA_DUG = D(2014, 3, 24), D(2014, 5, 14)
SOYBEAN_SOWN, SOYBEAN_UP, SOYBEAN_DUG = D(2014, 5, 20), D(2014, 6, 1), D(2014, 7, 12)


@pytest.fixture(scope="module")
def published() -> pd.DataFrame:
    """Return the file as published: date, temp_max and temp_min [degC], precipitation [mm]."""
    return local_data.seattle_weather().set_index("date")


def season(published: pd.DataFrame, *, today: dt.date, digs: bool = True) -> Book:
    """Build a book that is read on ``today``, with the weather up to the day before and normals of 2012-2013."""
    before = published.loc[: pd.Timestamp(today) - pd.Timedelta(days=1)]
    usual = published.loc["2012":"2013"]
    months = usual.groupby(usual.index.month)[["temp_max", "temp_min"]].mean()
    place = {"latitude": 47.45, "longitude": -122.31, "station": "seattle"}
    dug = [("pea", PEA_DUG, 90), ("soybean", SOYBEAN_DUG, 26)] if digs else []
    return Book(
        settings=Settings(title="Seattle 2014", season="2014", today=today),
        fields=(
            FieldRow(field="pea", crop=Crop.PEA, sown_on=PEA_SOWN, **place),
            FieldRow(field="soybean", crop=Crop.SOYBEAN, sown_on=SOYBEAN_SOWN, emerged_on=SOYBEAN_UP, **place),
        ),
        digs=tuple(DigRow(field=field, date=on, counting_unit="nodule", scorer="A") for field, on, _ in dug),
        plants=tuple(
            row
            for field, on, mean in dug
            for row in dig_plants(
                Draws(1, field), field=field, date=on, stops=3, plants_per_stop=10, nodulation=Nodulation(mean=mean)
            )
        ),
        weather=tuple(
            WeatherRow(
                station="seattle", W_DATE=day.date(), TMAX=row.temp_max, TMIN=row.temp_min, RAIN=row.precipitation
            )
            for day, row in before.iterrows()
        ),
        normals=tuple(
            NormalRow(station="seattle", month=month, TMAX=round(row.temp_max, 1), TMIN=round(row.temp_min, 1))
            for month, row in months.iterrows()
        ),
    )


def advised(book: Book, folder: Path) -> dict[str, FieldAdvice]:
    """Write the book, read it back, advise: what ``assess`` does."""
    write_book(book, folder)
    read = read_book(folder)
    assert read.settings.today is not None
    knowledge = load()
    return {
        name: advise(records, read.settings, knowledge, read.settings.today)
        for name, records in read.by_field().items()
    }


@pytest.fixture(scope="module")
def hindsight(published: pd.DataFrame, tmp_path_factory: pytest.TempPathFactory) -> dict[str, FieldAdvice]:
    return advised(season(published, today=D(2014, 9, 1)), tmp_path_factory.mktemp("hindsight"))


def daily_heat(published: pd.DataFrame, *, base: float, cap: float | None = None) -> pd.Series:
    """Daily mean of high and low, capped where a cap is given, less the base, never below zero [degC d]."""
    mean = (published.temp_max + published.temp_min) / 2
    return (mean.clip(upper=cap) - base).clip(lower=0)


def since(heat: pd.Series, after: dt.date) -> pd.Series:
    """Running sum from the day after ``after``."""
    return heat.loc[pd.Timestamp(after) + pd.Timedelta(days=1) :].cumsum()


def first_day_at(heat: pd.Series, after: dt.date, total: float) -> dt.date:
    running = since(heat, after)
    return running.index[running >= total][0].date()


# Base and cap [degC] as the rows cardinal.pea and cardinal.soybean give them.
@pytest.mark.parametrize(("field", "base", "cap"), [("pea", 0, 25), ("soybean", 10, 30)])
def test_degree_days_equal_a_sum_made_with_pandas(hindsight, published, field, base, cap) -> None:
    said = hindsight[field].timing.degree_days
    assert said is not None
    assert (said.base_c, said.cap_c) == (base, cap)
    assert said.to_date == hindsight[field].timing.dug_on
    assert (said.filled_days, said.normal_days, said.missing_days) == (0, 0, 0)
    expected = since(daily_heat(published, base=base, cap=cap), said.from_date)[pd.Timestamp(said.to_date)]
    assert said.total.value == pytest.approx(expected, abs=1e-6)


def test_pea_emerges_between_the_days_that_pandas_finds(hindsight, published) -> None:
    # Row thermal.pea.sowing_emergence: 100 to 160 degC d above 0 degC.
    heat = daily_heat(published, base=0)
    emergence = hindsight["pea"].timing.emergence
    assert emergence is not None
    assert not emergence.observed
    assert emergence.low == first_day_at(heat, PEA_SOWN, 100)
    assert emergence.high == first_day_at(heat, PEA_SOWN, 160)


def test_windows_open_four_weeks_after_emergence_or_at_the_stage_whichever_is_later(hindsight) -> None:
    # Common practice, no source: four to six weeks after emergence.
    for field, dug in (("pea", PEA_DUG), ("soybean", SOYBEAN_DUG)):
        timing = hindsight[field].timing
        assert timing.state == "in_window"
        assert timing.emergence.low + dt.timedelta(28) <= timing.opens.low <= dug
        assert timing.closes.low >= dug
        assert timing.closes.high <= timing.emergence.high + dt.timedelta(42)


def test_both_fields_get_a_verdict_from_real_weather(hindsight) -> None:
    assert {field: advice.verdict.leading for field, advice in hindsight.items()} == {
        "pea": "adequate",
        "soybean": "adequate",
    }


def test_normals_foretell_the_windows_within_their_own_range(hindsight, published, tmp_path) -> None:
    """On 21 May the soybean is just sown: the days ahead come from the normals of the two years before."""
    foretold = advised(season(published, today=D(2014, 5, 21), digs=False), tmp_path)["soybean"].timing
    known = hindsight["soybean"].timing
    assert foretold.opens is not None
    assert foretold.opens.low - dt.timedelta(3) <= known.opens.low
    assert known.opens.high <= foretold.opens.high + dt.timedelta(3)
    assert foretold.first_flower.low <= known.first_flower.low
    assert foretold.first_flower.high >= known.first_flower.high


def test_assess_prints_the_same_totals(hindsight, published, tmp_path) -> None:
    write_book(season(published, today=D(2014, 9, 1)), tmp_path / "book")
    words = ["assess", str(tmp_path / "book"), "--no-pdf", "--out", str(tmp_path / "out"), "--jobs", "1"]
    done = CliRunner().invoke(app, words, catch_exceptions=False)
    assert done.exit_code == 0, done.output
    fields = json.loads((tmp_path / "out" / "verdicts.json").read_text(encoding="utf-8"))["fields"]
    said = {field["field"]: field["timing"]["degree_days"]["total"]["value"] for field in fields}
    expected = {name: advice.timing.degree_days.total.value for name, advice in hindsight.items()}
    assert said == pytest.approx(expected, abs=1e-6)
