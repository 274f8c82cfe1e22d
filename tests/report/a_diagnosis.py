"""Diagnoses as the page of causes meets them, made by hand; all values are invented."""

import datetime as dt

from spadework.advice.diagnosis.value import (
    Argument,
    CauseAdvice,
    CauseChance,
    CheckAdvice,
    Diagnosis,
    Evidence,
    Pallor,
)
from spadework.advice.message import Message
from spadework.advice.messages import catalogue
from spadework.knowledge.load import load
from spadework.knowledge.rows import Cause, Caution
from spadework.quantity import Grade, Quantity

NOT_PALE = Pallor("not_pale", Message("pallor.not_pale"), None, ())


def say(text):
    return Message("test.sentence", {"text": text})


def chance(value, low=None, high=None):
    low = max(0.0, value - 0.15) if low is None else low
    high = min(1.0, value + 0.15) if high is None else high
    return Quantity(value, "1", low, high, sources=("diagnosis.prior",), grade=Grade.JUDGEMENT)


def a_cause(name, value, *, speaks_for=(), speaks_against=(), cautions=()):
    """A cause with the texts of the catalogue; arguments as (finding, factor, message)."""
    text = f"cause.{name}"
    return CauseAdvice(
        cause=name,
        name=Message(f"{text}.name"),
        probability=chance(value),
        speaks_for=tuple(Argument(*one) for one in speaks_for),
        speaks_against=tuple(Argument(*one) for one in speaks_against),
        confirm=Message(f"{text}.confirm"),
        this_season=Message(f"{text}.this_season"),
        next_season=Message(f"{text}.next_season"),
        cautions=tuple(Message(f"caution.{caution}") for caution in cautions),
    )


def a_check(name, *, first="salinity", minutes=10.0, **changes):
    reason = {"first": first, "others": 3, "share": 0.12, "now": 0.63, "then": 0.71}
    return CheckAdvice(
        **{
            "check": name,
            "name": Message(f"check.{name}.name"),
            "reason": Message("diagnosis.reason.decides", reason),
            "findings": (),
            "minutes": minutes,
            "waits_days": 0.0,
            "laboratory": False,
            "price": None,
            "bits": 0.4,
            "right_now": 0.63,
            "right_then": 0.71,
            **changes,
        }
    )


SALT = say("The soil is salty: 4.6 dS/m, above the limit of 4.")
PLACES = say("It was bad where the soil changed.")
WET = say("The soil was never full of water for long after the crop came up.")
LOAM = say("The soil is loam, not sand.")
EARLY = say("Nodules were few.")


def a_diagnosis(**changes):
    """Very likely salt; nutrients second."""
    values = {"first": "salinity", "chance": 0.86, "second": "other_nutrients", "second_chance": 0.2, "nothing": 0.02}
    return Diagnosis(
        **{
            "state": "very_likely",
            "headline": Message("diagnosis.very_likely", values),
            "causes": (
                a_cause(
                    "salinity",
                    0.86,
                    speaks_for=(("salty_soil", 17.8, SALT), ("soil_type_places", 4.7, PLACES)),
                ),
                a_cause(
                    "other_nutrients",
                    0.20,
                    speaks_for=(("soil_type_places", 1.8, PLACES),),
                    speaks_against=(("saturated_soil", 0.3, WET),),
                ),
            ),
            "others": (
                CauseChance("waterlogging", Message("cause.waterlogging.name"), 0.08),
                CauseChance("dead_inoculant", Message("cause.dead_inoculant.name"), 0.03),
            ),
            "nothing": chance(0.02, 0.003, 0.08),
            "together": None,
            "robust": Message("diagnosis.robust.stays", {"share": 0.98}),
            "priors": Message("diagnosis.priors.flat"),
            "evidence": (
                Evidence("soil_type_places", 1.0, "seen", PLACES),
                Evidence("salty_soil", 1.0, "salt", SALT),
                Evidence("saturated_soil", 0.0, "rain", WET),
                Evidence("sandy_soil", 0.0, "sand", LOAM),
                Evidence("few_nodules", 1.0, "plants", EARLY, Message("diagnosis.silent.early")),
            ),
            "unread": (say("Of 9 June 2026, not used in the diagnosis: birds: many larks."),),
            "pallor": NOT_PALE,
            "checks": (
                a_check("look_over_field", minutes=30.0),
                a_check("soil_nitrate", minutes=20.0, waits_days=5.0, laboratory=True, price=38.5),
                a_check("dig_again_in_a_week", minutes=45.0, waits_days=7.0),
                a_check("tissue_test", minutes=20.0, waits_days=1.0, laboratory=True),
                a_check("read_label"),
            ),
            **changes,
        }
    )


def nothing_wrong():
    """A field whose nodules are as they should be."""
    return a_diagnosis(
        state="nothing_wrong",
        headline=Message("diagnosis.nothing_wrong", {"nothing": 0.9}),
        causes=(),
        nothing=chance(0.9, 0.8, 0.95),
        unread=(),
    )


def cannot_tell(*, evidence=()):
    """Nothing worth acting on."""
    return a_diagnosis(
        state="cannot_tell",
        headline=Message("diagnosis.no_evidence"),
        causes=(),
        nothing=chance(0.35, 0.15, 0.6),
        evidence=tuple(evidence),
        unread=(),
    )


def pale(state="other"):
    """Leaves short of sulphur, told apart from nitrogen."""
    return Pallor(
        state,
        Message(f"pallor.{state}", {"first": "sulphur_shortage", "chance": 0.64}),
        Message("pallor.not_nitrogen.old_leaves"),
        (
            a_cause("sulphur_shortage", 0.64, speaks_for=(("pale_young_leaves", 6.0, say("Young leaves are pale.")),)),
            a_cause("iron_shortage", 0.21),
        ),
    )


def _longest(ids, number):
    return sorted(ids, key=lambda name: (-len(catalogue()[name]), name))[:number]


def _wordiest(network, number):
    """Names of the causes of a network with the longest texts."""

    def letters(name):
        return sum(len(catalogue()[f"cause.{name}.{part}"]) for part in ("confirm", "this_season", "next_season"))

    names = [cause.name for cause in load().of(Cause) if cause.network == network]
    return sorted(names, key=lambda name: (-letters(name), name))[:number]


def longest_diagnosis():
    """The longest texts of the catalogue in every place, and as much known as a well-kept book holds."""
    causes = _wordiest("nodulation", 5)
    cautions = [row.id.removeprefix("caution.") for row in load().of(Caution) if row.when == "cause"]
    nitrate = {"nitrate": 155.0, "depth": 30.0, "day": dt.date(2026, 6, 20), "limit": 56.0}
    sentences = [Message("evidence.nitrate_as_in_pea.yes", nitrate)] * 3
    said = (name for name in catalogue() if name.startswith("finding.") and name.endswith((".yes", ".no")))
    sentences += map(Message, _longest(said, 21))
    evidence = tuple(
        Evidence(f"finding_{place}", 1.0, "seen", message, None if place < 20 else Message("diagnosis.silent.early"))
        for place, message in enumerate(sentences)
    )
    arguments = [(one.finding, 2.0 + place, one.message) for place, one in enumerate(evidence[:8])]
    against = [(one.finding, 0.5, one.message) for one in evidence[8:11]]
    checks = [name.split(".")[1] for name in _longest((n for n in catalogue() if n.startswith("check.")), 12)]
    first, second = causes[:2]
    pallor = _wordiest("pallor", 3)
    return a_diagnosis(
        state="likely",
        headline=Message("diagnosis.likely", {"first": first, "chance": 0.61}),
        causes=tuple(
            a_cause(name, 0.61 - 0.1 * place, speaks_for=arguments, speaks_against=against, cautions=cautions)
            for place, name in enumerate(causes)
        ),
        together=Message("diagnosis.together", {"first": first, "second": second, "chance": 0.4}),
        robust=Message("diagnosis.robust.changes", {"share": 0.51, "other": second}),
        priors=Message("diagnosis.priors.own", {"causes": 4}),
        evidence=evidence,
        unread=tuple(say(f"Of 9 June 2026, not used in the diagnosis: birds {n}: many larks.") for n in range(6)),
        pallor=Pallor(
            "cannot_tell",
            Message("pallor.cannot_tell", {"first": pallor[0], "chance": 0.3}),
            Message("pallor.not_nitrogen.old_leaves"),
            tuple(a_cause(name, 0.3, speaks_for=arguments[:4], cautions=cautions) for name in pallor),
        ),
        checks=tuple(
            a_check(name, first=first, waits_days=8.0, laboratory=True, price=120.0 if place else None)
            for place, name in enumerate(checks)
        ),
    )


def endless_diagnosis(long):
    """The same with endless sentences wherever a sentence may stand."""
    found = longest_diagnosis()
    return a_diagnosis(
        state="likely",
        headline=long,
        causes=found.causes,
        together=long,
        robust=long,
        priors=long,
        evidence=tuple(Evidence(one.finding, 1.0, "seen", long, one.silent) for one in found.evidence),
        unread=(long,) * 20,
        pallor=found.pallor,
        checks=found.checks * 3,
    )
