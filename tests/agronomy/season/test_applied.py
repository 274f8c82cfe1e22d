import numpy as np
import pytest

from spadework.agronomy.season import Application
from spadework.agronomy.season.applied import Waiting
from spadework.errors import DomainError


def test_rain_frees_applied_n_worked_by_hand():
    """56 kg, 5 % lost, 65 % of the rest within reach: 34.58; freed by 0, 5, 9 and 17 of 12.7 mm."""
    waiting = Waiting(Application(day=2, rate=56.0, access=0.65, volatilised=0.05, rain_to_free=12.7), 0, 1)
    freed = 0.0
    seen = []
    assert waiting.freed(1, 30.0) is None
    for day, rain in ((2, 0.0), (3, 5.0), (4, 4.0), (5, 8.0)):
        freed += waiting.freed(day, rain)[0]
        seen.append(freed)

    assert seen == pytest.approx([0, 13.614173, 24.505512, 34.58], abs=1e-6)
    assert waiting.freed(6, 20.0) is None


def test_n_in_the_soil_waits_for_no_rain():
    waiting = Waiting(Application(day=0, rate=np.array([[10.0], [20.0]]), access=0.8), 0, 2)

    np.testing.assert_allclose(waiting.freed(0, 0.0), [8, 16])


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"access": 1.1}, "access must be from 0 to 1"),
        ({"volatilised": -0.1}, "volatilised must be from 0 to 1"),
        ({"rate": -5.0}, "rate must be finite and at least 0"),
        ({"day": -1}, "day and rain_to_free must be at least 0"),
    ],
)
def test_an_application_that_cannot_be_is_refused(changed, message):
    with pytest.raises(DomainError, match=message):
        Application(**{"day": 0, "rate": 10.0, "access": 0.8} | changed)
