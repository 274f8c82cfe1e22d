import numpy as np
import pytest

from spadework.agronomy.clock import METHODS, degree_days
from spadework.errors import DomainError


def test_hand_worked_day():
    # Mean (2 + 18)/2 = 10, less base 4 = 6; the low is under the base, so floor_each gives (4 + 18)/2 - 4 = 7.
    assert degree_days(tmin=2, tmax=18, t_base=4, method="mean_then_floor") == 6
    assert degree_days(tmin=2, tmax=18, t_base=4, method="floor_each") == 7
    # Mean at or over the base: (18 - 4)/2 - (4 - 2)/4 = 6.5.
    assert degree_days(tmin=2, tmax=18, t_base=4, method="quarter") == 6.5
    # Triangle over 4: 14 squared over twice the span 16 = 196/32.
    assert degree_days(tmin=2, tmax=18, t_base=4, method="triangle") == pytest.approx(6.125, abs=1e-12)
    # Less the part over 16, 2 squared over 32 = 0.125; intermediate takes it off twice.
    assert degree_days(tmin=2, tmax=18, t_base=4, t_cap=16, method="triangle") == pytest.approx(6.0, abs=1e-12)
    cut = degree_days(tmin=2, tmax=18, t_base=4, t_cap=16, method="triangle_intermediate")
    assert cut == pytest.approx(5.875, abs=1e-12)


def test_optional_cap_of_the_two_plain_rules():
    # Mean 25 held at 20; low 20 and high 30 held at 20 each, base 10.
    assert degree_days(tmin=20, tmax=30, t_base=10, t_cap=20, method="mean_then_floor") == 10
    # Low 12 stays, high 28 held at 20: (12 + 20)/2 - 10.
    assert degree_days(tmin=12, tmax=28, t_base=10, t_cap=20, method="floor_each") == 6


def test_any_shape_is_broadcast():
    low = np.array([[0.0, 5.0, 10.0], [2.0, 4.0, 6.0]])
    found = degree_days(tmin=low, tmax=low + 10, t_base=np.array([[0.0], [7.0]]), method="mean_then_floor")
    np.testing.assert_allclose(found, [[5, 10, 15], [0, 2, 4]])


@pytest.mark.parametrize("method", METHODS)
def test_missing_stays_missing(method):
    cap = None if method == "quarter" else 30.0
    found = degree_days(
        tmin=[np.nan, 5.0, 5.0, np.nan], tmax=[15.0, np.nan, 15.0, -20.0], t_base=0, t_cap=cap, method=method
    )
    np.testing.assert_array_equal(np.isnan(found), [True, True, False, True])


@pytest.mark.parametrize("method", METHODS)
def test_a_day_without_swing(method):
    cap = None if method == "quarter" else 30.0
    found = degree_days(tmin=[4, 12], tmax=[4, 12], t_base=5, t_cap=cap, method=method)
    np.testing.assert_allclose(found, [0, 7])


def test_every_rule_has_a_name_of_its_own():
    assert len(set(METHODS.values())) == len(METHODS)
    assert all(name and "_" not in name for name in METHODS.values())


def test_unknown_rule_lists_those_known():
    with pytest.raises(DomainError, match=r"method must be one of mean_then_floor, floor_each.* is 'method1'"):
        degree_days(tmin=0, tmax=1, t_base=0, method="method1")


def test_crossed_day_is_named():
    with pytest.raises(DomainError, match=r"tmax must be at least tmin .* is 3\.0 at position 1"):
        degree_days(tmin=[0.0, 5.0], tmax=[9.0, 3.0], t_base=0, method="sine")


@pytest.mark.parametrize(
    "method",
    ["capped_mean", "capped_each", "capped_each_floor_highest", "triangle_intermediate", "sine_intermediate"],
)
def test_rules_that_need_a_cap(method):
    with pytest.raises(DomainError, match=f"t_cap must be given for method {method}"):
        degree_days(tmin=0, tmax=10, t_base=0, method=method)


def test_quarter_rule_knows_no_cap():
    with pytest.raises(DomainError, match="t_cap must be left out for method quarter"):
        degree_days(tmin=0, tmax=10, t_base=0, t_cap=30, method="quarter")


def test_cap_must_be_above_base():
    with pytest.raises(DomainError, match="t_cap must be above t_base"):
        degree_days(tmin=0, tmax=10, t_base=10, t_cap=10, method="capped_mean")
