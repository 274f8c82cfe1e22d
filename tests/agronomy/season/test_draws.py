from dataclasses import fields

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.agronomy.season.seasons import FIELD, KNOWN, drawn, middle

from spadework.agronomy.season import Parameters, draw_parameters, middle_parameters, row_of
from spadework.agronomy.season.draws import ABOUT_THE_FIELD, triangular
from spadework.errors import DomainError, KnowledgeError
from spadework.knowledge.load import with_overrides
from spadework.knowledge.rows import Crop, Measured


def test_a_triangle_has_its_moments_and_its_ends():
    """Mean (a + b + c)/3, variance (a2 + b2 + c2 - ab - ac - bc)/18: textbook."""
    chance = (np.arange(200_000) + 0.5) / 200_000
    found = triangular(chance, low=1.0, value=2.0, high=6.0)

    assert found.mean() == pytest.approx(3.0, abs=1e-4)
    assert found.var() == pytest.approx((1 + 4 + 36 - 2 - 6 - 12) / 18, abs=1e-3)
    assert triangular(np.array([0.0, 0.2, 1.0]), low=1.0, value=2.0, high=6.0) == pytest.approx([1, 2, 6])


@given(st.floats(0, 1), st.floats(-5, 5), st.floats(0, 3), st.floats(0, 3))
def test_a_triangle_keeps_within_its_ends(chance, low, first, second):
    found = triangular(np.array([chance]), low=low, value=low + first, high=low + first + second)

    assert low - 1e-9 <= found[0] <= low + first + second + 1e-9


@pytest.mark.parametrize("crop", Crop)
def test_every_crop_has_parameters_within_their_rows(crop):
    parameters = drawn(2000, crop, seed=3)
    best = middle(crop)

    for name in (field.name for field in fields(Parameters)):
        row_id = row_of(KNOWN, crop, name)
        if row_id is None or not isinstance(row := KNOWN.row(row_id), Measured):
            continue
        low, high = row.range
        values = getattr(parameters, name)
        assert np.min(values) >= low, name
        assert np.max(values) <= high or name == "full_uptake_stage", name
        assert (np.size(values) > 1) == (low < high), name
        assert getattr(best, name) == row.central, name
    assert parameters.draws == 2000


def test_one_seed_gives_one_set_and_known_figures_leave_the_others_alone():
    one, again, other = drawn(50, seed=4), drawn(50, seed=4), drawn(50, seed=4, mineral_n_at_sowing=30.0)

    np.testing.assert_array_equal(one.n_per_tonne, again.n_per_tonne)
    assert other.mineral_n_at_sowing == 30.0
    assert set(one.varying()) - set(other.varying()) == {"mineral_n_at_sowing"}
    for name, values in other.varying().items():
        np.testing.assert_array_equal(values, one.varying()[name], err_msg=name)
    assert not np.array_equal(drawn(50, seed=5).n_per_tonne, one.n_per_tonne)


def test_figures_are_drawn_apart_from_each_other():
    values = np.array(list(drawn(4000).varying().values()))
    between = np.corrcoef(values) - np.eye(len(values))

    # Chance alone keeps a correlation of 4,000 draws within 5 standard errors of 1/sqrt(4000); stage of full uptake
    # may be moved off that of fastest uptake.
    assert np.abs(between).max() < 5 / np.sqrt(4000)


def test_a_maturity_group_has_its_own_sums():
    early, late = (middle_parameters(KNOWN, Crop.SOYBEAN, known=FIELD, maturity_group=group) for group in ("00", "4"))

    assert (early.emergence_to_flower, early.flower_to_maturity) == (330, 460)
    assert (late.emergence_to_flower, late.flower_to_maturity) == (500, 800)
    assert early.n_per_tonne == late.n_per_tonne


def test_a_users_own_figure_is_held():
    own = with_overrides(KNOWN, {"season.pea.n_per_tonne": {"value": 48.0}})
    found = draw_parameters(own, Crop.PEA, draws=5, generator=np.random.default_rng(1), known=FIELD)

    assert found.n_per_tonne == 48.0


@pytest.mark.parametrize("name", ABOUT_THE_FIELD)
def test_what_no_table_knows_must_be_given(name):
    known = {key: value for key, value in FIELD.items() if key != name}

    with pytest.raises(DomainError, match=f"with {name}, which no table gives"):
        middle_parameters(KNOWN, Crop.PEA, known=known)


def test_names_and_groups_that_are_not_there_are_refused():
    with pytest.raises(DomainError, match="names of parameters: expected_yield"):
        middle(nitrogen=3.0)
    with pytest.raises(DomainError, match="maturity_group must be one of 00, 0, 1, 2, 3, 4"):
        middle_parameters(KNOWN, Crop.SOYBEAN, known=FIELD, maturity_group="7")
    with pytest.raises(DomainError, match="none for this crop"):
        middle_parameters(KNOWN, Crop.PEA, known=FIELD, maturity_group="0")
    with pytest.raises(DomainError, match="draws must be at least 1"):
        drawn(0)


def test_an_override_that_no_formula_takes_is_refused():
    with pytest.raises(KnowledgeError, match="the four temperatures must rise"):
        with_overrides(KNOWN, {"season.pea.fixation_temperature": {"full_to": 2.0}})
    own = with_overrides(KNOWN, {"season.any.dilution": {"value": 1.5}})
    with pytest.raises(DomainError, match="dilution"):
        middle_parameters(own, Crop.PEA, known=FIELD)
