"""Small networks by hand, and networks drawn at random."""

import numpy as np
from hypothesis import strategies as st

from spadework.agronomy.diagnosis import Network


def network(prior, background, lift, hold=None, *, groups=None, most_together=None):
    """A network from plain lists; no hold, each finding by itself and any number of causes, unless told."""
    findings = len(background)
    return Network(
        prior=np.array(prior, dtype=float),
        background=np.array(background, dtype=float),
        lift=np.array(lift, dtype=float),
        hold=np.ones((len(prior), findings)) if hold is None else np.array(hold, dtype=float),
        groups=tuple((place,) for place in range(findings)) if groups is None else groups,
        most_together=len(prior) if most_together is None else most_together,
    )


def drawn_groups(findings, rng):
    """Part so many findings into groups of 1 to 4, in no order."""
    order, groups = rng.permutation(findings).tolist(), []
    while order:
        size = int(rng.integers(1, 5))
        groups.append(tuple(order[:size]))
        order = order[size:]
    return tuple(groups)


def drawn_network(rng, *, causes, findings, most_together=None, groups=None):
    """A network with lifts, holds and groups; some cells hold and lift at once, most do nothing."""
    shape = (causes, findings)
    return network(
        prior=rng.uniform(0.01, 0.6, causes),
        background=rng.uniform(0.01, 0.9, findings),
        lift=np.where(rng.random(shape) < 0.4, rng.uniform(0, 0.99, shape), 0.0),
        hold=np.where(rng.random(shape) < 0.2, rng.uniform(0.005, 1, shape), 1.0),
        groups=drawn_groups(findings, rng) if groups is None else groups,
        most_together=most_together,
    )


def drawn_answers(rng, groups):
    """What is known: nothing, yes, no or a reading; never two sure yeses in one group, for nothing explains them."""
    answers = np.full(sum(map(len, groups)), np.nan)
    for group in groups:
        places = list(group)
        kind = rng.choice(["unknown", "no", "reading"], len(places), p=[0.4, 0.3, 0.3])
        answers[places] = np.select([kind == "no", kind == "reading"], [0.0, rng.uniform(0, 1, len(places))], np.nan)
        if rng.random() < 0.4:
            answers[rng.choice(places)] = 1.0
    return answers


seeds = st.integers(0, 2**32 - 1)
