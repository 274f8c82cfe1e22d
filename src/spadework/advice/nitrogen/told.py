"""The nitrogen of a field in sentences."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from spadework.advice.message import Message, Scalar
from spadework.advice.nitrogen.crop_seen import CropSeen
from spadework.advice.nitrogen.dig import DigSeen
from spadework.advice.nitrogen.inputs import BalanceInputs
from spadework.advice.nitrogen.sky import Sky
from spadework.advice.nitrogen.value import Driver
from spadework.agronomy.season.nodulation import Calibration
from spadework.quantity import Quantity
from spadework.records.maturity_group import maturity_group

__all__ = ["headline_of", "reasons_of"]

Figures = Mapping[str, Quantity | None]

_RIPE_FOR_SURE = 0.95
_WORTH_SAYING = 0.25


def headline_of(
    state: str, figures: Figures, *, wrong_time: bool, contradicted: bool, chance: float, matters: float
) -> Message:
    """Say whether there is nitrogen for the yield."""
    kind = "wrong_time" if wrong_time else "contradicted" if contradicted else state
    return Message(
        f"nitrogen.headline.{kind}",
        {
            "chance": chance,
            "matters": matters,
            **_span("gap", figures["gap_at_maturity"]),
            **_span("loss", figures["yield_loss"]),
            **_span("factor", figures["nodulation"]),
            "yield": _value(figures["expected_yield"]),
        },
        ("gap.that_matters",),
    )


def reasons_of(
    figures: Figures,
    *,
    dig: DigSeen,
    seen: CropSeen,
    reckoned: tuple[float, float] | None,
    calibration: Calibration,
    contradiction: Message | None,
    inputs: BalanceInputs,
    share_mature: float,
    drivers: Sequence[Driver],
) -> tuple[Message, ...]:
    """Say what the balance rests on, a contradiction first: need, fixation, crop, soil, nodules, weather, doubts.

    ``reckoned`` is the interval of the share fixed by the day on which it was measured, where it was.
    """
    reasons = [
        Message(
            "nitrogen.reason.need",
            {"yield": _value(figures["expected_yield"]), **_span("required", figures["required"])},
        ),
        Message(
            "nitrogen.reason.supply",
            {
                **_span("fixed", figures["fixed"]),
                **_span("share", figures["fixed_share"]),
                **_span("soil", figures["from_soil"]),
            },
        ),
        *_of_nodules(dig, calibration, figures),
        Message(f"nitrogen.reason.soil.{inputs.soil_n_from}", _span("soil", figures["soil_n_at_sowing"])),
        *_of_weather(inputs.sky),
    ]
    reasons[2:2] = _of_crop(seen, None if contradiction is not None else reckoned)
    if contradiction is not None:
        reasons.insert(0, contradiction)
    if inputs.applied > 0:
        reasons.append(Message("nitrogen.reason.applied", {"applied": inputs.applied}))
    if inputs.applied_in_test > 0:
        reasons.append(Message("nitrogen.reason.applied_in_test", {"applied": inputs.applied_in_test}))
    if (said := inputs.group_passed_over) is not None:
        kind = "unknown" if maturity_group(said) is None else "without_sums"
        reasons.append(Message(f"nitrogen.reason.maturity_group.{kind}", {"group": said}))
    if share_mature < _RIPE_FOR_SURE:
        reasons.append(Message("nitrogen.reason.unripe", {"share": 1 - share_mature}))
    return (*reasons, *(driver.message for driver in drivers))


def _of_weather(sky: Sky) -> Iterator[Message]:
    """Where the days ahead come from, and those behind that nobody wrote down."""
    source = sky.source
    if source == "years" and sky.few_years:
        source = "few_years"
    elif source == "known" and sky.filled:
        source = "over"
    yield Message(f"nitrogen.reason.weather.{source}", {"years": sky.weather.rows})
    if sky.filled:
        yield Message(f"nitrogen.reason.filled.{sky.filled_from}", {"days": sky.filled})


def _of_nodules(dig: DigSeen, calibration: Calibration, figures: Figures) -> Iterator[Message]:
    """What the nodules are taken to do, and what fixation measured in other fields makes of that."""
    corrected = bool(calibration.logs) and dig.is_read
    kind = "as_dug_corrected" if corrected and dig.source == "as_dug" else dig.source
    yield Message(f"nitrogen.reason.nodules.{kind}", _span("factor", figures["nodulation"]))
    if corrected:
        values = {"fields": len(calibration.logs), "factor": calibration.middle}
        yield Message("nitrogen.reason.corrected", values, ("nodulation.measured_error",))


def _of_crop(seen: CropSeen, reckoned: tuple[float, float] | None) -> Iterator[Message]:
    """What was seen or measured on the crop itself and weighs the draws, and what of it could not be used."""
    leaves, measured = seen.leaves, seen.measured
    if measured is not None:
        when = "ripe" if measured.day is None else "on_day"
        values = {"share": measured.share, "error": measured.standard_error, "day": measured.day}
        yield Message(f"nitrogen.reason.measured.{when}", {**values, "method": measured.method.replace("_", " ")})
        if reckoned is not None and not reckoned[0] <= measured.share <= reckoned[1]:
            ends = {"share": measured.share, "low": reckoned[0], "high": reckoned[1]}
            yield Message("nitrogen.reason.measured.outside", ends)
    yield from seen.laboratory
    if leaves is not None and max(leaves.pale, leaves.green) >= _WORTH_SAYING:
        yield Message(
            f"nitrogen.reason.leaves.{'pale' if leaves.pale >= leaves.green else 'green'}", {"day": leaves.day}
        )


def _value(figure: Quantity | None) -> float | None:
    return None if figure is None else figure.value


def _span(name: str, figure: Quantity | None) -> dict[str, Scalar]:
    assert figure is not None  # noqa: S101 - the figures named here are always there
    return {name: figure.value, f"{name}_low": figure.low, f"{name}_high": figure.high}
