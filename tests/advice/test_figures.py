"""A posterior share as a figure."""

from spadework.advice.figures import share_figure
from spadework.agronomy.scoring.share import field_share
from spadework.quantity import Grade


def test_a_share_carries_interval_sources_and_grade():
    posterior = field_share(stop=[0] * 10, chance=[1.0] * 7 + [0.0] * 3, prior_correlation=0.2)
    figure = share_figure(posterior, level=0.9, sources=("row.a",), grade=Grade.JUDGEMENT)
    assert (figure.low, figure.high) == posterior.interval(0.9)
    assert figure.value == posterior.mean
    assert (figure.unit, figure.level, figure.sources, figure.grade) == ("1", 0.9, ("row.a",), Grade.JUDGEMENT)


def test_the_value_lies_inside_its_interval_at_the_ends():
    for chance in ([0.0] * 30, [1.0] * 30):
        figure = share_figure(
            field_share(stop=[0] * 30, chance=chance, prior_correlation=0.2), level=0.5, sources=(), grade=Grade.READ
        )
        assert figure.low <= figure.value <= figure.high
