import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from spadework.agronomy.rescue.choice import chance_no_worse, look_ahead, value_of_knowing, weigh_options
from spadework.errors import DomainError

# Two options against leaving in four draws of what is not known.
BY_HAND = np.array([[0, 40, 10], [0, -20, 5], [0, -20, -10], [0, 20, 15]])

money = st.integers(-500, 500).map(lambda units: units / 4)  # exact in binary, so that sums leave no rounding behind
tables = arrays(np.float64, st.tuples(st.integers(2, 12), st.integers(1, 4)), elements=money)


@st.composite
def results(draw, returns):
    """Chances of up to four results in each draw of a table, in eighths."""
    count = draw(st.integers(1, 4))
    cuts = draw(arrays(np.int64, (len(returns), count - 1), elements=st.integers(0, 8)))
    ends = np.concatenate([np.zeros((len(returns), 1)), np.sort(cuts, axis=1), np.full((len(returns), 1), 8.0)], axis=1)
    return np.diff(ends, axis=1) / 8


def a_problem(seed=3, draws=500):
    """Draws of two inputs of which the second matters less, and of the returns of leaving and of two rates."""
    one, other, idle = np.random.default_rng(seed).normal(size=(3, draws))
    benefit = 10 * one + 5 * other - 1
    return one, other, idle, np.stack([0 * benefit, benefit, 0.5 * benefit - 2], axis=1)


def test_options_by_hand():
    found = weigh_options(BY_HAND, level=0.5)
    assert found.expected.tolist() == [0, 5, 5]
    # Best of each draw: 40, 5, 0, 20, mean 16.25.
    assert found.regret.tolist() == [16.25, 11.25, 11.25]
    assert found.chance_of_loss.tolist() == [0, 0.5, 0.25]
    assert found.best == 1, "of equals the first"
    # 40 >= 10, -20 < 5, -20 < -10, 20 >= 15
    assert found.no_worse == 0.5
    assert found.value_of_certainty == 11.25
    assert (found.low[1], found.high[1]) == (-20, 20)


def test_weights_count_draws_as_if_they_came_more_often():
    repeated = weigh_options(np.repeat(BY_HAND, [3, 1, 2, 4], axis=0), level=0.8)
    weighted = weigh_options(BY_HAND, weights=[3, 1, 2, 4], level=0.8)
    for name in ("expected", "regret", "chance_of_loss", "low", "high"):
        assert getattr(weighted, name) == pytest.approx(getattr(repeated, name))
    assert weighted.best == repeated.best
    assert weighted.no_worse == pytest.approx(repeated.no_worse)


def test_one_option_leaves_nothing_to_regret():
    found = weigh_options([[3.0], [-1.0]], level=0.8)
    assert (found.best, found.no_worse, found.value_of_certainty) == (0, 1.0, 0.0)


def test_no_worse_than_leaving_and_than_the_best_of_others():
    assert chance_no_worse(BY_HAND, option=1, than=0) == 0.5
    assert chance_no_worse(BY_HAND, option=2, than=0) == 0.75
    assert chance_no_worse(BY_HAND, option=0, than=[1, 2]) == 0.5, "held against option 1, the first of the best"
    assert chance_no_worse(BY_HAND, option=1, than=0, weights=[1, 0, 0, 1]) == 1.0


@given(tables)
def test_regret_is_never_below_0_and_least_for_the_best(returns):
    found = weigh_options(returns, level=0.8)
    assert found.regret.min() >= 0
    assert found.regret[found.best] == pytest.approx(found.regret.min(), abs=1e-9)
    assert found.value_of_certainty == found.regret[found.best]


@given(tables, st.data())
def test_what_never_loses_to_another_has_no_regret(returns, data):
    place = data.draw(st.integers(0, returns.shape[1] - 1))
    returns[:, place] = returns.max(axis=1)
    found = weigh_options(returns, level=0.8)
    assert found.regret[place] == 0
    assert found.value_of_certainty == 0
    if found.best == place:
        assert found.no_worse == pytest.approx(1.0)


@given(tables, st.integers(1, 64), st.data())
def test_worth_grows_with_money_in_proportion(returns, times, data):
    chances = data.draw(results(returns))
    one, many = look_ahead(returns, chance_of_result=chances), look_ahead(times * returns, chance_of_result=chances)
    assert many.told == pytest.approx(times * one.told, abs=1e-7)
    certain = [weigh_options(table, level=0.8).value_of_certainty for table in (returns, times * returns)]
    assert certain[1] == pytest.approx(times * certain[0], abs=1e-7)


@given(tables, money, st.data())
def test_what_all_options_share_changes_nothing(returns, more, data):
    chances = data.draw(results(returns))
    plain, moved = (weigh_options(table, level=0.8) for table in (returns, returns + more))
    assert moved.regret == pytest.approx(plain.regret, abs=1e-9)
    assert moved.expected - more == pytest.approx(plain.expected, abs=1e-9)
    told = [look_ahead(table, chance_of_result=chances).told for table in (returns, returns + more)]
    assert told[1] == pytest.approx(told[0], abs=1e-9)


@given(tables, st.data())
def test_a_result_is_worth_something_or_nothing_and_never_more_than_certainty(returns, data):
    found = look_ahead(returns, chance_of_result=data.draw(results(returns)))
    assert 0 <= found.told <= weigh_options(returns, level=0.8).value_of_certainty + 1e-9
    assert found.value == found.told, "nothing is given up and nothing paid"
    assert found.chance.sum() == pytest.approx(1.0)
    assert found.chance_of_choice.sum() == pytest.approx(1.0)
    there = found.chance > 0
    at_best = np.take_along_axis(found.expected, found.choice[:, None], axis=1)[there, 0]
    assert at_best == pytest.approx(found.expected[there].max(axis=1))
    assert found.later == pytest.approx(float(found.chance[there] @ at_best), abs=1e-9)


@given(tables)
def test_a_result_that_tells_all_is_worth_certainty_and_one_that_tells_nothing_is_worth_nothing(returns):
    certain = look_ahead(returns, chance_of_result=np.eye(len(returns)))
    assert certain.told == pytest.approx(weigh_options(returns, level=0.8).value_of_certainty, abs=1e-9)
    blind = look_ahead(returns, chance_of_result=np.tile([0.25, 0.5, 0.25], (len(returns), 1)))
    assert blind.told == pytest.approx(0.0, abs=1e-12)


def test_waiting_by_hand():
    """Two draws, failed or not, and a dig that tells them apart in three cases of four. Now: 60 or -40; later half
    the gain at the same cost: 10 or -40 (of a gain of 100 or 0, cost 40). Joint worth of applying later: the dig
    says failed: (0.75 * 10 + 0.25 * -40) / 2 = -1.25, so leave; not failed: worse. Waiting then tells nothing, and
    gives up 10, the best expected now."""
    chances = [[0.75, 0.25], [0.25, 0.75]]
    now = np.array([[0.0, 60.0], [0.0, -40.0]])
    found = look_ahead(now, later=[[0.0, 10.0], [0.0, -40.0]], chance_of_result=chances, cost=3.0)
    assert (found.now, found.later, found.told, found.given_up, found.value) == (10, 0, 0, 10, -13)
    assert found.choice.tolist() == [0, 0]
    # Nothing lost by waiting: failed: (0.75 * 60 - 0.25 * 40) / 2 = 17.5, apply; not: (15 - 30) / 2 = -7.5, leave.
    same = look_ahead(now, chance_of_result=chances, cost=3.0)
    assert (same.now, same.later, same.told, same.given_up, same.value) == (10, 17.5, 7.5, 0, 4.5)
    assert same.choice.tolist() == [1, 0]
    assert same.chance_of_choice.tolist() == [0.5, 0.5]
    # 17.5 and -7.5 over the chance 0.5 of each result.
    assert same.expected.tolist() == [[0, 35], [0, -15]]


@given(tables, st.floats(0, 1), st.data())
def test_value_of_waiting_is_later_less_cost_less_now(returns, left, data):
    chances = data.draw(results(returns))
    found = look_ahead(returns, later=left * returns, chance_of_result=chances, cost=2.5)
    assert found.value == pytest.approx(found.later - found.cost - found.now, abs=1e-9)
    assert found.now == pytest.approx(weigh_options(returns, level=0.8).expected.max(), abs=1e-9)


def test_error_is_how_much_the_value_moves_from_one_set_of_draws_to_another():
    """Over 300 sets of 500 draws the value strays by its error, and neither up nor down on the whole."""

    def ahead(seed, draws, weights=None):
        rng = np.random.default_rng(seed)
        share = rng.beta(1.5, 3.0, draws)
        benefit = 60 - 150 * share + rng.normal(0, 60, draws)
        now = np.stack([0 * benefit, benefit, 0.6 * benefit - 8], axis=1)
        signs = np.stack([share, 1 - share], axis=1)
        return look_ahead(now, later=0.8 * now, chance_of_result=signs, cost=1.0, weights=weights)

    found = [ahead(seed, 500) for seed in range(300)]
    values = np.array([one.value for one in found])
    assert np.mean([one.error for one in found]) == pytest.approx(values.std(), rel=0.15)
    assert values.mean() == pytest.approx(ahead(1000, 400_000).value, abs=4 * values.std() / 300**0.5)
    # Only 100 of 500 draws count: as if there were no more.
    few = ahead(7, 500, weights=np.repeat([1.0, 0.0], [100, 400]))
    assert few.error == pytest.approx(5**0.5 * found[7].error, rel=0.3)


def test_fewer_options_later_is_no_fault():
    found = look_ahead(BY_HAND, later=BY_HAND[:, :1], chance_of_result=np.eye(4))
    assert (found.told, found.given_up) == (0, 5)
    assert found.expected.shape == (4, 1)


def test_at_a_result_that_cannot_come_the_choice_is_the_one_without_it():
    found = look_ahead([[0.0, 1.0], [0.0, 3.0]], chance_of_result=[[1.0, 0.0], [1.0, 0.0]])
    assert np.isnan(found.expected[1]).all()
    assert found.choice.tolist() == [1, 1]


# ---- One input


def test_inputs_are_worth_knowing_in_the_order_in_which_they_matter():
    one, other, idle, returns = a_problem(draws=5000)
    worth = [value_of_knowing(returns, known) for known in (one, other, idle)]
    assert worth == sorted(worth, reverse=True)
    assert worth[2] < 0.02 * worth[0]
    assert worth[0] < weigh_options(returns, level=0.8).value_of_certainty


def test_an_input_that_is_the_same_in_all_draws_is_worth_nothing():
    _, _, _, returns = a_problem()
    assert value_of_knowing(returns, np.full(len(returns), 7.3)) == 0
    assert value_of_knowing(returns, np.full(len(returns), 7)) == 0


def test_only_the_order_of_an_input_counts():
    one, _, _, returns = a_problem()
    assert value_of_knowing(returns, np.exp(3 * one)) == pytest.approx(value_of_knowing(returns, one))


def test_whole_numbers_are_names():
    """By hand: a year fixes the benefit, 5 in every second and -5 in the others but for noise; known, it is worth
    2.5. On their order a curve would see nothing."""
    years = np.arange(600) % 12
    benefit = np.where(years % 2 == 0, 5.0, -5.0) + np.random.default_rng(5).normal(0, 1, years.size)
    returns = np.stack([np.zeros(years.size), benefit], axis=1)
    assert value_of_knowing(returns, years) == pytest.approx(2.5, abs=0.1)
    assert value_of_knowing(returns, np.random.default_rng(6).permutation(years)) < 0.1


def test_chance_is_taken_out_of_few_draws():
    """Two options as good as each other, where chance shows most: in 200 draws an input that plays no part seems to be
    worth something, but less than half of what a plain regression would say, over 200 sets of draws. Inputs that
    matter, even little, keep their worth, which for a normal part with standard deviation s is s / sqrt(2 pi)."""
    idle_worth, plain, sure, worth, little = [], [], [], [], []
    for seed in range(200):
        one, other, idle, returns = a_problem(seed, draws=200)
        returns = returns[:, :2] - returns[:, :2].mean(axis=0)
        idle_worth.append(value_of_knowing(returns, idle))
        basis = np.polynomial.legendre.legvander(np.argsort(np.argsort(idle)) / 100 - 1, 4)
        fitted = basis @ np.linalg.lstsq(basis, returns[:, 1], rcond=None)[0]
        plain.append(np.maximum(fitted, 0).mean())
        sure.append(weigh_options(returns, level=0.8).value_of_certainty)
        worth.append(value_of_knowing(returns, one))
        little.append(value_of_knowing(returns, other))
    assert np.mean(idle_worth) < 0.08 * np.mean(sure)
    assert np.mean(idle_worth) < 0.5 * np.mean(plain)
    assert np.mean(worth) == pytest.approx(10 / np.sqrt(2 * np.pi), rel=0.05)
    assert np.mean(little) == pytest.approx(5 / np.sqrt(2 * np.pi), rel=0.05)


def test_draws_of_no_weight_are_not_looked_at():
    one, _, _, returns = a_problem()
    weights = np.where(np.arange(one.size) < 300, 1.0, 0.0)
    assert value_of_knowing(returns, one, weights=weights) == pytest.approx(value_of_knowing(returns[:300], one[:300]))


def test_weights_in_a_regression_count_draws_as_if_they_came_more_often():
    one, _, _, returns = a_problem()
    times = np.where(returns[:, 1] * one < 30, 1, 5)
    again = np.repeat(np.arange(one.size), times)
    repeated = value_of_knowing(returns[again], one[again])
    assert value_of_knowing(returns, one, weights=times) == pytest.approx(repeated, rel=0.01)
    assert value_of_knowing(returns, one) != pytest.approx(repeated, rel=0.2)


def test_too_few_draws_tell_nothing():
    assert value_of_knowing(BY_HAND, [0.1, 0.2, 0.3, 0.4]) == 0


@given(tables, st.data())
def test_knowing_one_input_is_worth_between_nothing_and_certainty(returns, data):
    known = data.draw(arrays(np.float64, len(returns), elements=st.floats(-5, 5)))
    sure = weigh_options(returns, level=0.8).value_of_certainty
    assert 0 <= value_of_knowing(returns, known) <= sure + 1e-9
    assert 0 <= value_of_knowing(returns, np.round(known).astype(int)) <= sure + 1e-9


# ---- Prices


def returns_at(*, grain, nitrogen, draws=300):
    """Leave, and three rates with gains that differ between draws and never harm."""
    reached = np.random.default_rng(9).gamma(2.0, 0.15, (draws, 1))
    rates = np.array([0.0, 28.0, 56.0, 112.0])
    gain = reached * (1 - np.exp(-rates / 40))
    return grain * gain - nitrogen * rates - np.where(rates > 0, 14.0, 0.0)


prices = st.floats(0, 1000)


@given(prices, prices, st.floats(0, 1))
def test_best_expected_return_is_convex_in_the_grain_price(one, other, share):
    between = share * one + (1 - share) * other
    best = [weigh_options(returns_at(grain=p, nitrogen=1.3), level=0.8).expected.max() for p in (one, other, between)]
    assert best[2] <= share * best[0] + (1 - share) * best[1] + 1e-9


@given(st.floats(0, 10), st.floats(0, 10), st.floats(0, 1))
def test_best_expected_return_is_convex_in_the_price_of_nitrogen(one, other, share):
    between = share * one + (1 - share) * other
    best = [weigh_options(returns_at(grain=310, nitrogen=w), level=0.8).expected.max() for w in (one, other, between)]
    assert best[2] <= share * best[0] + (1 - share) * best[1] + 1e-9


@given(prices, st.floats(0, 50))
def test_best_expected_return_rises_with_the_grain_price_without_a_jump(grain, more):
    """A gain of at most one t/ha on average moves it by at most the change of price."""
    low, high = (
        weigh_options(returns_at(grain=p, nitrogen=1.3), level=0.8).expected.max() for p in (grain, grain + more)
    )
    assert 0 <= high - low <= more + 1e-9


@given(st.floats(0, 1000), st.floats(1e4, 1e12))
def test_nitrogen_beyond_price_is_never_given(grain, nitrogen):
    returns = returns_at(grain=grain, nitrogen=nitrogen)
    assert weigh_options(returns, level=0.8).best == 0
    ahead = look_ahead(returns, chance_of_result=np.full((len(returns), 3), 1 / 3))
    assert ahead.choice.tolist() == [0, 0, 0]
    assert ahead.value == 0


def test_one_seed_gives_one_answer():
    first, second = (a_problem(seed=21) for _ in range(2))
    assert value_of_knowing(first[3], first[0]) == value_of_knowing(second[3], second[0])
    one, two = (weigh_options(table[3], level=0.8) for table in (first, second))
    np.testing.assert_array_equal(one.regret, two.regret)
    assert a_problem(seed=22)[3][0, 1] != first[3][0, 1]


# ---- What cannot be


@pytest.mark.parametrize(
    ("returns", "weights", "message"),
    [
        ([1.0, 2.0], None, "returns must be of shape"),
        (np.zeros((0, 2)), None, "returns must be of shape"),
        ([[0.0, 1.0], [0.0, np.nan]], None, "returns must be finite, but is .* at position 1"),
        ([[0.0, -np.inf]], None, "returns must be finite"),
        (BY_HAND, [1, 2], "weights must be of shape"),
        (BY_HAND, [1, 1, 1, -1], "weights must be 0 or more"),
        (BY_HAND, [0, 0, 0, 0], "weights must be 0 or more"),
        (BY_HAND, [1, np.nan, 1, 1], "weights must be 0 or more"),
    ],
)
def test_returns_that_cannot_be_are_refused(returns, weights, message):
    with pytest.raises(DomainError, match=message):
        weigh_options(returns, weights=weights, level=0.8)


def test_levels_and_places_that_are_none_are_refused():
    with pytest.raises(DomainError, match="level must be between 0 and 1"):
        weigh_options(BY_HAND, level=1.0)
    with pytest.raises(DomainError, match="option must be places from 0 to 2"):
        chance_no_worse(BY_HAND, option=3, than=0)
    with pytest.raises(DomainError, match="than must be places from 0 to 2"):
        chance_no_worse(BY_HAND, option=0, than=[])


@pytest.mark.parametrize(
    ("known", "message"),
    [
        ([1.0, 2.0], "known must be of shape"),
        ([1.0, 2.0, np.nan, 3.0], "known must be finite, but is nan at position 2"),
    ],
)
def test_inputs_that_cannot_be_known_are_refused(known, message):
    with pytest.raises(DomainError, match=message):
        value_of_knowing(BY_HAND, known)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"chance_of_result": np.ones((3, 1))}, "chance_of_result must be of shape"),
        ({"chance_of_result": [[1.5, -0.5]] * 4}, "chance_of_result must be from 0 to 1"),
        ({"chance_of_result": [[0.5, 0.5]] * 3 + [[0.5, 0.4]]}, "sum to 1 over the results, but is 0.9 at position 3"),
        ({"cost": -1.0}, "cost must be 0 or more"),
        ({"later": [[1.0, np.nan]] * 4}, "later must be finite"),
        ({"later": [[1.0]]}, "weights must be of shape"),
    ],
)
def test_results_that_cannot_be_are_refused(changes, message):
    with pytest.raises(DomainError, match=message):
        look_ahead(BY_HAND, **{"chance_of_result": np.full((4, 2), 0.5), **changes})
