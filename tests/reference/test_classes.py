"""Class boundaries and the count rule of soybean, as leaflets and practice state them."""

import numpy as np
import pytest
from tests.reference.published import as_printed, cases

from spadework.agronomy.scoring.plants import PlantCounts, read_plants
from spadework.knowledge.load import load

KNOWN = load()


def class_of(row_id, value):
    """The class as everything that reads the row takes it: a value at a limit is in the upper class."""
    row = KNOWN.row(row_id)
    return row.names[int(np.searchsorted(row.limits, value, side="right"))]


@pytest.mark.parametrize("case", cases("adelaide_guide"))
def test_class_of_a_share(case):
    assert class_of("classes.share_adequate", case["adequate"] / case["plants"]) == case["class"]


@pytest.mark.parametrize("case", cases("common_practice"))
def test_class_of_a_three_factor_total(case):
    assert class_of("classes.three_factor", case["total"]) == case["class"]


@pytest.mark.parametrize("case", cases("mpsg_soy"))
def test_ten_nodules_of_soybean(case):
    target = KNOWN.figure("target.soybean.ten_any_size")
    counts = np.array(case["counts"], dtype=float)
    none = np.zeros_like(counts)
    reading = read_plants(
        PlantCounts(counts, counts, none, none, cut=counts, red=counts, eligible=np.ones_like(counts)),
        target=target.central,
        more_than=target.comparison == "more_than",
        prior_red_correlation=0.2,
    )
    assert reading.effective.mean() == as_printed(case["mean"])
    assert (reading.effective.mean() >= target.central) is np.bool_(case["meets"])
    # Plant by plant, all red: adequate from the tenth nodule on.
    np.testing.assert_array_equal(reading.adequate, counts >= 10)
