"""What colours, positions and double scoring of a visit say, beside the verdict."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from spadework.advice.figures import share_figure
from spadework.advice.value import Agreement, ColourReading, Message, PositionReading, Readings, Timing
from spadework.advice.visit import Visit, is_bare
from spadework.agronomy.agreement import scorer_agreement
from spadework.agronomy.clustered_mean import clustered_mean
from spadework.agronomy.scoring.plants import ColourShare, PlantCounts, PlantReading, colour_share, read_plants
from spadework.knowledge.rows import Classes, Knowledge
from spadework.quantity import Grade, Quantity
from spadework.records.types import FieldRecords, InoculantForm, Placement

__all__ = ["readings_of"]

Floats = NDArray[np.float64]


def readings_of(visit: Visit, *, records: FieldRecords, timing: Timing, knowledge: Knowledge) -> Readings:
    """Read colour, position and agreement of a visit; none of them needs a target."""
    level = knowledge.figure("planning.interval_level").central
    counts = visit.counts(counted_sizes="any_size")
    reading = read_plants(
        counts,
        target=1,
        more_than=False,
        prior_red_correlation=knowledge.figure("red.plant_correlation").central,
    )
    return Readings(
        colour=_colour(visit, counts, knowledge=knowledge, level=level, timing=timing),
        position=_position(visit, reading, records=records, knowledge=knowledge, level=level),
        agreement=_agreement(visit, reading, knowledge=knowledge),
    )


def _colour(visit: Visit, counts: PlantCounts, *, knowledge: Knowledge, level: float, timing: Timing) -> ColourReading:
    """Inside colours of all nodules cut, and what they mean at this age of the crop."""
    prior = knowledge.figure("red.plant_correlation").central
    seen = {"red": counts.red, "white": visit.column("white"), "green_brown": visit.column("green_brown")}
    shares = {name: colour_share(cut=counts.cut, seen=column, prior_correlation=prior) for name, column in seen.items()}
    red = shares["red"]

    def figure(share: ColourShare) -> Quantity:
        return share_figure(share.posterior, level=level, sources=("red.plant_correlation",), grade=Grade.JUDGEMENT)

    quantities = {name: None if share is None else figure(share) for name, share in shares.items()}
    return ColourReading(
        cut_open=0 if red is None else red.cut,
        red_pink=quantities["red"],
        white=quantities["white"],
        green_brown=quantities["green_brown"],
        message=_colour_message(shares, seen, visit, knowledge, timing),
    )


_WHITE: dict[str, tuple[str, ...]] = {
    "too_early": ("white_early", "white_young"),
    "first_look": ("white_early", "white_young"),
    "unknown": ("white_undated", "white_young", "white_old"),
}


def _colour_message(
    shares: dict[str, ColourShare | None], seen: dict[str, Floats], visit: Visit, knowledge: Knowledge, timing: Timing
) -> Message:
    """Name the colour that says most, as it was counted; one that is just short of notable rests on the limits, too."""
    red = shares["red"]
    if red is None:
        if all(map(is_bare, visit.rows)):
            return Message("colour.none")
        return Message("colour.not_cut", sources=("statement.colour.expose", "statement.colour.pink_red"))
    means = {name: 0.0 if share is None else share.mean for name, share in shares.items()}
    notable = knowledge.figure("colour.notable").central
    limits: tuple[str, ...] = ("colour.notable",)
    reading: tuple[str, ...]
    colour = "red"
    if means["green_brown"] >= max(notable, means["white"]):
        colour = "green_brown"
        late = timing.state == "too_late"
        reading = ("green_brown_late", "dark_late") if late else ("green_brown", "green_brown")
    elif means["white"] >= notable:
        colour = "white"
        reading = _WHITE.get(timing.state, ("white", "white_old"))
    else:
        limits = ("colour.notable", "colour.mostly_red")
        mostly = means["red"] >= knowledge.figure("colour.mostly_red").central
        reading = ("mostly_red" if mostly else "mixed", "pink_red")
    message, *statements = reading
    sources = (*(f"statement.colour.{name}" for name in statements), *limits)
    share = shares[colour]
    cut = 0 if share is None else share.cut
    told = {"seen": int(np.nansum(seen[colour])), "cut": cut}
    return Message(f"colour.{message}", told, sources=sources)


def _position(
    visit: Visit, reading: PlantReading, *, records: FieldRecords, knowledge: Knowledge, level: float
) -> PositionReading:
    """Crown against lateral nodules, and what that says of the inoculant and the residents."""
    crown, lateral = visit.by_plant(reading.crown), visit.by_plant(reading.lateral)
    total = crown + lateral
    known = ~np.isnan(total)
    if not known.any():
        return PositionReading(crown_share=None, plants_with_crown=None, message=Message("position.unknown"))
    with_nodules = known & (total > 0)
    if not with_nodules.any():
        return PositionReading(crown_share=None, plants_with_crown=None, message=Message("position.none"))
    share = _mean_of_plants(
        crown[with_nodules] / total[with_nodules], visit.stop_of_plant[with_nodules], knowledge, level
    )
    with_crown = _mean_of_plants((crown[known] >= 0.5).astype(float), visit.stop_of_plant[known], knowledge, level)
    return PositionReading(
        crown_share=share,
        plants_with_crown=with_crown,
        message=_position_message(share.value, records, knowledge),
    )


def _position_message(crown: float, records: FieldRecords, knowledge: Knowledge) -> Message:
    zone = knowledge.figure("position.zone_share").central
    used = [row for row in records.inoculation if row.form is not InoculantForm.NONE]
    in_furrow = any(row.placement is Placement.FURROW or row.form is InoculantForm.GRANULE for row in used)
    statements: tuple[str, ...]
    if crown >= zone:
        reading, statements = ("crown" if crown >= 1 - zone else "both"), ("crown_inoculant",)
    elif in_furrow:
        reading, statements = "lateral_granule", ("granule_farther", "furrow_vs_mixed")
    elif used:
        reading, statements = "lateral_inoculated", ("lateral_residents", "salinity_confounder")
    else:
        reading, statements = "lateral", ("lateral_residents",)
    sources = (*(f"statement.position.{name}" for name in statements), "position.zone_share")
    return Message(f"position.{reading}", {"crown": crown}, sources=sources)


def _mean_of_plants(values: Floats, stop: NDArray[np.intp], knowledge: Knowledge, level: float) -> Quantity:
    """Mean of a share over plants, with an interval that respects stops."""
    posterior = clustered_mean(
        values=values,
        stop=stop,
        prior_correlation=knowledge.figure("planning.stop_correlation").central,
        planning_sd=knowledge.figure("planning.zone_sd").central,
    )
    low, high = posterior.interval(level)
    mean = float(values.mean())
    return Quantity(
        value=mean,
        unit="1",
        low=min(max(low, 0.0), mean),
        high=max(min(high, 1.0), mean),
        level=level,
        sources=("planning.stop_correlation", "planning.zone_sd"),
        grade=Grade.JUDGEMENT,
    )


def _agreement(visit: Visit, reading: PlantReading, *, knowledge: Knowledge) -> Agreement | None:
    """How far the scorers of double-scored plants agree; None when no plant was scored twice."""
    times = np.bincount(visit.plant_of_row, minlength=len(visit.plants))
    twice = times[visit.plant_of_row] > 1
    if not twice.any():
        return None
    classes = knowledge.row("classes.agreement")
    assert isinstance(classes, Classes)  # noqa: S101 - ids of that name are held to that table by a test
    scorers = [row.scorer or "?" for row in visit.rows]
    known = twice & ~np.isnan(reading.effective)
    summary = scorer_agreement(
        plant=visit.plant_of_row[known],
        scorer=np.array(scorers)[known],
        category=np.searchsorted(classes.limits, reading.effective[known], side="right"),
        count=reading.effective[known],
        categories=len(classes.names),
        warn_below=knowledge.figure("agreement.kappa_warning").central,
        fewest_plants=int(knowledge.figure("agreement.fewest_plants").central),
    )
    if summary.weighted_kappa is None:
        message = Message("agreement.unknown", {"plants": summary.plants}, sources=("agreement.fewest_plants",))
    else:
        state = "poor" if summary.warning else "good"
        message = Message(
            f"agreement.{state}",
            {"plants": summary.plants, "kappa": summary.weighted_kappa},
            sources=("agreement.kappa_warning", "agreement.fewest_plants", classes.id),
        )
    return Agreement(
        plants=summary.plants,
        scorers=summary.scorers,
        weighted_kappa=summary.weighted_kappa,
        observed_agreement=summary.observed_agreement,
        intraclass_correlation=summary.intraclass_correlation,
        warning=summary.warning,
        message=message,
    )
