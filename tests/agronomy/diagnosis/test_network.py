"""The network and its posterior: values by hand, edges and refusals; properties and references stand elsewhere."""

import numpy as np
import pytest
from tests.agronomy.diagnosis.networks import network

from spadework.agronomy.diagnosis import Network, posterior
from spadework.agronomy.diagnosis.network import state_weights
from spadework.errors import DomainError

NAN = np.nan


def known(*answers):
    return np.array(answers, dtype=float)


@pytest.mark.parametrize(
    ("answer", "probability"),
    [
        # With the cause 1 - 0.9 * 0.5 = 0.55, without it 0.1.
        (1, 0.2 * 0.55 / (0.2 * 0.55 + 0.8 * 0.1)),
        (0, 0.2 * 0.45 / (0.2 * 0.45 + 0.8 * 0.9)),  # 1/9
        (NAN, 0.2),
        # A reading of 0.8 counts 0.8 for and 0.2 against: 0.8 * 0.55 + 0.2 * 0.45 = 0.53, and 0.26 without.
        (0.8, 0.2 * 0.53 / (0.2 * 0.53 + 0.8 * 0.26)),
        (0.5, 0.2),
    ],
)
def test_one_cause_that_brings_a_finding_about(answer, probability):
    state = posterior(network([0.2], [0.1], [[0.5]]), known(answer))
    assert state.causes == pytest.approx([probability], abs=1e-15)
    assert state.nothing == pytest.approx(1 - probability, abs=1e-15)


@pytest.mark.parametrize(
    ("answer", "probability"),
    [
        # With the cause 0.1 * 0.25 = 0.025.
        (1, 0.2 * 0.025 / (0.2 * 0.025 + 0.8 * 0.1)),  # 1/17
        (0, 0.2 * 0.975 / (0.2 * 0.975 + 0.8 * 0.9)),
    ],
)
def test_one_cause_that_holds_a_finding_back(answer, probability):
    state = posterior(network([0.2], [0.1], [[0]], [[0.25]]), known(answer))
    assert state.causes == pytest.approx([probability], abs=1e-15)


def test_two_causes_against_each_other():
    # Causes 0 and 1 lift by 0.5 and 0.2, cause 1 holds by 0.25 too; background 0.1.
    group = network([0.2, 0.3], [0.1], [[0.5], [0.2]], [[1], [0.25]]).group((0,))
    # Of none, 0, 1, both: 0.1; 1 - 0.9 * 0.5; (1 - 0.9 * 0.8) * 0.25; (1 - 0.9 * 0.5 * 0.8) * 0.25.
    assert group.chances[0] == pytest.approx([0.1, 0.55, 0.07, 0.16], abs=1e-15)
    assert group.chances.sum(axis=0) == pytest.approx(1)


def test_the_slightest_lift_and_hold_count():
    # 1 - 0.9 * 0.99 = 0.109 against 0.1; 0.5 * 0.98 = 0.49 against 0.5.
    net = network([0.5], [0.1, 0.5], [[0.01, 0]], [[1, 0.98]])
    assert posterior(net, known(1, NAN)).causes == pytest.approx([0.109 / 0.209])
    assert posterior(net, known(NAN, 1)).causes == pytest.approx([0.49 / 0.99])


def test_a_group_shares_the_odds_out():
    # Backgrounds 0.2 and 0.5 are odds of 1/4 and 1: shares 1/9, 4/9, and 4/9 for neither.
    # The cause lifts the first to 1 - 0.8 * 0.25 = 0.8, odds of 4: shares 4/6, 1/6, 1/6.
    net = network([0.5], [0.2, 0.5], [[0.75, 0]], groups=((0, 1),))
    np.testing.assert_allclose(net.group((0, 1)).chances.T, [[1 / 9, 4 / 9, 4 / 9], [4 / 6, 1 / 6, 1 / 6]], rtol=1e-14)
    # That the second is so rules the first out: 1/6 against 4/9.
    assert posterior(net, known(NAN, 1)).causes == pytest.approx([(1 / 6) / (1 / 6 + 4 / 9)])
    assert posterior(net, known(0, 1)).causes == posterior(net, known(NAN, 1)).causes
    # Not the first: second or neither, 2/6 against 8/9.
    assert posterior(net, known(0, NAN)).causes == pytest.approx([(2 / 6) / (2 / 6 + 8 / 9)])


def test_causes_that_act_one_at_a_time():
    # Odds of 1/4 and 1 beside the empty set's 1: 1/9, 4/9 and 4/9.
    state = posterior(network([0.2, 0.5], [0.1], [[0], [0]], most_together=1), known(NAN))
    assert state.causes == pytest.approx([1 / 9, 4 / 9])
    assert state.nothing == pytest.approx(4 / 9)
    assert state.weights == pytest.approx([4 / 9, 1 / 9, 4 / 9])


def test_without_evidence_the_plain_network_keeps_its_priors():
    state = posterior(network([0.1, 0.2, 0.7], [0.3], [[0.5], [0.2], [0]]), known(NAN))
    assert state.causes == pytest.approx([0.1, 0.2, 0.7])
    assert state.nothing == pytest.approx(0.9 * 0.8 * 0.3)


@pytest.mark.parametrize("place", [0, 1, 2])
def test_without_a_finding_is_as_if_nobody_knew_of_it(place):
    net = network([0.2, 0.3], [0.1, 0.2, 0.4], [[0.5, 0, 0.1], [0.3, 0.6, 0]], [[1, 0.3, 1]] * 2, groups=((0, 2), (1,)))
    answers = known(0.3, 1, 0)
    less = answers.copy()
    less[place] = NAN
    np.testing.assert_allclose(posterior(net, answers).without(place), posterior(net, less).causes, rtol=1e-14)


def test_what_a_finding_ruled_out_comes_back_without_it():
    net = network([0.2], [0.1], [[0]], [[0]])
    state = posterior(net, known(1))
    assert state.causes == [0]
    assert state.without(0) == pytest.approx([0.2])


def test_a_certain_finding_that_is_not_there_rules_its_cause_out():
    state = posterior(network([0.2, 0.2], [0.1], [[1], [0.5]]), known(0))
    assert state.causes[0] == 0
    assert state.causes[1] == pytest.approx(0.2 * 0.45 / (0.2 * 0.45 + 0.8 * 0.9))


def test_findings_that_are_certain_share_their_group():
    chances = network([0.5], [0.2, 0.2, 0.2], [[1, 1, 0]], groups=((0, 1, 2),)).group((0, 1, 2)).chances
    assert chances[:, 1] == pytest.approx([0.5, 0.5, 0, 0], abs=1e-12)


def test_a_finding_that_is_all_but_certain_keeps_its_digits_when_it_is_not_there():
    # Not so with both causes: 0.5 * 1e-9 * 1e-9; with the first alone 0.5 * 1e-9. Together they weigh 1e-9 of one.
    state = posterior(network([0.5, 0.5], [0.5], [[1 - 1e-9], [1 - 1e-9]]), known(0))
    assert state.weights[3] / state.weights[1] == pytest.approx(1e-9, rel=1e-6)


def test_state_weights_by_hand():
    # First so 0.8, second not known: 0.8; second so, first not: 0.2; neither: 0.2.
    assert state_weights(known(0.8, NAN)) == pytest.approx([0.8, 0.2, 0.2])
    assert state_weights(known(1, NAN, 0)).tolist() == [1, 0, 0, 0]
    assert state_weights(known(NAN)).tolist() == [1, 1]


def test_many_networks_at_once_are_each_by_itself():
    rng = np.random.default_rng(1)
    first, second = (
        network(
            rng.uniform(0.1, 0.5, 3),
            rng.uniform(0.1, 0.5, 4),
            rng.uniform(0, 1, (3, 4)),
            rng.uniform(0, 1, (3, 4)),
            groups=((0, 2), (1,), (3,)),
            most_together=2,
        )
        for _ in range(2)
    )
    stacked = {
        name: np.stack([getattr(first, name), getattr(second, name)], axis=-1)
        for name in ("prior", "background", "lift", "hold")
    }
    both = Network(**stacked, groups=first.groups, most_together=2)
    for group in first.groups:
        for place, one in enumerate((first, second)):
            np.testing.assert_array_equal(both.group(group).chances[..., place], one.group(group).chances)
    np.testing.assert_allclose(both.set_priors, np.stack([first.set_priors, second.set_priors], axis=-1), rtol=1e-15)


ONE = {"prior": [0.2], "background": [0.1, 0.2], "lift": [[0.5, 0]], "hold": [[1, 0.5]]}


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"prior": [0]}, "prior must be between 0 and 1, ends excluded, but is 0.0"),
        ({"prior": [1]}, "prior must be between 0 and 1, ends excluded, but is 1.0"),
        ({"prior": [NAN]}, "prior must be between 0 and 1, ends excluded, but is nan"),
        ({"background": [0.1, 0]}, "background must be between 0 and 1, ends excluded, but is 0.0"),
        ({"background": [0.1, 1.5]}, "background must be between 0 and 1, ends excluded, but is 1.5"),
        ({"lift": [[0.5, 1.1]]}, "lift must be from 0 to 1, but is 1.1"),
        ({"lift": [[0.5, -0.1]]}, "lift must be from 0 to 1, but is -0.1"),
        ({"hold": [[2, 1]]}, "hold must be from 0 to 1, but is 2.0"),
        ({"lift": [[0.5]]}, r"shape of lift must be \(1, 2\), causes by findings, but is \(1, 1\)"),
        ({"hold": [[1, 1], [1, 1]]}, r"shape of hold must be \(1, 2\), causes by findings, but is \(2, 2\)"),
        ({"groups": ((0,),)}, r"groups must be each finding in exactly one group, but is \(\(0,\),\)"),
        ({"groups": ((0, 1), (1,))}, r"groups must be each finding in exactly one group"),
        ({"most_together": 0}, "most_together must be 1 or more, but is 0"),
    ],
)
def test_a_network_refuses(change, message):
    with pytest.raises(DomainError, match=message):
        network(**{**ONE, **change})


@pytest.mark.parametrize(
    ("answers", "message"),
    [
        ([1.5, NAN], "answers must be from 0 to 1, or NaN for not known, but is 1.5"),
        ([NAN, -1], "answers must be from 0 to 1, or NaN for not known, but is -1.0"),
        ([1], r"shape of answers must be \(2,\), one for each finding, but is \(1,\)"),
        ([1, 1], r"answers must be such as some set of causes explains, but is \{0: 1.0, 1: 1.0\}"),
    ],
)
def test_posterior_refuses(answers, message):
    shut_out = network(**ONE, groups=((0, 1),))
    with pytest.raises(DomainError, match=message):
        posterior(shut_out, known(*answers))
