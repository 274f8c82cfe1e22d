"""What holds in any network."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from tests.agronomy.diagnosis.networks import drawn_answers, drawn_network, seeds

from spadework.agronomy.diagnosis import Network, posterior

CLOSE = {"rtol": 1e-9, "atol": 1e-12}


@st.composite
def one_finding_about(draw, *, speaks_for):
    """A plain network, a cause and a finding that it bears on one way, and no other of the finding's group at all.

    Only then does the finding alone always move its cause that way: where no more than a few causes may act at once
    they push each other out, and a cause that bears on two findings of a group may speak more for the other.
    """
    rng = np.random.default_rng(draw(seeds))
    causes, findings = draw(st.integers(1, 5)), draw(st.integers(1, 5))
    net = drawn_network(rng, causes=causes, findings=findings)
    cause, finding = draw(st.integers(0, causes - 1)), draw(st.integers(0, findings - 1))
    group = list(next(group for group in net.groups if finding in group))
    strength = draw(st.floats(0, 1))
    net.lift[cause, group], net.hold[cause, group] = 0, 1
    (net.lift if speaks_for else net.hold)[cause, finding] = strength
    answers = np.full(findings, np.nan)
    answers[finding] = 1
    return net, cause, answers


@given(one_finding_about(speaks_for=True))
def test_a_finding_that_speaks_for_a_cause_never_lowers_it(case):
    net, cause, answers = case
    assert posterior(net, answers).causes[cause] >= net.prior[cause] - 1e-12


@given(one_finding_about(speaks_for=False))
def test_a_finding_that_a_cause_holds_back_never_raises_it(case):
    net, cause, answers = case
    assert posterior(net, answers).causes[cause] <= net.prior[cause] + 1e-12


@st.composite
def states(draw):
    rng = np.random.default_rng(draw(seeds))
    causes, findings = draw(st.integers(1, 6)), draw(st.integers(1, 8))
    net = drawn_network(rng, causes=causes, findings=findings, most_together=draw(st.integers(1, causes)))
    return net, drawn_answers(rng, net.groups), rng


@given(states())
def test_probabilities_are_probabilities(case):
    net, answers, _ = case
    state = posterior(net, answers)
    assert (state.weights >= 0).all()
    assert abs(state.weights.sum() - 1) < 1e-12
    assert ((state.causes >= 0) & (state.causes <= 1)).all()
    # Those that act are at most so many, and one at least unless there is nothing.
    assert 1 - state.nothing - 1e-12 <= state.causes.sum() <= net.most_together + 1e-12


@given(states())
def test_the_order_of_causes_does_not_matter(case):
    net, answers, rng = case
    order = rng.permutation(len(net.prior))
    turned = Network(net.prior[order], net.background, net.lift[order], net.hold[order], net.groups, net.most_together)
    before, after = posterior(net, answers), posterior(turned, answers)
    np.testing.assert_allclose(after.causes, before.causes[order], **CLOSE)
    np.testing.assert_allclose(after.nothing, before.nothing, **CLOSE)


@given(states())
def test_the_order_of_findings_does_not_matter(case):
    net, answers, rng = case
    order = rng.permutation(len(net.background))
    place = np.argsort(order)
    groups = tuple(tuple(int(place[finding]) for finding in group) for group in reversed(net.groups))
    turned = Network(
        net.prior, net.background[order], net.lift[:, order], net.hold[:, order], groups, net.most_together
    )
    np.testing.assert_allclose(posterior(turned, answers[order]).causes, posterior(net, answers).causes, **CLOSE)


@given(states())
def test_not_known_is_the_mean_over_the_answers(case):
    """P(cause) = sum of P(state of a group) P(cause | that state), over all its states."""
    net, answers, rng = case
    group = net.groups[rng.integers(len(net.groups))]
    places = list(group)
    answers[places] = np.nan
    state = posterior(net, answers)
    shared = net.group(group)
    chances = net.laid_out(shared.chances, shared.causes, axis=1) @ state.weights
    total = 0.0
    for number, chance in enumerate(chances):
        answers[places] = [float(place == number) for place in range(len(places))]
        total = total + chance * posterior(net, answers).causes
    np.testing.assert_allclose(total, state.causes, **CLOSE)


@given(states())
def test_a_finding_that_no_cause_bears_on_tells_nothing(case):
    net, answers, _ = case
    alone = Network(
        net.prior,
        np.append(net.background, 0.3),
        np.column_stack([net.lift, np.zeros(len(net.prior))]),
        np.column_stack([net.hold, np.ones(len(net.prior))]),
        (*net.groups, (len(net.background),)),
        net.most_together,
    )
    told = posterior(alone, np.append(answers, 1.0))
    np.testing.assert_allclose(told.causes, posterior(net, answers).causes, **CLOSE)
    np.testing.assert_allclose(told.without(len(answers)), told.causes, **CLOSE)


@given(states())
def test_without_is_as_if_nobody_knew(case):
    net, answers, _ = case
    state = posterior(net, answers)
    for place in range(len(answers)):
        less = answers.copy()
        less[place] = np.nan
        np.testing.assert_allclose(state.without(place), posterior(net, less).causes, **CLOSE)
