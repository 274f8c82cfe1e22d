import pytest

from spadework.agronomy.season import Application
from spadework.errors import DomainError


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
