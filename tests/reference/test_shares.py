"""Intervals, sample sizes and the beta-binomial against printed answers and a general library; sources in cases/."""

import datetime as dt
import math

import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.stats import betabinom
from statsmodels.stats.proportion import proportion_confint, samplesize_confint_proportion
from tests.reference.published import as_printed, cases

from spadework.advice.field import advise
from spadework.agronomy.binomial import design_effect, jeffreys_interval, most_where_none_found, plants_for_share
from spadework.agronomy.scoring.share import CORRELATIONS, SHARES, field_share, stop_log_likelihood
from spadework.knowledge.load import load
from spadework.knowledge.rows import Crop
from spadework.records.types import CountRange, FieldRecords, FieldRow, PlantRow, Settings


@pytest.mark.parametrize("case", cases("brown2001"))
def test_jeffreys_interval(case):
    low, high = jeffreys_interval(case["adequate"], case["plants"], case["level"])
    assert low == as_printed(case["low"])
    assert high == as_printed(case["high"])


@pytest.mark.parametrize("level", [0.80, 0.90, 0.95])
@pytest.mark.parametrize("plants", [1, 3, 10, 30, 120])
def test_jeffreys_interval_against_statsmodels(plants, level):
    """Where none or all are adequate the library leaves the limit short of the end; ours is opened."""
    for adequate in range(plants + 1):
        low, high = proportion_confint(adequate, plants, alpha=1 - level, method="jeffreys")
        expected = (0.0 if adequate == 0 else low, 1.0 if adequate == plants else high)
        assert jeffreys_interval(adequate, plants, level) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("case", cases("cochran1977"))
def test_sample_size(case):
    asked = {name: case[name] for name in ("share", "half_width", "z", "population") if name in case}
    assert plants_for_share(**asked) == case["plants"]


@pytest.mark.parametrize("level", [0.80, 0.90, 0.95])
@pytest.mark.parametrize("share", [0.1, 0.5, 0.7])
@pytest.mark.parametrize("half_width", [0.05, 0.15])
def test_sample_size_against_statsmodels(share, half_width, level):
    theirs = samplesize_confint_proportion(share, half_width, alpha=1 - level)
    assert plants_for_share(share=share, half_width=half_width, level=level) == math.ceil(theirs)


@pytest.mark.parametrize("case", cases("kish1965"))
def test_design_effect(case):
    effect = design_effect(plants_per_stop=case["plants_per_stop"], correlation=case["correlation"])
    assert effect == as_printed(case["design_effect"])
    assert case["plants"] / effect == as_printed(case["worth"])


@pytest.mark.parametrize("case", cases("hanley1983"))
def test_limit_where_none_was_found(case):
    limit = most_where_none_found(plants=case["plants"], level=case["level"])
    assert limit == as_printed(case["limit"])
    assert limit == as_printed(case["rule_of_three"])


@pytest.mark.parametrize("case", cases("hanley1983"))
def test_advice_for_a_field_without_a_nodule_names_that_limit(case):
    none = CountRange(0, 0)
    day = dt.date(2026, 7, 1)
    records = FieldRecords(
        FieldRow(field="bare", crop=Crop.SOYBEAN),
        plants=tuple(
            PlantRow(field="bare", date=day, stop=str(at), plant="1", crown_nodules=none, lateral_nodules=none)
            for at in range(case["plants"])
        ),
    )
    verdict = advise(records, Settings(title="A case", season="2026"), load(), day).verdict
    (reason,) = (reason for reason in verdict.reasons if reason.id == "verdict.reason.none_upper")
    assert verdict.none_found
    assert reason.values["plants"] == case["plants"]
    assert reason.values["high"] == as_printed(case["limit"])


@pytest.mark.parametrize("case", cases("skellam1948"))
def test_printed_beta_binomial_is_the_likeliest(case):
    """The case for itself: its printed figures are those that a general optimiser finds from its data."""
    seen = np.arange(case["trials"] + 1)

    def misfit(logs):
        return -(betabinom.logpmf(seen, case["trials"], *np.exp(logs)) @ case["times"])

    a, b = np.exp(minimize(misfit, x0=[1.0, 1.0], method="Nelder-Mead", options={"xatol": 1e-8, "fatol": 1e-10}).x)
    assert a / (a + b) == as_printed(case["mean"])
    assert 1 / (a + b + 1) == as_printed(case["correlation"])


@pytest.mark.parametrize("case", cases("skellam1948"))
def test_our_beta_binomial_peaks_there(case):
    """Profile of our likelihood over the grid; a parabola through the highest three correlations finds its top.

    Tolerances: a cell of the grid is 0.009 wide in the share, and a parabola misses the top of a skew profile by
    a fiftieth of the grid step of 0.05 in the correlation. The digits printed are finer.
    """
    surface = np.tensordot(case["times"], stop_log_likelihood(case["trials"]), axes=1)
    profile = surface.max(axis=1)
    top = int(profile.argmax())
    near = slice(top - 1, top + 2)
    curvature, slope, _ = np.polyfit(CORRELATIONS[near], profile[near], 2)
    assert -slope / (2 * curvature) == pytest.approx(float(case["correlation"]), abs=0.001)
    assert SHARES[surface[top].argmax()] == pytest.approx(float(case["mean"]), abs=0.0045)


@pytest.mark.parametrize("prior", [0.15, 0.22, 0.40])
@pytest.mark.parametrize("case", cases("skellam1948"))
def test_our_beta_binomial_posterior_lies_around_it(case, prior):
    """The printed figures are the likeliest ones, ours the mean of a posterior with a prior, on a grid.

    So they may differ by a part of their own uncertainty: tolerances are a tenth of the posterior's standard
    deviation for the share (0.017) and a fifth for the correlation (0.03), whatever planning value it started from.
    """
    times = case["times"]
    adequate = np.concatenate(
        [np.tile([1.0] * seen + [0.0] * (case["trials"] - seen), often) for seen, often in enumerate(times)]
    )
    posterior = field_share(
        stop=np.repeat(np.arange(sum(times)), case["trials"]), chance=adequate, prior_correlation=prior
    )
    assert posterior.mean == pytest.approx(float(case["mean"]), abs=0.0017)
    assert posterior.correlation == pytest.approx(float(case["correlation"]), abs=0.006)
