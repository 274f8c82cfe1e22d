"""The cause network against enumeration, a general library of graphical models, and printed examples.

The library is pgmpy, by elimination of variables on full tables; its version is in requirements/dev.txt. Three printed
examples are no networks of the shape that ours has, a layer of causes over a layer of findings that are noisy-ORs: the
burglar alarm and the two of the chest clinic. They show that the library is asked in the right way.
"""

import tomllib
import warnings
from itertools import product

import numpy as np
import pytest
from tests.agronomy.diagnosis.networks import drawn_answers, drawn_network, network
from tests.reference import enumeration
from tests.reference.published import CASES, as_printed, cases

from spadework.agronomy.diagnosis import expected_gain, posterior
from spadework.agronomy.diagnosis.gain import expected_right

with warnings.catch_warnings():
    warnings.filterwarnings("ignore", r"`pgmpy\.estimators", FutureWarning)  # the library's use of its own old names
    from pgmpy.factors.discrete import TabularCPD
    from pgmpy.inference import VariableElimination
    from pgmpy.models import DiscreteBayesianNetwork

NAN = np.nan
EXACT = {"abs": 1e-9, "rel": 0}


def drawn(seed, *, most_causes=10):
    """A network and what is known, anew from each seed; every second one with a limit on causes at once."""
    rng = np.random.default_rng(seed)
    causes, findings = int(rng.integers(1, most_causes + 1)), int(rng.integers(1, 13))
    net = drawn_network(
        rng,
        causes=causes,
        findings=findings,
        most_together=int(rng.integers(1, causes + 1)) if seed % 2 else causes,
    )
    return net, drawn_answers(rng, net.groups), rng


@pytest.mark.parametrize("seed", range(200))
def test_posterior_against_enumeration(seed):
    net, answers, _ = drawn(seed)
    causes, nothing = enumeration.cause_chances(net, answers)
    state = posterior(net, answers)
    assert state.causes == pytest.approx(causes, **EXACT)
    assert state.nothing == pytest.approx(nothing, **EXACT)


@pytest.mark.parametrize("seed", range(200, 240))
def test_gain_against_enumeration(seed):
    net, answers, rng = drawn(seed, most_causes=6)
    asked = tuple(rng.choice(len(answers), size=rng.integers(1, min(len(answers), 4) + 1), replace=False).tolist())
    courses = [rng.integers(0, 3) for _ in range(len(net.prior) + 1)]
    state = posterior(net, answers)
    gain = expected_gain(
        state, asked, np.array([courses[max(np.flatnonzero(row), default=-1)] for row in net.sets.present])
    )
    bits, now, then = enumeration.gain(net, answers, asked, lambda acting: courses[max(acting, default=-1)])
    assert (gain.bits, gain.right_now, gain.right_then) == pytest.approx((bits, now, then), **EXACT)


def library(nodes):
    """The library's network of these nodes: name, parents, and a table of states by the rows of the parents."""
    model = DiscreteBayesianNetwork([(parent, name) for name, parents, _ in nodes for parent in parents])
    size = {name: len(table) for name, _, table in nodes}
    for name, parents, table in nodes:
        model.add_node(name)
        model.add_cpds(TabularCPD(name, len(table), table, parents, [size[parent] for parent in parents]))
    assert model.check_model()
    return VariableElimination(model)


def yes_no(name, parents, chances):
    """A node of two states, no and yes, from its chances of yes."""
    return name, parents, [[1 - chance for chance in chances], list(chances)]


def cause_nodes(net):
    """Our network as full tables: causes, groups with a state each, and whether so many causes may act at once."""
    causes = [f"cause {place}" for place in range(len(net.prior))]
    rows = [tuple(np.flatnonzero(flags).tolist()) for flags in product([0, 1], repeat=len(causes))]
    nodes = [yes_no(name, [], [chance]) for name, chance in zip(causes, net.prior, strict=True)]
    for number, group in enumerate(net.groups):
        table = np.array([enumeration.group_states(net, group, acting) for acting in rows]).T
        nodes.append((f"group {number}", causes, table.tolist()))
    nodes.append(yes_no("few enough", causes, [len(acting) <= net.most_together for acting in rows]))
    return nodes


@pytest.mark.parametrize("seed", range(24))
def test_posterior_against_pgmpy(seed):
    net, answers, _ = drawn(seed, most_causes=6)
    evidence, readings = {"few enough": 1}, []
    for number, group in enumerate(net.groups):
        fit = np.array(enumeration.fits(group, answers))
        if np.count_nonzero(fit) == 1:
            evidence[f"group {number}"] = int(fit.argmax())
        elif not np.isnan(answers[list(group)]).all():
            readings.append(TabularCPD(f"group {number}", len(fit), (fit / fit.sum())[:, None]))
    names = [f"cause {place}" for place in range(len(net.prior))]
    told = library(cause_nodes(net)).query(
        names, evidence=evidence, virtual_evidence=readings or None, joint=False, show_progress=False
    )
    assert posterior(net, answers).causes == pytest.approx([told[name].values[1] for name in names], **EXACT)


def test_one_layer_of_noisy_or_against_pgmpy():
    """Twelve causes that lift findings with up to six parents each: one table a finding, over its parents alone."""
    rng = np.random.default_rng(12)
    lift = np.zeros((12, 9))
    for finding in range(9):
        lift[rng.choice(12, size=rng.integers(2, 7), replace=False), finding] = rng.choice([0.06, 0.35, 0.7, 0.95])
    net = network(rng.uniform(0.02, 0.3, 12), rng.choice([0.04, 0.15, 0.35], 9), lift)
    answers = np.array([1, 1, 0, NAN, 1, 0, NAN, 1, 0])
    nodes = [yes_no(f"cause {place}", [], [chance]) for place, chance in enumerate(net.prior)]
    for finding in range(9):
        parents = np.flatnonzero(lift[:, finding]).tolist()
        rows = product([0, 1], repeat=len(parents))
        chances = [enumeration.alone(net, finding, np.array(parents)[np.array(row, dtype=bool)]) for row in rows]
        nodes.append(yes_no(f"finding {finding}", [f"cause {place}" for place in parents], chances))
    evidence = {f"finding {place}": int(answer) for place, answer in enumerate(answers) if not np.isnan(answer)}
    names = [f"cause {place}" for place in range(12)]
    told = library(nodes).query(names, evidence=evidence, joint=False, show_progress=False)
    assert posterior(net, answers).causes == pytest.approx([told[name].values[1] for name in names], **EXACT)


def case_of(name, case_id):
    return next(case.values[0] for case in cases(name) if case.values[0]["id"] == case_id)


def test_noisy_or_of_a_fever():
    case = case_of("russell_norvig", "fever")
    net = network([0.5] * 3, [1e-12], [[1 - inhibit] for inhibit in case["inhibit"]])
    chances = net.group((0,)).chances[0]
    ours = {tuple(np.flatnonzero(row).tolist()): chance for row, chance in zip(net.sets.present, chances, strict=True)}
    assert [ours[tuple(acting)] for acting in case["acting"]] == pytest.approx(case["fever"], **EXACT)


def test_causes_of_one_effect_explain_each_other_away():
    case = case_of("pearl1988", "explaining_away")
    net = network(case["prior"], [case["leak"]], [[1 - inhibit] for inhibit in case["inhibit"]])
    assert net.set_priors @ net.group((0,)).chances[0] == as_printed(case["effect"])
    state = posterior(net, np.array([1.0]))
    assert [*state.causes] == [as_printed(printed) for printed in case["given_effect"]]
    both = net.sets.present.all(axis=1)
    assert state.weights[both].sum() / state.causes[1] == as_printed(case["first_given_both"])


def test_burglar_alarm_in_pgmpy():
    case = case_of("russell_norvig", "alarm")
    both, burglary, earthquake, neither = case["alarm"]
    nodes = [
        yes_no("burglary", [], [case["burglary"]]),
        yes_no("earthquake", [], [case["earthquake"]]),
        yes_no("alarm", ["burglary", "earthquake"], [neither, earthquake, burglary, both]),
        *(yes_no(name, ["alarm"], [without, heard]) for name, (heard, without) in case["calls"].items()),
    ]
    ask = library(nodes)
    told = ask.query(["burglary"], evidence=dict.fromkeys(case["calls"], 1), show_progress=False).values
    assert told[1] == as_printed(case["both_call"])
    everything = ask.query(["burglary", *case["calls"]], show_progress=False).values
    assert everything[1, 1, 1] == as_printed(case["joint"])


@pytest.mark.parametrize("case", cases("lauritzen1988"))
def test_chest_clinic_in_pgmpy(case):
    tables = tomllib.loads((CASES / "lauritzen1988.toml").read_text("utf-8"))["node"]
    ask = library([yes_no(node["name"], node["parents"], node["yes"]) for node in tables])
    told = ask.query(list(case["yes"]), evidence=case["evidence"], joint=False, show_progress=False)
    assert {name: told[name].values[1] for name in case["yes"]} == {
        name: as_printed(printed) for name, printed in case["yes"].items()
    }


def test_a_screening_test():
    case = case_of("eddy1982", "screening")
    # Sensitivity 1 - (1 - false positives) (1 - lift).
    lift = 1 - (1 - case["sensitivity"]) / (1 - case["false_positive"])
    state = posterior(network([case["prevalence"]], [case["false_positive"]], [[lift]]), np.array([1.0]))
    assert state.causes[0] == as_printed(case["after_positive"])


def test_likelihood_ratios_multiply_the_odds():
    case = case_of("odds_form", "two_findings")
    more, less = case["ratios"]
    # 0.1 to 0.1 * 6 by a lift, and 0.5 to 0.5 * 0.4 by a hold.
    net = network([case["prior"]], [0.1, 0.5], [[1 - (1 - 0.1 * more) / 0.9, 0]], [[1, less]])
    assert posterior(net, np.array([1.0, 1.0])).causes[0] == as_printed(case["posterior"])


def test_worth_of_an_imperfect_test():
    case = case_of("raiffa1968", "oil")
    prior, payoff = np.array(case["prior"]), np.array([case["payoff"]["drill"], case["payoff"]["leave"]])
    signal = np.array(case["signal"])
    assert prior @ signal == pytest.approx(case["chance_of_signal"], **EXACT)
    without, with_test = expected_right(payoff * prior @ signal)
    assert (without, with_test) == pytest.approx((case["without"], case["with_test"]), **EXACT)
    assert with_test - without == pytest.approx(case["test_is_worth"], **EXACT)
    assert with_test - without - case["price"] == pytest.approx(case["net_of_price"], **EXACT)
    assert expected_right(payoff * prior @ np.eye(3)) == pytest.approx((case["without"], case["perfect"]), **EXACT)
