"""Choice, optimum rate and budget against printed answers and closed forms; sources in cases/."""

import numpy as np
import pytest
from scipy.special import roots_jacobi
from scipy.stats import betabinom, norm
from tests.reference.published import as_printed, cases

from spadework.agronomy.rescue.choice import look_ahead, value_of_knowing, weigh_options
from spadework.agronomy.rescue.money import (
    MoneyLine,
    PartialBudget,
    Section,
    break_even_chance,
    break_even_gain,
    net_return,
    option_cost,
)
from spadework.agronomy.rescue.optimum import optimum_rate
from spadework.agronomy.rescue.second_dig import chance_of_adequate

EXACT = {"rel": 1e-12, "abs": 1e-9}


def case_of(source, name):
    (found,) = (item.values[0] for item in cases(source) if item.values[0]["id"] == name)
    return found


def normal_loss(mean, sd):
    """What certainty is worth to two options whose difference is normal: sd phi(z) - |mean| Phi(-z), z = |mean| / sd.

    Raiffa H, Schlaifer R (1961) Applied statistical decision theory; from memory.
    """
    z = abs(mean) / sd
    return sd * norm.pdf(z) - abs(mean) * norm.cdf(-z)


# ---- Optimum rate


def quadratic_plateau(case, rate):
    reached = np.minimum(rate, -case["slope"] / (2 * case["bend"]))
    return case["slope"] * reached + case["bend"] * reached**2


def mitscherlich(rate, *, top, speed):
    return top * (1 - np.exp(-speed * rate))


def best_rate(case, gain, rates, **changes):
    prices = {"grain_price": case["grain_price"], "nitrogen_price": case["nitrogen_price"]}
    return optimum_rate(rates=rates, gain=gain(rates), **{**prices, **changes})


def test_optimum_of_a_quadratic_plateau():
    """Through whole kg, as the source tries them, the curve is off by less than 0.01 kg; the whole kg is as printed."""
    case = case_of("pynotes", "quadratic_plateau")
    rates = np.arange(200.0)
    found = best_rate(case, lambda rate: quadratic_plateau(case, rate), rates)
    net = case["grain_price"] * quadratic_plateau(case, rates) - case["nitrogen_price"] * rates
    assert round(found.rate) == int(np.argmax(net)) == case["whole"]
    assert found.rate == pytest.approx(float(case["optimum"]), abs=0.01)
    assert -case["slope"] / (2 * case["bend"]) == as_printed(case["join"])


def test_optimum_through_few_rates_gives_up_next_to_nothing():
    """At the rates in use (25 lb/ac apart) the curve between them moves the optimum by a few kg, and money hardly."""
    case = case_of("pynotes", "quadratic_plateau")
    found = best_rate(case, lambda rate: quadratic_plateau(case, rate), 28.02 * np.arange(7))
    exact = float(case["optimum"])
    worth = [
        case["grain_price"] * quadratic_plateau(case, rate) - case["nitrogen_price"] * rate
        for rate in (exact, found.rate)
    ]
    assert abs(found.rate - exact) < 3
    assert 0 <= worth[0] - worth[1] < 5e-4 * worth[0]


def test_top_and_optimum_of_a_quadratic():
    case = case_of("teach_wheat", "wheat")
    rates = np.arange(0.0, 201.0)

    def gain(rate):
        return case["slope"] * rate + case["bend"] * rate**2

    top = best_rate(case | {"grain_price": 1.0}, gain, rates, nitrogen_price=0.0)
    assert (top.rate, case["intercept"] + top.gain) == pytest.approx((case["most_at"], case["most"]), **EXACT)
    priced = best_rate(case | {"grain_price": case["price_per_t"] / 1000}, gain, rates)
    assert priced.rate == pytest.approx(case["optimum"], abs=0.02)


def test_optimum_of_a_curve_that_levels_off():
    case = case_of("mb2011_heard", "mitscherlich")
    top, speed = float(case["top"]), float(case["speed"])
    for rate, gain in zip(case["rates"], case["gains"], strict=True):
        assert mitscherlich(rate, top=top, speed=speed) == pytest.approx(gain * case["yield_without"], abs=1e-6)
    found = best_rate(case, lambda rate: mitscherlich(rate, top=top, speed=speed), np.linspace(0, 100, 1001))
    assert found.net_return == as_printed(case["return_over_nitrogen"])
    # Money is flat at the optimum, so that a curve through tenths of a lb finds the rate itself less exactly.
    assert found.rate == pytest.approx(float(case["optimum"]), abs=0.005)
    assert found.gain == pytest.approx(float(case["gain_at_optimum"]), abs=0.0005)


def test_optimum_of_a_line_with_a_plateau_is_its_corner_or_nothing():
    """Y = slope min(rate, corner): the corner if p slope > w, else 0 (own calculus; form in Bachmaier 2012,
    Agricultural Sciences 3:331-338, doi 10.4236/as.2012.33037). The curve rounds the corner within one step."""
    rates = np.arange(0.0, 121.0)
    prices = {"rates": rates, "gain": 0.02 * np.minimum(rates, 60.0), "grain_price": 100.0}
    assert 59 < optimum_rate(nitrogen_price=1.9, **prices).rate <= 60
    assert optimum_rate(nitrogen_price=0.0, **prices).rate == 60
    # Above the slope; the rounded corner itself is worth less than a step of it.
    assert optimum_rate(nitrogen_price=2.01, fixed_cost=0.1, **prices).rate == 0


# ---- Money


def test_partial_budget():
    case = case_of("farmpress_pb", "drybean_to_corn")
    acres = case["acres"]
    budget = PartialBudget(
        lines=(
            MoneyLine(
                section=Section.ADDED_RETURNS, name="corn", amount=acres * case["added_yield"] * case["added_price"]
            ),
            MoneyLine(section=Section.REDUCED_COSTS, name="bean", amount=acres * case["reduced_cost"]),
            MoneyLine(section=Section.ADDED_COSTS, name="corn", amount=acres * case["added_cost"]),
            MoneyLine(
                section=Section.REDUCED_RETURNS, name="bean", amount=acres * case["lost_yield"] * case["lost_price"]
            ),
        )
    )
    sections = {
        Section.ADDED_RETURNS: "added_returns",
        Section.REDUCED_COSTS: "reduced_costs",
        Section.ADDED_COSTS: "added_costs",
        Section.REDUCED_RETURNS: "lost_returns",
    }
    assert {name: budget.total(section) for section, name in sections.items()} == {
        name: case[name] for name in sections.values()
    }
    assert (budget.gains, budget.losses, budget.net) == (case["gains"], case["losses"], case["net"])


def test_break_even():
    case = case_of("mb2011_heard", "break_even")
    cost = option_cost(rate=case["rate"], nitrogen_price=case["nitrogen_price"], pass_price=case["pass_price"])
    assert cost == pytest.approx(case["cost"], **EXACT)
    gain = break_even_gain(cost=cost, grain_price=case["grain_price"])
    assert gain == pytest.approx(case["break_even_gain"], **EXACT)
    assert net_return(gain=gain, grain_price=case["grain_price"], cost=cost) == pytest.approx(0.0, abs=1e-12)
    worth = case["gain_if_it_works"] * case["grain_price"]
    assert break_even_chance(cost=cost, return_if_it_works=worth) == as_printed(case["break_even_chance"])


def test_net_of_a_gain():
    case = case_of("osu_beuerlein", "inoculant")
    asked = {"gain": case["gain"], "grain_price": case["grain_price"]}
    assert net_return(cost=0.0, **asked) == pytest.approx(case["gross"], **EXACT)
    assert net_return(cost=case["cost"], **asked) == pytest.approx(case["net"], **EXACT)


# ---- Choice


def test_expected_value_and_certainty():
    case = case_of("teach_ev", "wheat_or_corn")
    found = weigh_options(np.stack([case["wheat"], case["corn"]], axis=1), weights=case["chance"], level=0.8)
    assert found.expected == pytest.approx([case["expected_wheat"], case["expected_corn"]], **EXACT)
    assert found.value_of_certainty == pytest.approx(case["certainty_is_worth"], **EXACT)


def test_worth_of_a_soil_test():
    case = case_of("goodwin_wright", "potato_virus")
    payoff = np.array([case["payoff"]["potatoes"], case["payoff"]["other_crop"]]).T
    points = np.array(case["points_to_virus"])
    signal = np.stack([points, 1 - points], axis=1)
    found = look_ahead(payoff, chance_of_result=signal, weights=case["prior"])
    assert found.now == pytest.approx(case["without"], **EXACT)
    assert found.value == pytest.approx(case["test_is_worth"], **EXACT)
    assert found.choice.tolist() == [1, 0]
    perfect = weigh_options(payoff, weights=case["prior"], level=0.8).value_of_certainty
    assert perfect == pytest.approx(case["perfect_is_worth"], **EXACT)
    assert value_of_knowing(payoff, [0, 1], weights=case["prior"]) == 0, "two draws are too few to tell"
    posterior = np.round(case["prior"] * signal.T / found.chance[:, None], case["digits_of_posterior"])
    rounded = found.chance @ (posterior @ payoff).max(axis=1) - found.now
    assert rounded == pytest.approx(case["test_is_worth_rounded"], **EXACT)


def test_worth_of_a_seismic_test():
    """The diagnosis meets this example by another way; see cases/raiffa1968.toml."""
    case = case_of("raiffa1968", "oil")
    payoff = np.array([case["payoff"]["leave"], case["payoff"]["drill"]]).T
    found = look_ahead(payoff, chance_of_result=case["signal"], weights=case["prior"], cost=case["price"])
    assert found.chance == pytest.approx(case["chance_of_signal"], **EXACT)
    assert (found.now, found.later) == pytest.approx((case["without"], case["with_test"]), **EXACT)
    assert (found.told, found.value) == pytest.approx((case["test_is_worth"], case["net_of_price"]), **EXACT)
    assert weigh_options(payoff, weights=case["prior"], level=0.8).value_of_certainty == pytest.approx(
        case["perfect"] - case["without"], **EXACT
    )


# ---- Draws against closed forms, to three standard errors of the draws


@pytest.mark.parametrize(("mean", "sd"), [(0.0, 30.0), (12.0, 30.0), (-25.0, 30.0), (-60.0, 30.0)])
def test_certainty_about_a_normal_benefit(mean, sd):
    draws = 40_000
    benefit = np.random.default_rng(11).normal(mean, sd, draws)
    found = weigh_options(np.stack([np.zeros(draws), benefit], axis=1), level=0.8)
    given_up = np.maximum(benefit, 0) - (benefit if found.best else 0)
    error = given_up.std() / draws**0.5
    assert found.value_of_certainty == pytest.approx(normal_loss(mean, sd), abs=3 * error)
    assert found.chance_of_loss[1] == pytest.approx(norm.cdf(-mean / sd), abs=3 * (0.25 / draws) ** 0.5)


@pytest.mark.parametrize(("mean", "sd", "noise", "readings"), [(-8.0, 20.0, 40.0, 5), (5.0, 20.0, 10.0, 1)])
def test_sample_of_a_normal_benefit(mean, sd, noise, readings):
    """The mean of n readings leaves a posterior mean with sd^2 / sqrt(sd^2 + noise^2 / n) as its own spread; certainty
    of a benefit so spread is what the sample is worth (Raiffa and Schlaifer 1961, from memory). The sample is cut
    into 400 cells, which costs less than a thousandth of its worth."""
    draws = 20_000
    benefit = np.random.default_rng(12).normal(mean, sd, draws)
    error_of_mean = noise / readings**0.5
    spread = np.hypot(sd, error_of_mean)
    edges = mean + spread * np.concatenate([[-np.inf], np.linspace(-5, 5, 399), [np.inf]])
    chances = np.diff(norm.cdf((edges[None, :] - benefit[:, None]) / error_of_mean), axis=1)
    found = look_ahead(np.stack([np.zeros(draws), benefit], axis=1), chance_of_result=chances)
    then = chances @ (found.choice == 1) * benefit - (benefit if mean > 0 else 0)
    error = then.std() / draws**0.5
    assert found.told == pytest.approx(normal_loss(mean, sd**2 / spread), abs=3 * error)
    assert found.told > 6 * error, "or anything would pass"


@pytest.mark.parametrize("mean", [-6.0, 4.0])
def test_one_input_of_a_sum_of_normals(mean):
    """A benefit a + b of normals: to know a is worth what certainty of a alone would be."""
    draws = 20_000
    a, b, idle = np.random.default_rng(13).normal(0.0, 1.0, (3, draws)) * np.array([[15.0], [25.0], [1.0]])
    returns = np.stack([np.zeros(draws), mean + a + b], axis=1)
    for known, spread in ((a, 15.0), (b, 25.0)):
        turned = np.maximum(mean + known, 0) - (mean + known if mean > 0 else 0)
        error = np.hypot(turned.std(), (a + b).std() * 0.5) / draws**0.5
        assert value_of_knowing(returns, known) == pytest.approx(normal_loss(mean, spread), abs=3 * error)
    assert value_of_knowing(returns, idle) < 0.005 * normal_loss(mean, np.hypot(15.0, 25.0))


@pytest.mark.parametrize(("good", "poor", "plants"), [(2.0, 3.0, 6), (0.7, 0.9, 12), (8.0, 2.0, 5)])
def test_dig_of_a_beta_share_by_enumeration(good, poor, plants):
    """Share ~ Beta: after y of n adequate it has mean (good + y) / (good + poor + n), y being beta-binomial.

    The draws are the points of a Gauss-Jacobi rule, exact for the polynomials at hand, so that nothing is left to
    chance: 40 points meet the enumeration to rounding.
    """
    points, counts = roots_jacobi(40, poor - 1, good - 1)
    share = (points + 1) / 2
    loses, gains = 90.0, 60.0  # money per ha with every plant adequate, and with none

    def worth(at):
        return gains - (gains + loses) * at

    found = look_ahead(
        np.stack([np.zeros_like(share), worth(share)], axis=1),
        chance_of_result=chance_of_adequate(share=share, correlation=0.0, plants=plants, stops=1),
        weights=counts,
    )
    number = np.arange(plants + 1)
    of_number = betabinom.pmf(number, plants, good, poor)
    then = worth((good + number) / (good + poor + plants))
    now = worth(good / (good + poor))
    assert found.chance == pytest.approx(of_number, rel=1e-10)
    assert found.expected[:, 1] == pytest.approx(then, rel=1e-9, abs=1e-9)
    assert found.told == pytest.approx(of_number @ np.maximum(then, 0) - max(now, 0.0), abs=1e-9)
    assert found.choice.tolist() == (then > 0).astype(int).tolist()


@pytest.mark.parametrize(("plants", "stops"), [(7, 2), (20, 5), (3, 3)])
def test_dig_against_a_general_library(plants, stops):
    share, correlation = np.array([0.05, 0.35, 0.9]), np.array([0.1, 0.25, 0.6])
    found = chance_of_adequate(share=share, correlation=correlation, plants=plants, stops=stops)
    for row, one, alike in zip(found, share, correlation, strict=True):
        strength = (1 - alike) / alike
        total = np.ones(1)
        for at in range(stops):
            dug = plants // stops + (at < plants % stops)
            total = np.convolve(total, betabinom.pmf(np.arange(dug + 1), dug, one * strength, (1 - one) * strength))
        assert row == pytest.approx(total, rel=1e-10, abs=1e-14)
