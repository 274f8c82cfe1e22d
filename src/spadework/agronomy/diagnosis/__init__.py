"""Why something is wrong: exact posteriors of a small cause network, and what a further check would tell."""

from spadework.agronomy.diagnosis.gain import Gain, expected_gain
from spadework.agronomy.diagnosis.network import Network, Posterior, posterior
from spadework.agronomy.diagnosis.robustness import Robustness, robustness
from spadework.agronomy.diagnosis.sets import cause_sets

__all__ = [
    "Gain",
    "Network",
    "Posterior",
    "Robustness",
    "cause_sets",
    "expected_gain",
    "posterior",
    "robustness",
]
