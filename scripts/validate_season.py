"""Does the season balance give what fields gave? Set simulated totals beside published ones.

Reads the published results, the ranges they are held against and the settings assumed from
``tests/reference/cases/season_validation.toml``; draws everything else from the knowledge tables; writes
``docs/validation.md``. A case is met when the median of every figure lies inside its range.

    python scripts/validate_season.py [--draws 2000] [--seed 1] [--out docs/validation.md]
"""

from __future__ import annotations

import argparse
import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from spadework.agronomy.season import (
    Application,
    DailyWeather,
    Parameters,
    SeasonResult,
    daily_weather,
    draw_parameters,
    season_balance,
)
from spadework.agronomy.season.ahead import SkyDays, days_from_normals
from spadework.agronomy.season.draws import triangular
from spadework.knowledge.load import load
from spadework.knowledge.rows import Crop

Floats = NDArray[np.float64]
Case = Mapping[str, Any]
Figures = dict[str, Floats]

ROOT = Path(__file__).resolve().parents[1]
PAGE = ROOT / "docs" / "validation.md"
TEMPLATE = ROOT / "scripts" / "validation_page.md"
CASES = ROOT / "tests" / "reference" / "cases" / "season_validation.toml"
TABLE = tomllib.loads(CASES.read_text("utf-8"))
KNOWN = load()
YEARS = 40  # seasons of weather made for a case; each draw meets one of them
WEEK = 7  # fastest rates are means of a week: crops are sampled at such distances
NEARLY_ALL = 0.98  # of the final N, where uptake counts as full
AIM = 0.80
UNRIPE = 0.05  # share of draws that do not ripen from which a case is named
DRAWS, SEED = 2000, 1
MONTH_DAYS = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
MIDDLE = np.cumsum(MONTH_DAYS) - MONTH_DAYS / 2


@dataclass(frozen=True)
class Figure:
    """One figure of a case: the draws of it, and the range that it is held against."""

    name: str
    title: str
    decimals: int
    draws: Floats
    low: float
    high: float

    @property
    def median(self) -> float:
        return float(np.nanmedian(self.draws))

    @property
    def inside(self) -> bool:
        return bool(self.low <= self.median <= self.high)

    @property
    def interval(self) -> tuple[float, float]:
        low, high = np.nanquantile(self.draws, [0.05, 0.95])
        return float(low), float(high)

    @property
    def reached(self) -> bool:
        """Whether the interval reaches into the range."""
        return self.interval[0] <= self.high and self.interval[1] >= self.low

    def line(self) -> str:
        low, high = self.interval
        return f"{self.median:.{self.decimals}f} ({low:.{self.decimals}f} to {high:.{self.decimals}f})"


class Field:
    """The setting of a case: its weather, and its draws with anything changed that is asked for."""

    def __init__(self, case: Case, draws: int, seed: int) -> None:
        self.case, self.draws, self.seed = case, draws, seed
        self.site, self.setting = TABLE["site"][case["site"]], dict(case["setting"])
        self.sown = self.setting.pop("sown")
        self.group = self.setting.pop("maturity_group", None)
        self.crop = Crop(case["crop"])
        self.weather_of = np.random.default_rng([seed, 1]).integers(YEARS, size=draws)

    def sky(self, rain_factor: float = 1.0) -> DailyWeather:
        """Make seasons from the normals of the site, from sowing to the last month given."""
        months = np.array(self.site["months"]) - 1
        year_day = (self.sown - 1 + np.arange(365)) % 365 + 1
        month = np.searchsorted(np.cumsum(MONTH_DAYS), year_day)
        end = int(np.argmax(~np.isin(month, months))) or 365
        year_day = year_day[:end]
        low, high, rain = (
            np.interp(year_day, MIDDLE[months], np.array(self.site[name]) / per, period=365)
            for name, per in (("tmin", 1.0), ("tmax", 1.0), ("rain", MONTH_DAYS[months]))
        )
        unknown = np.full(end, np.nan)
        made = days_from_normals(
            SkyDays(tmin=unknown, tmax=unknown, rain=unknown),
            SkyDays(tmin=low, tmax=high, rain=rain * rain_factor),
            rows=YEARS,
            temperature_spread=KNOWN.figure("normals.sd").central,
            wet_share=KNOWN.figure("weather_ahead.wet_share").central,
            generator=np.random.default_rng([self.seed, 2]),
        )
        return daily_weather(
            latitude=self.site["latitude"], day_of_year=year_day, tmin=made.tmin, tmax=made.tmax, rain=made.rain
        )

    def parameters(self, crop: Crop | None = None, **changed: float) -> Parameters:
        """Draw parameters; the same numbers fall whatever is changed."""
        return draw_parameters(
            KNOWN,
            crop or self.crop,
            draws=self.draws,
            generator=np.random.default_rng([self.seed, 3]),
            known={"nodulation": 1.0} | self.setting | changed,
            maturity_group=self.group,
        )

    def run(
        self,
        *,
        rain_factor: float = 1.0,
        applications: Sequence[Application] = (),
        potential: bool = False,
        **changed: float,
    ) -> SeasonResult:
        """Run all draws."""
        return season_balance(
            self.sky(rain_factor),
            self.parameters(**changed),
            weather_of=self.weather_of,
            applications=applications,
            water_limits_yield=potential,
            daily=("stage", "fixed", "taken"),
        )

    def applied(self, rate: float, day: int = 0) -> list[Application]:
        """Nitrogen worked in at sowing, or given to the crop on a day and waiting for rain."""
        late = day > 0
        row = KNOWN.figure("season.any.access_in_season" if late else "season.any.access_at_sowing")
        low, high = row.range
        chance = np.random.default_rng([self.seed, 4]).random((self.draws, 1))
        return [
            Application(
                day=day,
                rate=rate,
                access=triangular(chance, low=low, value=row.central, high=high),
                volatilised=0.05 if late else 0.0,
                rain_to_free=KNOWN.figure("season.any.rain_to_free").central if late else 0.0,
            )
        ]


def season(field: Field) -> Figures:
    """Totals of a season and its fastest weeks."""
    applied = field.case.get("applied")
    found = field.run(
        rain_factor=field.case.get("rain", [1.0])[0],
        applications=field.applied(applied["rate"]) if applied else (),
    )
    ripe = found.matured_on >= 0
    series = {"fixation": found.daily["fixed"], "uptake": found.daily["fixed"] + found.daily["taken"]}
    figures = {"fixed": found.fixed, "fixed_share": 100 * found.fixed_share, "crop_n": found.crop_n}
    every = np.arange(field.draws)
    for name, total in series.items():
        rate = (total[:, WEEK:] - total[:, :-WEEK]) / WEEK
        middle = np.argmax(rate, axis=1) + WEEK // 2 + 1
        figures[f"fastest_{name}"] = rate.max(axis=1)
        figures[f"fastest_{name}_stage"] = found.daily["stage"][every, middle]
        figures[f"fastest_{name}_day"] = (middle - found.emerged_on).astype(float)
    uptake = series["uptake"]
    full = np.argmax(uptake >= NEARLY_ALL * uptake[:, -1:], axis=1)
    figures["full_uptake_day"] = (full - found.emerged_on).astype(float)
    return {name: np.where(ripe, values, np.nan) for name, values in figures.items()}


def sowing_n(field: Field) -> Figures:
    """What nitrogen at sowing changes, draw by draw."""
    rate = field.case["rate"]
    without, given = field.run(), field.run(applications=field.applied(rate))
    return {
        "fixed_change": 100 * (given.fixed / without.fixed - 1),
        "recovered": 100 * (given.taken - without.taken) / rate,
    }


def soil_n(field: Field) -> Figures:
    """How the share falls with mineral N at sowing."""
    amounts = np.array(field.case["mineral_n"], dtype=float)
    shares = np.array([100 * field.run(mineral_n_at_sowing=amount).fixed_share for amount in amounts])
    at = dict(zip(amounts, shares, strict=True))
    figures = {"share_at_least_n": shares[0], "share_at_most_n": shares[-1]}
    if {50.0, 200.0} <= set(at):
        figures["share_slope"] = (at[200.0] - at[50.0]) / 150
    spread = amounts - amounts.mean()
    slope = spread @ shares / (spread @ spread)
    left = shares - shares.mean(axis=0) - spread[:, None] * slope
    figures["share_r2"] = 1 - (left**2).sum(axis=0) / ((shares - shares.mean(axis=0)) ** 2).sum(axis=0)
    return figures


def rain(field: Field) -> Figures:
    """What a drier season costs in fixed N, for each centimetre of water used."""
    runs = [field.run(rain_factor=factor, potential=True) for factor in field.case["rain"]]
    water = np.array([run.crop_water_use for run in runs]) / 10
    fixed = np.array([run.fixed for run in runs])
    spread = water - water.mean(axis=0)
    return {"fixed_when_moist": fixed[0], "fixed_per_cm": (spread * fixed).sum(axis=0) / (spread**2).sum(axis=0)}


def curve(field: Field) -> Figures:
    """Share of the final demand that is due by a stage, for two crops."""
    figures = {}
    for name, crop in (("soybean_share_taken", field.crop), ("bean_share_taken", Crop(field.case["also_crop"]))):
        found = season_balance(
            field.sky(), field.parameters(crop), weather_of=field.weather_of, daily=("stage", "demand")
        )
        day = np.argmax(found.daily["stage"] >= field.case["stage"], axis=1)
        due = found.daily["demand"][np.arange(field.draws), day]
        figures[name] = np.where(found.matured_on >= 0, 100 * due / found.demand, np.nan)
    return figures


def late_n(field: Field) -> Figures:
    """What nitrogen given to the crop adds to its yield, averaged over the days on which it was given."""
    full = field.setting["expected_yield"]
    without = full * field.run().relative_yield
    gains = [
        np.mean(
            [
                full * field.run(applications=field.applied(rate, day - field.sown)).relative_yield - without
                for day in field.case["days_of_year"]
            ],
            axis=0,
        )
        for rate in field.case["rates"]
    ]
    return {
        "yield_without": without,
        "gain_tonnes": gains[0],
        "gain_low_rate": 100 * gains[0] / without,
        "gain_high_rate": 100 * gains[-1] / without,
    }


def weeks(field: Field) -> Figures:
    """How long after sowing nitrogen still saves a crop without nodules."""
    kept = [
        field.run(applications=field.applied(field.case["rate"], WEEK * week)).relative_yield
        for week in field.case["weeks"]
    ]
    return {"yield_kept_at_6_weeks": kept[0], "fall_from_6_to_8_weeks": kept[0] - kept[1]}


def inoculation(field: Field) -> Figures:
    """What good nodules add over hardly any."""
    good, poor = field.run(), field.run(nodulation=field.case["without"])
    return {
        "gain_tonnes": field.setting["expected_yield"] * (good.relative_yield - poor.relative_yield),
        "fixed_gain_whole_plant": field.case["whole_plant"] * (good.fixed - poor.fixed),
    }


COMPARED = {run.__name__: run for run in (season, sowing_n, soil_n, rain, curve, late_n, weeks, inoculation)}


def simulate(case: Case, *, draws: int, seed: int) -> list[Figure]:
    """Run a case and hold its figures against their ranges."""
    found = COMPARED[case["compare"]](Field(case, draws, seed))
    return [Figure(name, *TABLE["figure"][name], found[name], *limits) for name, limits in case["ranges"].items()]


@dataclass(frozen=True)
class Outcome:
    """A case with what was simulated for it."""

    case: Case
    figures: list[Figure]

    @property
    def met(self) -> bool:
        return all(figure.inside for figure in self.figures)

    @property
    def apart(self) -> bool:
        return bool(self.case.get("apart", False))

    @property
    def title(self) -> str:
        return str(self.case["id"]).replace("_", " ")


def outcomes(*, draws: int, seed: int) -> list[Outcome]:
    """Run every case."""
    return [Outcome(case, simulate(case, draws=draws, seed=seed)) for case in TABLE["case"]]


def counts(found: Sequence[Outcome]) -> list[str]:
    """How many cases and figures lie inside, as lines of the page."""
    main = [outcome for outcome in found if not outcome.apart]
    apart = [outcome for outcome in found if outcome.apart]
    free = [outcome for outcome in main if "tuned" not in outcome.case]
    figures = [(outcome, figure) for outcome in main for figure in outcome.figures]
    printed = [figure for outcome, figure in figures if figure.name in outcome.case.get("printed", [])]
    return [
        f"- **{_part(o.met for o in main)} of the cases have every figure inside** (aim: at least {100 * AIM:.0f} %).",
        f"- {_part(figure.inside for _, figure in figures)} of their figures are inside.",
        f"- {_part(figure.inside for figure in printed)} of the figures whose range the source itself prints.",
        f"- {_part(o.met for o in free)} of the cases that nothing was set on beforehand.",
        f"- {_part(o.met for o in apart)} of the cases kept apart, run once.",
        f"- {_part(f.reached for o in found for f in o.figures)} of all intervals (5 to 95 %) reach into the range.",
    ]


def _part(inside: Iterable[bool]) -> str:
    each = list(inside)
    return f"{sum(each)} of {len(each)} ({100 * sum(each) / max(len(each), 1):.0f} %)"


def report(found: Sequence[Outcome], *, draws: int, seed: int) -> str:
    """Put it on a page."""
    ripe = {outcome.title: min(np.mean(~np.isnan(f.draws)) for f in outcome.figures) for outcome in found}
    keys = sorted({key for outcome in found for key in _sources(outcome.case)})
    return TEMPLATE.read_text("utf-8").format(
        counts="\n".join(counts(found)),
        draws=draws,
        seed=seed,
        tuned=sum("tuned" in outcome.case for outcome in found),
        years=YEARS,
        spread=f"{KNOWN.figure('normals.sd').central:g}",
        wet=f"{100 * KNOWN.figure('weather_ahead.wet_share').central:.0f}",
        cases="\n".join(line for outcome in found if not outcome.apart for line in _rows(outcome)),
        apart="\n".join(line for outcome in found if outcome.apart for line in _rows(outcome)),
        misses="\n".join(_miss(outcome) for outcome in found if not outcome.met),
        settings="\n".join(_setting(outcome.case) for outcome in found),
        unripe=", ".join(f"{title} {100 * share:.0f} %" for title, share in ripe.items() if 1 - share > UNRIPE),
        sources="\n".join(map(_source, keys)),
    )


def _rows(outcome: Outcome) -> Iterator[str]:
    first = f"**{outcome.title}**: {outcome.case['published']} ({', '.join(_sources(outcome.case))})"
    for figure in outcome.figures:
        mark = "*" if figure.name in outcome.case.get("printed", []) else ""
        limits = f"{figure.low:g} to {figure.high:g}{mark}"
        yield f"| {first} | {figure.title} | {limits} | {figure.line()} | {'yes' if figure.inside else '**no**'} |"
        first = ""


def _miss(outcome: Outcome) -> str:
    names = "; ".join(figure.title for figure in outcome.figures if not figure.inside)
    return f"- **{outcome.title}** ({names}). {outcome.case['miss']}"


def _sources(case: Case) -> list[str]:
    return [case["source"], *case.get("also", [])]


def _source(key: str) -> str:
    if named := TABLE["source"].get(key):
        return f"- `{key}`: {named['citation']}. Seen: {named['seen']}."
    source = KNOWN.sources[key]
    return f"- `{key}`: {source.citation}. Seen: {source.seen}."


def _setting(case: Case) -> str:
    setting = dict(case["setting"])
    named = [
        setting.pop(name, "see case") for name in ("sown", "expected_yield", "mineral_n_at_sowing", "organic_matter")
    ]
    if "mineral_n" in case:
        named[2] = ", ".join(map(str, case["mineral_n"]))
    besides = [f"{name.replace('_', ' ')} {value}" for name, value in setting.items()]
    if case.get("rain"):
        besides.append("rain times " + ", ".join(map(str, case["rain"])))
    if "applied" in case:
        besides.append(f"{case['applied']['rate']} kg/ha N at sowing")
    if case["compare"] == "rain":
        besides.append("yield is a potential that water limits")
    if case["compare"] == "inoculation":
        besides.append(f"nodulation {case['without']} without; times {case['whole_plant']} for roots")
    title = case["id"].replace("_", " ")
    cells = [title, case["site"].replace("_", " "), *named, "; ".join(besides), case.get("tuned", "")]
    return "| " + " | ".join(map(str, cells)) + " |"


def main() -> None:
    """Run all cases and write the page."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--draws", type=int, default=DRAWS)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--out", type=Path, default=PAGE)
    options = parser.parse_args()
    found = outcomes(draws=options.draws, seed=options.seed)
    options.out.write_text(report(found, draws=options.draws, seed=options.seed), encoding="utf-8")
    print(*counts(found), sep="\n")


if __name__ == "__main__":
    main()
