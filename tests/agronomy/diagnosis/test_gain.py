"""What a check is expected to tell: values by hand, edges, refusals, and the sums over its answers."""

import math
from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.agronomy.diagnosis.networks import drawn_answers, drawn_network, network, seeds

from spadework.agronomy.diagnosis import expected_gain, posterior
from spadework.agronomy.diagnosis.gain import expected_right
from spadework.errors import DomainError

NAN = np.nan

# With the cause 1 - 0.75 / 3 = 0.75, without it 0.25: right three times in four, either way.
RIGHT_IN_THREE_OF_FOUR = {"background": 0.25, "lift": 2 / 3}
COURSES = np.array([0, 1])


def entropy(*chances):
    return -sum(chance * math.log2(chance) for chance in chances if chance)


def told(findings, answers, *, prior=0.5):
    """One cause, and so many findings each right in three of four."""
    one = RIGHT_IN_THREE_OF_FOUR
    net = network([prior], [one["background"]] * len(answers), [[one["lift"]] * len(answers)])
    return expected_gain(posterior(net, np.array(answers)), findings, COURSES)


def test_one_finding():
    gain = told((0,), [NAN])
    # Both answers are as likely; each leaves the doubt of one in four.
    assert gain.bits == pytest.approx(1 - entropy(0.25, 0.75))  # 0.1887
    assert gain.right_now == 0.5
    assert gain.right_then == pytest.approx(0.75)


def test_two_findings_at_once():
    gain = told((0, 1), [NAN, NAN])
    # Yes-yes and no-no 0.5 (0.75^2 + 0.25^2) = 0.3125 each, the two mixed ones 0.1875 each.
    assert gain.bits == pytest.approx(entropy(0.3125, 0.3125, 0.1875, 0.1875) - 2 * entropy(0.25, 0.75))
    # Right 0.28125 of the time with yes-yes and with no-no, and half of the rest: no better than one of them.
    assert gain.right_then == pytest.approx(2 * 0.28125 + 0.1875)


def test_what_would_not_change_the_course_decides_nothing():
    gain = told((0,), [NAN], prior=0.1)
    # Yes: 0.1 * 0.75 = 0.075 for the cause, 0.9 * 0.25 = 0.225 against it still.
    assert gain.right_now == pytest.approx(0.9)
    assert gain.right_then == pytest.approx(0.9)
    assert gain.bits == pytest.approx(entropy(0.3, 0.7) - entropy(0.25, 0.75))


@pytest.mark.parametrize("answer", [0.0, 1.0])
def test_what_is_known_for_sure_gains_nothing(answer):
    known = told((0,), [answer, NAN])
    assert known.bits == pytest.approx(0, abs=1e-12)
    assert known.right_then == pytest.approx(known.right_now)
    both, other = told((0, 1), [answer, NAN]), told((1,), [answer, NAN])
    assert (both.bits, both.right_then) == pytest.approx((other.bits, other.right_then))


def test_settling_an_uncertain_reading():
    # The reading of 0.75 makes of 0.75 and 0.25 the joint 0.5625 and 0.0625 with the cause, 0.1875 and 0.1875 without:
    # the cause stands at 0.625, and the finding would turn out so in 0.75 of it at 0.9, of the rest at 0.5.
    gain = told((0,), [0.75])
    assert gain.right_now == pytest.approx(0.625)
    assert gain.bits == pytest.approx(entropy(0.75, 0.25) - 0.625 * entropy(0.9, 0.1) - 0.375 * entropy(0.5, 0.5))
    assert gain.right_then == pytest.approx(0.5625 + 0.1875)


def test_a_group_answers_with_one_of_its_findings_or_none():
    # As in test_network: 1/9, 4/9, 4/9 without the cause, 4/6, 1/6, 1/6 with it.
    net = network([0.5], [0.2, 0.5], [[0.75, 0]], groups=((0, 1),))
    state = posterior(net, np.array([NAN, NAN]))
    whole = expected_gain(state, (0, 1), COURSES)
    assert whole.bits == pytest.approx(
        entropy(7 / 18, 11 / 36, 11 / 36) - entropy(1 / 9, 4 / 9, 4 / 9) / 2 - entropy(4 / 6, 1 / 6, 1 / 6) / 2
    )
    assert whole.right_then == pytest.approx((4 / 6 + 4 / 9 + 4 / 9) / 2)
    # The first alone tells as much, for the other two speak alike.
    first = expected_gain(state, (0,), COURSES)
    assert first.bits == pytest.approx(entropy(7 / 18, 11 / 18) - entropy(1 / 9, 8 / 9) / 2 - entropy(2 / 3, 1 / 3) / 2)
    assert first.bits == pytest.approx(whole.bits)


def test_no_finding_gains_nothing():
    gain = told((), [NAN])
    assert (gain.bits, gain.right_now, gain.right_then) == (0, 0.5, 0.5)


def test_a_finding_that_no_cause_bears_on_gains_nothing():
    state = posterior(network([0.3], [0.4], [[0]]), np.array([NAN]))
    gain = expected_gain(state, (0,), COURSES)
    assert gain.bits == pytest.approx(0, abs=1e-12)
    assert gain.right_then == gain.right_now == pytest.approx(0.7)


def test_sets_ruled_out_weigh_nothing():
    state = posterior(network([0.3, 0.3], [0.4, 0.5], [[0, 0.5], [0, 0]], [[0, 1], [1, 1]]), np.array([1.0, NAN]))
    assert state.causes[0] == 0
    gain = expected_gain(state, (0, 1), np.array([0, 1, 1, 1]))
    assert gain.bits == pytest.approx(0, abs=1e-12)
    assert gain.right_then == pytest.approx(0.7)


def test_expected_right_by_hand():
    # Choices by answers: best without it 0.5, with it 0.4 and 0.3.
    assert expected_right(np.array([[0.4, 0.1], [0.2, 0.3]])) == pytest.approx((0.5, 0.7))


@pytest.mark.parametrize(
    ("findings", "courses", "message"),
    [
        ((2,), [0, 1], "findings must be places from 0 to 1, but is 2"),
        ((0, -1), [0, 1], "findings must be places from 0 to 1, but is -1"),
        ((0,), [0, 1, 1], r"shape of course_of_set must be \(2,\), one course for each set, but is \(3,\)"),
    ],
)
def test_expected_gain_refuses(findings, courses, message):
    state = posterior(network([0.3], [0.4, 0.4], [[0.5, 0]]), np.array([NAN, NAN]))
    with pytest.raises(DomainError, match=message):
        expected_gain(state, findings, np.array(courses))


@st.composite
def checks(draw):
    """A network with something known, findings that are not, and a course for each set."""
    rng = np.random.default_rng(draw(seeds))
    causes, findings = draw(st.integers(1, 5)), draw(st.integers(1, 7))
    net = drawn_network(rng, causes=causes, findings=findings, most_together=draw(st.integers(1, causes)))
    asked = tuple(rng.choice(findings, size=draw(st.integers(1, min(findings, 4))), replace=False).tolist())
    answers = drawn_answers(rng, net.groups)
    answers[list(asked)] = NAN
    return posterior(net, answers), asked, rng.integers(0, 3, len(net.sets))


@given(checks())
def test_gain_is_the_mean_over_the_answers(case):
    """Each possible answer entered as evidence: what is left of the doubt, and the best course then."""
    state, asked, courses = case
    doubt, right, whole = 0.0, 0.0, 0.0
    for answer in product([0.0, 1.0], repeat=len(asked)):
        if any(
            sum(answer[asked.index(place)] for place in group if place in asked) > 1 for group in state.network.groups
        ):
            continue
        answers = state.answers.copy()
        answers[list(asked)] = answer
        if any(np.sum(answers[list(group)] == 1) > 1 for group in state.network.groups):
            continue
        chance = probability(state, asked, answers)
        then = posterior(state.network, answers)
        whole += chance
        doubt += chance * entropy(*then.weights)
        right += chance * np.bincount(courses, then.weights).max()
    gain = expected_gain(state, asked, courses)
    assert whole == pytest.approx(1, abs=1e-9)
    assert gain.bits == pytest.approx(entropy(*state.weights) - doubt, abs=1e-9)
    assert gain.right_now == pytest.approx(np.bincount(courses, state.weights).max(), abs=1e-9)
    assert gain.right_then == pytest.approx(right, abs=1e-9)


def probability(state, asked, answers):
    """Chance of these answers on the findings asked, given what was known: likelihood with them against without."""
    net = state.network
    fits = state.weights
    for group in net.groups:
        if set(group) & set(asked):
            shared, places = net.group(group), list(group)
            then, before = shared.likelihood(answers[places]), shared.likelihood(state.answers[places])
            fits = fits * net.laid_out(then / before, shared.causes)
    return fits.sum()


@given(checks())
def test_a_check_never_makes_the_choice_worse(case):
    gain = expected_gain(*case)
    assert gain.bits >= 0
    assert 0 <= gain.right_now <= gain.right_then <= 1 + 1e-12


@given(checks())
def test_more_findings_never_tell_less(case):
    state, asked, courses = case
    fewer, more = expected_gain(state, asked[:-1], courses), expected_gain(state, asked, courses)
    assert more.bits >= fewer.bits - 1e-12
    assert more.right_then >= fewer.right_then - 1e-12
