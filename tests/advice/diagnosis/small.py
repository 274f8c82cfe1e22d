"""A network small enough to work out by hand: two causes, three findings, all of it invented."""

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from spadework.advice.diagnosis.value import Evidence
from spadework.advice.message import Message
from spadework.knowledge.load import load
from spadework.knowledge.rows import Cause, Check, Coefficient, EvidenceLine, Finding, Knowledge
from spadework.quantity import Grade

JUDGED = {"source": "own_judgement", "grade": Grade.JUDGEMENT}

FIGURES = {
    "prior": (0.2, 0.1, 0.3),
    "most_together": (2, 2, 2),
    "level.always": (0.95, 0.9, 0.99),
    "level.common": (0.7, 0.5, 0.9),
    "level.sometimes": (0.4, 0.3, 0.5),
    "level.rare": (0.1, 0.05, 0.15),
    "level.against": (0.25, 0.1, 0.5),
    "level.excludes": (0.02, 0.01, 0.05),
    "background.seldom": (0.05, 0.02, 0.1),
    "background.sometimes": (0.2, 0.1, 0.3),
    "background.often": (0.4, 0.3, 0.5),
    "background.usual": (0.8, 0.7, 0.9),
}


def line(finding: str, level: str, **changes) -> EvidenceLine:
    return EvidenceLine(**{"finding": finding, "level": level, **JUDGED, **changes})


def finding(name: str, background: str = "seldom", **changes) -> Finding:
    return Finding(id=f"finding.{name}", background=background, scope="invented", **JUDGED, **changes)


def cause(name: str, *evidence: EvidenceLine, **changes) -> Cause:
    chosen = {"network": "nodulation", "course": "weigh_rescue", **changes}
    return Cause(id=f"cause.{name}", scope="invented", evidence=evidence, **JUDGED, **chosen)


def check(name: str, *findings: str, minutes: float = 10, **changes) -> Check:
    return Check(id=f"check.{name}", scope="invented", findings=findings, minutes=minutes, **JUDGED, **changes)


def knowledge_of(*rows, figures: Mapping[str, tuple[float, float, float]] = MappingProxyType({})) -> Knowledge:
    """Real knowledge with its causes, findings and checks replaced by these, and the figures above."""
    kept = {row.id: row for row in load().rows.values() if not isinstance(row, Cause | Finding | Check)}
    chosen = {
        f"diagnosis.{name}": Coefficient(
            id=f"diagnosis.{name}", value=value, low=low, high=high, unit="1", scope="invented", **JUDGED
        )
        for name, (value, low, high) in {**FIGURES, **figures}.items()
    }
    return replace(load(), rows={**kept, **chosen, **{row.id: row for row in rows}})


def known(name: str, sure: float = 1, **changes) -> Evidence:
    return Evidence(finding=name, sure=sure, rule="seen", message=Message(f"finding.{name}.yes"), **changes)
