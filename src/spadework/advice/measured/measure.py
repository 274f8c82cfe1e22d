"""From a laboratory's rows to what they say of each field, method by method."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from spadework.advice.measured.b_value import b_value_in_force
from spadework.advice.measured.isotopes import isotope_dilution, natural_abundance
from spadework.advice.measured.left import Harvest, credits_of, harvest_of, with_left
from spadework.advice.measured.other_methods import difference, interval_about, ureides
from spadework.advice.measured.samples import Samples, shoot_nitrogen
from spadework.advice.measured.value import FieldMeasurement, MeasuredShare
from spadework.advice.message import Message
from spadework.agronomy.fixation.samples import SampleMean
from spadework.agronomy.fixation.two_pools import interval_multiplier
from spadework.knowledge.rows import Crop, Knowledge
from spadework.quantity import Grade, Quantity
from spadework.records.laboratory import LabResultRow
from spadework.records.types import LocalBValue, LocalUreideLine, Settings
from spadework.records.words import LaboratoryMethod

__all__ = ["Chosen", "chosen_in", "measure"]

_LEVEL = "planning.interval_level"
_PER_SHOOT = "fixed_per_shoot.any"


@dataclass(frozen=True)
class Chosen:
    """What the user chose: methods (all that the columns allow, where none is named), B and its spread, a line.

    ``local_b_value`` and ``local_ureide_line`` are the book's own, in force where the user said no other.
    """

    methods: frozenset[LaboratoryMethod] = frozenset(LaboratoryMethod)
    b_value: float | str | None = None
    b_spread: float | None = None
    ureide_line: LocalUreideLine | None = None
    local_b_value: LocalBValue | None = None
    local_ureide_line: LocalUreideLine | None = None


def chosen_in(settings: Settings, crop: Crop) -> Chosen:
    """What a book chooses for a crop."""
    return Chosen(
        local_b_value=settings.local_b_value.get(crop), local_ureide_line=settings.local_ureide_line.get(crop)
    )


def measure(
    rows: Iterable[LabResultRow], *, crop: Crop, chosen: Chosen, knowledge: Knowledge
) -> tuple[FieldMeasurement, ...]:
    """What the samples say of each field, in the order of the rows.

    Raises
    ------
    KnowledgeError
        If the user names a B value that does not exist or belongs to another crop.
    """
    of_field: dict[str | None, list[LabResultRow]] = {}
    for row in rows:
        of_field.setdefault(row.field, []).append(row)
    return tuple(
        _measure_field(field, held, crop=crop, chosen=chosen, knowledge=knowledge) for field, held in of_field.items()
    )


def _measure_field(
    field: str | None, rows: Sequence[LabResultRow], *, crop: Crop, chosen: Chosen, knowledge: Knowledge
) -> FieldMeasurement:
    samples = Samples(rows)
    harvest = harvest_of(samples, crop=crop, knowledge=knowledge)
    found = [
        _with_amount(one, samples, knowledge)
        for one in _by_method(samples, crop=crop, chosen=chosen, knowledge=knowledge)
    ]
    if harvest is None or harvest.grain_exceeds_shoot or harvest.one_plot:
        return FieldMeasurement(
            field=field,
            crop=crop,
            methods=tuple(found),
            shoot_nitrogen=_shoot(samples, knowledge),
            warnings=_of_field(samples, found, harvest, chosen),
        )
    return FieldMeasurement(
        field=field,
        crop=crop,
        methods=tuple(with_left(one, harvest) for one in found),
        shoot_nitrogen=_shoot(samples, knowledge),
        grain_nitrogen=harvest.grain_nitrogen,
        residue_shoot=harvest.residue_shoot,
        residue_below_ground=harvest.residue_below_ground,
        credits=tuple(credits_of(harvest, crop=crop, knowledge=knowledge)),
        warnings=_of_field(samples, found, harvest, chosen),
    )


def _by_method(samples: Samples, *, crop: Crop, chosen: Chosen, knowledge: Knowledge) -> Iterator[MeasuredShare]:
    """Yield what each method gives for which the legume was measured."""
    legumes, references = samples.having("delta_15n")
    if legumes and LaboratoryMethod.NATURAL_ABUNDANCE in chosen.methods:
        b = b_value_in_force(
            crop=crop,
            said=chosen.b_value,
            said_spread=chosen.b_spread,
            local=chosen.local_b_value,
            knowledge=knowledge,
        )
        yield natural_abundance(legumes, references, crop=crop, b=b, knowledge=knowledge)
    legumes, references = samples.having("atom_percent_excess")
    if legumes and LaboratoryMethod.ISOTOPE_DILUTION in chosen.methods:
        yield isotope_dilution(legumes, references, knowledge=knowledge)
    legumes, references = (
        tuple(row for row in rows if shoot_nitrogen(row) is not None) for rows in (samples.legumes, samples.references)
    )
    if legumes and references and LaboratoryMethod.NITROGEN_DIFFERENCE in chosen.methods:
        yield difference(legumes, references, knowledge=knowledge)
    saps = tuple(row for row in samples.legumes if None not in (row.ureides, row.nitrate, row.amino_n))
    if saps and LaboratoryMethod.UREIDES in chosen.methods:
        own = chosen.ureide_line is None and chosen.local_ureide_line is not None
        yield ureides(
            saps,
            crop=crop,
            line=chosen.ureide_line or chosen.local_ureide_line,
            line_rows=(f"local_ureide_line.{crop}",) if own else (),
            knowledge=knowledge,
        )


def _shoot(samples: Samples, knowledge: Knowledge) -> Quantity | None:
    held = samples.nitrogen
    if held is None or held.samples < 2:
        return None
    level = knowledge.figure(_LEVEL).central
    return interval_about(
        held.mean,
        held.standard_error,
        degrees=max(held.samples - 1, 1),
        level=level,
        unit="kg/ha",
        sources=(),
        grade=Grade.READ,
    )


def _with_amount(measured: MeasuredShare, samples: Samples, knowledge: Knowledge) -> MeasuredShare:
    """Add kilograms to a share where the samples carry them, and check their size against the dry matter."""
    held = samples.nitrogen
    if measured.share is None or held is None:
        return measured
    if measured.share.low is None or held.samples < 2:
        warnings = (*measured.warnings, Message("lab.warning.no_kilograms"))
        return replace(measured, fixed_shoot=None, warnings=warnings)
    if measured.fixed_shoot is None:
        measured = replace(measured, fixed_shoot=_fixed(measured, held, knowledge))
    dry = [row.shoot_dry_matter for row in samples.legumes if row.shoot_dry_matter is not None]
    usual = knowledge.figure(_PER_SHOOT)
    assert measured.fixed_shoot is not None  # noqa: S101 - given above
    per_tonne = measured.fixed_shoot.value / (sum(dry) / len(dry) / 1000)
    low, high = usual.range
    if low <= per_tonne <= high:
        return measured
    values = {"per_tonne": per_tonne, "least_usual": low, "most_usual": high}
    return replace(
        measured, warnings=(*measured.warnings, Message("lab.warning.unusual_amount", values, (_PER_SHOOT,)))
    )


def _fixed(measured: MeasuredShare, held: SampleMean, knowledge: Knowledge) -> Quantity:
    """Share times shoot nitrogen, with both errors; the two are taken as independent."""
    share, error = measured.share, measured.standard_error
    assert share is not None  # noqa: S101 - asked before
    assert share.low is not None  # noqa: S101 - asked before
    assert share.high is not None  # noqa: S101 - both ends are there, or none
    assert error is not None  # noqa: S101 - an interval has one
    value = share.value * held.mean
    usual = interval_multiplier(level=knowledge.figure(_LEVEL).central, degrees=held.samples - 1)
    # Each side by itself, as the share's interval need not be even; the nitrogen's part by the same multiple.
    reach = []
    for end in (share.low, share.high):
        away = end - share.value
        multiple = abs(away) / error if error > 0 else usual
        reach.append(math.hypot(away * held.mean, multiple * share.value * held.standard_error))
    return Quantity(
        value=value,
        unit="kg/ha",
        low=value - reach[0],
        high=value + reach[1],
        level=share.level,
        sources=share.sources,
        grade=share.grade,
    )


def _of_field(
    samples: Samples, found: Sequence[MeasuredShare], harvest: Harvest | None, chosen: Chosen
) -> tuple[Message, ...]:
    said = []
    given = {one.method for one in found}
    if not samples.legumes:
        said.append(Message("lab.warning.no_legume"))
    elif chosen.methods < frozenset(LaboratoryMethod):
        lacking = (method for method in LaboratoryMethod if method in chosen.methods and method.value not in given)
        said.extend(Message(f"lab.warning.not_measured.{method.value}") for method in lacking)
    elif not found:
        said.append(Message("lab.warning.nothing_measured"))
    if harvest is not None and harvest.grain_exceeds_shoot:
        values = {"grain": harvest.grain_mean, "shoot": harvest.shoot_nitrogen.mean}
        said.append(Message("lab.warning.grain_exceeds_shoot", values))
    elif harvest is not None and harvest.one_plot:
        said.append(Message("lab.warning.one_plot"))
    elif harvest is not None and harvest.below_ground.central in harvest.below_ground.range:
        side = "least" if harvest.below_ground.central == harvest.below_ground.range[0] else "most"
        values = {"share": harvest.below_ground.central}
        said.append(Message(f"lab.warning.below_ground_{side}", values, (harvest.below_ground.id,)))
    shares = [one.share.value for one in found if one.share is not None]
    if len(shares) > 1 and max(shares) - min(shares) > 0.01:
        said.append(Message("lab.warning.several_methods", {"low": min(shares), "high": max(shares)}))
    if any(one.fixed_shoot is not None for one in found):
        said.append(Message("lab.warning.share_and_amount"))
    return tuple(said)
